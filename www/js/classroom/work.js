// @ts-check
// What a student has done, kept in the browser by id and exercise. What is read from the store is checked: another page
// of the same address could have written it.

import { forgetPosed } from "app/classroom/posed-keep";
import { exercise_list } from "app/shared/core";
import { keep, recall } from "app/shared/keep";

const PLACE = "gatefrost.classroom";
// Ids whose work is kept; of older ones it is forgotten.
const MOST_IDS = 20;
const LONGEST = 80;

/** @typedef {{ place: string, at: number, typed: string, right: boolean }} Checked an answer that has been judged */
/** @typedef {{ answers: string[], points: (number | null)[], hints: number, solved: boolean }} Done of one exercise */

/**
 * @param {any} found
 * @param {number} answers
 * @returns {Done}
 */
function checked(found, answers) {
  const list = (/** @type {any} */ value) => (Array.isArray(value) ? value : []);
  const text = (/** @type {any} */ value) => (typeof value === "string" ? value.slice(0, LONGEST) : "");
  const points = (/** @type {any} */ value) => (Number.isInteger(value) && value >= 0 && value <= 100 ? value : null);
  return {
    answers: Array.from({ length: answers }, (_, at) => text(list(found?.answers)[at])),
    points: Array.from({ length: answers }, (_, at) => points(list(found?.points)[at])),
    hints: Number.isInteger(found?.hints) && found.hints >= 0 && found.hints <= 10 ? found.hints : 0,
    solved: found?.solved === true,
  };
}

/** @returns {Record<string, any>} */
function read() {
  try {
    const found = JSON.parse(recall(() => localStorage, PLACE) ?? "");
    return found && typeof found === "object" && !Array.isArray(found) ? found : {};
  } catch {
    return {};
  }
}

// Sends "changed" after anything, "other" if it is another student, and "checked" with each answer that has been judged.
export class Work extends EventTarget {
  list = exercise_list();
  id = "";
  /** @type {[string, Record<string, any>][]} the last id last */
  #kept;
  // Whether a course page keeps the work. Then this browser does not.
  ofCourse = false;

  constructor() {
    super();
    const { id, kept } = read();
    const pairs = Array.isArray(kept) ? kept : [];
    this.#kept = pairs.filter((pair) => Array.isArray(pair) && typeof pair[0] === "string" && pair[1] && typeof pair[1] === "object").slice(-MOST_IDS);
    if (typeof id === "string") this.id = id.slice(0, LONGEST);
  }

  // Takes the work of a student from a course page.
  /**
   * @param {string} id
   * @param {Record<string, any>} own
   */
  adopt(id, own) {
    this.ofCourse = true;
    this.id = id;
    this.#kept = [[id, own]];
  }

  // Tells of an answer that has been judged.
  /**
   * @param {string} name
   * @param {number} at
   * @param {string} typed
   * @param {boolean} right
   */
  checked(name, at, typed, right) {
    this.dispatchEvent(new CustomEvent("checked", { detail: { place: this.#place(name), at, typed, right } }));
  }

  /** @param {string} id */
  choose(id) {
    if (id === this.id) return;
    this.id = id;
    this.#changed();
    this.dispatchEvent(new Event("other"));
  }

  /** @param {string} name */
  of(name) {
    const answers = this.list.find((listed) => listed.name === name)?.answers ?? 0;
    return checked(this.#own()?.[this.#place(name)], answers);
  }

  /**
   * @param {string} name
   * @param {Done} done
   */
  put(name, done) {
    const own = { ...this.#own(), [this.#place(name)]: done };
    this.#kept = [...this.#kept.filter(([id]) => id !== this.id), [this.id, own]];
    this.#kept = this.#kept.slice(-MOST_IDS);
    this.#changed();
  }

  // Forgets all students.
  forget() {
    this.#kept = [];
    forgetPosed();
    this.id = "";
    this.#changed();
    this.dispatchEvent(new Event("other"));
  }

  #own() {
    return this.#kept.find(([id]) => id === this.id)?.[1];
  }

  // With its version: answers to other data are no answers.
  /** @param {string} name */
  #place(name) {
    return `${name}/${this.list.find((listed) => listed.name === name)?.version}`;
  }

  #changed() {
    if (!this.ofCourse) keep(() => localStorage, PLACE, this.id === "" && this.#kept.length === 0 ? null : JSON.stringify({ id: this.id, kept: this.#kept }));
    this.dispatchEvent(new Event("changed"));
  }
}
