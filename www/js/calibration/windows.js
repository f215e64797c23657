// @ts-check
// The window before and after a calibration, each with its bands. A worker with the window's module traces and draws them.

import { loadWindowWith } from "app/shared/core";
import { el } from "app/shared/dom";
import { footOf } from "app/shared/exhibit";
import { number } from "app/shared/numbers";
import { style } from "app/shared/picture";
import { PageWorker } from "app/shared/worker";
import { units } from "app/shared/units";
import { model } from "app/window/settings/model";

// Widest picture on the page, its height over its width, and the size in a file, in CSS pixels; device pixels of a PNG for each.
const WIDEST = 640;
const NARROWEST = 300;
const SHAPE = 0.8;
const FILE = [900, 620];
const PIXELS = 3;

/** @typedef {{ window: Uint8Array, bands: Uint8Array, place: [number | null, number | null] }} Traced what a worker has traced, packed */
/** @typedef {{ svg: string, file: string, csv: string, table: Gatefrost.DataTable, line: { usable_share: number, bounded_by: string[], nothing: string | null } }} Drawn */

// The body of what the worker can do beside the functions of the module. It runs in the worker alone.
function tracer() {
  /** @type {any} */
  const self = globalThis;
  self.window_traced = (/** @type {{ scenario: string }} */ { scenario }) => {
    const about = { scenario, detail: "fine" };
    const tracing = new self.Tracing(about);
    const parts = Array.from({ length: tracing.size_parts }, (_, part) => self.size_part({ ...about, part }));
    if (parts.length > 0) tracing.take_sizes(Float64Array.from(parts));
    for (let jobs = tracing.jobs(1); jobs.length > 0; jobs = tracing.jobs(1)) {
      for (const [job, places] of jobs.entries()) tracing.give(job, self.margins({ ...about, places }));
      tracing.next();
    }
    const window = tracing.window(tracing.closed ? self.nearest(about) : null);
    for (let direction = 0; direction < tracing.directions; direction += 1) tracing.give_band(self.band({ ...about, direction }));
    const traced = { window, bands: tracing.bands(), place: self.set_point(scenario) };
    tracing.free();
    return traced;
  };
  self.window_drawn = (/** @type {any} */ { traced, page, file, options }) => {
    const sheet = new self.Sheet();
    sheet.set_window(traced.window);
    sheet.set_bands(traced.bands);
    const shown = { ...options, set_point: traced.place };
    const paper = { ...shown, dark: false, title: true };
    const drawn = { svg: sheet.svg("window", ...page, shown), file: sheet.svg("window", ...file, paper), csv: sheet.csv("window", paper), table: sheet.table("window", shown), line: sheet.window_line() };
    sheet.free();
    return drawn;
  };
}

export class Windows {
  root = el("div", { className: "windows", "aria-live": "off" });
  #sides = [new Side("Window before", "before"), new Side("Window after", "after")];
  /** @type {PageWorker | null} */
  #worker = null;
  #turn = 0;

  constructor() {
    this.root.append(...this.#sides.map((side) => side.root));
    const again = () => this.#draw();
    units.addEventListener("changed", again);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", again);
  }

  // Traces both windows, the one after first.
  /**
   * @param {string} before
   * @param {string} after
   */
  async show(before, after) {
    this.#turn += 1;
    const turn = this.#turn;
    this.#worker?.stop();
    for (const side of this.#sides) side.wait();
    try {
      const spawn = await loadWindowWith(tracer);
      this.#worker ??= new PageWorker(spawn);
    } catch (error) {
      for (const side of this.#sides) side.fail(String(error));
      return;
    }
    for (const [side, scenario] of /** @type {[Side, string][]} */ ([[this.#sides[1], after], [this.#sides[0], before]])) {
      // The log does not bear on the window.
      const answer = await this.#ask("window_traced", { scenario: JSON.stringify({ ...JSON.parse(scenario), shots: [] }) });
      if (turn !== this.#turn) return;
      if (!answer.value) side.fail(answer.failure ?? "the scenario has problems");
      else await this.#drawOne(side, answer.value);
    }
  }

  async #draw() {
    for (const side of this.#sides) if (side.traced) await this.#drawOne(side, side.traced);
  }

  /**
   * @param {Side} side
   * @param {Traced} traced
   */
  async #drawOne(side, traced) {
    const answer = await this.#ask("window_drawn", { traced, page: side.size(), file: FILE, options: style(1) });
    if (answer.value) side.show(traced, answer.value);
    else if (answer.failure) side.fail(answer.failure);
  }

  /**
   * @param {string} call
   * @param {Record<string, any>} args
   */
  async #ask(call, args) {
    return /** @type {any} */ (this.#worker)?.run({ call, args }) ?? { stopped: true };
  }
}

class Side {
  /** @type {Traced | null} */
  traced = null;
  /** @type {Drawn | null} */
  #drawn = null;
  #picture;
  #said = el("p", { className: "small", role: "status" });
  #below;
  #foot;

  /**
   * @param {string} heading
   * @param {string} id
   */
  constructor(heading, id) {
    this.#picture = el("img", { id: `window-${id}`, hidden: true, alt: `${heading}: its lines are in the table below` });
    // The foot is hidden until the window is drawn.
    const drawn = () => /** @type {Drawn} */ (this.#drawn);
    const files = { svg: () => drawn().file, png: () => this.#png(), csv: () => drawn().csv };
    this.#below = footOf(heading, () => `${model.scenario.name} ${heading}`, files, () => drawn().table);
    this.#foot = el("div", { className: "foot", hidden: true }, this.#below.nodes);
    this.root = el("figure", { dataset: { figure: `window-${id}` } }, el("figcaption", {}, el("h3", {}, heading)), this.#said, this.#picture, this.#foot);
  }

  // Of the picture on the page.
  size() {
    const width = Math.round(Math.min(WIDEST, Math.max(NARROWEST, this.root.clientWidth)));
    return [width, Math.round(SHAPE * width)];
  }

  wait() {
    this.traced = null;
    this.#said.textContent = "Tracing the window with its bands…";
    this.#picture.hidden = true;
    this.#foot.hidden = true;
  }

  /** @param {string} why */
  fail(why) {
    this.#said.textContent = `The window could not be traced: ${why}.`;
  }

  /**
   * @param {Traced} traced
   * @param {Drawn} drawn
   */
  show(traced, drawn) {
    this.traced = traced;
    this.#drawn = drawn;
    const { usable_share: usable, bounded_by: bounds, nothing } = drawn.line;
    this.#said.textContent = nothing ?? `${number(100 * usable, 3)} % of this plane is usable${bounds.length > 0 ? `, bounded by ${bounds.join(", ").toLowerCase()}` : ""}.`;
    this.#picture.src = `data:image/svg+xml,${encodeURIComponent(drawn.svg)}`;
    this.#picture.hidden = false;
    this.#foot.hidden = false;
    this.#below.fill();
  }

  /** @returns {Promise<Blob>} */
  async #png() {
    const picture = el("img", { src: `data:image/svg+xml,${encodeURIComponent(this.#drawn?.file ?? "")}` });
    await picture.decode();
    const canvas = el("canvas", { width: FILE[0] * PIXELS, height: FILE[1] * PIXELS });
    canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
    return new Promise((done, fail) => canvas.toBlob((blob) => (blob ? done(blob) : fail(new Error("this browser could not write the picture"))), "image/png"));
  }
}
