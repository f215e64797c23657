// @ts-check
// Opens a number in place. What stands behind it is computed in a worker with a module of its own, which is asked for
// when the page is idle, and started when the first number is opened.

import { loadStudies } from "app/shared/core";
import { el, whenQuiet } from "app/shared/dom";
import { LateWorker } from "app/shared/late";
import { unitsInUse } from "app/shared/units";
import { model } from "app/window/settings/model";

// From the last change of the report until open explanations are computed again, and from the first window until the
// module is asked for, in ms.
const QUIET = 250;
const IDLE = 3000;

const UNREACHED = "What explains the results cannot be loaded.";
const worker = new LateWorker(loadStudies, UNREACHED);

/** @typedef {"explained" | "moves"} Call */
/** @typedef {import("app/shared/worker").Answer<any>} Answer */

let working = false;
// What shows an explanation. It comes with the worker.
/** @type {typeof import("app/explain/parts") | null} */
let parts = null;
/** @type {ExplainPlace[]} */
const places = [];

// The worker starts while the finger or the pointer is on its way.
const ready = () => void worker.start();

/**
 * @param {Call} call
 * @param {string} key
 * @returns {Promise<Answer>}
 */
async function ask(call, key) {
  const answer = worker.run({ call, args: { scenario: model.text(), key, units: unitsInUse() } });
  parts ??= await import("app/explain/parts").catch(() => null);
  return parts ? answer : { failure: UNREACHED };
}

// Answers what the places need, explanations before what moves the results.
async function work() {
  if (working) return;
  working = true;
  for (;;) {
    const place = places.find(({ needs }) => needs === "explained") ?? places.find(({ needs }) => needs === "moves");
    if (!place?.needs || !place.key) break;
    const { needs, asked, key } = place;
    const answer = await ask(needs, key);
    if (asked === place.asked && !answer.stopped) place.take(needs, answer);
  }
  working = false;
}

// A list or a table whose numbers can be opened, one at a time. `root` stands below it.
export class ExplainPlace {
  /** @type {string | null} */
  key = null;
  /** @type {Call | null} */
  needs = null;
  asked = 0;
  #of = "";
  #fresh = false;
  #words = el("h3");
  #body = el("div", { className: "explained" });
  #moves = el("div", { className: "moves" });
  /** @type {() => HTMLElement | Document} */
  #within;
  root = el("div", { className: "explanation", id: `explanation-${places.length}`, hidden: true, role: "group", "aria-label": "Explanation", onkeydown: (/** @type {KeyboardEvent} */ event) => this.#escape(event) });

  /** @param {() => HTMLElement | Document} within what holds the numbers */
  constructor(within = () => document) {
    this.#within = within;
    const close = el("button", { type: "button", className: "quiet", onclick: () => this.close() }, "Close");
    this.root.append(el("div", { className: "heading" }, this.#words, close), this.#body, this.#moves);
    places.push(this);
  }

  // A number that can be pressed.
  /**
   * @param {string} key
   * @param {Node | string} shown
   */
  number(key, shown) {
    return el(
      "button",
      {
        type: "button",
        className: "number",
        dataset: { explains: key },
        "aria-expanded": String(key === this.key),
        "aria-controls": this.root.id,
        onpointerenter: ready,
        onfocus: ready,
        onclick: () => (this.key === key ? this.close() : this.#open(key)),
        onkeydown: (/** @type {KeyboardEvent} */ event) => this.#escape(event),
      },
      shown,
    );
  }

  // Puts other numbers into an element. The one that had the focus keeps it.
  /**
   * @param {HTMLElement} box
   * @param {...(Node | string)} children
   */
  refill(box, ...children) {
    const active = /** @type {HTMLElement | null} */ (document.activeElement);
    const key = active && box.contains(active) ? active.dataset.explains : undefined;
    box.replaceChildren(...children);
    if (key) /** @type {HTMLElement | null} */ (box.querySelector(`[data-explains="${key}"]`))?.focus({ preventScroll: true });
  }

  /** @param {KeyboardEvent} event */
  #escape(event) {
    if (event.key !== "Escape" || this.key === null) return;
    event.stopPropagation();
    this.close();
  }

  #mark() {
    const all = /** @type {NodeListOf<HTMLElement>} */ (this.#within().querySelectorAll(`[aria-controls="${this.root.id}"]`));
    for (const button of all) button.setAttribute("aria-expanded", String(button.dataset.explains === this.key));
    return [...all].find(({ dataset }) => dataset.explains === this.key);
  }

  close() {
    const button = this.#mark();
    this.key = null;
    this.needs = null;
    this.asked += 1;
    this.root.hidden = true;
    this.#mark();
    button?.focus();
  }

  /** @param {string} key */
  #open(key) {
    this.key = key;
    this.#fresh = true;
    this.#words.textContent = "Computing…";
    this.#body.replaceChildren();
    this.#moves.replaceChildren();
    this.root.hidden = false;
    this.#mark();
    this.ask();
  }

  ask() {
    this.asked += 1;
    this.needs = "explained";
    this.#of = `${unitsInUse()} ${model.text()}`;
    // What moves other results can wait.
    if (worker.busy) worker.stop();
    work();
  }

  // Computes again what is open, unless nothing has changed.
  again() {
    if (this.key !== null && this.#of !== `${unitsInUse()} ${model.text()}`) this.ask();
  }

  /**
   * @param {Call} call
   * @param {Answer} answer
   */
  take(call, { value, problems, failure }) {
    if (call === "moves") {
      this.needs = null;
      this.#moves.replaceChildren(...(parts?.movesParts(value ?? [], failure) ?? []));
      return;
    }
    this.needs = value ? "moves" : null;
    if (!value) {
      this.#words.textContent = "Not explained";
      this.#body.replaceChildren(el("p", {}, failure || problems?.map(({ message }) => message).join(" ") || "The report has no such number any more."));
      this.#moves.replaceChildren();
      return;
    }
    this.#words.textContent = value.value === null ? value.title : `${value.title}: ${value.value}`;
    this.#body.replaceChildren(...(parts?.explanationParts(value) ?? []));
    this.#moves.replaceChildren(...(parts?.movesParts(null) ?? []));
    // What follows an edit stays where it is.
    if (this.#fresh) this.root.scrollIntoView({ block: "nearest" });
    this.#fresh = false;
  }
}

const explainOpen = whenQuiet(QUIET, () => {
  if (model.problems().length === 0) for (const place of places) place.again();
});

// The module comes after the first window, so that it delays nothing.
const fetchWhenIdle = whenQuiet(IDLE, () => {
  if (!document.documentElement.dataset.ready) fetchWhenIdle();
  else loadStudies().catch(() => {});
});

// Another report is shown.
export function explainAgain() {
  explainOpen();
  fetchWhenIdle();
}
