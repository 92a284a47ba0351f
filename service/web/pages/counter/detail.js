/** What is to be said of the selected axle. */

import { percentage, priceOf, stockOf, worstFirst } from "./candidates.js";
import { element, mark } from "./elements.js";
import { driveName, say } from "./words.js";

/**
 * The details of an axle: verdict, figures, reasons worst first, those that passed folded away.
 * @param {import("./candidates.js").Candidate} candidate
 * @returns {Node[]}
 */
export function details(candidate) {
  const { axle, verdict, reasons } = candidate;
  const passed = reasons.filter((reason) => reason.outcome === "pass");
  const others = worstFirst(reasons.filter((reason) => reason.outcome !== "pass"));
  return [
    element("p", { class: "headline" }, mark(verdict), element("strong", {}, say(verdict)), " ", element("span", { class: "figure" }, axle.sku)),
    element("p", {}, axle.name),
    candidate.would_fit_if ? element("p", { class: "would-fit" }, candidate.would_fit_if) : null,
    figures(candidate),
    others.length ? reasonList(others) : null,
    passed.length
      ? element("details", {}, element("summary", {}, say("reasons_passed", { count: passed.length })), reasonList(passed))
      : null,
  ].filter(Boolean);
}

/** Reasons as a list, each with the shape and the word of its outcome. @param {object[]} reasons */
export function reasonList(reasons) {
  return element("ul", { class: "reasons" }, ...reasons.map(reasonItem));
}

/** One reason. @param {object} reason */
export function reasonItem(reason) {
  return element(
    "li",
    { class: reason.outcome },
    mark(reason.outcome),
    element("span", {}, element("span", { class: "outcome" }, say(reason.outcome)), " ", reason.text),
  );
}

/** The figures of an axle as a table of names and values. @param {import("./candidates.js").Candidate} candidate */
export function figures({ axle, fit_probability, width_window_mm, ideal_width_mm, tool, also_needed }) {
  const rows = [];
  if (fit_probability !== undefined) rows.push(["probability", percentage(fit_probability)]);
  if (width_window_mm) {
    const ideal = say("ideal", { width: ideal_width_mm });
    rows.push(["window", `${width_window_mm.min}–${width_window_mm.max} mm (${ideal})`]);
  }
  if (tool?.drive) rows.push(["tool", tool.keys ? `${tool.keys} × ${driveName(tool.drive)}` : driveName(tool.drive)]);
  for (const part of also_needed ?? []) rows.push(["also_needed", `${part.name} (${part.sku})`]);
  rows.push(["price", priceOf(axle)], ["stock", stockOf(axle)]);
  return element(
    "dl",
    { class: "figures" },
    ...rows.map(([code, text]) => element("div", {}, element("dt", {}, say(code)), element("dd", { class: "figure" }, text))),
  );
}
