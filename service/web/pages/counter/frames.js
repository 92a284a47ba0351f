/** The known frames: offered by their codes, and their measures as the fields of a lookup. */

import { Newest } from "./api.js";
import { byId, element } from "./elements.js";
import { OF_RIDER } from "./fields.js";

const lists = new Newest();
const records = new Newest();
const SAME_IN_BOTH = [
  "fastening", "bore_mm", "inside_width_mm", "head_wall_mm", "far_wall_mm", "wall_material", "thread", "recess_mm", "holes",
  "hole_offset_mm", "keyed_profile",
];

/** Offers the known frames, once somebody wants one. */
export async function offerFrames() {
  for (let path = "/v1/frames?limit=100"; path; ) {
    const page = await lists.ask(path);
    if (!page) return;
    byId("known-frames").append(...page.items.map(({ code, name }) => element("option", { value: code }, name)));
    path = page.links?.next ?? null;
  }
}

/**
 * The lookup for a known frame, field by field, as the service makes it: for the drawing, which takes measures.
 * @param {URLSearchParams} fields with `frame`, perhaps with `axle_position`
 * @returns {Promise<URLSearchParams|undefined>}
 */
export async function measuresOf(fields) {
  const frame = await records.ask(`/v1/frames/${encodeURIComponent(fields.get("frame"))}`);
  if (!frame) return undefined;
  const position = Number(fields.get("axle_position") ?? 1);
  const widths = frame.outside_widths_mm ?? [];
  const tapers = new Set(widths).size > 1;
  const carriesBrake = fields.has("axle_position") && frame.brake_position === position;
  const measures = {
    ...Object.fromEntries(SAME_IN_BOTH.map((name) => [name, frame[name]])),
    ...(tapers ? { inside_width_mm: null } : {}),
    ...Object.fromEntries(OF_RIDER.map((name) => [name, fields.get(name)])),
    outside_width_mm: widths[position - 1],
    instrument: "declared",
    position: carriesBrake ? "brake" : null,
    brake_thread: carriesBrake ? frame.brake_thread : null,
  };
  return new URLSearchParams(Object.entries(measures).filter(([, value]) => value !== null && value !== undefined));
}
