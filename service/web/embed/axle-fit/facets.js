/** The filters: how many of the axles that fit have which drive, colour and so on. */
import { make } from "./making.js";
import { valueName } from "./wording.js";

const FACETS = ["drive", "colour", "driven_heads", "pack_quantity", "in_stock"];
const WIDE_PX = 640;

/** The values chosen of each facet, told each time that they change. */
export class FacetPanel {
  #words;
  #chosen;
  #changed;
  #groups = new Map();

  /** @param {{words: object, chosen: Record<string, string[]>, changed: () => void}} given */
  constructor({ words, chosen, changed }) {
    this.#words = words;
    this.#chosen = chosen;
    this.#changed = changed;
    this.node = make("details", { part: "facets", hidden: true }, make("summary", {}, words.filters.narrow));
    for (const facet of FACETS) {
      const label = facet === "in_stock" ? words.filters.stock : words.features[facet];
      const group = make("fieldset", { class: "field", part: "facet", hidden: true }, make("legend", {}, label));
      this.#groups.set(facet, { group, options: new Map() });
      this.node.append(group);
    }
  }

  /** Show the counts. An option keeps its place as long as it is there, so that none moves under the hand. */
  show(facets) {
    if (this.node.hidden) this.node.open = this.node.getRootNode().host.clientWidth >= WIDE_PX;
    this.node.hidden = false;
    for (const [facet, { group, options }] of this.#groups) {
      const known = facets[facet].filter(({ value }) => value !== null);
      const values = new Set(known.map(({ value }) => String(value)));
      for (const [value, { node }] of options) {
        if (values.has(value)) continue;
        node.remove();
        options.delete(value);
      }
      for (const { value, count } of known) this.#option(facet, value).textContent = count;
      group.hidden = known.length === 0;
    }
  }

  /** Where the count of a value stands; the value's option is made if there is none. */
  #option(facet, value) {
    const { group, options } = this.#groups.get(facet);
    const key = String(value);
    if (!options.has(key)) {
      const count = make("span", { class: "count" });
      const box = make("input", { type: "checkbox", checked: this.#chosen[facet]?.includes(key), change: () => this.#choose(facet, key, box.checked) });
      const node = make("label", { class: "option" }, box, make("span", {}, valueName(this.#words, facet, value)), count);
      group.append(node);
      options.set(key, { node, count });
    }
    return options.get(key).count;
  }

  #choose(facet, value, on) {
    const others = (this.#chosen[facet] ?? []).filter((other) => other !== value);
    const chosen = on ? [...others, value] : others;
    if (chosen.length) this.#chosen[facet] = chosen;
    else delete this.#chosen[facet];
    this.#changed();
  }
}
