// @ts-check
// The field of an answer, and what became of it.

import { say } from "app/classroom/say";
import { judge } from "app/shared/core";
import { el } from "app/shared/dom";
import { formulaOf } from "app/shared/formulas";

/** @type {[Gatefrost.Part, (right: boolean) => string][]} */
const PARTS = [
  ["value", (right) => (right ? say("answer-value-right") : say("answer-value-wrong"))],
  ["unit", (right) => (right ? say("answer-unit-right") : say("answer-unit-wrong"))],
  ["figures", (right) => (right ? say("answer-figures-right") : say("answer-figures-wrong"))],
];

// What became of an answer, in words.
/** @param {Gatefrost.Verdict} verdict */
export const verdictOf = (verdict) => [
  el("p", {}, el("strong", {}, say("points-of", { points: verdict.points })), `: ${PARTS.map(([part, words]) => words(verdict.right.includes(part))).join(", ")}.`),
  ...verdict.feedback.map((sentence) => el("p", {}, sentence)),
];

export class Answer {
  #work;
  #name;
  #at;
  #judged;
  #input;
  #said = el("div", { className: "verdict", role: "status" });

  /**
   * @param {import("app/classroom/work").Work} work
   * @param {string} name of the exercise
   * @param {Gatefrost.ShownAsked} asked
   * @param {number} at
   * @param {() => void} judged hears that the answer has been judged
   */
  constructor(work, name, asked, at, judged) {
    this.#work = work;
    this.#name = name;
    this.#at = at;
    this.#judged = judged;
    const id = `answer-${at + 1}`;
    const done = work.of(name);
    this.#input = el("input", { id, type: "text", autocomplete: "off", spellcheck: false, maxLength: 80, value: done.answers[at], placeholder: asked.unit ? say("answer-in-unit", { unit: asked.unit }) : say("answer-a-number") });
    this.#said.id = `${id}-verdict`;
    this.#input.setAttribute("aria-describedby", this.#said.id);
    this.root = el(
      "form",
      { className: "answer", onsubmit: (/** @type {Event} */ event) => {
        event.preventDefault();
        this.#check();
      } },
      el("label", { htmlFor: id }, formulaOf(asked.mathml), `, ${asked.words}`),
      this.#input,
      el("button", { type: "submit" }, say("answer-check")),
      this.#said,
    );
    if (done.points[at] !== null) this.#show();
  }

  #check() {
    const verdict = this.#show();
    const done = this.#work.of(this.#name);
    done.answers[this.#at] = this.#input.value;
    done.points[this.#at] = verdict.points;
    this.#work.put(this.#name, done);
    this.#work.checked(this.#name, this.#at, this.#input.value, verdict.right.includes("value"));
    this.#judged();
  }

  #show() {
    const verdict = judge({ exercise: this.#name, id: this.#work.id, at: this.#at, typed: this.#input.value });
    this.#said.replaceChildren(...verdictOf(verdict));
    if (verdict.right.includes("value")) this.#input.removeAttribute("aria-invalid");
    else this.#input.setAttribute("aria-invalid", "true");
    return verdict;
  }
}
