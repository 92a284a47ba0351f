/** The drawing of the selected axle in its frame, made by the service. */

import { Newest } from "./api.js";
import { byId } from "./elements.js";
import { measuresOf } from "./frames.js";

const requests = new Newest();
/** On the page a drawing has the page's paper and ink; by itself it has its own. */
const ON_THE_SHEET = `svg{display:block;max-width:100%;height:auto}
.axd{--axd-ink:var(--ink)!important;--axd-sheet:var(--paper)!important;color:var(--ink)!important}
.axd .axd-paper{fill:var(--paper)!important}.axd .axd-text{stroke:var(--paper)!important}`;
/** The drawing of the selected axle; null until it is there. */
let drawn = null;

/**
 * Shows the drawing of an axle for this lookup; nothing where the service has none.
 * @param {URLSearchParams} fields
 * @param {string|null} sku
 */
export async function showDrawing(fields, sku) {
  const figure = byId("drawing");
  drawn = null;
  if (sku === null) {
    requests.cancel();
    figure.hidden = true;
    return;
  }
  let text;
  try {
    text = await drawingOf(fields, sku);
  } catch {
    figure.hidden = true; // the lookup itself stands: what is refused here was told there
    return;
  }
  if (text === undefined) return;
  // Under another name the policy has nothing to refuse when the text is read; `put` makes a style sheet of it.
  const plain = text.replace(/(<\/?)style\b/g, "$1look");
  drawn = new DOMParser().parseFromString(plain, "image/svg+xml").documentElement;
  figure.hidden = false;
  put(byId("drawing-sheet"));
  drawOnSlip();
}

/** Puts the drawing on the slip as well, if it is there and the slip has a place for it. */
export function drawOnSlip() {
  const place = byId("slip-drawing");
  if (place && drawn) put(place);
}

async function drawingOf(fields, sku) {
  const asked = fields.has("frame") ? await measuresOf(fields) : fields;
  if (!asked) return undefined;
  return requests.ask(`/v1/fits/drawing.svg?${new URLSearchParams([...asked, ["sku", sku]])}`, { read: "text" });
}

/**
 * Puts a drawing into a place of its own: its style reaches nothing else, and the page's policy lets it apply.
 * @param {HTMLElement} place
 */
function put(place) {
  const root = place.shadowRoot ?? place.attachShadow({ mode: "open" });
  const copy = document.importNode(drawn, true);
  const looks = [...copy.querySelectorAll("look")];
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(looks.map((look) => look.textContent).join("\n") + ON_THE_SHEET);
  looks.forEach((look) => look.remove());
  root.adoptedStyleSheets = [sheet];
  root.replaceChildren(copy);
}
