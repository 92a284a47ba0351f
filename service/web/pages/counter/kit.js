/** The axles for a pair of skates, for the present lookup. */

import { Newest, Problem } from "./api.js";
import { byId, element, tell } from "./elements.js";
import { tellFaults } from "./faults.js";
import { kitRequest } from "./fields.js";
import { driveName, say } from "./words.js";

const requests = new Newest();

/**
 * Shows the kit for these fields; nothing while it is folded or while too little is known.
 * @param {URLSearchParams} fields
 * @param {boolean} known whether a lookup can be asked for at all
 */
export async function showKit(fields, known) {
  const form = byId("kit-fields");
  form.elements.namedItem("wheels").disabled = fields.has("frame");
  const place = byId("kit-content");
  if (!byId("kit").open || !(known || form.elements.namedItem("outside_widths_mm").value.trim())) {
    requests.cancel();
    place.replaceChildren();
    return;
  }
  try {
    const kit = await requests.ask("/v1/kits", { body: kitRequest(fields, form) });
    if (!kit) return;
    tell(byId("kit-refusal"), "");
    place.replaceChildren(...kitParts(kit));
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    place.replaceChildren();
    tellFaults(error, byId("kit-refusal"));
  }
}

/** A kit as a table of lines, with what stays empty and its cautions. @param {object} kit @returns {Node[]} */
function kitParts(kit) {
  const empty = kit.positions.filter((position) => position.sku === null);
  const reasons = empty.map(({ position, side, why_empty: why }) =>
    say("empty_position", { position, side: side ? say(side) : "", why: why.text }),
  );
  const cautions = kit.cautions.map((caution) => caution.text);
  return [
    reasons.length ? listOf(reasons) : null,
    element("div", { class: "wide", tabindex: "0", role: "group", "aria-label": say("kit") }, tableOf(kit)),
    cautions.length ? element("details", {}, element("summary", {}, say("cautions")), listOf(cautions)) : null,
  ].filter(Boolean);
}

function tableOf({ lines, total }) {
  const heads = ["part", "packs", "pieces", "left_over", "price"];
  const rows = lines.map((line) =>
    rowOf([line.sku ?? `${say("tool")}: ${driveName(line.drive)}`, line.packs, line.pieces, line.left_over, line.line_price], "td"),
  );
  const sum = total
    ? element("tfoot", {}, element("tr", {}, element("th", { scope: "row", colspan: "4" }, say("total")),
        element("td", { class: "figure" }, `${total.amount} ${total.currency}`)))
    : null;
  return element("table", {}, element("thead", {}, rowOf(heads.map((code) => say(code)), "th")), element("tbody", {}, ...rows), sum);
}

function rowOf(cells, tag) {
  const attributes = tag === "th" ? { scope: "col" } : { class: "figure" };
  return element("tr", {}, ...cells.map((cell) => element(tag, attributes, cell === null ? "–" : String(cell))));
}

function listOf(texts) {
  return element("ul", {}, ...texts.map((text) => element("li", {}, text)));
}
