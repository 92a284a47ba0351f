/** The list of axles: those that fit in their order, and the near misses. */

import { element, mark } from "./elements.js";
import { say } from "./words.js";

const WORST_FIRST = ["fail", "unknown", "caution", "pass"];

/**
 * An axle of the list, whether it fits or nearly does.
 * @typedef {object} Candidate
 * @property {object} axle every column of the part
 * @property {string} verdict
 * @property {object[]} reasons
 * @property {number} [fit_probability]
 * @property {{min: number, max: number}} [width_window_mm]
 * @property {number} [ideal_width_mm]
 * @property {object[]} [also_needed]
 * @property {{drive: string|null, keys: number|null}} [tool]
 * @property {string} [would_fit_if]
 */

/** The candidates of an answer, in the order of the page. @param {object} answer @returns {Candidate[]} */
export function candidatesOf(answer) {
  return [...answer.fits, ...answer.near_misses.map((miss) => ({ ...miss, verdict: "no_fit" }))];
}

/** The reasons, worst first. @param {object[]} reasons */
export function worstFirst(reasons) {
  return WORST_FIRST.flatMap((outcome) => reasons.filter((reason) => reason.outcome === outcome));
}

/** A probability as a figure; never 100 %, which nothing measured is. @param {number} probability */
export function percentage(probability) {
  if (probability > 0.999) return "> 99.9 %";
  return probability < 0.001 ? "< 0.1 %" : `${(probability * 100).toFixed(1)} %`;
}

/** A price with its currency, or a dash. @param {object} part */
export function priceOf(part) {
  return part.price === null ? "–" : `${part.price} ${part.currency}`;
}

/** How many packs there are, in words. @param {object} part */
export function stockOf(part) {
  const stock = part.stock === null ? `${say("stock")}: ${say("not_known")}` : say("in_stock_count", { count: part.stock });
  return part.pack_quantity > 1 ? `${stock} · ${say("pack", { count: part.pack_quantity })}` : stock;
}

/**
 * An entry of the list; its button selects the axle.
 * @param {Candidate} candidate
 */
export function entry(candidate) {
  const { axle, verdict } = candidate;
  const [worst] = worstFirst(candidate.reasons);
  const said = candidate.would_fit_if ?? (worst && worst.outcome !== "pass" ? worst.text : "");
  const window = candidate.width_window_mm;
  return element(
    "li",
    {},
    element(
      "button",
      { type: "button", class: `candidate ${verdict}`, "data-sku": axle.sku },
      mark(verdict),
      element("span", { class: "head" }, element("span", { class: "verdict" }, say(verdict)), " ", element("span", { class: "figure" }, axle.sku)),
      element("span", { class: "part" }, axle.name),
      element(
        "span",
        { class: "fit figure" },
        candidate.fit_probability === undefined ? "" : percentage(candidate.fit_probability),
        window ? element("span", { class: "window" }, `${window.min}–${window.max} mm`) : null,
      ),
      element("span", { class: "price figure" }, priceOf(axle), element("span", { class: "stock" }, stockOf(axle))),
      said ? element("span", { class: "worst" }, said) : null,
    ),
  );
}

/**
 * Marks one entry of the page as the selected one.
 * @param {string|null} sku
 * @returns {HTMLElement|null} its button
 */
export function markSelected(sku) {
  let selected = null;
  for (const button of document.querySelectorAll(".candidate")) {
    if (button.dataset.sku === sku && !selected) {
      button.setAttribute("aria-current", "true");
      selected = button;
    } else {
      button.removeAttribute("aria-current");
    }
  }
  return selected;
}
