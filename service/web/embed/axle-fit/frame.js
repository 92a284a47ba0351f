/** What is asked about the frame: its fields, and what was written into them as a request. */

const LENGTH = /^(?:\d{1,15}(?:\.\d{1,15})? ?(?:mm|in)?|(?:\d{1,4} )?\d{1,4}\/[1-9]\d{0,3} ?in)$/;

/**
 * The fields by their names in the lookup. The first three are always there, the others once they are asked for.
 * @returns {Array<{name: string, kind: "length" | "choice" | "text", label: string, choices?: Record<string, string>}>}
 */
export function fieldsOf({ filters, fastenings, features }) {
  return [
    { name: "outside_width_mm", kind: "length", label: filters.outside_width, hint: filters.outside_width_hint, base: true },
    { name: "fastening", kind: "choice", label: features.fastening, choices: Object.entries(fastenings), base: true },
    { name: "bore_mm", kind: "choice", label: filters.bore, choices: ["8", "6.3", "6"].map((size) => [size, `${size} mm`]), base: true },
    { name: "holes", kind: "choice", label: filters.holes, choices: ["round", "oval"].map((shape) => [shape, filters[shape]]) },
    { name: "hole_offset_mm", kind: "length", label: filters.hole_offset },
    { name: "thread", kind: "text", label: features.thread },
    { name: "far_wall_mm", kind: "length", label: filters.far_wall },
    { name: "keys_needed", kind: "choice", label: filters.keys_needed, choices: [["1", filters.one_key], ["2", filters.two_keys]] },
    { name: "keyed_profile", kind: "text", label: features.keyed_profile },
  ];
}

/** A length as the service takes it, or null: a decimal comma is one here, and the unit chosen is added. */
export function lengthOf(written, unit) {
  const plain = written.trim().replace(/\s+/g, " ").replace(/^(\d+),(\d+)/, "$1.$2");
  const length = unit === "in" && !/[a-z]/.test(plain) ? `${plain}in` : plain;
  return LENGTH.test(length) ? length : null;
}

/**
 * What was written as the fields of a lookup, and the names of the fields that hold no such value.
 * @param {Record<string, string>} values what was written, by field, and the unit of lengths
 */
export function requestOf(values, fields) {
  const request = {};
  const faults = [];
  for (const { name, kind } of fields) {
    const written = values[name]?.trim();
    // An offset means nothing without oval holes; it stays written for when they are oval again.
    if (!written || (name === "hole_offset_mm" && values.holes !== "oval")) continue;
    const value = kind === "length" ? lengthOf(written, values.unit) : written;
    if (value === null) faults.push(name);
    else request[name] = value;
  }
  return { request, faults };
}
