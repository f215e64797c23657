// @ts-check
// The trial log as a table whose cells are edited: a row for each shot, in the reader's units.

import { COLUMNS, freshShot } from "app/calibration/columns";
import { parameter } from "app/shared/catalogue";
import { el, numberInput } from "app/shared/dom";
import { shownUnit, units } from "app/shared/units";
import { entered, focusKept, idOf, plain, register } from "app/window/settings/fields";
import { model } from "app/window/settings/model";

export const MOST = 200;

/** @typedef {import("app/calibration/columns").Column} Column */

const titleOf = (/** @type {Column} */ { field, words }) => words ?? parameter(`shots.*.${field}`).title;

export class Grid {
  // Columns that were asked for.
  /** @type {Set<string>} */
  #asked = new Set();
  #table = el("table", { className: "log", id: "log-table", "aria-describedby": "log-about" });
  #about = el("p", { className: "plain", id: "log-about" });
  #more = el("select", { id: "log-column", onchange: () => this.#show() });
  #addition = el("button", { type: "button", id: "log-add", onclick: () => this.#append() }, "Add a shot");

  constructor() {
    this.root = el(
      "div",
      {},
      this.#about,
      el("div", { className: "scroll log-scroll", tabIndex: 0, role: "region", "aria-label": "Trial log" }, this.#table),
      el("div", { className: "row" }, this.#addition, el("label", { htmlFor: "log-column" }, "Show a column ", this.#more)),
    );
    units.addEventListener("changed", () => this.build());
    model.addEventListener("replaced", () => this.build());
    model.addEventListener("restructured", ({ detail }) => detail === "shots" && this.build());
    this.build();
  }

  build() {
    focusKept(() => this.#build());
  }

  #build() {
    const { shots } = model.scenario;
    const shown = COLUMNS.filter((column) => this.#isShown(column));
    const head = (/** @type {Column} */ column) => {
      const unit = column.choices ? "" : parameter(`shots.*.${column.field}`).unit;
      return el("th", { scope: "col" }, titleOf(column), unit && el("span", { className: "unit" }, ` ${shownUnit(unit)}`));
    };
    this.#about.textContent = shots.length > 0 ? "A row for each shot, or for the mean of several at one setting. What was not read stays empty." : "The log is empty. Add a shot, open or paste a table, or press “Worked example”.";
    this.#table.replaceChildren(
      el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "Shot"), shown.map(head), el("th", { scope: "col" }, "State"))),
      el("tbody", {}, shots.map((shot, i) => this.#row(shot, i, shown))),
    );
    this.#addition.disabled = shots.length >= MOST;
    const rest = COLUMNS.filter((column) => !this.#isShown(column));
    this.#more.replaceChildren(el("option", { value: "" }, "–"), ...rest.map((column) => el("option", { value: column.field }, titleOf(column))));
  }

  /** @param {Column} column */
  #isShown({ field, always }) {
    const plainly = field === "repeats" ? 1 : null;
    return always || this.#asked.has(field) || model.scenario.shots.some((shot) => (/** @type {any} */ (shot)[field] ?? plainly) !== plainly);
  }

  #show() {
    this.#asked.add(this.#more.value);
    this.build();
    this.#table.querySelector("tbody input")?.scrollIntoView({ block: "nearest" });
  }

  /**
   * @param {Gatefrost.Shot} shot
   * @param {number} i
   * @param {Column[]} shown
   */
  #row(shot, i, shown) {
    const remove = el("button", { type: "button", className: "quiet", id: `remove-shot-${i}`, "aria-label": `Remove shot ${i + 1}`, onclick: () => this.#edit((shots) => shots.splice(i, 1)) }, "Remove");
    const state = shot.used === 1 ? el("span", { className: "small" }, "in the calibration ") : false;
    return el("tr", { className: shot.used === 1 ? "used" : "" }, nameCell(i), shown.map((column) => cell(column, i)), el("td", { className: "state" }, state, remove));
  }

  #append() {
    const { shots, setup } = model.scenario;
    if (shots.length >= MOST) return;
    this.#edit((all) => all.push(freshShot(shots.at(-1) ?? setupOf(setup))));
    document.getElementById(idOf(`shots.${shots.length - 1}.melt_temperature`))?.focus();
  }

  /** @param {(shots: Gatefrost.Shot[]) => void} change */
  #edit(change) {
    model.restructure("shots", (scenario) => {
      change(scenario.shots);
      scenario.trials.logged = scenario.shots.length;
    });
  }
}

// The settings of the scenario that a shot has, too.
/** @param {Gatefrost.Setup} setup */
function setupOf({ melt_temperature, mould_temperature, injection_time, hold_pressure, hold_time, cooling_time }) {
  return { melt_temperature, mould_temperature, injection_time, hold_pressure, hold_time, cooling_time };
}

/** @param {number} i */
function nameCell(i) {
  const path = `shots.${i}.name`;
  const input = el("input", { type: "text", id: idOf(path), maxLength: 60, placeholder: String(i + 1), autocomplete: "off", spellcheck: false, "aria-label": `Name of shot ${i + 1}`, oninput: () => model.set(path, input.value) });
  const show = (/** @type {string} */ value) => {
    if (document.activeElement !== input) input.value = value;
  };
  return register(path, el("th", { scope: "row", className: "name" }, input), input, show);
}

/**
 * @param {Column} column
 * @param {number} i
 */
function cell(column, i) {
  const path = `shots.${i}.${column.field}`;
  const root = el("td", {});
  const label = `Shot ${i + 1}: ${titleOf(column).toLowerCase()}`;
  return column.choices ? choice(root, path, label, column.choices()) : typed(root, path, label);
}

/**
 * @param {HTMLElement} root
 * @param {string} path
 * @param {string} label
 * @param {[number | string | null, string][]} choices
 */
function choice(root, path, label, choices) {
  const select = el("select", { id: idOf(path), "aria-label": label, onchange: () => model.set(path, choices[select.selectedIndex][0]) }, choices.map(([, words]) => el("option", {}, words)));
  root.append(select);
  return register(path, root, select, (value) => {
    select.selectedIndex = Math.max(0, choices.findIndex(([known]) => known === (value ?? null)));
  });
}

/**
 * @param {HTMLElement} root
 * @param {string} path
 * @param {string} label
 */
function typed(root, path, label) {
  const { unit } = parameter(path);
  const take = () => {
    const { value, message } = entered(path, input.value);
    if (message) model.refuse(path, message);
    else model.set(path, value);
  };
  const input = numberInput({
    id: idOf(path),
    "aria-label": unit ? `${label}, ${shownUnit(unit)}` : label,
    "aria-describedby": `${idOf(path)}-error`,
    oninput: take,
    onblur: () => {
      if (!model.refused.has(path)) input.value = plain(model.get(path), unit);
    },
  });
  root.append(input);
  return register(path, root, input, (value) => {
    if (document.activeElement !== input) input.value = plain(value, unit);
  });
}
