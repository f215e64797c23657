// @ts-check
// A strip of small windows for other pairs of settings, each with the set point. A worker of their own computes them one
// after another while the page rests and the strip is in view, first coarsely, then finely. Any change stops it at once.
// A press makes a plane the large one.

import { Sheet, moves, set_point } from "app/shared/core";
import { byId, el, putHidden } from "app/shared/dom";
import { number } from "app/shared/numbers";
import { Picture } from "app/shared/picture";
import { Pool } from "app/shared/pool";
import { trace } from "app/window/tracing";
import { axisOf, keepRange, spanOf } from "app/window/plane";
import { model } from "app/window/settings/model";

// Horizontal and vertical axis.
/** @type {[Gatefrost.Axis, Gatefrost.Axis][]} */
const PAIRS = [
  ["injection_time", "melt_temperature"],
  ["injection_time", "mould_temperature"],
  ["mould_temperature", "melt_temperature"],
  ["injection_time", "hold_pressure"],
  ["melt_temperature", "hold_pressure"],
  ["mould_temperature", "hold_pressure"],
  ["hold_time", "hold_pressure"],
  ["injection_time", "hold_time"],
  ["melt_temperature", "hold_time"],
  ["mould_temperature", "hold_time"],
  ["gate_depth", "solids_loading"],
  ["wall_thickness", "gate_depth"],
  ["clamp_force", "hold_pressure"],
];
const { documentElement: page } = document;

/**
 * @param {HTMLElement} root
 * @param {() => Worker} spawn
 */
export const buildPlanes = (root, spawn) => new Planes(root, spawn);

class Planes {
  #spawn;
  #planes = PAIRS.map((axes) => new SmallWindow(axes));
  /** @type {Pool | null} */
  #pool = null;
  #seen = false;
  #working = false;

  /**
   * @param {HTMLElement} root
   * @param {() => Worker} spawn
   */
  constructor(root, spawn) {
    this.#spawn = spawn;
    root.append(
      el("h3", {}, "Other planes"),
      el("p", { className: "small" }, "The same scenario in other pairs of settings. Press one to see it large."),
      el("div", { className: "planes" }, this.#planes.map((plane) => plane.root)),
    );
    root.hidden = false;
    // A button that is hidden while it has the keyboard would lose it, so the large plane's is hidden before anybody comes.
    const settle = () => this.#planes.forEach((plane) => plane.settle());
    settle();
    model.addEventListener("changed", () => {
      settle();
      this.#pool?.stop();
    });
    new MutationObserver(() => this.#rest()).observe(page, { attributeFilter: ["data-busy"] });
    new IntersectionObserver(([entry]) => {
      this.#seen = entry.isIntersecting;
      this.#rest();
    }).observe(root);
  }

  // Whether nothing else is being computed and somebody looks.
  get #free() {
    return this.#seen && page.dataset.busy === "false" && model.problems().length === 0;
  }

  async #rest() {
    if (!this.#free) {
      this.#pool?.stop();
      return;
    }
    if (this.#working) return;
    this.#working = true;
    try {
      // A change while they are computed leaves some that are out of date.
      do await this.#computeAll((this.#pool ??= new Pool(this.#spawn, 1)));
      while (this.#free && this.#planes.some((plane) => plane.stale));
    } finally {
      this.#working = false;
    }
  }

  /** @param {Pool} pool */
  async #computeAll(pool) {
    for (const plane of this.#planes) plane.renew();
    for (const fine of [false, true]) {
      for (const plane of this.#planes) if (this.#free) await plane.compute(pool, fine);
    }
  }
}

class SmallWindow {
  #axes;
  #sheet = new Sheet();
  #canvas = el("canvas", { "aria-hidden": "true" });
  #share = el("span", { className: "small" });
  #picture;
  // What the lines in the picture belong to, and whether they are fine.
  #drawn = "";
  #fine = false;

  /** @param {[Gatefrost.Axis, Gatefrost.Axis]} axes */
  constructor(axes) {
    this.#axes = axes;
    const [x, y] = axes.map((axis) => axisOf(axis).title);
    this.root = el(
      "button",
      { type: "button", className: "quiet plane", dataset: { plane: axes.join(" ") }, onclick: () => this.#enlarge() },
      this.#canvas,
      el("span", {}, `${y} over ${x.toLowerCase()}`),
      this.#share,
    );
    this.#picture = new Picture(this.#canvas, this.#sheet, "window", { options: () => ({ set_point: set_point(this.#text()) }) });
  }

  #plane() {
    const [x, y] = this.#axes;
    return { x: spanOf(x), y: spanOf(y) };
  }

  #text() {
    return JSON.stringify({ ...model.scenario, window: this.#plane() });
  }

  // All that the lines depend on: the scenario without the set point in this plane.
  #key() {
    const text = this.#text();
    const paths = moves(text, 1, 1).map(([path]) => path);
    return model.planeKey([...paths, "window"]) + JSON.stringify(this.#plane());
  }

  get stale() {
    return !this.root.hidden && (this.#drawn !== this.#key() || !this.#fine);
  }

  // The large plane has no small one.
  settle() {
    const { x, y } = model.scenario.window;
    putHidden(this.root, this.#axes.every((axis) => axis === x.axis || axis === y.axis));
  }

  // The set point is put where it is now.
  renew() {
    if (!this.root.hidden) this.#picture.refresh();
  }

  /**
   * @param {Pool} pool
   * @param {boolean} fine
   */
  async compute(pool, fine) {
    if (this.root.hidden) return;
    const key = this.#key();
    if (this.#drawn === key && (this.#fine || !fine)) return;
    const { value, tracing, problems } = await trace(pool, this.#text(), fine);
    tracing?.free();
    if (problems) this.#share.textContent = "cannot be computed here";
    if (!value && !problems) return;
    [this.#drawn, this.#fine] = [key, fine || Boolean(problems)];
    if (!value) return;
    this.#sheet.set_window(value.bytes);
    const usable = 100 * (this.#sheet.window_line()?.usable_share ?? 0);
    this.#share.textContent = fine ? `${number(usable, 2)} % usable` : `about ${number(usable, 1)} % usable`;
    this.root.dataset.detail = fine ? "fine" : "coarse";
    this.#picture.refresh();
  }

  #enlarge() {
    const { x, y } = this.#plane();
    model.restructure("window", ({ window }) => {
      keepRange(window.x);
      keepRange(window.y);
      Object.assign(window, { x, y });
    });
    const large = byId("window-canvas");
    large.scrollIntoView({ block: "nearest" });
    large.focus({ preventScroll: true });
  }
}
