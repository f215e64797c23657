// @ts-check
// An exercise that a lecturer made, as a student works it: task, data, answers, hints, the model, the slip.

import { verdictOf } from "app/classroom/answer";
import { slipPlace } from "app/classroom/hand-in";
import { dataOf } from "app/classroom/markup";
import { ask } from "app/classroom/posed-work";
import { say } from "app/classroom/say";
import { el, numberInput } from "app/shared/dom";
import { formulaOf } from "app/shared/formulas";
import { dismiss, notice, reasons } from "app/shared/notices";
import { list } from "app/shared/tables";
import { toWindow } from "app/shared/ways";

/** @typedef {{ of(place: string): import("app/classroom/posed-keep").Done, put(place: string, done: import("app/classroom/posed-keep").Done): void }} Keep */

// A text with formulas. Nothing of it is markup.
/** @param {Gatefrost.Piece[]} pieces */
export const piecesOf = (pieces) => pieces.map(({ text, mathml }) => (mathml ? formulaOf(mathml) : text));

/** @param {unknown} error */
export const tell = (error) => notice("posed", say("desk-refused"), reasons(error));

// A number as it is typed, with a decimal point or comma; null for anything else.
/** @param {string} text */
export function typedNumber(text) {
  const plain = text.trim().replace("−", "-").replace(",", ".");
  const value = Number(plain);
  return plain !== "" && Number.isFinite(value) ? value : null;
}

let places = 0;

export class PosedView {
  root = el("div", { className: "posed" });
  #text;
  #keep;
  #id = "";
  /** @type {Gatefrost.PosedTask | null} */
  #task = null;
  #verdicts = /** @type {HTMLElement[]} */ ([]);
  #inputs = /** @type {HTMLInputElement[]} */ ([]);
  #hints = el("div", { className: "hints" });
  #solution = el("div", { className: "solution" });
  /** @type {ReturnType<typeof slipPlace> | null} */
  #slip = null;
  #place = `posed-${(places += 1)}`;

  /**
   * @param {string} text of the exercise’s link or file
   * @param {Keep} keep
   */
  constructor(text, keep) {
    this.#text = text;
    this.#keep = keep;
  }

  // Shows the exercise with the numbers of a student.
  /** @param {string} id */
  async show(id) {
    this.#id = id;
    if (id === "") {
      this.root.replaceChildren(el("p", {}, say("posed-first")));
      return;
    }
    this.root.replaceChildren(el("p", { role: "status" }, say("posed-computing")));
    try {
      const task = await ask("posed_task", this.#args());
      if (id !== this.#id) return;
      this.#task = task;
      this.#build(task);
      if (this.#done().answers.some((answer) => answer !== null)) await this.#judge();
    } catch (error) {
      this.root.replaceChildren(el("p", {}, reasons(error).join(" ")));
    }
  }

  #args(more = {}) {
    return { text: this.#text, id: this.#id, ...more };
  }

  #of() {
    return `${this.#task?.name}/${this.#id}`;
  }

  #done() {
    return this.#keep.of(this.#of());
  }

  /** @param {Gatefrost.PosedTask} task */
  #build(task) {
    const slip = slipPlace(`${this.#place}-slip`, () => say("hand-in-file", { id: this.#id }));
    this.#slip = slip;
    this.#verdicts = [];
    this.#inputs = [];
    this.root.replaceChildren(
      el("p", { className: "task" }, piecesOf(task.task)),
      ...(task.inputs.length > 0 ? [el("h3", {}, say("exercise-data")), dataOf(task.inputs.map(({ given }) => given))] : []),
      el("h3", {}, say("exercise-answers")),
      el("p", { className: "small" }, say("exercise-points")),
      ...task.asked.map((asked, at) => this.#answer(asked, at)),
      this.#hints,
      ...this.#model(task),
      this.#solution,
      el("h3", {}, say("hand-in-heading")),
      el("p", { className: "small" }, say("posed-honest")),
      ...slip.parts,
    );
    slip.put("");
    this.#showHints(task);
    this.#offerSolution();
  }

  /**
   * @param {Gatefrost.PosedResult} asked
   * @param {number} at
   */
  #answer({ words, meaning, unit, points, tolerance_percent: tolerance }, at) {
    const id = `${this.#place}-answer-${at + 1}`;
    const said = el("div", { className: "verdict", role: "status", id: `${id}-verdict` });
    const input = el("input", { id, type: "text", autocomplete: "off", spellcheck: false, maxLength: 80, value: this.#done().answers[at] ?? "", placeholder: unit ? say("answer-in-unit", { unit }) : say("answer-a-number"), "aria-describedby": said.id });
    this.#verdicts.push(said);
    this.#inputs.push(input);
    const submit = (/** @type {Event} */ event) => {
      event.preventDefault();
      const done = this.#done();
      const answers = this.#inputs.map((_, k) => done.answers[k] ?? null);
      answers[at] = input.value;
      this.#keep.put(this.#of(), { ...done, answers });
      this.#judge().catch(tell);
    };
    return el(
      "form",
      { className: "answer", onsubmit: submit },
      el("label", { htmlFor: id }, `${words}${unit ? ` [${unit}]` : ""}`),
      el("p", { className: "small" }, `${meaning} ${say("posed-worth", { points, tolerance })}`),
      input,
      el("button", { type: "submit" }, say("answer-check")),
      said,
    );
  }

  // Judges what has been checked, and writes the slip.
  async #judge() {
    dismiss("posed");
    const { answers, hints, solved } = this.#done();
    const of = this.#of();
    const { verdicts, slip } = /** @type {Gatefrost.PosedJudged} */ (await ask("posed_judged", this.#args({ answers: this.#inputs.map((_, at) => answers[at] ?? ""), hints, solved })));
    if (of !== this.#of()) return;
    verdicts.forEach((verdict, at) => {
      if ((answers[at] ?? null) === null) return;
      this.#verdicts[at].replaceChildren(...verdictOf(verdict));
      const input = this.#inputs[at];
      if (verdict.right.includes("value")) input.removeAttribute("aria-invalid");
      else input.setAttribute("aria-invalid", "true");
    });
    this.#slip?.put(slip);
    if (verdicts.every(({ points }) => points === 100)) this.#offerSolution(true);
  }

  /** @param {Gatefrost.PosedTask} task */
  #showHints(task) {
    const opened = Math.min(this.#done().hints, task.hints.length);
    const open = async () => {
      this.#keep.put(this.#of(), { ...this.#done(), hints: opened + 1 });
      this.#showHints(task);
      const last = /** @type {HTMLElement | null} */ (this.#hints.querySelector("li:last-child"));
      last?.focus();
      // The slip says how many were opened.
      if (this.#done().answers.length > 0) await this.#judge().catch(tell);
    };
    this.#hints.hidden = task.hints.length === 0;
    this.#hints.replaceChildren(
      el("h3", {}, say("hints-heading")),
      opened > 0 ? el("ol", {}, task.hints.slice(0, opened).map((hint) => el("li", { tabIndex: -1 }, piecesOf(hint)))) : "",
      opened < task.hints.length ? el("button", { type: "button", onclick: open }, say("hint-open", { at: opened + 1, of: task.hints.length })) : "",
    );
  }

  // What may be changed on this page, and what may be opened in the window.
  /** @param {Gatefrost.PosedTask} task */
  #model({ inputs, asked, window }) {
    const open = inputs.filter((input) => input.open);
    const parts = [el("h3", {}, say("posed-model-heading")), el("p", { className: "small" }, open.length > 0 ? say("posed-open-some") : say("posed-open-none"))];
    if (open.length > 0) parts.push(this.#trial(open, asked));
    if (window) parts.push(el("p", {}, el("a", { href: toWindow(window), target: "_blank", rel: "noopener" }, say("posed-window")), ` ${say("posed-window-about")}`));
    return parts;
  }

  /**
   * @param {Gatefrost.PosedInput[]} open
   * @param {Gatefrost.PosedResult[]} asked
   */
  #trial(open, asked) {
    const said = el("div", { role: "status" });
    const fields = open.map(({ given, unit, value }, at) => {
      const id = `${this.#place}-open-${at}`;
      const input = numberInput({ id, value: String(value) });
      return { input, row: el("div", { className: "answer" }, el("label", { htmlFor: id }, formulaOf(given.mathml), `, ${given.words}${unit ? ` [${unit}]` : ""}`), input) };
    });
    const compute = async () => {
      dismiss("posed");
      said.textContent = say("posed-computing");
      const changed = open.map(({ path, value }, at) => [path, typedNumber(fields[at].input.value) ?? value]);
      open.forEach(({ value }, at) => {
        if (typedNumber(fields[at].input.value) === null) fields[at].input.value = String(value);
      });
      try {
        const told = await ask("posed_tried", this.#args({ changed }));
        said.replaceChildren(list(told.map((/** @type {string} */ value, /** @type {number} */ at) => `${asked[at].words}: ${value}`)));
      } catch (error) {
        said.replaceChildren(el("p", {}, reasons(error).join(" ")));
      }
    };
    return el("div", { className: "beside" }, fields.map(({ row }) => row), el("button", { type: "button", onclick: compute }, say("posed-compute")), said);
  }

  #offerSolution(right = false) {
    if (this.#done().solved) {
      this.#showSolution().catch(tell);
      return;
    }
    this.#solution.replaceChildren(
      el("h3", {}, say("solution-heading")),
      right ? "" : el("p", { className: "small" }, say("solution-noted")),
      el("button", { type: "button", onclick: async () => {
        if (!right) this.#keep.put(this.#of(), { ...this.#done(), solved: true });
        await this.#showSolution().catch(tell);
        if (this.#done().answers.length > 0) await this.#judge().catch(tell);
      } }, right ? say("solution-show") : say("solution-give-up")),
    );
  }

  async #showSolution() {
    const told = /** @type {string[]} */ (await ask("posed_answers", this.#args()));
    this.#solution.replaceChildren(
      el("h3", { tabIndex: -1 }, say("solution-heading")),
      el("p", { className: "small" }, say("posed-solution-about")),
      list(told.map((value, at) => `${this.#task?.asked[at].words}: ${value}`)),
    );
  }
}
