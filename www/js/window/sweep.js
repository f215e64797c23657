// @ts-check
// One input against the window: usable share and best reserve as curves, with their numbers. Computed on request by
// workers with the module of studies.

import { found as catalogued } from "app/shared/catalogue";
import { loadStudies } from "app/shared/core";
import { download, el, fileName, numberInput } from "app/shared/dom";
import { show } from "app/shared/exhibit";
import { inWords } from "app/shared/notices";
import { number } from "app/shared/numbers";
import { Pool } from "app/shared/pool";
import { style } from "app/shared/picture";
import { shownUnit, toEdge, toShown, units, unitsInUse } from "app/shared/units";
import { axisOf } from "app/window/plane";
import { model } from "app/window/settings/model";

// Settings that are no single number of the document, by their path.
/** @type {Record<string, Gatefrost.Axis>} */
const APART = { "cavity.wall_thickness": "wall_thickness", "cavity.gate_depth": "gate_depth" };
// What the groups of inputs are called that have another name in the document.
/** @type {Record<string, string>} */
const GROUPS = { setup: "Set-up", scatter: "Scatter of settings and loading", model: "Numerical grid", plan: "The whole plan", sizes: "Sizes of the part" };
const COUNT = 9;
// Device pixels of a PNG for each pixel of the figure.
const PIXELS = 3;

/** @typedef {{ scenario: string, path: string, points: Gatefrost.Swept[] }} InHand the scenario as text, the input, what was found for its values */
/** @typedef {{ svg: string, file: string, table: Gatefrost.DataTable, csv: string }} Shown */

/** @param {HTMLElement} root */
export const buildSweep = (root) => new Sweep(root);

class Sweep {
  #input = el("select", { id: "sweep-input", onchange: () => this.#choose() });
  #from = numberInput({ id: "sweep-from" });
  #to = numberInput({ id: "sweep-to" });
  #unit = el("span", { className: "unit" });
  #said = el("p", { id: "sweep-said", role: "status", className: "small" });
  #picture = el("img", { id: "sweep-picture", hidden: true });
  #table = el("table");
  #more;
  /** @type {Promise<Pool> | null} */
  #pool = null;
  // What is shown.
  /** @type {InHand | null} */
  #swept = null;
  /** @type {Shown | null} */
  #shown = null;

  /** @param {HTMLElement} root */
  constructor(root) {
    const file = (/** @type {"file" | "csv"} */ kind, /** @type {string} */ ending, /** @type {string} */ type) => () =>
      this.#shown && download(fileName(`${model.scenario.name} sweep`, ending), type, this.#shown[kind]);
    const button = (/** @type {string} */ words, /** @type {() => void} */ onclick) =>
      el("button", { type: "button", className: "quiet", "aria-label": `Sweep as ${words}`, onclick }, words);
    this.#more = el(
      "div",
      { className: "foot", hidden: true },
      el("div", { className: "row files" }, button("SVG", file("file", ".svg", "image/svg+xml")), button("PNG", () => this.#png()), button("CSV", file("csv", ".csv", "text/csv"))),
      el(
        "details",
        { className: "data" },
        el("summary", {}, "Data as a table"),
        el("div", { className: "scroll", tabIndex: 0, role: "region", "aria-label": "Data: sweep" }, this.#table),
      ),
    );
    root.append(
      el("p", { className: "small" }, "The usable share of the window for several values of one input, and the best reserve: the margin of the nearest limit where that margin is greatest."),
      el(
        "div",
        { className: "row" },
        el("label", { htmlFor: this.#input.id }, "Input ", this.#input),
        el("label", { htmlFor: this.#from.id }, "from ", this.#from),
        el("label", { htmlFor: this.#to.id }, "to ", this.#to),
        this.#unit,
        el("button", { type: "button", id: "sweep-start", onclick: () => this.#start() }, "Compute sweep"),
      ),
      this.#said,
      this.#picture,
      this.#more,
    );
    this.#offer();
    this.#choose();
    model.addEventListener("changed", () => this.#forget());
    model.addEventListener("replaced", () => this.#offer());
    units.addEventListener("changed", () => {
      this.#choose();
      this.#draw();
    });
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.#draw());
  }

  // The picture of the SVG file, with three device pixels for each of its pixels.
  async #png() {
    if (!this.#shown) return;
    const picture = el("img", { src: `data:image/svg+xml,${encodeURIComponent(this.#shown.file)}` });
    try {
      await picture.decode();
      const canvas = el("canvas", { width: PIXELS * picture.naturalWidth, height: PIXELS * picture.naturalHeight });
      canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
      const blob = await new Promise((/** @type {(blob: Blob | null) => void} */ done) => canvas.toBlob(done, "image/png"));
      if (!blob) throw new Error("this browser could not write the picture");
      download(fileName(`${model.scenario.name} sweep`, ".png"), "image/png", blob);
    } catch (error) {
      this.#said.textContent = `No PNG could be made: ${error}`;
    }
  }

  // Every number of the scenario that is in the catalogue.
  #offer() {
    const before = this.#input.value;
    const paths = [...Object.keys(APART), ...numbersOf(model.scenario, "")];
    /** @type {Map<string, HTMLOptGroupElement>} */
    const groups = new Map();
    for (const path of paths) {
      const label = groupOf(path);
      const group = groups.get(label) ?? el("optgroup", { label });
      groups.set(label, group);
      group.append(el("option", { value: path }, titleOf(path)));
    }
    this.#input.replaceChildren(...groups.values());
    this.#input.value = paths.includes(before) ? before : "cavity.wall_thickness";
  }

  #choose() {
    const path = this.#input.value;
    const { unit, min, max } = entryOf(path);
    const value = valueOf(path);
    const ends = value > 0 ? [value / 1.5, value * 1.5] : [min, max];
    [this.#from, this.#to].forEach((field, i) => {
      field.value = number(toShown(Math.min(max, Math.max(min, ends[i])), unit), 3);
    });
    this.#unit.textContent = shownUnit(unit);
  }

  #forget() {
    if (!this.#swept || this.#swept.scenario === model.text()) return;
    this.#pool?.then((pool) => pool.stop());
    this.#swept = null;
    this.#said.textContent = "Something has changed since: compute it again.";
  }

  /**
   * @param {string} call
   * @param {Record<string, any>} args
   */
  async #ask(call, args) {
    const pool = await (this.#pool ??= loadStudies().then((spawn) => new Pool(spawn)));
    const [answer] = (await pool.run([/** @type {any} */ ({ call, args })])) ?? [{ stopped: true }];
    return answer;
  }

  async #start() {
    const [problem] = model.problems();
    if (problem) {
      this.#said.textContent = `Not computed: ${inWords(problem)}`;
      return;
    }
    const path = this.#input.value;
    const [from, to] = [this.#from, this.#to].map(({ value }) => toEdge(Number(value.trim().replace(",", ".")), entryOf(path).unit));
    const scenario = model.text();
    this.#swept = { scenario, path, points: [] };
    this.#said.textContent = "Computing …";
    try {
      await this.#compute(this.#swept, from, to);
    } catch {
      this.#pool = null;
      this.#said.textContent = "What computes a sweep cannot be loaded.";
    }
  }

  /**
   * @param {InHand} swept
   * @param {number} from
   * @param {number} to
   */
  async #compute(swept, from, to) {
    const { scenario, path } = swept;
    const { value, failure, problems } = await this.#ask("sweep_values", { scenario, path, from, to, count: COUNT });
    const refused = failure ?? problems?.map(inWords).join(" ") ?? value?.refused;
    if (refused || !value) {
      this.#said.textContent = refused ?? "";
      return;
    }
    const jobs = value.values.map((/** @type {number} */ each) => ({ call: "swept", args: { scenario, path, value: each } }));
    let done = 0;
    const answers = await (await this.#pool)?.run(jobs, () => {
      done += 1;
      this.#said.textContent = `Computing: ${done} of ${jobs.length} done …`;
    });
    if (!answers || swept !== this.#swept) return;
    swept.points = answers.map((answer) => answer.value).filter(Boolean);
    this.#said.textContent = answers.find((answer) => answer.failure)?.failure ?? "";
    await this.#draw();
  }

  async #draw() {
    const swept = this.#swept;
    if (!swept || swept.points.length === 0) return;
    this.#picture.hidden = false;
    const width = Math.round(this.#picture.parentElement?.clientWidth ?? 640);
    const { value } = await this.#ask("sweep_shown", { ...swept, units: unitsInUse(), dark: style().dark, width: Math.min(width, 900) });
    if (!value || swept !== this.#swept) return;
    this.#shown = value;
    URL.revokeObjectURL(this.#picture.src);
    this.#picture.src = URL.createObjectURL(new Blob([value.svg], { type: "image/svg+xml" }));
    this.#picture.alt = `${value.table.caption}. All values are in the table below.`;
    show(this.#table, value.table);
    this.#more.hidden = false;
  }
}

/** @param {string} path */
const entryOf = (path) => (path in APART ? axisOf(APART[path]) : /** @type {Gatefrost.Entry} */ (catalogued(path)));

/** @param {string} path */
const titleOf = (path) => `${entryOf(path).title}${path in APART ? ", all in proportion" : ""}`;

// What a group of inputs is called: as its step of the settings, or as the passage.
/** @param {string} path */
function groupOf(path) {
  const place = /^cavity\.passages\.(\d+)\./.exec(path);
  if (place) return `Passage ${Number(place[1]) + 1}: ${model.get(`cavity.passages.${place[1]}.name`)}`;
  const [group] = path.split(".");
  return GROUPS[group] ?? group[0].toUpperCase() + group.slice(1);
}

/** @param {string} path */
function valueOf(path) {
  if (!(path in APART)) return Number(model.get(path));
  const role = path === "cavity.gate_depth" ? "gate" : "part";
  const first = model.scenario.cavity.passages.find((passage) => passage.role === role);
  const sizes = /** @type {Record<string, number>} */ (Object.values(first?.form ?? {})[0] ?? {});
  return sizes.diameter ?? sizes.thickness ?? NaN;
}

/**
 * @param {unknown} node
 * @param {string} path
 * @returns {string[]}
 */
function numbersOf(node, path) {
  if (typeof node === "number") return catalogued(path) && !path.startsWith("window.") ? [path] : [];
  if (typeof node !== "object" || node === null) return [];
  return Object.entries(node).flatMap(([key, child]) => numbersOf(child, path ? `${path}.${key}` : key));
}
