// @ts-check
// The scenario being edited, with events for its changes. Only this module writes its values.

import { problems_of } from "app/shared/core";

/**
 * @param {any} scenario
 * @param {string} path
 */
export function read(scenario, path) {
  return path.split(".").reduce((place, name) => place?.[name], scenario);
}

/**
 * @param {any} scenario
 * @param {string} path
 * @param {unknown} value
 */
function write(scenario, path, value) {
  const names = path.split(".");
  const last = names.pop() ?? "";
  names.reduce((place, name) => place[name], scenario)[last] = value;
}

/**
 * @typedef {object} Change
 * @property {boolean} moving while the set point is dragged
 * @property {boolean} restored for a state from before
 * @property {boolean} opened for another scenario altogether
 * @property {string | null} what tells changes of one kind
 */
/**
 * @typedef {{
 *   addEventListener(kind: "changed", listener: (event: CustomEvent<Change>) => void): void,
 *   addEventListener(kind: "replaced", listener: (event: CustomEvent<{ restored: boolean }>) => void): void,
 *   addEventListener(kind: "restructured", listener: (event: CustomEvent<string>) => void): void,
 * }} Events
 */

/**
 * Whether a change may have touched a part of the scenario, such as "cavity".
 * @param {Change} change
 * @param {string} part
 */
export const touches = ({ what }, part) => what === null || what.split(",").some((path) => path.startsWith(part));

class Model extends EventTarget {
  // It is set before anything reads it.
  /** @type {Gatefrost.Scenario} */
  #scenario = /** @type {any} */ (null);
  // The scenario as a text, and what is wrong with it; null until they are asked for.
  /** @type {string | null} */
  #text = null;
  /** @type {{ text: string, problems: Gatefrost.Problem[] } | null} */
  #checked = null;
  // Fields whose text is not accepted: path → message.
  /** @type {Map<string, string>} */
  refused = new Map();

  get scenario() {
    return this.#scenario;
  }

  set scenario(scenario) {
    this.#scenario = scenario;
    this.#text = null;
  }

  /**
   * @param {string} path
   * @returns {any}
   */
  get(path) {
    return read(this.scenario, path);
  }

  // Whether any number has a standard error.
  get uncertain() {
    return (this.scenario.feedstock.uncertainty?.numbers.length ?? 0) > 0;
  }

  // Replaces the whole scenario.
  /** @param {Gatefrost.Scenario} scenario */
  replace(scenario) {
    this.#put(scenario, false);
  }

  // Returns to an earlier state of the scenario.
  /** @param {Gatefrost.Scenario} scenario */
  restore(scenario) {
    this.#put(scenario, true);
  }

  /**
   * @param {Gatefrost.Scenario} scenario
   * @param {boolean} restored
   */
  #put(scenario, restored) {
    this.scenario = structuredClone(scenario);
    this.refused.clear();
    this.dispatchEvent(new CustomEvent("replaced", { detail: { restored } }));
    this.#changed({ moving: false, restored, opened: !restored });
  }

  /**
   * @param {string} path
   * @param {unknown} value
   */
  set(path, value) {
    this.setAll([[path, value]], false);
  }

  // Several values at once; `moving` while the set point is dragged.
  /**
   * @param {[path: string, value: unknown][]} pairs
   * @param {boolean} moving
   */
  setAll(pairs, moving) {
    for (const [path, value] of pairs) {
      this.refused.delete(path);
      write(this.scenario, path, value);
    }
    this.#text = null;
    this.#changed({ moving, what: pairs.map(([path]) => path).join() });
  }

  // A field holds a text that is not accepted. The scenario keeps the last good value, and nothing is computed.
  /**
   * @param {string} path
   * @param {string} message
   */
  refuse(path, message) {
    this.refused.set(path, message);
    this.#changed({ moving: false });
  }

  // Changes lists and shapes: `edit` changes the scenario in place. Messages about paths below `below` are removed.
  /**
   * @param {string} below
   * @param {(scenario: Gatefrost.Scenario) => void} edit
   */
  restructure(below, edit) {
    for (const path of Array.from(this.refused.keys())) if (path.startsWith(below)) this.refused.delete(path);
    edit(this.scenario);
    this.#text = null;
    this.dispatchEvent(new CustomEvent("restructured", { detail: below }));
    this.#changed({ moving: false });
  }

  text() {
    return (this.#text ??= JSON.stringify(this.scenario));
  }

  // The scenario as text without the plane: which pair of settings one looks at is no change of it.
  bare() {
    return JSON.stringify({ ...this.scenario, window: null });
  }

  // All problems, those of single fields first.
  /** @returns {Gatefrost.Problem[]} */
  problems() {
    if (this.refused.size > 0) return [...this.refused].map(([path, message]) => ({ path, message }));
    const text = this.text();
    if (this.#checked?.text !== text) this.#checked = { text, problems: problems_of(text) };
    return this.#checked.problems;
  }

  // Everything that the limit lines depend on: all but the set point within the plane and the names.
  /** @param {string[]} axisPaths */
  planeKey(axisPaths) {
    const copy = structuredClone(this.scenario);
    for (const path of axisPaths) write(copy, path, null);
    for (const path of ["name", "notes", "feedstock.name", "feedstock.provenance"]) write(copy, path, "");
    return JSON.stringify(copy);
  }

  // `moving` while the set point is dragged, `restored` for a state from before, `what` is
  // the kind of change.
  /** @param {{ moving: boolean, restored?: boolean, opened?: boolean, what?: string | null }} change */
  #changed({ moving, restored = false, opened = false, what = null }) {
    const detail = { moving, restored, opened, what };
    this.dispatchEvent(new CustomEvent("changed", { detail }));
  }
}

export const model = /** @type {Events & Model} */ (new Model());
