/** The slip: what is printed for the customer. It is made anew with each selection, so that any way to print prints it. */

import { figures, reasonList } from "./detail.js";
import { byId, element, mark } from "./elements.js";
import { LANGUAGE, say } from "./words.js";
import { worstFirst } from "./candidates.js";

const SHOWN = [
  "inside_width_mm", "head_wall_mm", "far_wall_mm", "recess_mm", "hole_offset_mm", "fastening", "bore_mm", "holes", "keys_needed",
  "keyed_profile", "thread", "position", "brake_thread", "rider_mass_kg", "child",
];

/**
 * Makes the slip of an answer for some of its candidates.
 * @param {object} answer
 * @param {URLSearchParams} fields what was asked
 * @param {import("./candidates.js").Candidate[]} chosen
 * @param {boolean} drawn whether the axle that is drawn is one of them
 */
export function makeSlip(answer, fields, chosen, drawn) {
  const today = new Intl.DateTimeFormat(LANGUAGE, { dateStyle: "long" }).format(new Date());
  const kit = byId("kit").open && byId("kit-content").querySelector("table");
  byId("slip").replaceChildren(
    element("h2", {}, say("slip_title")),
    element("p", {}, `${say("date")}: ${today} · ${say("revision")} ${answer.catalogue_revision}`),
    element("h3", {}, say("measured")),
    measuredList(answer.frame, fields),
    ...(answer.frame.notes.length ? [reasonList(answer.frame.notes)] : []),
    ...chosen.map(axlePart),
    ...(drawn ? [element("div", { id: "slip-drawing" })] : []),
    ...(kit ? [element("h3", {}, say("kit")), kit.cloneNode(true)] : []),
    element("h3", {}, say("cautions")),
    element("ul", {}, ...answer.cautions.map((caution) => element("li", {}, caution.text))),
    element("p", { class: "address" }, `${say("address")}: `, element("span", { id: "slip-address" })),
  );
  addressSlip();
}

/** No slip while nothing is looked up. */
export function clearSlip() {
  byId("slip").replaceChildren(element("p", {}, say("start")));
}

/** Writes the address of the lookup on the slip. */
export function addressSlip() {
  const place = byId("slip-address");
  if (place) place.textContent = window.location.href;
}

function axlePart(candidate) {
  const { axle, verdict } = candidate;
  const told = worstFirst(candidate.reasons).filter(
    (reason) => reason.outcome !== "pass" || ["width", "engagement"].includes(reason.check),
  );
  return element(
    "div",
    { class: "slip-axle" },
    element("h3", {}, mark(verdict), ` ${axle.sku} · ${say(verdict)}`),
    element("p", {}, axle.name),
    candidate.would_fit_if ? element("p", {}, candidate.would_fit_if) : "",
    figures(candidate),
    reasonList(told),
  );
}

/** The frame as it was given: the label of each field, and what stood in it. */
function measuredList(frame, fields) {
  const width = frame.outside_width_mm;
  const uncertainty = say("uncertainty", { uncertainty: width.standard_uncertainty });
  const rows = [[say("outside_width"), `${width.value} mm (${uncertainty})`]];
  for (const name of ["frame", "axle_position", ...SHOWN]) {
    if (fields.has(name)) rows.push([labelOf(name), valueOf(name, fields.getAll(name))]);
  }
  if (!fields.has("frame")) rows.push([labelOf("instrument"), byId("instrument").selectedOptions[0].text]);
  return element(
    "dl",
    { class: "figures" },
    ...rows.map(([name, text]) => element("div", {}, element("dt", {}, name), element("dd", { class: "figure" }, text))),
  );
}

/** The label of a field without its key. */
function labelOf(name) {
  const label = document.querySelector(`[data-field="${name}"] :is(legend, label)`).cloneNode(true);
  label.querySelectorAll("kbd").forEach((key) => key.remove());
  return label.textContent.trim();
}

/** What a field holds, in words where it holds a code. */
function valueOf(name, values) {
  const words = { fastening: values[0], holes: values[0], keys_needed: values[0] === "1" ? "one_key" : "two_keys" };
  if (["position", "child"].includes(name)) return "✓";
  return words[name] ? say(words[name]) : values.join("; ");
}
