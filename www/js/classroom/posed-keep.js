// @ts-check
// What a student has done in exercises that a lecturer made, kept in the browser. What is read from the store is checked:
// another page of the same address could have written it.

import { keep, recall } from "app/shared/keep";

const PLACE = "gatefrost.classroom.own";
// Exercises whose work is kept; of older ones it is forgotten.
const MOST = 40;
const LONGEST = 80;
const MOST_ANSWERS = 8;

/** @typedef {{ answers: (string | null)[], hints: number, solved: boolean }} Done answers are null until they are checked */

/** @returns {[string, any][]} */
function read() {
  try {
    const found = JSON.parse(recall(() => localStorage, PLACE) ?? "");
    return Array.isArray(found) ? found.filter((pair) => Array.isArray(pair) && typeof pair[0] === "string") : [];
  } catch {
    return [];
  }
}

/**
 * @param {any} found
 * @returns {Done}
 */
function checked(found) {
  const answers = Array.isArray(found?.answers) ? found.answers.slice(0, MOST_ANSWERS) : [];
  return {
    answers: answers.map((/** @type {unknown} */ text) => (typeof text === "string" ? text.slice(0, LONGEST) : null)),
    hints: Number.isInteger(found?.hints) && found.hints >= 0 && found.hints <= 8 ? found.hints : 0,
    solved: found?.solved === true,
  };
}

// Work by the name of an exercise and the student's id.
export class PosedKeep {
  /** @param {string} place */
  of(place) {
    return checked(read().find(([key]) => key === place)?.[1]);
  }

  /**
   * @param {string} place
   * @param {Done} done
   */
  put(place, done) {
    const others = read().filter(([key]) => key !== place);
    keep(() => localStorage, PLACE, JSON.stringify([...others, [place, done]].slice(-MOST)));
  }
}

// The same for a look at an exercise: nothing is kept.
export class NotKept {
  /** @type {Map<string, Done>} */
  #done = new Map();

  /** @param {string} place */
  of(place) {
    return checked(this.#done.get(place));
  }

  /**
   * @param {string} place
   * @param {Done} done
   */
  put(place, done) {
    this.#done.set(place, done);
  }
}

// Forgets all of it.
export const forgetPosed = () => keep(() => localStorage, PLACE, null);
