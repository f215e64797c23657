// @ts-check
// The exercises in order, with what the student has reached in each.

import { say } from "app/classroom/say";
import { byId, el } from "app/shared/dom";

/** @type {Record<Gatefrost.Level, () => string>} */
const LEVELS = { first: () => say("level-first"), second: () => say("level-second"), third: () => say("level-third") };

/**
 * The points of an exercise, of a hundred; null before any answer was judged.
 * @param {import("app/classroom/work").Done} done
 */
export function reached({ points }) {
  if (points.every((one) => one === null)) return null;
  return Math.floor(points.reduce((/** @type {number} */ sum, one) => sum + (one ?? 0), 0) / points.length);
}

export class ExerciseList {
  #work;
  #open;

  /**
   * @param {import("app/classroom/work").Work} work
   * @param {(name: string) => void} open
   */
  constructor(work, open) {
    this.#work = work;
    this.#open = open;
  }

  show() {
    const { list, id } = this.#work;
    const rows = list.map(({ name, title, aim, level }) => {
      const points = id === "" ? null : reached(this.#work.of(name));
      return el(
        "li",
        { dataset: { exercise: name } },
        el("button", { type: "button", disabled: id === "", onclick: () => this.#open(name) }, title),
        el("p", { className: "small" }, `${aim} `, el("span", { className: "level" }, `(${LEVELS[level]()})`), points !== null && el("strong", {}, ` ${say("points-of", { points })}`)),
      );
    });
    byId("exercise-list").replaceChildren(
      id === "" ? el("p", {}, say("list-first")) : "",
      el("ol", { className: "exercise-list" }, rows),
    );
  }
}
