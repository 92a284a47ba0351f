/** A scanned barcode: the part, what can stand in for it, and the lookup of its widths. */

import { Newest } from "./api.js";
import { priceOf, stockOf } from "./candidates.js";
import { byId, element, mark } from "./elements.js";
import { say } from "./words.js";

const parts = new Newest();
const others = new Newest();
const frames = new Newest();

/** The axle with this barcode; null if there is none, undefined if another was scanned meanwhile. @param {string} gtin */
export async function axleWith(gtin) {
  const found = await parts.ask(`/v1/axles?gtin=${encodeURIComponent(gtin)}`);
  return found && (found.items[0] ?? null);
}

/**
 * The fields of a lookup for the frames that an axle is made for. Its ideal width is that on a known frame, or
 * else the length of an axle that screws into the wall; nobody has measured it, so it counts as read with a ruler.
 * @param {object} axle
 * @returns {Promise<URLSearchParams|undefined>}
 */
export async function lookupOf(axle) {
  const known = await frames.ask(`/v1/axles/${encodeURIComponent(axle.sku)}/frames?limit=1`);
  if (!known) return undefined;
  const ideal = known.items[0]?.positions[0].ideal_width_mm;
  const width = ideal ?? (axle.fastening === "threaded_wall" ? axle.length_mm : null) ?? middleOf(axle);
  const fields = {
    fastening: axle.fastening,
    outside_width_mm: width,
    instrument: "ruler",
    bore_mm: axle.shaft_mm,
    thread: axle.fastening === "threaded_wall" ? axle.thread : null,
    keyed_profile: axle.keyed_profile,
    holes: axle.offset_mm ? "oval" : "round",
    hole_offset_mm: axle.offset_mm || null,
    position: axle.brake_thread ? "brake" : null,
    brake_thread: axle.brake_thread,
  };
  return new URLSearchParams(Object.entries(fields).filter(([, value]) => value !== null));
}

function middleOf({ grip_min_mm: least, grip_max_mm: most }) {
  return least === null || most === null ? null : (least + most) / 2;
}

/** Shows the scanned axle with what can stand in for it. @param {object} axle */
export async function showScanned(axle) {
  const list = element("ul", { class: "equivalents" });
  byId("scanned").replaceChildren(
    element("h3", {}, say("scanned")),
    partLine(axle),
    element("h3", {}, say("equivalents")),
    list,
  );
  byId("scanned").hidden = false;
  const found = await others.ask(`/v1/axles/${encodeURIComponent(axle.sku)}/equivalents?limit=3`);
  if (!found) return;
  const items = found.items.map((item) =>
    element(
      "li",
      {},
      mark(item.verdict),
      element("span", {}, element("strong", {}, say(item.verdict)), " ", partLine(item.axle, "span"), " ",
        element("span", { class: "differs" }, item.differs.map((difference) => difference.text).join(" "))),
    ),
  );
  list.replaceChildren(...(items.length ? items : [element("li", {}, found.note ?? say("no_equivalent"))]));
}

function partLine(axle, tag = "p") {
  const sku = element("span", { class: "figure" }, axle.sku);
  return element(tag, {}, sku, ` ${axle.name} · `, element("span", { class: "figure" }, priceOf(axle)), ` · ${stockOf(axle)}`);
}

/** Nothing is scanned any more. */
export function forgetScanned() {
  [parts, others, frames].forEach((requests) => requests.cancel());
  byId("scanned").hidden = true;
  byId("scanned").replaceChildren();
}
