// @ts-check
// Another scenario beside the present one: pinned, laid over its window, and compared with it.

import { differences, read_json } from "app/shared/core";
import { byId, el } from "app/shared/dom";
import { keep, recall } from "app/shared/keep";
import { dismiss, inWords, notice, reasons } from "app/shared/notices";
import { number, quantity, signed } from "app/shared/numbers";
import { model } from "app/window/settings/model";

const PLACE = "gatefrost.pinned";
const MOST_CHARACTERS = 1 << 20;
const MOST_ROWS = 60;
const storage = () => sessionStorage;

/** @type {Gatefrost.Scenario | null} */
let pinned = null;

// The pinned scenario in the present one's plane, as text; null where nothing is pinned.
export const besideText = () => (pinned ? JSON.stringify({ ...pinned, name: nameOf(pinned), window: model.scenario.window }) : null);

// Told apart from the present one where only a number differs.
const nameOf = (/** @type {Gatefrost.Scenario} */ { name }) => (name === model.scenario.name ? `${name.slice(0, 110)} (pinned)` : name);

/** @typedef {{ ask: () => void, redraw: () => void }} Page */

/**
 * @param {import("app/shared/core").Sheet} sheet
 * @param {Page} page
 */
export const buildBeside = (sheet, page) => new Beside(sheet, page);

class Beside {
  #sheet;
  #page;
  /** @type {Gatefrost.Margin[]} */
  #margins = [];
  // Why the pinned scenario cannot be shown in the present plane.
  /** @type {string[]} */
  #refused = [];

  /**
   * @param {import("app/shared/core").Sheet} sheet
   * @param {Page} page
   */
  constructor(sheet, page) {
    this.#sheet = sheet;
    this.#page = page;
    byId("pin").addEventListener("click", () => this.#pin());
    byId("unpin").addEventListener("click", () => {
      this.#change(null);
      byId("pin").focus();
    });
    this.#restore();
  }

  /**
   * The answer of the core: the pinned window, or what is wrong with it in this plane.
   * @param {{ bytes?: Uint8Array, problems?: Gatefrost.Problem[] }} answer
   */
  take({ bytes, problems }) {
    this.#refused = (problems ?? []).map(inWords);
    this.#sheet.set_beside(problems ? undefined : bytes);
    this.show();
    this.#page.redraw();
  }

  /**
   * Takes the report of the present scenario.
   * @param {Gatefrost.Report} report
   */
  report(report) {
    this.#margins = report.margins;
    this.show();
  }

  show() {
    const table = byId("beside");
    table.hidden = !pinned;
    table.replaceChildren(...(pinned ? this.#parts(pinned) : []));
  }

  /** @param {Gatefrost.Scenario} scenario */
  #parts(scenario) {
    const compared = this.#sheet.compared();
    if (this.#refused.length > 0) {
      const why = el("ul", {}, this.#refused.map((words) => el("li", {}, words)));
      return [el("p", { className: "error" }, `${scenario.name} cannot be shown in this plane:`), why, ...changes(scenario)];
    }
    const waiting = el("p", { className: "small" }, "Its window is computed when you pause.");
    return [compared ? windows(scenario, compared, this.#margins) : waiting, ...changes(scenario)];
  }

  #pin() {
    const problems = model.problems();
    dismiss("pin");
    if (problems.length > 0) notice("pin", "The scenario can be pinned when these are corrected:", problems.map(inWords));
    else this.#change(structuredClone(model.scenario));
  }

  /** @param {Gatefrost.Scenario | null} scenario */
  #change(scenario) {
    pinned = scenario;
    this.#refused = [];
    this.#sheet.set_beside(undefined);
    keep(storage, PLACE, scenario && JSON.stringify(scenario));
    byId("unpin").hidden = !scenario;
    byId("pin-said").textContent = scenario ? `Pinned: ${scenario.name}. What you change from now on is compared with it.` : "Nothing is pinned.";
    this.show();
    this.#page.redraw();
    this.#page.ask();
  }

  // The stored text is checked like a file.
  #restore() {
    const text = recall(storage, PLACE);
    if (text === null) return;
    try {
      if (text.length > MOST_CHARACTERS) throw new Error("It is too long for a scenario.");
      this.#change(read_json(text));
    } catch (error) {
      keep(storage, PLACE, null);
      notice("pin", "The pinned scenario could not be read. Nothing is pinned.", reasons(error));
    }
  }
}

/**
 * @param {string} title
 * @param {string} here
 * @param {string} there
 */
function row(title, here, there) {
  return el(
    "tr",
    {},
    el("th", { scope: "row" }, title),
    el("td", { dataset: { title: "here" } }, here),
    el("td", { dataset: { title: "pinned" } }, there),
  );
}

/**
 * @param {string} caption
 * @param {HTMLElement[]} rows
 */
function tableOf(caption, rows) {
  const heads = ["", "here", "pinned"].map((words) => (words ? el("th", { scope: "col" }, words) : el("td", {})));
  return el("table", { className: "readings" }, el("caption", {}, caption), el("thead", {}, el("tr", {}, heads)), el("tbody", {}, rows));
}

const share = (/** @type {Gatefrost.WindowLine} */ { usable_share: usable }) => `${number(100 * usable, 3)} % of the plane`;
const bounds = (/** @type {Gatefrost.WindowLine} */ { usable_share: usable, bounded_by: by }) => by.join(", ") || (usable > 0 ? "none" : "nothing is usable");
const shown = (/** @type {Gatefrost.Margin | undefined} */ m) => (m ? `${signed(m.g, 2)} (${quantity(m.value, m.unit, 3)})` : "absent");

/**
 * @param {Gatefrost.Scenario} scenario
 * @param {Gatefrost.Compared} compared
 * @param {Gatefrost.Margin[]} own
 */
function windows(scenario, { here, there, margins }, own) {
  const of = (/** @type {Gatefrost.Margin[]} */ list, /** @type {Gatefrost.Limit} */ limit) => list.find((m) => m.limit === limit);
  // Sorted by the worse of the two margins.
  const worst = [...own, ...margins].filter((m) => !m.ignored).toSorted((a, b) => a.g - b.g);
  const labels = new Map(worst.map(({ limit, label }) => [limit, label]));
  const rows = [...labels].map(([limit, label]) => row(label, shown(of(own, limit)), shown(of(margins, limit))));
  return el(
    "div",
    {},
    el("p", { className: "small" }, "The long-dashed double line bounds its usable region. The open square is its set point."),
    tableOf(`Compared with ${scenario.name}, pinned`, [row("Usable share", share(here), share(there)), row("Bounded by", bounds(here), bounds(there))]),
    el("details", { className: "more", id: "beside-margins" }, el("summary", {}, "Margins at both set points, the worst first"), tableOf("Margin (value found)", rows)),
  );
}

/**
 * @param {Gatefrost.Difference["here"]} v
 * @param {string} unit
 */
function value(v, unit) {
  if (typeof v === "number") return quantity(v, unit, 5);
  if (typeof v === "boolean") return v ? "yes" : "no";
  return (v ?? "none").replaceAll("_", " ");
}

/**
 * The differences; null while the present scenario cannot be computed.
 * @param {Gatefrost.Scenario} scenario
 */
function changes(scenario) {
  if (model.problems().length > 0) return [];
  const list = differences(model.text(), JSON.stringify(scenario));
  if (list.length === 0) return [el("p", {}, "The pinned scenario is the same in every number.")];
  const rows = list.slice(0, MOST_ROWS).map(({ title, unit, here, there }) => row(title, value(here, unit), value(there, unit)));
  return [
    el(
      "details",
      { className: "more", id: "beside-differences", open: list.length <= 8 },
      el("summary", {}, `What differs: ${list.length === 1 ? "one entry" : `${list.length} entries`}`),
      tableOf("This and the pinned scenario", rows),
      list.length > MOST_ROWS && el("p", {}, `and ${list.length - MOST_ROWS} more`),
    ),
  ];
}
