/** The page's words in its language; the service has put them into the page. */

const WORDS = JSON.parse(document.getElementById("words").textContent);

/** The page's language, as a language tag. */
export const LANGUAGE = document.documentElement.lang;

/**
 * What the page says under this code.
 * @param {string} code
 * @param {Object<string, string|number>} [values] what stands in place of `{name}`
 * @returns {string}
 */
export function say(code, values = {}) {
  return WORDS[code].replace(/\{(\w+)\}/g, (_, name) => String(values[name]));
}

/**
 * A drive in words, with its size: `hexagon_4`.
 * @param {string} code
 */
export function driveName(code) {
  const [, kind, size] = /^(.*?)(?:_(h?\d+))?$/.exec(code);
  return [WORDS[`drive_name_${kind}`] ?? kind, size?.toUpperCase()].filter(Boolean).join(" ");
}
