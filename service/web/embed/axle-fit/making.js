/** Elements made of attributes and text alone: what comes as data is never read as markup. */

const SVG = "http://www.w3.org/2000/svg";

/** The shapes of the verdicts: told apart without colour, in print too. */
const SHAPES = {
  fits: "M12 2a10 10 0 1 0 0 20 10 10 0 0 0 0-20zM7 12.5l3.5 3.5L17 8.5",
  fits_with_caution: "M12 2.5 22.5 21h-21zM12 9v6M12 17.5v1",
  check_first: "M3 3h18v18H3zM9 9.5a3 3 0 1 1 4.5 2.6c-1 .6-1.5 1-1.5 2.2M12 16.8v1",
};

/**
 * An element with attributes, listeners (given as functions) and children (elements or text).
 * @param {string} tag
 * @param {Record<string, unknown>} given
 * @param {...(Node | string | null)} children
 */
export function make(tag, given = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(given)) {
    if (typeof value === "function") made.addEventListener(name, value);
    else if (value !== null && value !== undefined && value !== false) made.setAttribute(name, value === true ? "" : value);
  }
  made.append(...children.filter((child) => child !== null));
  return made;
}

/** The shape of a verdict; the word stands beside it. */
export function sign(verdict) {
  const drawing = document.createElementNS(SVG, "svg");
  for (const [name, value] of [["viewBox", "0 0 24 24"], ["aria-hidden", "true"], ["class", "sign"]]) drawing.setAttribute(name, value);
  const shape = document.createElementNS(SVG, "path");
  shape.setAttribute("d", SHAPES[verdict] ?? "");
  drawing.append(shape);
  return drawing;
}
