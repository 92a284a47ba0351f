/** What the service refuses, told at the field that it refuses. */

import { byId, element, tell } from "./elements.js";
import { say } from "./words.js";

/** Takes all faults away again. */
export function clearFaults() {
  for (const shown of document.querySelectorAll(".fault:not([hidden])")) {
    shown.hidden = true;
    controlsOf(shown).forEach((control) => control.removeAttribute("aria-invalid"));
  }
  for (const banner of ["refusal", "kit-refusal"]) tell(byId(banner), "");
}

/**
 * Tells the faults of a refusal, each at its field; those without a field stand in the banner.
 * @param {import("./api.js").Problem} problem
 * @param {HTMLElement} banner
 */
export function tellFaults(problem, banner) {
  const elsewhere = problem.faults.filter((fault) => !tellFault(nameOf(fault), fault));
  const told = elsewhere.map((fault) => `${nameOf(fault)}: ${fault.allowed}`).join("; ");
  const whole = problem.faults.length ? told : problem.message;
  tell(banner, [say("refused"), whole].filter(Boolean).join(" "));
}

/**
 * Tells one fault at its field.
 * @param {string} name
 * @param {{found?: string, allowed?: string}} fault
 * @returns {boolean} whether there is such a field
 */
export function tellFault(name, fault) {
  const shown = byId(`fault-${name}`);
  if (!shown) return false;
  const before = fault.found ? say("not_taken", { found: fault.found }) : say("wanted");
  // What is allowed comes from the service, which words refusals in English alone.
  shown.replaceChildren(`${before} `, element("span", { lang: "en" }, fault.allowed));
  unfold(shown);
  return true;
}

/** Tells at a field what the page itself has to say. @param {string} name @param {string} text */
export function tellAt(name, text) {
  const shown = byId(`fault-${name}`);
  shown.textContent = text;
  unfold(shown);
}

function unfold(shown) {
  shown.hidden = false;
  shown.closest("details")?.setAttribute("open", "");
  controlsOf(shown).forEach((control) => control.setAttribute("aria-invalid", "true"));
}

function nameOf({ parameter, pointer, header }) {
  if (parameter === "code") return "frame";
  const inBody = pointer?.split("/").findLast((step) => /[a-z]/.test(step));
  return parameter ?? inBody ?? header ?? "";
}

function controlsOf(shown) {
  return [...shown.closest("[data-field]").querySelectorAll("input:not([type=radio]), select")];
}
