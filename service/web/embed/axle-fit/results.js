/** What the lookup found: the axles with their verdicts, near misses, what would help, cautions. */
import { make, sign } from "./making.js";
import { likelihood, say, valueName } from "./wording.js";

const MOST_REASONS = 2;
const WEIGHTS = { fail: 0, unknown: 1, caution: 2, pass: 3 };

/**
 * An axle of the list.
 * @param {{words: object, language: string, choose: (fit: object) => void, drawing: ((sku: string) => string) | null}} shop
 */
export function axleItem(fit, { words, language, choose, drawing }) {
  const { axle, verdict, reasons } = fit;
  const { filters } = words;
  const shown = reasonsThatMatter(reasons);
  const others = reasons.filter((reason) => !shown.includes(reason));
  return make(
    "li",
    { part: "axle" },
    make("p", { class: `verdict ${verdict}`, part: `verdict verdict-${verdict.replaceAll("_", "-")}` }, sign(verdict), make("strong", {}, filters[verdict])),
    make("h3", { part: "name", tabindex: "-1" }, axle.name ?? axle.sku),
    make("p", { class: "facts" }, ...facts(axle, words, language)),
    make("p", { part: "probability" }, likelihood(words, fit.fit_probability)),
    reasonList(shown),
    others.length ? make("details", { part: "reasons" }, make("summary", {}, filters.all_reasons), reasonList(others)) : null,
    fit.also_needed.length ? make("p", { part: "also-needed" }, `${filters.also_needed}: `, ...fit.also_needed.map(({ name, sku }) => `${name} (${sku})`)) : null,
    drawing ? drawingOf(axle, drawing(axle.sku), filters) : null,
    make("button", { type: "button", part: "choose", "aria-label": `${filters.choose}: ${axle.name ?? axle.sku}`, click: () => choose(fit) }, filters.choose),
  );
}

/** What is wrong or not known first; for an axle about which all is well, its width. */
export function reasonsThatMatter(reasons) {
  const doubts = reasons.filter(({ outcome }) => outcome !== "pass").sort((one, other) => WEIGHTS[one.outcome] - WEIGHTS[other.outcome]);
  return doubts.length ? doubts.slice(0, MOST_REASONS) : reasons.filter(({ check }) => check === "width");
}

/** The axles that nearly fit, each with what would have to change. */
export function nearMisses(misses, { filters }) {
  const items = misses.map(({ axle, would_fit_if }) => make("li", {}, make("strong", {}, axle.name ?? axle.sku), ` ${would_fit_if}`));
  return make("section", { part: "near-misses" }, make("h3", { part: "subheading" }, filters.near_misses), make("ul", {}, ...items));
}

/** What would give a result, one condition changed at a time. */
export function relaxations(relax, fields, words) {
  const { filters, features } = words;
  const labels = { ...features, ...Object.fromEntries(fields.map(({ name, label }) => [name, label])), in_stock: filters.stock };
  const items = relax.map(({ condition, change, to, count }) => {
    const said = { condition: labels[condition] ?? condition, to: valueName(words, condition, to) };
    return make("li", {}, say(change === "moved" ? filters.changed_to : filters.without, said), `: ${count}`);
  });
  return make("section", { part: "relaxations" }, make("h3", { part: "subheading" }, filters.would_help), make("ul", {}, ...items));
}

/** What everybody has to know who rides on an axle. */
export function cautionList(cautions, { filters }) {
  const items = cautions.map(({ text }) => make("li", {}, text));
  return make("section", { part: "cautions" }, make("h3", { part: "subheading" }, filters.before_you_ride), make("ul", {}, ...items));
}

function reasonList(reasons) {
  return make("ul", { class: "reasons" }, ...reasons.map(({ text }) => make("li", {}, text)));
}

function facts({ sku, price, currency, pack_quantity, stock }, words, language) {
  const priced = price === null ? null : new Intl.NumberFormat(language, { style: "currency", currency }).format(price);
  return [
    make("span", { part: "sku" }, sku),
    priced && make("span", { part: "price" }, priced),
    pack_quantity > 1 ? make("span", {}, valueName(words, "pack_quantity", pack_quantity)) : null,
    stock === null ? null : make("span", {}, valueName(words, "in_stock", stock > 0)),
  ].filter(Boolean);
}

/** The drawing is loaded when it is opened; an axle without one says nothing of it. */
function drawingOf({ sku, name }, address, filters) {
  const picture = make("img", { part: "drawing", alt: say(filters.drawing_of, { name: name ?? sku }), error: () => (shown.hidden = true) });
  const shown = make("details", { toggle: () => shown.open && !picture.src && (picture.src = address) }, make("summary", {}, filters.drawing), picture);
  return shown;
}
