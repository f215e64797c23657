// @ts-check
// The parts of the binder: a row each, with its share of the binder's mass.

import { el, numberInput } from "app/shared/dom";
import { number } from "app/shared/numbers";
import { readNumber } from "app/laboratory/fields";

/** @typedef {[part: string, text: string]} Line */

export class Binder {
  #known;
  #changed;
  /** @type {Row[]} */
  #rows = [];
  #list = el("ol", { className: "parts" });
  #sum = el("p", { id: "recipe-sum", "aria-live": "polite" });
  #adder = el("button", { type: "button", id: "recipe-add", onclick: () => this.#addRow() }, "Add a part");

  /**
   * @param {Gatefrost.BinderPart[]} known
   * @param {() => void} changed
   */
  constructor(known, changed) {
    this.#known = known;
    this.#changed = changed;
    this.root = el("fieldset", {}, el("legend", {}, "Binder, % by mass"), this.#list, el("div", { className: "row" }, this.#adder), this.#sum);
  }

  /** @param {Line[]} lines */
  fill(lines) {
    this.#rows = lines.map(([part, text]) => this.#row(part, text));
    this.#list.replaceChildren(...this.#rows.map((row) => row.root));
  }

  /**
   * The parts as they are, valid or not.
   * @returns {Line[]}
   */
  lines() {
    return this.#rows.map((row) => [row.part, row.text]);
  }

  // The parts for the core; null if a share is not a number.
  read() {
    const shares = this.#rows.map((row) => row.read());
    this.#sum.textContent = `Sum: ${number(shares.reduce((a, b) => a + b, 0), 6)} %`;
    if (shares.some(Number.isNaN)) return null;
    return this.#rows.map((row, i) => ({ part: row.part, mass_fraction: Number((shares[i] / 100).toPrecision(12)) }));
  }

  /**
   * Shows a message at a field of a part. Returns whether that part exists.
   * @param {number} place
   * @param {string} field
   * @param {string} message
   */
  refuse(place, field, message) {
    this.#rows[place]?.fail(field === "mass_fraction" ? `The share, as a fraction, ${message}` : `The part ${message}`);
  }

  /**
   * @param {string} part
   * @param {string} text
   */
  #row(part, text) {
    const row = new Row(this.#known, this.#changed, () => {
      this.#rows = this.#rows.filter((other) => other !== row);
      row.root.remove();
      this.#adder.focus();
      this.#changed();
    });
    row.set(part, text);
    return row;
  }

  #addRow() {
    const taken = new Set(this.#rows.map((row) => row.part));
    const free = this.#known.find(({ key }) => !taken.has(key)) ?? this.#known[0];
    const rest = 100 - this.#rows.map((row) => row.read()).reduce((a, b) => a + (b || 0), 0);
    const row = this.#row(free.key, rest > 0 ? String(Number(rest.toPrecision(6))) : "0");
    this.#rows.push(row);
    this.#list.append(row.root);
    row.focus();
    this.#changed();
  }
}

class Row {
  #choice;
  #input;
  #error = el("p", { className: "error", hidden: true });

  /**
   * @param {Gatefrost.BinderPart[]} known
   * @param {() => void} changed
   * @param {() => void} remove
   */
  constructor(known, changed, remove) {
    const options = known.map(({ key, name }) => el("option", { value: key }, name));
    this.#choice = el("select", { "aria-label": "Binder part", onchange: changed }, options);
    this.#input = numberInput({ "aria-label": "% of the binder’s mass", oninput: changed });
    const drop = el("button", { type: "button", className: "quiet", "aria-label": "Remove this part", title: "Remove this part", onclick: remove }, "×");
    const entry = el("div", { className: "entry" }, this.#input, el("span", { className: "unit" }, "%"));
    this.root = el("li", {}, el("div", { className: "part" }, this.#choice, entry, drop), this.#error);
  }

  get part() {
    return this.#choice.value;
  }

  get text() {
    return this.#input.value;
  }

  /**
   * @param {string} part
   * @param {string} text
   */
  set(part, text) {
    this.#choice.value = part;
    if (this.#choice.selectedIndex < 0) this.#choice.selectedIndex = 0;
    this.#input.value = text;
  }

  /** @param {string | null} message */
  fail(message) {
    this.#error.textContent = message ?? "";
    this.#error.hidden = !message;
    if (message) this.#input.setAttribute("aria-invalid", "true");
    else this.#input.removeAttribute("aria-invalid");
  }

  read() {
    return Number(readNumber("page.share", this.text, false, (message) => this.fail(message)));
  }

  focus() {
    this.#choice.focus();
  }
}
