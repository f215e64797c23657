// @ts-check
// The present scenario compared with the one that is pinned: both windows and what differs. It is loaded when a scenario
// is pinned.

import { differences } from "app/shared/core";
import { el } from "app/shared/dom";
import { number, quantity, signed } from "app/shared/numbers";
import { model } from "app/window/settings/model";

const MOST_ROWS = 60;

/**
 * @param {Gatefrost.Scenario} scenario the pinned one
 * @param {Gatefrost.Compared | null} compared
 * @param {Gatefrost.Margin[]} margins of the present one
 * @param {string[]} refused why the pinned one cannot be shown in the present plane
 */
export function told(scenario, compared, margins, refused) {
  if (refused.length > 0) {
    const why = el("ul", {}, refused.map((words) => el("li", {}, words)));
    return [el("p", { className: "error" }, `${scenario.name} cannot be shown in this plane:`), why, ...changes(scenario)];
  }
  const waiting = el("p", { className: "small" }, "Its window is computed when you pause.");
  return [compared ? windows(scenario, compared, margins) : waiting, ...changes(scenario)];
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
