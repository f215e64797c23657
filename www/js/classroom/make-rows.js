// @ts-check
// The lists of the form in which a lecturer makes an exercise: hints, inputs, results asked for.

import { typedNumber } from "app/classroom/posed-view";
import { say } from "app/classroom/say";
import { el, numberInput } from "app/shared/dom";

let fields = 0;

/**
 * A field with its label above it.
 * @param {string} words
 * @param {HTMLElement} input
 * @param {string} [className]
 */
export function labelled(words, input, className = "field") {
  fields += 1;
  input.id ||= `make-field-${fields}`;
  return el("div", { className }, el("label", { htmlFor: input.id }, words), input);
}

/** @param {Gatefrost.PosedChoice[]} choices */
const options = (choices) => choices.map(({ path, words, value }) => el("option", { value: path }, `${words} (${value})`));

/** @typedef {{ root: HTMLElement, value(): any }} Row */

// A list of rows that can be added and removed.
export class Rows {
  /** @type {Row[]} */
  #rows = [];
  #list = el("div", { className: "make-rows" });
  #make;
  #adder;

  /**
   * @param {string} words of the button that adds a row
   * @param {number} most
   * @param {(value: any, at: number) => Row} make
   */
  constructor(words, most, make) {
    this.#make = make;
    this.#adder = el("button", { type: "button", onclick: () => {
      this.#rows.push(this.#made(null));
      this.#shown();
      const field = /** @type {HTMLElement | null} */ (this.#list.lastElementChild?.querySelector("input, select, textarea") ?? null);
      field?.focus();
    } }, words);
    this.root = el("div", {}, this.#list, el("p", { className: "row" }, this.#adder));
    this.most = most;
  }

  /** @param {any[]} values */
  put(values) {
    this.#rows = values.map((value) => this.#made(value));
    this.#shown();
  }

  values() {
    return this.#rows.map((row) => row.value());
  }

  /**
   * @param {any} value
   * @returns {Row}
   */
  #made(value) {
    const row = this.#make(value, this.#rows.length);
    const remove = el("button", { type: "button", className: "quiet", onclick: () => {
      this.#rows = this.#rows.filter((one) => one !== made);
      this.#shown();
      this.#adder.focus();
    } }, say("make-remove"));
    const made = { ...row, root: el("div", { className: "make-row", role: "group" }, row.root, remove) };
    return made;
  }

  #shown() {
    this.#rows.forEach(({ root }, at) => root.setAttribute("aria-label", String(at + 1)));
    this.#list.replaceChildren(...this.#rows.map(({ root }) => root));
    this.#adder.disabled = this.#rows.length >= this.most;
  }
}

/**
 * @param {string | null} value
 * @returns {Row}
 */
export function hintRow(value) {
  const text = el("textarea", { rows: 2, value: value ?? "", maxLength: 1000 });
  return { root: labelled(say("make-hint"), text, "field wide"), value: () => text.value };
}

/**
 * @param {() => Gatefrost.PosedShown} shown
 * @returns {(value: Gatefrost.PosedInputDocument | null) => Row}
 */
export const inputRow = (shown) => (value) => {
  const { inputs } = shown();
  const path = el("select", { onchange: () => suggest() }, options(inputs));
  const how = el("select", { onchange: () => shownRange() }, [["locked", say("make-locked")], ["drawn", say("make-drawn")], ["open", say("make-may-change")]].map(([key, words]) => el("option", { value: key }, words)));
  const ends = [numberInput({ size: 7 }), numberInput({ size: 7 }), numberInput({ size: 7 })];
  const range = el("div", { className: "make-range" }, [say("own-from"), say("own-to"), say("own-step")].map((words, at) => labelled(words, ends[at])));
  const shownRange = () => {
    range.hidden = how.value !== "drawn";
  };
  // A tenth up and down, in steps of a twentieth of the value.
  const suggest = () => {
    const present = Number.parseFloat((inputs.find((input) => input.path === path.value)?.value ?? "").replace("−", "-"));
    if (!Number.isFinite(present) || present === 0) return;
    const step = Number((Math.abs(present) / 20).toPrecision(1));
    [present - 2 * step, present + 2 * step, step].forEach((number, at) => {
      ends[at].value = String(Number(number.toPrecision(6)));
    });
  };
  path.value = value?.path ?? inputs[0]?.path ?? "";
  suggest();
  if (value?.drawn) [value.drawn.from, value.drawn.to, value.drawn.step].forEach((number, at) => (ends[at].value = String(number)));
  how.value = value?.drawn ? "drawn" : value?.open ? "open" : "locked";
  shownRange();
  const [from, to, step] = ends;
  return {
    root: el("div", {}, labelled(say("make-input"), path, "field wide"), labelled(say("make-how"), how, "field wide"), range),
    value: () => ({
      path: path.value,
      open: how.value === "open",
      ...(how.value === "drawn" && { drawn: { from: typedNumber(from.value), to: typedNumber(to.value), step: typedNumber(step.value) } }),
    }),
  };
};

/**
 * @param {() => Gatefrost.PosedShown} shown
 * @returns {(value: Gatefrost.PosedWanted | null) => Row}
 */
export const resultRow = (shown) => (value) => {
  const path = el("select", {}, options(shown().results));
  if (value) path.value = value.path;
  const numbers = [value?.tolerance_percent ?? 3, value?.figures[0] ?? 2, value?.figures[1] ?? 5, value?.points ?? 10].map((number) => numberInput({ size: 5, value: String(number) }));
  const words = [say("make-tolerance"), say("make-least-figures"), say("make-most-figures"), say("make-points")];
  const [tolerance, least, most, points] = numbers;
  return {
    root: el("div", {}, labelled(say("make-result"), path, "field wide"), el("div", { className: "make-range" }, words.map((one, at) => labelled(one, numbers[at])))),
    value: () => ({ path: path.value, tolerance_percent: typedNumber(tolerance.value), figures: [typedNumber(least.value), typedNumber(most.value)], points: typedNumber(points.value) }),
  };
};
