/** The form's fields as the service's parameters, and back. */

import { readings, withPoint } from "./readings.js";

const MEASURED = ["outside_width_mm", "inside_width_mm", "head_wall_mm", "far_wall_mm", "bore_mm"];
const NUMBERS = ["recess_mm", "hole_offset_mm", "hub_width_mm", "rider_mass_kg", "axle_position"];
const OF_FRAME = ["frame", "axle_position"];
/** Who rides, the wheel, and what the customer would rather have: these go with any frame. */
export const OF_RIDER = ["rider_mass_kg", "child", "hub_width_mm", "prefer_drive", "prefer_colour", "in_stock"];
const OF_KIT = ["wheels", "frames", "brake", "brake_position", "offset_positions", "outside_widths_mm"];

/**
 * The fields of the lookup that have been filled in, by the service's names; `frame` and `axle_position` too. With
 * a known frame its own measures hold, and those in the form are left out.
 * @param {HTMLFormElement} form
 * @returns {URLSearchParams}
 */
export function lookupFields(form) {
  const filled = new URLSearchParams();
  for (const [given, text] of new FormData(form)) {
    const name = given === "bore_measured" ? "bore_mm" : given;
    if (!text.trim()) continue;
    if (given === "bore_measured") filled.delete("bore_mm");
    if (MEASURED.includes(name)) readings(text).forEach((reading) => filled.append(name, reading));
    else filled.set(name, NUMBERS.includes(name) ? withPoint(text) : text.trim());
  }
  const left = filled.has("frame") ? [...OF_FRAME, ...OF_RIDER] : null;
  for (const name of [...filled.keys()]) {
    if (left ? !left.includes(name) : name === "axle_position") filled.delete(name);
  }
  return filled;
}

/**
 * Where to ask for the axles that fit; null while too little is known to ask.
 * @param {URLSearchParams} fields
 */
export function fitsPath(fields) {
  const asked = new URLSearchParams(fields);
  const frame = asked.get("frame");
  asked.delete("frame");
  if (frame) return `/v1/frames/${encodeURIComponent(frame)}/fits?${asked}`;
  const told = ["inside_width_mm", "head_wall_mm", "far_wall_mm"].every((name) => asked.has(name));
  return asked.has("outside_width_mm") || told ? `/v1/fits?${asked}` : null;
}

/**
 * What to ask for the kit of the same frames.
 * @param {URLSearchParams} fields
 * @param {HTMLFormElement} form the kit's own fields
 */
export function kitRequest(fields, form) {
  const own = new FormData(form);
  const request = {};
  for (const name of ["wheels", "frames", "brake", "brake_position"]) {
    if (own.get(name)?.trim()) request[name] = own.get(name).trim();
  }
  request.offset_positions = own.get("offset_positions").split(/[\s,;]+/).filter(Boolean);
  const lookup = {};
  for (const name of new Set(fields.keys())) {
    if (OF_FRAME.includes(name) || name === "position" || name === "brake_thread") continue;
    lookup[name] = MEASURED.includes(name) ? fields.getAll(name) : fields.get(name);
  }
  if (fields.has("frame")) return { ...request, ...lookup, frame: fields.get("frame"), wheels: undefined };
  const widths = readings(own.get("outside_widths_mm"));
  if (widths.length) {
    delete lookup.outside_width_mm;
    request.outside_widths_mm = widths;
  }
  return { ...request, lookup };
}

/** The kit's own fields that have been filled in. @param {HTMLFormElement} form */
export function kitFields(form) {
  return [...new FormData(form)].filter(([, text]) => text.trim());
}

/**
 * Puts fields of an address into the forms.
 * @param {URLSearchParams} given
 * @param {HTMLFormElement} form
 * @param {HTMLFormElement} kitForm
 */
export function fillIn(given, form, kitForm) {
  for (const name of new Set(given.keys())) {
    const texts = given.getAll(name);
    if (OF_KIT.includes(name)) kitForm.elements.namedItem(name).value = texts.join(" ");
    else setField(form, name, texts.join(" "));
  }
}

/**
 * Gives a field a value; a bore that is none of the classes goes where a bore is measured.
 * @param {HTMLFormElement} form
 * @param {string} name
 * @param {string} text
 */
export function setField(form, name, text) {
  const control = form.elements.namedItem(name);
  if (control === null) return;
  if (control instanceof RadioNodeList) {
    const known = [...control].find((choice) => choice.value === text);
    (known ?? [...control].find((choice) => choice.value === "")).checked = true;
    if (!known && name === "bore_mm") form.elements.namedItem("bore_measured").value = text;
  } else if (control.type === "checkbox") {
    control.checked = text === control.value;
  } else {
    control.value = text;
  }
}
