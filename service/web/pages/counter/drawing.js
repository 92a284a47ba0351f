/** The drawing of the selected axle in its frame, made by the service. */

import { Newest } from "./api.js";
import { byId } from "./elements.js";

const requests = new Newest();

/**
 * Shows the drawing of an axle for this lookup; nothing where the service has none.
 * @param {URLSearchParams} fields
 * @param {string|null} sku
 */
export async function showDrawing(fields, sku) {
  const figure = byId("drawing");
  if (sku === null || fields.has("frame")) {
    requests.cancel();
    figure.hidden = true;
    return;
  }
  const asked = new URLSearchParams(fields);
  asked.set("sku", sku);
  let text;
  try {
    text = await requests.ask(`/v1/fits/drawing.svg?${asked}`, { read: "text" });
  } catch {
    figure.hidden = true; // the lookup itself stands: what is refused here was told there
    return;
  }
  if (text === undefined) return;
  const drawn = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  figure.hidden = drawn.localName !== "svg";
  if (!figure.hidden) [byId("drawing-sheet"), byId("slip-drawing")].forEach((place) => place && put(place, drawn));
}

/**
 * Puts a drawing into a place of its own: its style reaches nothing else, and the page's policy lets it apply.
 * @param {HTMLElement} place
 * @param {SVGElement} drawn
 */
function put(place, drawn) {
  const root = place.shadowRoot ?? place.attachShadow({ mode: "open" });
  const copy = document.importNode(drawn, true);
  const styles = [...copy.querySelectorAll("style")];
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(`svg{display:block;max-width:100%;height:auto}${styles.map((style) => style.textContent).join("")}`);
  styles.forEach((style) => style.remove());
  copy.querySelectorAll("script").forEach((script) => script.remove());
  root.adoptedStyleSheets = [sheet];
  root.replaceChildren(copy);
}
