/** Lengths as a clerk types them, and as the service takes them. */

const READING = /\d+ \d+\/\d+ ?in|\d+\/\d+ ?in|\d+(?:[.,]\d*)? ?(?:mm|in)|\S+/g;
const UNFINISHED = /(?:\/\d*|\d ?[mi])$/;
const BARCODE = /^\d{4,}$/;

/**
 * A number with a decimal comma, or with a point that nothing follows yet, as the service takes it.
 * @param {string} written
 */
export function withPoint(written) {
  return written.trim().replace(/^(\d+)[.,](\d*)(?= ?(?:mm|in)?$)/, (_, whole, part) => whole + (part && `.${part}`));
}

/**
 * The readings in a text, with spaces between them.
 * @param {string} text
 * @returns {string[]}
 */
export function readings(text) {
  return (text.match(READING) ?? []).map(withPoint);
}

/** Whether a fraction or a unit has been begun: nothing to ask about yet. @param {string} text */
export function unfinished(text) {
  return UNFINISHED.test(text.trimEnd());
}

/** Whether this is a barcode, or on the way to become one: no width has four digits. @param {string} text */
export function likeBarcode(text) {
  return BARCODE.test(text.trim());
}

/**
 * Takes the last reading off a text.
 * @param {string} text
 * @returns {[string, string]} what is left, and the reading; the latter is empty if there is none
 */
export function withoutLast(text) {
  const last = (text.match(READING) ?? []).at(-1) ?? "";
  return /^\d/.test(last) ? [text.slice(0, text.lastIndexOf(last)).trimEnd(), last] : [text, ""];
}
