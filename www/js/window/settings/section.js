// @ts-check
// The cavity drawn to scale beside its list. It follows every edit, highlights the passage being edited, and opens the
// passage that is pressed.

import { el } from "app/shared/dom";
import { Picture } from "app/shared/picture";
import { model, touches } from "app/window/settings/model";
import { isEnd } from "app/window/settings/tree";

// Least width of an area that can be pressed, CSS pixels.
const TARGET = 24;
// Width of a letter of a name, CSS pixels.
const LETTER = 7;
/** @type {Record<string, number>} */
const STEPS = { ArrowLeft: -1, ArrowUp: -1, ArrowRight: 1, ArrowDown: 1 };

/**
 * The list beside the drawing: `words` describes a passage with its sizes, `open` goes to it.
 * @typedef {{ words: (index: number) => string, open: (index: number) => void }} List
 */

export class Section {
  #sheet;
  #list;
  /** @type {number | null} */
  #chosen = null;
  // The passages that are drawn, as text.
  #drawn = "";
  #canvas = el("canvas", {
    id: "passages-canvas",
    tabIndex: 0,
    role: "application",
    "aria-label": "The cavity, passage by passage. Arrow keys go from one to the next, Enter opens it in the list below.",
  });
  #reading = el("p", { className: "reading", id: "passages-reading", role: "status" });
  #picture;

  /**
   * @param {import("app/shared/core").Sheet} sheet
   * @param {List} list
   */
  constructor(sheet, list) {
    this.#sheet = sheet;
    this.#list = list;
    const canvas = this.#canvas;
    this.root = el("div", { className: "section" }, canvas, this.#reading);
    this.#picture = new Picture(canvas, sheet, "passages", { options: () => (this.#chosen === null ? {} : { chosen: this.#chosen }) });
    canvas.addEventListener("pointermove", (event) => {
      const index = this.#under(event);
      canvas.style.cursor = index === null ? "" : "pointer";
      this.#say(index ?? this.#chosen);
    });
    canvas.addEventListener("pointerleave", () => this.#say(this.#chosen));
    canvas.addEventListener("click", (event) => {
      const index = this.#under(event);
      if (index !== null) list.open(index);
    });
    canvas.addEventListener("keydown", (event) => this.#press(event));
    model.addEventListener("changed", ({ detail }) => touches(detail, "cavity") && this.#show());
    model.addEventListener("replaced", () => {
      this.#chosen = null;
    });
    this.#say(null);
  }

  /** @param {number} index */
  choose(index) {
    this.#chosen = index;
    this.#say(index);
    this.#picture.refresh();
  }

  /** @param {number | null} index */
  #say(index) {
    this.#reading.textContent = index === null ? "Press a passage to open it in the list." : this.#list.words(index);
  }

  /**
   * The nearest passage, the narrowest first, because a gate is drawn very narrow beside its part.
   * @param {MouseEvent} event
   */
  #under(event) {
    const canvas = this.#canvas;
    const [x, y] = this.#picture.pixel(event);
    const least = (TARGET * canvas.width) / canvas.clientWidth;
    const near = (this.#picture.layout?.spots ?? [])
      .map(({ left, right, top, bottom }, index) => ({ index, width: right - left, left, right, top, bottom }))
      .filter(({ width, left, right, top, bottom }) => {
        const air = Math.max(0, (least - width) / 2);
        return x >= left - air && x <= right + air && y >= top - air && y <= bottom + air;
      })
      .sort((a, b) => a.width - b.width);
    return near[0]?.index ?? null;
  }

  /** @param {KeyboardEvent} event */
  #press(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const last = model.scenario.cavity.passages.length - 1;
    const chosen = this.#chosen;
    const step = STEPS[event.key];
    if (step) this.choose(chosen === null ? 0 : Math.min(last, Math.max(0, chosen + step)));
    else if (event.key === "Home") this.choose(0);
    else if (event.key === "End") this.choose(last);
    else if ((event.key === "Enter" || event.key === " ") && chosen !== null) this.#list.open(chosen);
    else return;
    event.preventDefault();
  }

  // For an invalid cavity the last picture stays, dimmed.
  #show() {
    const { passages } = model.scenario.cavity;
    const now = JSON.stringify(passages);
    if (now === this.#drawn) return;
    if (this.#chosen !== null && this.#chosen >= passages.length) this.#chosen = null;
    this.#say(this.#chosen);
    try {
      this.#sheet.set_path(model.text());
      this.#drawn = now;
      this.#canvas.classList.remove("stale");
    } catch (error) {
      if (error instanceof WebAssembly.RuntimeError) throw error;
      this.#canvas.classList.add("stale");
      return;
    }
    this.#fit(passages);
    this.#picture.refresh();
  }

  /**
   * Names that would overlap are placed one above the other.
   * @param {Gatefrost.Passage[]} passages
   */
  #fit(passages) {
    const canvas = this.#canvas;
    const letters = passages.reduce((sum, { name, copies }) => sum + name.length + (copies > 1 ? 4 : 2), 0);
    const lines = Math.min(16, Math.ceil((letters * LETTER) / Math.max(1, canvas.clientWidth)) - 1);
    canvas.style.setProperty("--lines", String(Math.max(0, lines)));
    canvas.parentElement?.classList.toggle("tall", lines > 3);
    canvas.style.setProperty("--rows", String(Math.min(12, passages.filter((_, i) => isEnd(passages, i)).length)));
  }
}
