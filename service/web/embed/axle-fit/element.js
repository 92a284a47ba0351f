/** The element: what is written becomes a lookup, its answer a list, and a choice an event. */
import { asker, lookUp, queryOf, Refusal } from "./asking.js";
import { FacetPanel } from "./facets.js";
import { FrameForm } from "./form.js";
import { fieldsOf, requestOf } from "./frame.js";
import { look } from "./look.js";
import { make } from "./making.js";
import { axleItem, cautionList, nearMisses, relaxations } from "./results.js";
import { languageOf, say, wordsOf } from "./wording.js";

const PAUSE_MS = 150;
const PAGE = 10;
const PRESETS = { "outside-width": "outside_width_mm", fastening: "fastening", bore: "bore_mm" };

/**
 * Attributes: `api` (the service's address; that of this script if left out), `lang` (that of the page if left
 * out), `drawing` (offers a drawing of each axle), `outside-width`, `fastening`, `bore` (what the page knows already).
 *
 * Events, which bubble and leave the shadow tree: `axle-results` with `{request, count, counts, fits}` for each new
 * list; `axle-chosen` with `{sku, verdict, fit_probability, request, axle}`. `request` has the lookup's fields.
 */
export class AxleFitFilter extends HTMLElement {
  static observedAttributes = ["api", "lang", "drawing"];

  #shadow = this.attachShadow({ mode: "open" });
  #values = { unit: "mm" };
  #filters = {};
  #most = PAGE;
  #waiting = new AbortController();
  #pause = 0;
  #language;
  #words;
  #fields;
  #form;
  #facets;
  #status;
  #list;
  #rest;

  connectedCallback() {
    this.#shadow.adoptedStyleSheets = [look];
    for (const [attribute, field] of Object.entries(PRESETS)) this.#values[field] ??= this.getAttribute(attribute) ?? "";
    this.#build();
  }

  disconnectedCallback() {
    clearTimeout(this.#pause);
    this.#waiting.abort();
  }

  attributeChangedCallback(_name, before, after) {
    if (this.isConnected && this.#form && before !== after) this.#build();
  }

  /** The address of the service, without what is before its paths. */
  get api() {
    return this.getAttribute("api") || new URL("../../../", import.meta.url).href;
  }

  #build() {
    this.#language = languageOf(this);
    this.#words = wordsOf(this.#language);
    this.#fields = fieldsOf(this.#words);
    const words = this.#words;
    const changed = () => this.#changed();
    this.#form = new FrameForm({ words, fields: this.#fields, values: this.#values, changed });
    this.#facets = new FacetPanel({ words, chosen: this.#filters, changed });
    this.#status = make("div", { part: "status", role: "status" });
    this.#list = make("ol", { part: "axles", role: "list" });
    this.#rest = make("div", { class: "rest" });
    this.#shadow.replaceChildren(
      make(
        "section",
        { part: "filter", lang: this.#language, "aria-labelledby": "heading" },
        make("h2", { id: "heading", part: "heading" }, words.filters.heading),
        make(
          "div",
          { class: "columns" },
          make("div", { class: "asked" }, this.#form.node, this.#facets.node),
          make("div", { class: "found" }, this.#status, this.#list, this.#rest),
        ),
      ),
    );
    this.#ask();
  }

  #changed() {
    this.#most = PAGE;
    clearTimeout(this.#pause);
    this.#pause = setTimeout(() => this.#ask(), PAUSE_MS);
  }

  /** Ask for what is written now; whatever was asked before is not waited for any more. */
  async #ask() {
    clearTimeout(this.#pause);
    this.#waiting.abort();
    const { signal } = (this.#waiting = new AbortController());
    const { request, faults } = requestOf(this.#values, this.#fields);
    this.#form.showFaults(faults);
    if (faults.length) return this.#clear();
    if (!request.outside_width_mm) return this.#clear(this.#words.filters.start);
    this.#list.setAttribute("aria-busy", "true");
    try {
      const ask = asker(this.api, this.#language, signal);
      const found = await lookUp(ask, request, { ...this.#filters }, this.#most);
      if (!signal.aborted) this.#show(found, request);
    } catch (error) {
      if (!signal.aborted) this.#fail(error);
    }
  }

  #show({ fits, facets, ask_next, near_misses, cautions, counts }, request) {
    const { count } = facets;
    const shop = { words: this.#words, language: this.#language, choose: (fit) => this.#choose(fit, request), drawing: this.#drawing(request) };
    this.#clear(say(this.#words.filters.listed, { count }));
    this.#list.replaceChildren(...fits.map((fit) => axleItem(fit, shop)));
    this.#form.showQuestions(ask_next, fits);
    this.#facets.show(facets.facets);
    if (fits.length < count) this.#rest.append(make("button", { type: "button", part: "more", click: () => this.#more() }, this.#words.filters.more));
    if (count === 0) {
      this.#rest.append(make("p", {}, this.#words.filters.nothing));
      if (facets.relax.length) this.#rest.append(relaxations(facets.relax, this.#fields, this.#words));
      if (near_misses.length) this.#rest.append(nearMisses(near_misses, this.#words));
    }
    this.#rest.append(cautionList(cautions, this.#words));
    this.#tell("axle-results", { request, count, counts, fits });
  }

  async #more() {
    const shown = this.#list.children.length;
    this.#most += PAGE;
    await this.#ask();
    this.#list.children[shown]?.querySelector("h3").focus();
  }

  #choose({ axle, verdict, fit_probability }, request) {
    this.#tell("axle-chosen", { sku: axle.sku, verdict, fit_probability, request, axle });
  }

  #tell(name, detail) {
    this.dispatchEvent(new CustomEvent(name, { bubbles: true, composed: true, detail }));
  }

  #drawing(request) {
    if (!this.hasAttribute("drawing")) return null;
    return (sku) => `${this.api.replace(/\/$/, "")}/v1/fits/drawing.svg?${queryOf({ ...request, sku })}`;
  }

  /** Say in words what went wrong, where it did. */
  #fail(error) {
    const { filters } = this.#words;
    if (!(error instanceof Refusal) || error.status >= 500) return this.#clear(filters.away, { again: true });
    if (error.status === 429) return this.#clear(say(filters.too_many, { seconds: error.seconds }), { again: true });
    // The catalogue has changed between two pages: the list begins again.
    if (error.type.endsWith("/cursor")) return this.#changed();
    const fields = error.faults.map(({ parameter }) => parameter).filter((name) => this.#form.has(name));
    this.#form.showFaults(fields);
    return this.#clear(fields.length ? "" : filters.refused);
  }

  /** Nothing is listed that does not belong to what is written; the status says why, or how much is. */
  #clear(said = "", { again = false } = {}) {
    this.#list.removeAttribute("aria-busy");
    this.#list.replaceChildren();
    this.#rest.replaceChildren();
    this.#status.replaceChildren(make("p", {}, said));
    if (again) this.#status.append(make("button", { type: "button", part: "again", click: () => this.#ask() }, this.#words.filters.try_again));
  }
}
