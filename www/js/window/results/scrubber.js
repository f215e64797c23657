// @ts-check
// The moment of the cycle that the cavity and the figure along the path show: a slider, and a button that plays the
// cycle.

import { el, put, putAttribute } from "app/shared/dom";
import { quantity } from "app/shared/numbers";
import { units } from "app/shared/units";

// Milliseconds between moments while playing. With reduced motion, the number of moments that each press advances.
const PACE = 110;
const STRIDE = 8;
const STAGES = { fill: "Filling", hold: "Holding", cool: "Cooling" };
const still = matchMedia("(prefers-reduced-motion: reduce)");

export class Scrubber {
  /** @type {Gatefrost.MomentLine[]} */
  #lines = [];
  #moved;
  #slider;
  #button;
  #words = el("output", { id: "moment-words", htmlFor: "moment-time" }, "–");
  /** @type {ReturnType<typeof setInterval> | undefined} */
  #timer;

  /** @param {() => void} moved */
  constructor(moved) {
    this.#moved = moved;
    this.#slider = el("input", {
      type: "range",
      id: "moment-time",
      min: 0,
      max: 0,
      step: 1,
      value: 0,
      disabled: true,
      "aria-label": "Moment of the cycle",
      oninput: () => {
        this.#pause();
        this.#go(this.index);
      },
    });
    this.#button = el("button", { type: "button", id: "moment-play", disabled: true, onclick: () => this.#press() });
    this.root = el("div", { className: "scrub" }, this.#button, this.#slider, this.#words);
    units.addEventListener("changed", () => this.known && this.#go(this.index));
    still.addEventListener("change", () => this.#pause());
    this.#pause();
  }

  get known() {
    return this.#lines.length > 0;
  }

  get index() {
    return Number(this.#slider.value);
  }

  // With other moments the slider stays at the same place of the same part of the cycle. At first it is at the end of
  // the fill.
  /** @param {Gatefrost.MomentLine[]} lines */
  take(lines) {
    const before = this.#place();
    this.#lines = lines;
    const stage = lines.map((line) => line.stage);
    const first = stage.indexOf(before.stage);
    const count = stage.lastIndexOf(before.stage) - first;
    const index = first < 0 ? lines.length - 1 : first + Math.round(before.share * count);
    putAttribute(this.#slider, "max", String(lines.length - 1));
    for (const control of [this.#slider, this.#button]) control.disabled = lines.length < 2;
    this.#go(index);
  }

  wait() {
    this.#pause();
    put(this.#words, "computing…");
  }

  /** @returns {{ stage: Gatefrost.Phase, share: number }} */
  #place() {
    const line = this.#lines[this.index];
    if (!line) return { stage: "fill", share: 1 };
    const same = this.#lines.filter(({ stage }) => stage === line.stage);
    return { stage: line.stage, share: same.length > 1 ? same.indexOf(line) / (same.length - 1) : 1 };
  }

  /** @param {number} index */
  #go(index) {
    this.#slider.value = String(index);
    const { time_s, stage, filled_percent, nozzle_mpa } = this.#lines[this.index];
    const filled = filled_percent < 99.95 ? `, ${quantity(filled_percent, "%", 3)} full` : "";
    const words = `${STAGES[stage]}, ${quantity(time_s, "s", 3)}${filled}, ${quantity(nozzle_mpa, "MPa", 3)} at the nozzle`;
    this.#words.textContent = words;
    this.#slider.setAttribute("aria-valuetext", words);
    this.#moved();
  }

  #press() {
    const last = this.#lines.length - 1;
    const from = this.index >= last ? -1 : this.index;
    if (still.matches) {
      this.#go(Math.min(from + STRIDE, last));
    } else if (this.#timer) {
      this.#pause();
    } else {
      this.#button.textContent = "Pause";
      this.#go(from + 1);
      this.#timer = setInterval(() => (this.index < last ? this.#go(this.index + 1) : this.#pause()), PACE);
    }
  }

  #pause() {
    clearInterval(this.#timer);
    this.#timer = undefined;
    put(this.#button, still.matches ? "Step on" : "Run");
  }
}
