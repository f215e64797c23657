// @ts-check
// The computed safety of a set point, in words and tables.

import { el, isShown } from "app/shared/dom";
import { difference, number, quantity, signed } from "app/shared/numbers";
import { limitWords } from "app/shared/limits";
import { restate } from "app/shared/units";
import { axisOf } from "app/window/plane";
import { toWindow } from "app/window/strip";
import { model } from "app/window/settings/model";

/** @typedef {[axis: Gatefrost.Axis, value: number]} Setting */

const sigmas = (/** @type {number} */ value) => (Math.abs(value) >= 30 ? `more than 30 σ${value < 0 ? " outside" : ""}` : `${number(value)} σ`);
const reach = (/** @type {Setting} */ [axis, value]) => `${difference(value, axisOf(axis).unit).replace("+", "")} of ${axisOf(axis).title.toLowerCase()}`;
const setting = (/** @type {Setting} */ [axis, value]) => `${axisOf(axis).title.toLowerCase()} ${quantity(value, axisOf(axis).unit)}`;

/** @param {Gatefrost.Axis} axis */
function sigmaOf(axis) {
  const { scatter, setup } = model.scenario;
  if (axis === "injection_time") return (scatter.injection_time / 100) * setup.injection_time;
  return /** @type {Partial<Record<Gatefrost.Axis, number>>} */ (scatter)[axis] ?? 0;
}

/** @param {Gatefrost.Failing[]} failing */
function list(failing) {
  if (failing.length === 0) return el("p", {}, "No limit within 30 standard deviations.");
  const row = (/** @type {Gatefrost.Failing} */ { label, at, disturbance, lot }) => {
    // What moves by less than a fifth of the whole disturbance is left out.
    const moved = disturbance.filter(([axis, d]) => Math.abs(d) > 0.2 * Math.abs(at) * sigmaOf(axis));
    const words = moved.map(([axis, d]) => `${axisOf(axis).title.toLowerCase()} ${difference(d, axisOf(axis).unit)}`);
    if (Math.abs(lot) > 0.2 * Math.abs(at)) words.push(`viscosity of the lot ${difference(lot * model.scenario.scatter.viscosity, "%")}`);
    return el("li", {}, el("strong", {}, label), ` at ${sigmas(at)}`, words.length > 0 && `: ${words.join(", ")}`);
  };
  return el("ol", {}, failing.slice(0, 4).map(row));
}

/** @param {Gatefrost.Reserve[]} reserves */
function reserveTable(reserves) {
  const told = (/** @type {Gatefrost.Reserve} */ { axis, moves, looked }, /** @type {0 | 1} */ side) => {
    const [move, unit] = [moves[side], axisOf(axis).unit];
    if (move) return `${difference(move[0], unit)} (${limitWords[move[1]].label})`;
    return looked[side] === 0 ? "as far as it goes" : `more than ${difference(looked[side], unit)}`;
  };
  return table(
    ["Setting alone", "Down by", "Up by"],
    reserves.map((reserve) => [axisOf(reserve.axis).title, told(reserve, 0), told(reserve, 1)]),
  );
}

/**
 * @param {number} bears
 * @param {number} now
 */
export const isBetter = (bears, now) => bears > 0 && bears > now * 1.02 + 0.05;

/** @param {Gatefrost.Best} best */
export function showBest({ settings, moves, within, at_edge: edge, bears, ample, present_bears: now, reserves, failing, present_failing: nowFailing }) {
  const better = isBetter(bears, now);
  const take = el(
    "button",
    { type: "button", id: "take-best", onclick: () => (model.setAll(moves, false), toWindow()) },
    "Take these settings",
  );
  return [
    el("h3", {}, "What the set point withstands"),
    now > 0 && el("p", { id: "reserves" }, "How far one setting alone may move until a limit is no longer met:"),
    now > 0 && reserveTable(reserves),
    now > 0
      ? el("p", {}, `The largest disturbance of all settings${model.scenario.scatter.viscosity > 0 ? ", the loading and the lot’s viscosity" : " and the loading"} at once that stays inside, in standard deviations: `, el("strong", { id: "bears-now", dataset: { value: now } }, sigmas(now)), ".")
      : el("p", {}, "The set point is outside: ", el("strong", { id: "bears-now", dataset: { value: now } }, "it withstands no disturbance"), "."),
    el("p", {}, now > 0 ? "What fails first:" : "What fails, and by how many standard deviations:"),
    list(nowFailing),
    better
      ? el("p", {}, "Safest set point nearby: ", el("strong", { id: "bears-best", dataset: { value: bears } }, sigmas(bears)), ` with ${settings.map(setting).join(", ")}. Searched up to ${within.map(reach).join(", ")} from the set point.${edge.length > 0 ? " It lies at the edge of that range: take its settings and compute again to search further." : ""}`)
      : el("p", {}, bears <= 0 ? "No set point nearby is inside." : !ample ? "No set point nearby withstands more." : "No set point was found that withstands more."),
    ample && el("p", { id: "best-ample" }, "This is ample, so the search stopped. A set point further away may withstand more."),
    model.uncertain && el("p", { className: "small", id: "best-certain" }, "The feedstock’s numbers are taken as exact here. Only the share of shots includes their uncertainty."),
    better && list(failing),
    better && take,
  ].filter(isShown);
}

/** @param {Gatefrost.Unknown} unknown */
function whatItDoes({ impossible, errors, label, margin, margin_then: then }) {
  if (impossible) return "one standard error of it cannot be computed";
  if (errors === null) return "but no margin depends on it";
  const reaches = margin < 0 ? "would meet it" : "break it";
  return `one standard error of it takes the margin of “${label}” from ${signed(margin, 2)} to ${signed(then, 2)}; ${number(errors, 2)} standard errors ${reaches}`;
}

// Shots are outside although the scatter alone hardly reaches a limit: what is uncertain does it.
const NEARLY_ALL = 99.5;
const FAR = 3;

/**
 * @param {Gatefrost.Yield} shots
 * @param {Gatefrost.Best | undefined} best what the set point withstands, once that is known
 */
export function showShots({ inside_percent: inside, interval_percent: interval, feedstock_uncertain: uncertain, broken, unknowns: [most] }, best) {
  const withstands = best?.present_bears ?? 0;
  const why = uncertain && inside < NEARLY_ALL && withstands > FAR;
  return [
    el("h3", {}, "Share of shots inside"),
    el(
      "p",
      {},
      el("strong", { id: "shots-inside", dataset: { value: inside } }, quantity(inside, "%", 4)),
      `, with 95 % between ${quantity(interval[0], "%", 4)} and ${quantity(interval[1], "%", 4)}; `,
      uncertain ? "the uncertain numbers of feedstock and contact are drawn anew for each shot." : "the feedstock’s numbers are taken as exact.",
      model.scenario.scatter.viscosity > 0 && " The viscosity scatters from lot to lot.",
    ),
    broken.length > 0 && el("ul", {}, broken.map(({ label, percent }) => el("li", {}, `${label}: ${quantity(percent, "%", 3)} of the shots`))),
    why && el("p", { id: "why-outside" }, `The set point withstands ${sigmas(withstands)} of the scatter, which would leave next to no shot outside. What is uncertain about the feedstock puts the others outside: a lot may differ from the numbers that are typed here.`),
    most && el("p", { id: "worst-unknown" }, "Of the uncertain numbers ", el("strong", {}, most.title.toLowerCase()), ` matters most: ${whatItDoes(most)}.`),
  ].filter(isShown);
}

// A change that rounds to zero has no sign.
const points = (/** @type {number} */ value) => `${Number(value.toFixed(1)) < 0 ? "−" : "+"}${Math.abs(value).toFixed(1)}`;

/**
 * @param {string[]} heads
 * @param {string[][]} rows
 */
function table(heads, rows) {
  return el(
    "table",
    { className: "readings" },
    el("thead", {}, el("tr", {}, heads.map((words) => el("th", { scope: "col" }, words)))),
    el("tbody", {}, rows.map(([first, ...cells]) => el("tr", {}, el("th", { scope: "row" }, first), cells.map((words, k) => el("td", { dataset: { title: heads[k + 1] } }, words))))),
  );
}

/** @param {NonNullable<import("app/window/results/work-out").Found["levers"]>} levers */
export function showLevers(levers) {
  if ("closed" in levers) return showClosed(levers);
  const shots = (/** @type {Gatefrost.Lever} */ { yield_points: gain, yield_interval_points: interval }) =>
    gain === null || interval === null ? "cannot be computed" : `${points(gain)} (${points(interval[0])} to ${points(interval[1])})`;
  const plane = (/** @type {import("app/window/results/work-out").LeverShown} */ { waiting, window_points: gain }) => (waiting ? "…" : gain === null ? "cannot be computed" : points(gain));
  const sorted = [...levers].sort((a, b) => (b.window_points ?? -Infinity) - (a.window_points ?? -Infinity));
  return [
    el("h3", {}, "What would widen the window"),
    table(["Change", "Usable share of the window, points", "Shots inside, points"], sorted.map((lever) => [restate(lever.change), plane(lever), shots(lever)])),
    el("p", { className: "small" }, "Points are percentage points. In brackets stands the 95 % interval. Each change is made alone; everything else stays as set. Where all shots are inside already, none can be gained."),
  ];
}

const allowed = (/** @type {Gatefrost.Margin} */ { label, value, threshold, unit, at_least: least, beyond_reckoning: beyond, out_of_reach: never }) =>
  never ? `${label}: cannot be met here` : `${label}: ${beyond ? "more than " : ""}${quantity(value, unit)}, ${least ? "at least" : "at most"} ${quantity(threshold, unit)}`;

/** @param {Gatefrost.Closed} closed */
function showClosed({ as_set: now, levers, without_effect: still }) {
  const row = (/** @type {Gatefrost.Opening} */ { change, closest, gained: by }) => {
    if (!closest || by === null) return [restate(change), "cannot be computed", "–"];
    const opens = closest.worst.g >= 0;
    return [restate(change), `${signed(by, 2)}, to ${signed(closest.worst.g, 2)}${opens ? ": open" : ""}`, allowed(closest.worst)];
  };
  const { x, y } = model.scenario.window;
  const where = (/** @type {Gatefrost.Closest} */ { place }) => [x, y].map(({ axis }, k) => setting([axis, place[k]])).join(", ");
  return [
    el("h3", {}, "What would open the window"),
    now && el("p", { id: "closed-now" }, `No place of this plane meets every limit. The closest place is ${where(now)}. The worst limit there is ${allowed(now.worst)}: margin ${signed(now.worst.g, 2)}.`),
    table(["Change", "Worst margin", "Worst limit then"], levers.map(row)),
    still.length > 0 && el("p", { id: "closed-still" }, `No effect on the worst margin: ${still.map(restate).join("; ")}.`),
    el("p", { className: "small" }, "The worst margin is taken at the place of this plane where it is best. Below zero, the limit is not met: −0.1 stands for 10 % of a pressure, rate, force or time, for 1 K of a temperature, for 0.5 MPa of residual pressure, for 0.1 % lost while soft or for 0.1 vol% of loading. Each change is made alone; everything else stays as set."),
  ].filter(isShown);
}

/** @param {Gatefrost.Answers} answers */
export function showAnswers(answers) {
  const { smallest_gate_mm: gate, smallest_gate_settings: settings, gate_may_be_smaller: smaller, most_cavities: cavities } = answers;
  const { highest_loading_percent: loading, highest_loading_leaves_out: noLoading, most_cavities_leaves_out: noCavities } = answers;
  const times = cavities === 0 ? "not even the present number" : cavities === 1 ? "the present number, no more" : `${cavities} times the present number`;
  const then = (/** @type {string} */ stop, /** @type {string} */ words) => (stop === "" ? "" : `; ${words}: ${stop}`);
  const leftOut = (/** @type {string[]} */ limits, /** @type {string} */ why) => limits.length > 0 && el("dd", {}, `Left out, because ${why}: ${limits.join(", ")}.`);
  return [
    el("h3", {}, "Working backwards"),
    el(
      "dl",
      { className: "reasons" },
      el("dt", {}, "Smallest gate thickness with which some set point nearby meets every limit and withstands 3 σ"),
      el("dd", { id: "smallest-gate" }, gate === null ? `none from a third to three times the present thickness${then(answers.smallest_gate_stopped_by, "with the present gate the first limit to fail is")}` : `about ${quantity(gate, "mm", 2)}${smaller ? " or less" : ""}, with ${settings.map(setting).join(", ")}${then(answers.smallest_gate_stopped_by, "with a thinner gate the first limit to fail is")}`),
      el("dt", {}, "Highest loading that meets every limit at these settings"),
      el("dd", { id: "highest-loading" }, loading === null ? `none from half the present loading up${then(answers.highest_loading_stopped_by, "the limit closest to being met is")}` : `${number(loading)} vol%${then(answers.highest_loading_stopped_by, "with more powder the first limit to fail is")}`),
      leftOut(noLoading, "no loading meets them"),
      el("dt", {}, "Largest number of cavities with which these settings meet every limit, in whole multiples; vents and cooling water grow with it"),
      el("dd", { id: "most-cavities" }, `${times}${then(answers.most_cavities_stopped_by, "with more cavities the first limit to fail is")}`),
      leftOut(noCavities, "the present number does not meet them either"),
    ),
  ];
}
