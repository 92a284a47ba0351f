/** The letters that work as keys, in the first field alone; M, I and N are left for the units mm and in. */

import { withoutLast } from "./readings.js";
import { say } from "./words.js";

/** What each key does: chooses a value of a field, fills or goes to a field, or does something. */
export const KEYS = {
  t: { choose: ["fastening", "threaded_wall"], label: ["fastening", "threaded_wall"] },
  p: { choose: ["fastening", "two_piece"], label: ["fastening", "two_piece"] },
  b: { choose: ["fastening", "bolt_and_nut"], label: ["fastening", "bolt_and_nut"] },
  a: { choose: ["bore_mm", "8"], label: ["bore"], value: "8" },
  s: { choose: ["bore_mm", "6.3"], label: ["bore"], value: "6.3" },
  d: { choose: ["bore_mm", "6"], label: ["bore"], value: "6" },
  r: { choose: ["holes", "round"], label: ["holes", "round"] },
  o: { choose: ["holes", "oval"], label: ["holes", "oval"] },
  k: { choose: ["keys_needed", "1"], label: ["keys_needed", "one_key"] },
  l: { choose: ["keys_needed", "2"], label: ["keys_needed", "two_keys"] },
  f: { field: "far_wall_mm", label: ["far_wall"] },
  h: { field: "head_wall_mm", label: ["head_wall"] },
  g: { field: "inside_width_mm", label: ["inside_width"] },
  c: { field: "recess_mm", label: ["recess"] },
  v: { field: "hole_offset_mm", label: ["hole_offset"] },
  e: { field: "rider_mass_kg", label: ["rider_mass"] },
  x: { goTo: "thread", label: ["thread"] },
  y: { goTo: "keyed_profile", label: ["keyed_profile"] },
  j: { goTo: "frame", label: ["known_frame"] },
  u: { act: "unfold", label: ["more_measurements"] },
  q: { act: "ask", label: ["ask_next"] },
  w: { act: "kit", label: ["kit"] },
  "+": { act: "slip", label: ["on_slip"] },
  z: { act: "print", label: ["print_slip"] },
  "?": { act: "keys", label: ["keys"] },
};

/** What a key stands for, in words. @param {string} key */
export function keyLabel(key) {
  const { label, value } = KEYS[key];
  return [...label.map((code) => say(code)), value].filter(Boolean).join(": ");
}

/**
 * Takes the keys out of what was typed, pasted or said.
 * @param {string} text
 * @returns {{rest: string, strokes: {key: string, reading: string}[]}} what stays in the field, and the keys in
 *   order, each of a measure with the number that stood before it
 */
export function takeKeys(text) {
  const strokes = [];
  let rest = "";
  for (const character of text) {
    const key = character.toLowerCase();
    if (!Object.hasOwn(KEYS, key)) {
      rest += character;
      continue;
    }
    let reading = "";
    if (KEYS[key].field) [rest, reading] = withoutLast(rest);
    strokes.push({ key, reading });
    rest = rest.trim() && `${rest.trim()} `; // a number typed after a key is not the end of the one before it
  }
  return { rest, strokes };
}
