/** What the element says, in the language of the page around it. */
import words from "./words.js";

/** The language of an element: its own or its surroundings', if there are words for it; else English. */
export function languageOf(element) {
  const tag = element.lang || element.closest("[lang]")?.lang || document.documentElement.lang || navigator.language;
  const primary = tag.toLowerCase().split("-")[0];
  return primary in words ? primary : "en";
}

/** The words of a language, by kind and code. */
export const wordsOf = (language) => words[language];

/** A sentence with its values in place of what stands in braces. */
export const say = (sentence, values) => sentence.replace(/\{(\w+)\}/g, (_, name) => values[name]);

/** A probability in words, by the limits of the verdicts, and as a percentage that never claims certainty. */
export function likelihood({ filters, probabilities }, probability) {
  const [code, percentage] =
    probability >= 0.9995
      ? ["practically_certain", probabilities.nearly_certain]
      : [probability >= 0.95 ? "very_likely" : probability >= 0.8 ? "likely" : "uncertain", `${(100 * probability).toFixed(1)} %`];
  return say(filters.fit_probability, { words: filters[code], percentage });
}

/** A drive's code as a word and its size: hexagon_4 is a hexagon socket of 4. */
export function driveName({ drives }, code) {
  const [, family, size] = /^(.*?)(?:_([a-z]?\d+))?$/.exec(code);
  return [drives[family] ?? family, size?.toUpperCase()].filter(Boolean).join(" ");
}

/** A value of a facet in words; what has none is said as the catalogue has it. */
export function valueName(words, facet, value) {
  if (facet === "drive") return driveName(words, value);
  if (facet === "in_stock") return words.filters[value ? "in_stock" : "not_in_stock"];
  if (facet === "colour") return ["black", "silver", "white"].includes(value) ? words.filters[value] : value;
  if (facet === "pack_quantity") return say(words.filters.pack, { count: value });
  return String(value);
}
