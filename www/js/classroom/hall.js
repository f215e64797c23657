// @ts-check
// Demonstrations for the hall: one control, one figure, large type, all by keys.

import { solved } from "app/classroom/hall-work";
import { say } from "app/classroom/say";
import { SCENES } from "app/classroom/scenes";
import { Board, gas_shown, told } from "app/shared/core";
import { el } from "app/shared/dom";

// A figure is drawn no wider than this and enlarged to its place, so that its words are large, too.
const WIDEST = 640;
const WIDEST_WINDOW = 860;
const NARROWEST = 200;
const dark = matchMedia("(prefers-color-scheme: dark)");

/** @typedef {{ svg: string, said: string }} Shown */
/** @typedef {import("app/classroom/scenes").Scene} Scene */

/** @type {Hall | null} */
let open = null;

/** @param {number} number of the demonstration, from 1 */
export function openHall(number) {
  open ??= new Hall();
  open.choose(number - 1);
}

class Hall {
  #place = 0;
  #at = 0;
  // What has been computed: points of a sweep, and figures, by scene and value.
  /** @type {Map<string, any>} */
  #kept = new Map();
  #busy = false;
  #again = false;
  #number = el("span", {});
  #title = el("span", {});
  #words = el("p", {});
  #picture = el("img", { alt: "" });
  #stage = el("div", { className: "stage" }, this.#picture);
  #value = el("label", { htmlFor: "hall-control" });
  #told = el("p", { className: "told", role: "status" });
  #range = el("input", { type: "range", id: "hall-control", min: 0, step: 1, oninput: () => this.#move(Number(this.#range.value)) });
  #stop = new AbortController();

  constructor() {
    const button = (/** @type {string} */ words, /** @type {() => void} */ onclick) => el("button", { type: "button", onclick }, words);
    this.root = el(
      "section",
      { id: "hall", className: "hall", "aria-labelledby": "hall-heading", tabIndex: -1 },
      el("div", {}, el("h2", { id: "hall-heading" }, this.#title), this.#words),
      this.#stage,
      el("div", { className: "control" }, this.#value, this.#told, this.#range),
      el(
        "div",
        {},
        el("p", { className: "row" }, button(say("hall-previous"), () => this.choose(this.#place - 1)), this.#number, button(say("hall-next"), () => this.choose(this.#place + 1)), button(say("hall-leave"), () => this.leave())),
        el("p", { className: "keys" }, say("hall-keys")),
      ),
    );
    document.body.append(this.root);
    document.documentElement.dataset.hall = "true";
    const { signal } = this.#stop;
    addEventListener("keydown", (event) => this.#key(event), { signal });
    addEventListener("resize", () => this.#redraw(), { signal });
    dark.addEventListener("change", () => this.#redraw(), { signal });
  }

  get #scene() {
    return SCENES[this.#place];
  }

  /** @param {number} place of the demonstration, from 0; past the last comes the first */
  choose(place) {
    this.#place = (place + SCENES.length) % SCENES.length;
    const { title, words, control } = this.#scene;
    history.replaceState(history.state, "", `#hall-${this.#place + 1}`);
    this.#title.textContent = title();
    this.#words.textContent = words();
    this.#number.textContent = say("hall-of", { at: this.#place + 1, of: SCENES.length });
    this.#range.max = String(control.values.length - 1);
    this.#told.textContent = "";
    this.#picture.hidden = true;
    this.#move(control.at);
    this.#range.focus();
  }

  leave() {
    this.#stop.abort();
    this.root.remove();
    open = null;
    delete document.documentElement.dataset.hall;
    history.replaceState(history.state, "", `${location.pathname}${location.search}`);
    document.getElementById("to-hall")?.focus();
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const steps = /** @type {Record<string, number>} */ ({ ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, Home: -Infinity, End: Infinity });
    /** @type {Record<string, () => unknown>} */
    const acts = {
      PageDown: () => this.choose(this.#place + 1),
      PageUp: () => this.choose(this.#place - 1),
      Escape: () => this.leave(),
      f: () => (document.fullscreenElement ? document.exitFullscreen() : document.documentElement.requestFullscreen()),
    };
    const act = acts[event.key] ?? (event.key in steps && (() => this.#move(this.#at + steps[event.key]))) ?? null;
    const number = Number(event.key);
    if (act) act();
    else if (event.key !== " " && number >= 1 && number <= SCENES.length) this.choose(number - 1);
    else return;
    event.preventDefault();
  }

  /** @param {number} at position among the control's values */
  #move(at) {
    const { words, unit, values } = this.#scene.control;
    this.#at = Math.max(0, Math.min(values.length - 1, at));
    const value = told(values[this.#at], unit);
    this.#range.value = String(this.#at);
    this.#range.setAttribute("aria-valuetext", value);
    this.#value.textContent = say("hall-at", { control: words(), value });
    this.#show();
  }

  #redraw() {
    for (const name of this.#kept.keys()) if (!name.startsWith("swept")) this.#kept.delete(name);
    this.#show();
  }

  // Shows what stands at the control. While the solver works, only the newest wish waits.
  async #show() {
    this.#again = true;
    if (this.#busy) return;
    this.#busy = true;
    document.documentElement.dataset.busy = "true";
    while (this.#again) {
      this.#again = false;
      const scene = this.#scene;
      const name = `${this.#place}/${this.#at}`;
      if (!this.#kept.has(name) && !scene.gas) this.#told.textContent = say("hall-computing");
      try {
        // One after the other: the next wish is known when this one has been shown.
        // oxlint-disable-next-line no-await-in-loop
        const shown = this.#kept.get(name) ?? (await this.#drawn(scene));
        this.#kept.set(name, shown);
        if (!this.#again) this.#put(scene, shown);
      } catch (error) {
        this.#told.textContent = say("hall-failed", { words: error instanceof Error ? error.message : String(error) });
      }
    }
    this.#busy = false;
    document.documentElement.dataset.busy = "false";
  }

  /**
   * @param {Scene} scene
   * @param {Shown} shown
   */
  #put(scene, { svg, said }) {
    this.#told.textContent = said;
    this.#picture.src = `data:image/svg+xml,${encodeURIComponent(svg)}`;
    this.#picture.alt = say("hall-figure", { title: scene.title(), told: said });
    this.#picture.hidden = false;
  }

  // Size of the figure as it is drawn.
  #size() {
    const { clientWidth, clientHeight } = this.#stage;
    const larger = Math.max(1, clientWidth / (this.#scene.window ? WIDEST_WINDOW : WIDEST));
    return [clientWidth / larger, clientHeight / larger].map((side) => Math.max(NARROWEST, Math.round(side)));
  }

  /**
   * @param {Scene} scene
   * @returns {Promise<Shown>}
   */
  async #drawn(scene) {
    const { control, set = {}, sheet, sweep } = scene;
    const value = control.values[this.#at];
    const [width, height] = this.#size();
    const options = { dark: dark.matches };
    if (scene.gas) {
      const { chart, pressure_kpa: kpa } = gas_shown(value);
      return { svg: this.#svg(chart), said: say("hall-wax-told", { pressure: kpa < 1000 ? told(kpa, "kPa") : told(kpa / 1000, "MPa") }) };
    }
    if (sweep) return this.#swept(scene, sweep, value);
    const there = { ...set, [control.path]: value };
    if (sheet) {
      const { svg, report } = await solved(say("beside-unreached"), "hall_sheet", { set: there, figure: sheet, size: [width, height], options });
      return { svg, said: scene.told?.(report) ?? "" };
    }
    const { svg, line } = await solved(say("beside-unreached"), "hall_window", { set: there, size: [width, height], options });
    const share = told(100 * line.usable_share, "%");
    return { svg, said: line.nothing ?? say("hall-wall-told", { share, limits: line.bounded_by.join(", ").toLowerCase() }) };
  }

  /**
   * @param {Scene} scene
   * @param {import("app/classroom/scenes").Sweep} sweep
   * @param {number} value
   * @returns {Promise<Shown>}
   */
  async #swept({ title, control, set = {} }, sweep, value) {
    const name = `swept/${this.#place}`;
    const reads = [sweep.level, sweep.mark];
    const found = this.#kept.get(name) ?? (await solved(say("beside-unreached"), "hall_swept", { set, path: control.path, values: control.values, result: sweep.result, reads }));
    this.#kept.set(name, found);
    const { results, read: [level, place] } = found;
    const rising = control.values.map((x, k) => /** @type {[number, number]} */ ([x, results[k] ?? NaN])).sort(([a], [b]) => a - b);
    const ends = [rising[0][0], Math.max(place ?? -Infinity, rising[rising.length - 1][0])];
    const marks = [{ at: value, text: say("hall-present"), leading: true }];
    if (typeof place === "number") marks.push({ at: place, text: sweep.marked?.() ?? "", leading: false });
    /** @type {Gatefrost.ChartCurve[]} */
    const curves = [{ name: sweep.words(), form: "leading", points: rising }];
    if (typeof level === "number") curves.push({ name: sweep.limit?.() ?? "", form: "line", points: ends.map((x) => [x, level]) });
    const svg = this.#svg({
      caption: title(),
      x: { title: control.words(), unit: control.unit, log: sweep.across ?? false, from_zero: false },
      y: { title: sweep.words(), unit: sweep.unit, log: sweep.log, from_zero: false },
      series: say("figure-series"),
      curves,
      marks,
      empty: "",
    });
    return { svg, said: say("hall-at", { control: sweep.words(), value: told(results[control.values.indexOf(value)], sweep.unit) }) };
  }

  /** @param {Gatefrost.Chart} chart */
  #svg(chart) {
    const [width, height] = this.#size();
    const board = new Board(chart);
    const svg = board.svg("", width, height, { dark: dark.matches });
    board.free();
    return svg;
  }
}
