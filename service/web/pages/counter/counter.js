/** The counter page: what a clerk types becomes a lookup, and its answer is shown while typing. */

import { changeLanguage, remember, remembered, rememberNow } from "./address.js";
import { connection, Newest, Problem } from "./api.js";
import { byId, element, tell } from "./elements.js";
import { clearFaults, tellAt, tellFaults } from "./faults.js";
import { fillIn, fitsPath, kitFields, lookupFields, setField } from "./fields.js";
import { offerFrames } from "./frames.js";
import { keyLabel, KEYS, takeKeys } from "./keys.js";
import { showKit } from "./kit.js";
import { likeBarcode, unfinished } from "./readings.js";
import * as results from "./results.js";
import { axleWith, forgetScanned, lookupOf, showScanned } from "./scan.js";
import { say } from "./words.js";

const form = byId("lookup");
const kitForm = byId("kit-fields");
const command = byId("command");
const lookups = new Newest();
const pages = new Newest();
let gtin = "";
let asked = null;

/** Asks for what the form holds, and shows the answer. */
async function ask() {
  pages.cancel();
  const fields = lookupFields(form);
  const path = fitsPath(fields);
  const frame = fields.has("frame");
  form.classList.toggle("by-frame", frame);
  byId("frame-holds").hidden = !frame;
  remember(state);
  if (path !== null && path === asked) return;
  asked = path;
  if (path === null) {
    lookups.cancel();
    clearFaults();
    results.showNothing(say("start"));
    await refreshKit(fields, false);
    return;
  }
  try {
    const answer = await lookups.ask(path);
    if (!answer) return;
    clearFaults();
    results.showAnswer(answer, fields);
  } catch (error) {
    refuse(error);
    return;
  }
  await refreshKit(fields, true);
}

async function refreshKit(fields, known) {
  await showKit(fields, known);
  results.refreshSlip();
}

function refuse(error) {
  asked = null;
  if (!(error instanceof Problem)) throw error;
  clearFaults();
  results.showNothing("");
  tellFaults(error, byId("refusal"));
}

/** The state of the page as parameters of its address. */
function state() {
  const { sku, slip } = results.picked();
  const kit = byId("kit").open ? [["kit", "1"], ...kitFields(kitForm)] : [];
  return [["gtin", gtin], ...lookupFields(form), ["sku", sku], ["slip", slip.join(",")], ...kit];
}

/** A barcode was scanned: shows its axle, and looks up the widths that it serves. */
async function scan(scanned) {
  lookups.cancel();
  clearFaults();
  try {
    const axle = await axleWith(scanned);
    if (axle === undefined) return;
    if (axle === null) {
      tellAt("gtin", say("no_such_barcode", { gtin: scanned }));
      command.select();
      return;
    }
    clearAll();
    gtin = scanned;
    const [fields] = await Promise.all([lookupOf(axle), showScanned(axle)]);
    if (!fields || gtin !== scanned) return;
    fillIn(fields, form, kitForm);
    results.pick(axle.sku, []);
    command.select();
    await ask();
  } catch (error) {
    refuse(error);
  }
}

function clearAll() {
  form.reset();
  kitForm.reset();
  gtin = "";
  results.pick("", []);
  forgetScanned();
}

/** What each key does that neither fills nor chooses a field. */
const ACTS = {
  unfold: () => byId("more-measurements").toggleAttribute("open"),
  ask: () => document.querySelector(".question")?.click(),
  kit: () => byId("kit").toggleAttribute("open"),
  slip: () => results.toggleOnSlip(),
  print: () => {
    results.refreshSlip();
    rememberNow();
    window.print();
  },
  keys: () => byId("key-card").showModal(),
};

function stroke({ key, reading }) {
  const { choose, field, goTo, act } = KEYS[key];
  if (act) ACTS[act]();
  else if (choose) toggle(...choose, key);
  else if (reading) addReading(field, reading, key);
  else focusField(field ?? goTo);
}

function toggle(name, value, key) {
  leaveFrame();
  const again = form.elements.namedItem(name).value === value;
  setField(form, name, again ? "" : value);
  if (name === "bore_mm") setField(form, "bore_measured", "");
  results.announce(again ? `${keyLabel(key)}: ${say("not_known")}` : keyLabel(key));
}

function addReading(name, reading, key) {
  leaveFrame();
  const control = byId(name);
  control.value = name === "recess_mm" || name === "rider_mass_kg" ? reading : `${control.value} ${reading}`.trim();
  control.closest("details")?.setAttribute("open", "");
  results.announce(`${keyLabel(key)}: ${control.value}`);
}

/** What is measured takes the place of a known frame. */
function leaveFrame() {
  setField(form, "frame", "");
  setField(form, "axle_position", "");
}

/** Puts the cursor into a field, wherever it is folded away. @param {string} name */
function focusField(name) {
  const control = document.querySelector(`[data-field="${name}"] :is(input, select)`);
  if (!control) return;
  control.closest("details")?.setAttribute("open", "");
  control.focus();
}

function commandTyped() {
  const { rest, strokes } = takeKeys(command.value);
  if (strokes.length) command.value = rest;
  strokes.forEach(stroke);
  if (rest.trim()) leaveFrame();
  if (!likeBarcode(rest) && !unfinished(rest)) ask();
}

function commandKey(event) {
  const acts = {
    ArrowDown: () => results.move(1),
    ArrowUp: () => results.move(-1),
    Enter: () => commandEntered(),
    Escape: () => {
      clearAll();
      results.announce(say("cleared"));
      ask();
    },
  };
  if (event.isComposing || !acts[event.key]) return;
  event.preventDefault();
  acts[event.key]();
  if (event.key.startsWith("Arrow")) remember(state);
}

function commandEntered() {
  if (likeBarcode(command.value)) scan(command.value.trim());
  else if (unfinished(command.value)) ask();
  else if (results.selected()) byId("detail").focus();
}

/** Whether what is being typed may be asked about already; what is not waits until the field is left. */
function isWhole({ value, list, dataset }) {
  if (!value) return true;
  if (list) return [...list.options].some((option) => option.value === value);
  return !dataset.whole || new RegExp(`^(?:${dataset.whole})$`).test(value);
}

function listenToForms() {
  form.addEventListener("input", ({ target }) => {
    if (target === command) commandTyped();
    else if (isWhole(target)) ask();
  });
  form.addEventListener("change", ({ target }) => {
    if (!isWhole(target)) ask();
  });
  byId("frame").addEventListener("focus", offerFrames, { once: true });
  form.addEventListener("keydown", (event) => {
    if (event.target === command) commandKey(event);
    else if (event.key === "Enter" && event.target.matches("input")) {
      event.preventDefault();
      command.focus();
    }
  });
  for (const sent of [form, kitForm]) sent.addEventListener("submit", (event) => event.preventDefault());
  kitForm.addEventListener("input", () => {
    remember(state);
    const fields = lookupFields(form);
    refreshKit(fields, fitsPath(fields) !== null);
  });
  byId("kit").addEventListener("toggle", () => kitForm.dispatchEvent(new Event("input")));
  byId("clear").addEventListener("click", () => {
    clearAll();
    command.focus();
    ask();
  });
}

function listenToResults() {
  document.addEventListener("click", ({ target }) => {
    const candidate = target.closest(".candidate");
    const asks = target.closest(".question")?.dataset.asks;
    if (asks) focusField(asks);
    if (!candidate) return;
    results.select(candidate.dataset.sku);
    remember(state);
    if (window.matchMedia("(max-width: 60rem)").matches) byId("detail").focus();
  });
  byId("more").addEventListener("click", async () => {
    const page = await pages.ask(results.nextPage());
    if (page) results.showMore(page);
  });
  byId("on-slip").addEventListener("change", () => {
    results.toggleOnSlip();
    remember(state);
  });
  byId("print").addEventListener("click", ACTS.print);
  byId("back").addEventListener("click", () => document.querySelector(".candidate[aria-current]")?.focus());
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && event.target !== command && !byId("key-card").open) command.focus();
  });
}

function listenToTheRest() {
  byId("lang").addEventListener("change", ({ target }) => changeLanguage(target.value));
  byId("show-keys").addEventListener("click", ACTS.keys);
  connection.addEventListener("lost", () => {
    byId("connection").textContent = "×";
    document.body.classList.add("away");
    tell(byId("banner"), say("away"));
  });
  connection.addEventListener("reached", ({ detail: headers }) => {
    const seconds = headers.get("Catalogue-Age");
    byId("connection").textContent = say("connected");
    document.body.classList.remove("away");
    tell(byId("banner"), seconds === null ? "" : say("catalogue_old", { seconds }));
  });
  window.addEventListener("pagehide", rememberNow);
  window.addEventListener("beforeprint", rememberNow);
}

function describeKeys() {
  const caps = Object.keys(KEYS).map((key) => [key.toUpperCase(), keyLabel(key)]);
  caps.push(["↓ ↑", say("key_move")], ["Enter", say("key_details")], ["Esc", say("clear")], ["Esc", say("key_back")]);
  byId("key-list").append(
    ...caps.map(([cap, text]) => element("div", {}, element("dt", {}, element("kbd", {}, cap)), element("dd", {}, text))),
  );
}

/** Begins with what the address holds. */
async function begin() {
  const { fields, sku, slip, kit, ...own } = remembered();
  fillIn(fields, form, kitForm);
  results.pick(sku, slip);
  gtin = own.gtin;
  byId("kit").open = Boolean(kit);
  listenToForms();
  listenToResults();
  listenToTheRest();
  describeKeys();
  commandTyped(); // a clerk may have begun before the page was ready
  if (!gtin) return;
  const axle = await axleWith(gtin);
  if (axle) await showScanned(axle);
}

begin();
