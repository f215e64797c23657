// @ts-check
// A table of readings: pasted, dropped or opened. The text stays, valid or not. A worker reads and fits it; a newer text
// stops the work on an older one.

import { list, wayBack } from "app/shared/tables";
import { keeper, recall } from "app/readings/tab-keep";
import { ReadingsField, linesOf } from "app/readings/readings";
import { decode_readings } from "app/shared/core";
import { el, whenQuiet } from "app/shared/dom";
import { LateWorker } from "app/shared/late";
import { dismiss, notice } from "app/shared/notices";
import { number } from "app/shared/numbers";

/** @typedef {{ call: string, args: Record<string, any> }} Job */
/** @typedef {"empty" | "refused" | "field" | "failed"} Why why there is nothing to show */
/** @typedef {{ problems: { line?: number | null, column?: string | null, message: string }[], unlisted: number }} Refusal */
/**
 * @typedef {object} Table
 * @property {() => Promise<() => Worker>} load resolves to what starts a worker that reads and fits the table
 * @property {string[]} form describes the columns; empty where another table has described them
 * @property {string} example
 * @property {string} exampleWords
 * @property {() => () => void} [prepare] sets the fields that the example needs; returns what sets them back
 * @property {(text: string) => Job | null} job gives nothing where a field holds no value
 * @property {(answer: any) => void} take gets what the worker answers
 * @property {(why: Why) => void} cleared
 * @property {(words: string) => void} working hears how far it is
 */

const UNREACHED = "What reads and fits tables could not be loaded. Change the readings or a field to try again.";

/**
 * Why there is nothing to show, in words.
 * @param {string} head what has not been done, such as "Not fitted"
 * @param {{ empty?: string, below?: string }} [more] the words without readings, and what the list of faults stands below
 * @returns {Record<Why, string>}
 */
export const clearedWords = (head, { empty = "", below = "the readings" } = {}) => ({
  empty,
  field: `${head}: see the message at the field.`,
  refused: `${head}: see the list below ${below}.`,
  failed: `${head}: see the message at the top of the page.`,
});

let atWork = 0;

/** @param {number} step */
function tell(step) {
  atWork += step;
  document.documentElement.dataset.busy = String(atWork > 0);
}

export class TableBox {
  #id;
  #table;
  #field;
  #worker;
  // The text of the last computation.
  /** @type {string | null} */
  #read = null;
  #keep;
  #back = wayBack("Restore my text");
  #trouble;

  /**
   * @param {string} id
   * @param {string} title
   * @param {Table} table
   */
  constructor(id, title, table) {
    this.#id = id;
    this.#table = table;
    this.#worker = new LateWorker(table.load, UNREACHED);
    const settle = whenQuiet(200, () => this.#compute(false));
    const typed = () => {
      this.#keep();
      settle();
    };
    this.#field = new ReadingsField(id, { typed, put: (text) => this.#put(text), open: (file) => this.#open(file) });
    this.#keep = keeper(id, () => this.#field.content || null);
    this.#trouble = el("ul", { className: "trouble", id: `${id}-trouble`, hidden: true, "aria-live": "polite" });
    this.#field.show(recall(id) ?? "");
    this.root = this.#build(title);
  }

  // Computes the same text again, because a field has changed.
  again() {
    this.#compute(true);
  }

  /** @param {string} title */
  #build(title) {
    const { example, exampleWords, form, prepare } = this.#table;
    const chooser = el("input", {
      type: "file",
      accept: ".csv,.tsv,.txt,text/csv,text/plain",
      className: "hidden",
      tabIndex: -1,
      "aria-label": `${title}: file`,
      onchange: () => {
        const file = chooser.files?.[0];
        if (file) this.#open(file);
        chooser.value = "";
      },
    });
    const open = this.#field.content === "" && matchMedia("(min-width: 64rem)").matches;
    return el(
      "div",
      { className: "field wide" },
      el("label", { htmlFor: this.#id }, title),
      this.#field.parts,
      el(
        "div",
        { className: "row" },
        el("button", { type: "button", onclick: () => chooser.click() }, "Open file"),
        el("button", { type: "button", id: `${this.#id}-example`, onclick: () => this.#put(example, prepare?.()) }, "Worked example"),
        this.#back.button,
        chooser,
      ),
      el("p", { className: "small" }, exampleWords),
      this.#trouble,
      form.length > 0 && el("details", { className: "more", open }, el("summary", {}, "Format of the table"), list(form)),
    );
  }

  /** @param {boolean} again also where the text is the same */
  async #compute(again) {
    const { job, cleared, working } = this.#table;
    const text = this.#field.content;
    if (!again && text === this.#read) return;
    this.#read = text;
    this.#worker.stop();
    this.#trouble.hidden = true;
    this.#field.text.removeAttribute("aria-invalid");
    if (text.trim() === "") {
      cleared("empty");
      return;
    }
    const wanted = job(text);
    if (!wanted) {
      cleared("field");
      return;
    }
    tell(1);
    const rest = watch(text, working);
    const answer = await this.#worker.run(wanted);
    rest();
    if (!answer.stopped) this.#deliver(answer);
    tell(-1);
  }

  /** @param {import("app/shared/worker").Answer<any>} answer */
  #deliver({ value, problems, unlisted = 0, failure = "" }) {
    const { take, cleared } = this.#table;
    dismiss(`failure-${this.#id}`);
    if (value) {
      take(value);
      return;
    }
    if (problems) this.#refuse({ problems, unlisted });
    else notice(`failure-${this.#id}`, "The calculation on these readings failed. The readings are kept.", [failure]);
    cleared(problems ? "refused" : "failed");
  }

  /** @param {Refusal} refusal */
  #refuse({ problems, unlisted }) {
    const lines = problems.map(inWords);
    if (unlisted > 0) lines.push(`and ${number(unlisted, 7)} more`);
    this.#trouble.hidden = false;
    this.#trouble.replaceChildren(...lines.map((line) => el("li", {}, line)));
    this.#field.text.setAttribute("aria-invalid", "true");
  }

  /**
   * @param {string} wanted
   * @param {() => void} [setBack]
   */
  #put(wanted, setBack) {
    const before = this.#field.content;
    if (before.trim() !== "" && before !== wanted && before !== this.#table.example) this.#back.offer(() => {
      setBack?.();
      this.#show(before);
    });
    this.#show(wanted);
  }

  /** @param {string} text */
  #show(text) {
    this.#field.show(text);
    this.#keep();
    this.#compute(true);
  }

  /** @param {File} file */
  async #open(file) {
    try {
      this.#put(decode_readings(new Uint8Array(await file.arrayBuffer())));
    } catch (caught) {
      const error = /** @type {any} */ (caught);
      this.#refuse(error?.problems ? error : { problems: [{ message: `${file.name} could not be read: ${error}` }], unlisted: 0 });
    }
  }
}

/** @param {Refusal["problems"][number]} problem */
function inWords({ line, column, message }) {
  const place = [line && `line ${line}`, column && `column “${column}”`].filter(Boolean).join(", ");
  return place ? `${place[0].toUpperCase()}${place.slice(1)}: ${message}` : message;
}

/**
 * Shows what is being computed, and for how long, once it takes long enough to be noticed.
 * @param {string} text
 * @param {(words: string) => void} working
 */
function watch(text, working) {
  const lines = linesOf(text);
  const start = performance.now();
  let timer = setTimeout(function say() {
    const seconds = Math.round((performance.now() - start) / 1000);
    working(`Reading and fitting ${number(lines, 7)} lines…${seconds > 0 ? ` ${seconds} s` : ""}`);
    timer = setTimeout(say, 1000);
  }, 150);
  return () => clearTimeout(timer);
}
