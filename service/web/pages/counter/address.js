/** The state of the page in its address, so that a reload or a link gives the same lookup. */

import { addressSlip } from "./slip.js";

const PAUSE_MS = 150;
let timer = 0;
let write = () => {};

/** What the address holds besides the fields of the two forms. */
const OWN = ["lang", "gtin", "sku", "slip", "kit"];

/** The state in the address: the page's own parameters, and the fields of the forms. */
export function remembered() {
  const given = new URLSearchParams(window.location.search);
  const own = Object.fromEntries(OWN.map((name) => [name, given.get(name) ?? ""]));
  OWN.forEach((name) => given.delete(name));
  return { ...own, slip: own.slip ? own.slip.split(",") : [], fields: given };
}

/**
 * Writes a state into the address, after a moment: a browser lets a page do so only so often.
 * @param {() => [string, string][]} state gives the parameters; those that are empty are left out
 */
export function remember(state) {
  write = () => {
    const lang = new URLSearchParams(window.location.search).get("lang") ?? "";
    const parameters = new URLSearchParams([["lang", lang], ...state()].filter(([, value]) => value));
    window.history.replaceState(null, "", `/counter${parameters.size ? `?${parameters}` : ""}`);
    addressSlip();
    write = () => {};
  };
  clearTimeout(timer);
  timer = setTimeout(() => write(), PAUSE_MS);
}

/** Writes the address now, before the page is left, printed or shown in another language. */
export function rememberNow() {
  clearTimeout(timer);
  write();
}

/** Shows the same page in another language. @param {string} language */
export function changeLanguage(language) {
  rememberNow();
  const parameters = new URLSearchParams(window.location.search);
  parameters.set("lang", language);
  window.location.search = parameters.toString();
}
