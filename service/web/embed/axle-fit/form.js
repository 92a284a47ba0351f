/** The form: the frame's fields, and the questions that would tell most about it. */
import { make } from "./making.js";

/** What is written into the fields, told each time that it changes. */
export class FrameForm {
  #words;
  #fields;
  #values;
  #changed;
  #shown = new Map();
  #questions;

  /** @param {{words: object, fields: object[], values: Record<string, string>, changed: () => void}} given */
  constructor({ words, fields, values, changed }) {
    this.#words = words;
    this.#fields = fields;
    this.#values = values;
    this.#changed = changed;
    this.#questions = make("div", { class: "questions", hidden: true }, make("h3", { part: "subheading" }, words.filters.find_out_next));
    this.node = make("form", { part: "form", novalidate: true, submit: (event) => event.preventDefault() });
    for (const field of fields.filter(({ base }) => base)) this.node.append(this.#field(field));
    this.node.append(this.#questions);
  }

  /** Show what the service would ask next, and keep what has been answered. */
  showQuestions(questions, fits) {
    const asked = new Map(questions.map(({ field, text }) => [field, text]));
    for (const field of this.#fields) {
      const wanted = field.base || asked.has(field.name) || Boolean(this.#values[field.name]) || this.#holdsFocus(field.name);
      if (wanted && !this.#shown.has(field.name)) this.#questions.append(this.#field(field));
      const { node, hint } = this.#shown.get(field.name) ?? {};
      if (!node) continue;
      node.hidden = !wanted || (field.name === "hole_offset_mm" && this.#values.holes !== "oval");
      if (asked.has(field.name) || field.base) hint.textContent = asked.get(field.name) ?? field.hint ?? "";
    }
    this.#questions.hidden = ![...this.#questions.querySelectorAll(".field")].some(({ hidden }) => !hidden);
    for (const name of ["thread", "keyed_profile"]) this.#suggest(name, fits);
  }

  /** Say what is wrong with fields, and nothing of the others. */
  showFaults(names) {
    for (const { name, kind } of this.#fields) {
      const { input, fault } = this.#shown.get(name) ?? {};
      if (!fault) continue;
      const wrong = names.includes(name);
      fault.textContent = wrong ? this.#words.filters[kind === "length" ? "invalid_length" : "invalid_value"] : "";
      if (wrong) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
    }
  }

  /** Whether there is a place to say what is wrong with this field. */
  has(name) {
    return this.#shown.has(name);
  }

  #holdsFocus(name) {
    const { node } = this.#shown.get(name) ?? {};
    return Boolean(node?.contains(node.getRootNode().activeElement));
  }

  #field(field) {
    const hint = make("span", { id: `${field.name}-hint`, class: "hint", part: "hint" }, field.hint ?? "");
    const fault = make("span", { id: `${field.name}-fault`, class: "fault", part: "fault", role: "alert" });
    const described = { "aria-describedby": `${hint.id} ${fault.id}` };
    const [node, input] = field.kind === "choice" ? this.#choice(field, described) : this.#written(field, described);
    node.append(hint, fault);
    this.#shown.set(field.name, { node, input, hint, fault });
    return node;
  }

  #written({ name, kind, label }, described) {
    const length = kind === "length";
    const list = length ? null : make("datalist", { id: `${name}-list` });
    const input = make("input", {
      id: name,
      part: "input",
      inputmode: length ? "decimal" : null,
      list: list?.id,
      autocomplete: "off",
      value: this.#values[name],
      ...described,
      input: () => this.#set(name, input.value),
    });
    const unit = name === "outside_width_mm" ? this.#unit() : length ? make("span", { class: "unit", hidden: true }) : null;
    const row = make("div", { class: "row" }, input, unit, list);
    return [make("div", { class: "field", part: "field" }, make("label", { for: name }, label), row), input];
  }

  #unit() {
    const { unit, millimetres, inches } = this.#words.filters;
    const select = make("select", { part: "input", "aria-label": unit, change: () => this.#set("unit", select.value) });
    for (const [value, name] of [["mm", millimetres], ["in", inches]]) select.append(make("option", { value, selected: this.#values.unit === value }, name));
    return select;
  }

  #choice({ name, label, choices }, described) {
    const options = [["", this.#words.words.not_known], ...choices].map(([value, word]) =>
      make(
        "label",
        { class: "option" },
        make("input", { type: "radio", name, value, checked: (this.#values[name] ?? "") === value, change: () => this.#set(name, value) }),
        make("span", {}, word),
      ),
    );
    const row = make("div", { class: "row" }, ...options);
    const node = make("fieldset", { class: "field", part: "field", ...described }, make("legend", {}, label), row);
    return [node, node];
  }

  #set(name, value) {
    this.#values[name] = value;
    this.#changed();
  }

  #suggest(name, fits) {
    const list = this.#shown.get(name)?.node.querySelector("datalist");
    const known = new Set(fits.map(({ axle }) => axle[name]).filter((value) => value !== null));
    list?.replaceChildren(...[...known].sort().map((value) => make("option", { value })));
  }
}
