// @ts-check
// The field of a table of readings: a text that is typed, pasted or dropped. It shows only the beginning of a very
// long text.

import { el } from "app/shared/dom";
import { number } from "app/shared/numbers";

// A field with very many lines would block the page for seconds.
const LONG = 60_000;
const SHOWN_LINES = 200;

/**
 * @typedef {object} Listener
 * @property {() => void} typed
 * @property {(text: string) => void} put another text is to take its place
 * @property {(file: File) => void} open
 */

export class ReadingsField {
  #on;
  #aside = el("p", { className: "small", role: "status" });
  #asideBox = el("div", { hidden: true }, this.#aside, el("div", { className: "row" },
    el("button", { type: "button", className: "quiet", onclick: () => this.show(this.content, true) }, "Edit all lines here"),
    el("button", { type: "button", className: "quiet", onclick: () => this.#on.put("") }, "Clear the field")));
  // The whole text, if the field shows only its beginning.
  /** @type {string | null} */
  #long = null;
  #editAll = false;

  /**
   * @param {string} id
   * @param {Listener} on
   */
  constructor(id, on) {
    this.#on = on;
    this.text = el("textarea", { id, spellcheck: false, autocomplete: "off", "aria-describedby": `${id}-trouble`, wrap: "off" });
    this.parts = [this.text, this.#asideBox];
    this.text.addEventListener("input", () => {
      this.show(this.text.value, this.#editAll);
      on.typed();
    });
    this.text.addEventListener("paste", (event) => this.#paste(event));
    this.text.addEventListener("dragover", (event) => this.#over(event, true));
    this.text.addEventListener("dragleave", (event) => this.#over(event, false));
    this.text.addEventListener("drop", (event) => this.#drop(event));
  }

  get content() {
    return this.#long ?? this.text.value;
  }

  /**
   * @param {string} whole
   * @param {boolean} [all] whether all of a long text is shown
   */
  show(whole, all = false) {
    this.#editAll = all && whole.length > LONG;
    this.#long = whole.length > LONG && !all ? whole : null;
    this.text.readOnly = this.#long !== null;
    this.#asideBox.hidden = this.#long === null;
    if (this.#long === null) {
      if (this.text.value !== whole) this.text.value = whole;
      return;
    }
    this.text.value = whole.slice(0, LONG).split("\n", SHOWN_LINES).join("\n");
    this.text.setSelectionRange(0, 0);
    this.#aside.textContent = `All ${number(linesOf(whole), 7)} lines are kept and fitted; the first ${SHOWN_LINES} are shown. Paste again to replace them.`;
  }

  /**
   * A long text is taken before it goes into the field.
   * @param {ClipboardEvent} event
   */
  #paste(event) {
    const pasted = event.clipboardData?.getData("text/plain") ?? "";
    if (pasted === "" || this.#editAll || (pasted.length <= LONG && this.#long === null)) return;
    event.preventDefault();
    const { value, selectionStart, selectionEnd } = this.text;
    this.#on.put(this.#long === null ? value.slice(0, selectionStart) + pasted + value.slice(selectionEnd) : pasted);
  }

  /**
   * @param {DragEvent} event
   * @param {boolean} over
   */
  #over(event, over) {
    if (over && !event.dataTransfer?.types.includes("Files")) return;
    if (over) event.preventDefault();
    this.text.classList.toggle("over", over);
  }

  /** @param {DragEvent} event */
  #drop(event) {
    this.text.classList.remove("over");
    const file = event.dataTransfer?.files[0];
    if (!file) return;
    event.preventDefault();
    this.#on.open(file);
  }
}

/** @param {string} text */
export function linesOf(text) {
  let count = 1;
  for (let at = text.indexOf("\n"); at >= 0 && at < text.length - 1; at = text.indexOf("\n", at + 1)) count += 1;
  return count;
}
