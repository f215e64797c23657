// @ts-check
// One exercise: its task and data, answers with what became of them, hints, and the solution.

import { Answer } from "app/classroom/answer";
import { Beside } from "app/classroom/beside";
import { chartOf } from "app/classroom/chart";
import { dataOf, lineOf, onlyNew, readingsOf } from "app/classroom/markup";
import { say } from "app/classroom/say";
import { solutions, task } from "app/shared/core";
import { byId, el } from "app/shared/dom";

export class Exercise {
  #work;
  /** @type {string | null} */
  #name = null;
  #hints = el("div", { className: "hints" });
  #solution = el("div", { className: "solution" });

  /** @param {import("app/classroom/work").Work} work */
  constructor(work) {
    this.#work = work;
  }

  /** @param {string} name */
  open(name) {
    this.#name = name;
    this.#show();
    const station = byId("exercise");
    station.scrollIntoView({ block: "start" });
    station.focus({ preventScroll: true });
  }

  // Shows the same exercise for another student.
  again() {
    if (this.#name) this.#show();
  }

  #show() {
    const name = this.#name ?? "";
    const station = byId("exercise");
    station.hidden = this.#work.id === "";
    if (station.hidden) return;
    const shown = task({ exercise: name, id: this.#work.id });
    byId("exercise-heading").textContent = shown.listed.title;
    const answers = shown.asked.map((asked, at) => new Answer(this.#work, name, asked, at, () => this.#judged(shown)));
    byId("exercise-parts").replaceChildren(
      el("p", { className: "aim" }, shown.listed.aim),
      el("p", { className: "task" }, shown.task),
      el("h3", {}, say("exercise-data")),
      dataOf(shown.given),
      readingsOf(shown.table) ?? "",
      shown.figure ? chartOf(shown.figure) : "",
      el("h3", {}, say("exercise-answers")),
      el("p", { className: "small" }, say("exercise-points")),
      ...answers.map((answer) => answer.root),
      this.#hints,
      this.#solution,
      shown.beside ? new Beside(shown.beside).root : "",
    );
    this.#showHints(shown);
    this.#offerSolution(shown);
  }

  /** @param {Gatefrost.ShownTask} shown */
  #judged(shown) {
    if (this.#work.of(shown.listed.name).points.every((points) => points === 100)) this.#offerSolution(shown);
  }

  /** @param {Gatefrost.ShownTask} shown */
  #showHints(shown) {
    const { hints, listed: { name } } = shown;
    const opened = Math.min(this.#work.of(name).hints, hints.length);
    const next = opened < hints.length && el("button", { type: "button", onclick: () => {
      const done = this.#work.of(name);
      this.#work.put(name, { ...done, hints: opened + 1 });
      this.#showHints(shown);
      const last = /** @type {HTMLElement | null} */ (this.#hints.querySelector("li:last-child"));
      last?.focus();
    } }, say("hint-open", { at: opened + 1, of: hints.length }));
    this.#hints.replaceChildren(
      el("h3", {}, say("hints-heading")),
      opened > 0 ? el("ol", {}, hints.slice(0, opened).map((hint) => el("li", { tabIndex: -1 }, hint))) : "",
      next || "",
    );
  }

  // The solution is free once all answers are right. Before, it is noted on the slip that it was opened.
  /** @param {Gatefrost.ShownTask} shown */
  #offerSolution(shown) {
    const { name } = shown.listed;
    const done = this.#work.of(name);
    const right = done.points.every((points) => points === 100);
    if (done.solved) {
      this.#showSolution(shown);
      return;
    }
    const words = right ? say("solution-show") : say("solution-give-up");
    this.#solution.replaceChildren(
      el("h3", {}, say("solution-heading")),
      right ? "" : el("p", { className: "small" }, this.#work.ofCourse ? say("solution-course") : say("solution-noted")),
      el("button", { type: "button", onclick: () => {
        if (!right) this.#work.put(name, { ...this.#work.of(name), solved: true });
        this.#showSolution(shown);
      } }, words),
    );
  }

  /** @param {Gatefrost.ShownTask} shown */
  #showSolution({ listed: { name }, solved_figure: figure }) {
    const parts = solutions({ exercise: name, id: this.#work.id });
    this.#solution.replaceChildren(
      el("h3", { tabIndex: -1 }, say("solution-heading")),
      ...onlyNew(parts).flatMap(({ lines, by_hand: byHand, by_core: byCore }) => [
        ...lines.flatMap(lineOf),
        el("p", {}, el("strong", {}, byHand), byCore === byHand ? say("solution-same") : say("solution-core", { value: byCore })),
      ]),
      figure ? chartOf(figure) : "",
    );
  }
}
