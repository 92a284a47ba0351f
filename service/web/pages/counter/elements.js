/** Elements made without markup in strings, so that nothing from an answer is ever read as markup. */

const SVG = "http://www.w3.org/2000/svg";

/**
 * An element; children that are null are left out.
 * @param {string} tag
 * @param {Object<string, string|boolean|null>} attributes `true` stands for an attribute without a value
 * @param {...(Node|string|null)} children
 */
export function element(tag, attributes, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value !== null && value !== false) made.setAttribute(name, value === true ? "" : value);
  }
  made.append(...children.filter((child) => child !== null));
  return made;
}

/** The element of this id. @param {string} id */
export function byId(id) {
  return document.getElementById(id);
}

const SHAPES = { pass: "fits", caution: "fits_with_caution", unknown: "check_first", fail: "no_fit" };

/**
 * The shape of a verdict or of a reason's outcome; the word stands beside it.
 * @param {string} code
 */
export function mark(code) {
  const shape = SHAPES[code] ?? code;
  const drawn = document.createElementNS(SVG, "svg");
  const use = document.createElementNS(SVG, "use");
  drawn.setAttribute("class", `mark ${shape}`);
  drawn.setAttribute("viewBox", "0 0 24 24");
  drawn.setAttribute("aria-hidden", "true");
  use.setAttribute("href", `#mark-${shape}`);
  drawn.append(use);
  return drawn;
}

/**
 * Shows an element with this text, or hides it where there is none.
 * @param {HTMLElement} shown
 * @param {string} text
 */
export function tell(shown, text) {
  if (shown.textContent !== text) shown.textContent = text;
  shown.hidden = !text;
}
