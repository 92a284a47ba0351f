/** The answer on the page: the list, the selected axle, what to measure next. */

import { candidatesOf, entry, markSelected } from "./candidates.js";
import { details, reasonItem } from "./detail.js";
import { drawOnSlip, showDrawing } from "./drawing.js";
import { byId, element } from "./elements.js";
import { clearSlip, makeSlip } from "./slip.js";
import { say } from "./words.js";

const QUIET_MS = 500;
let timer = 0;

/** What is shown: the answer, what was asked, the candidates in order; null while nothing is. */
let shown = null;
/** The axle that the clerk has picked, and those to be printed together. */
const picks = { sku: "", slip: new Set() };

/** What the clerk has picked, to be kept in the address. */
export function picked() {
  return { sku: picks.sku, slip: [...picks.slip] };
}

/** Picks what an address holds. @param {string} sku @param {string[]} slip */
export function pick(sku, slip) {
  picks.sku = sku;
  picks.slip = new Set(slip);
}

/** The selected axle; null if there is none. */
export function selected() {
  return shown?.candidates.find(({ axle }) => axle.sku === picks.sku) ?? shown?.candidates[0] ?? null;
}

/** Where the list goes on; null at its end. */
export function nextPage() {
  return shown?.answer.links?.next ?? null;
}

/** Says something to who cannot see the page, once it has been quiet for a moment. @param {string} text */
export function announce(text) {
  clearTimeout(timer);
  timer = setTimeout(() => {
    byId("announcement").textContent = text;
  }, QUIET_MS);
}

/** Shows an answer. @param {object} answer @param {URLSearchParams} fields what was asked */
export function showAnswer(answer, fields) {
  shown = { answer, fields, candidates: candidatesOf(answer) };
  byId("revision").textContent = answer.catalogue_revision;
  fill(byId("fits"), answer.fits.map(entry));
  fill(byId("near-misses"), shown.candidates.slice(answer.fits.length).map(entry), byId("missed"));
  fill(byId("notes"), answer.frame.notes.map(reasonItem), byId("notes"));
  fill(byId("questions"), answer.ask_next.map(question), byId("ask"));
  fill(byId("caution-list"), answer.cautions.map((caution) => element("li", {}, caution.text)), byId("cautions"));
  byId("more").hidden = nextPage() === null;
  byId("summary").textContent = summaryOf(answer);
  announce(summaryOf(answer));
  showSelected();
}

/** Adds the next page of the same list. @param {object} page */
export function showMore(page) {
  shown.answer = { ...shown.answer, fits: [...shown.answer.fits, ...page.fits], links: page.links };
  shown.candidates = candidatesOf(shown.answer);
  byId("fits").append(...page.fits.map(entry));
  byId("more").hidden = nextPage() === null;
  showSelected();
}

/** Shows that there is no answer. @param {string} text why */
export function showNothing(text) {
  shown = null;
  for (const list of ["fits", "near-misses", "notes", "questions", "caution-list"]) fill(byId(list), []);
  for (const part of ["missed", "notes", "ask", "cautions", "more", "detail"]) byId(part).hidden = true;
  byId("summary").textContent = text;
  showDrawing(new URLSearchParams(), null);
  clearSlip();
}

/** Selects an axle of the list. @param {string} sku */
export function select(sku) {
  picks.sku = sku;
  const button = showSelected();
  button?.scrollIntoView({ block: "nearest" });
  const { verdict } = selected();
  announce(`${sku}, ${say(verdict)}`);
}

/** Selects the axle that stands so many places further down in the list. @param {number} places */
export function move(places) {
  const current = shown?.candidates.indexOf(selected()) ?? -1;
  const next = shown?.candidates[current + places];
  if (next) select(next.axle.sku);
}

/** Puts the selected axle on the slip, or takes it off. */
export function toggleOnSlip() {
  const { axle } = selected() ?? {};
  if (!axle) return;
  if (!picks.slip.delete(axle.sku)) picks.slip.add(axle.sku);
  announce(`${say(picks.slip.has(axle.sku) ? "on_slip" : "selected")}: ${axle.sku}`);
  showSelected();
}

/** Makes the slip anew: of the axles put on it, or else of the selected one. */
export function refreshSlip() {
  const marked = shown?.candidates.filter(({ axle }) => picks.slip.has(axle.sku)) ?? [];
  const chosen = marked.length ? marked : [selected()].filter(Boolean);
  if (!shown) return;
  makeSlip(shown.answer, shown.fields, chosen, chosen.includes(selected()));
  drawOnSlip();
}

function showSelected() {
  const candidate = selected();
  byId("detail").hidden = candidate === null;
  const button = markSelected(candidate?.axle.sku ?? null);
  if (candidate) {
    byId("detail-content").replaceChildren(...details(candidate));
    byId("on-slip").checked = picks.slip.has(candidate.axle.sku);
  }
  refreshSlip();
  showDrawing(shown.fields, candidate?.axle.sku ?? null);
  return button;
}

function summaryOf({ counts, fits }) {
  const values = { fits: counts.fits, caution: counts.fits_with_caution, check: counts.check_first };
  const [best] = fits;
  if (!best) return say("nothing");
  return `${say("summary", values)} ${say("best", { sku: best.axle.sku, verdict: say(best.verdict) })}`;
}

function question({ field, text }) {
  return element("li", {}, element("button", { type: "button", class: "question", "data-asks": field }, text));
}

function fill(list, items, hides = null) {
  list.replaceChildren(...items);
  if (hides) hides.hidden = items.length === 0;
}
