// How safe the set point is and what would widen the window. It takes some seconds: it is worked out when
// asked for, the parts side by side, and dropped when something changes.

import { best_of, levers_changed, ranked_openings, set_point } from "app/shared/core";
import { Pool } from "app/shared/pool";
import { el } from "app/shared/dom";
import { numberField } from "app/window/settings/fields";
import { model, parametersOf } from "app/window/settings/model";
import { inWords } from "app/shared/notices";
import { difference, number, quantity, signed } from "app/shared/numbers";
import { axisOf } from "app/window/plane";
import { restate, units } from "app/shared/units";

const PARTS = ["best", "shots", "levers", "answers"];
// The longest first. The best set point is worked out in two halves: as found by a search, as it is now. Whether the
// window is closed decides what comes after: each lever is a window of its own where it is open.
const FIRST = [
  { part: "best", call: "tried", args: { present: false } },
  { part: "best", call: "tried", args: { present: true } },
  { part: "levers", call: "usable_with", args: { change: 0 } },
];
const later = (closed) => [
  ...PARTS.filter((part) => part !== "best" && !(closed && part === "levers")).map((part) => ({ part, call: part, args: {} })),
  ...Array.from({ length: levers_changed(closed) + Number(closed) }, (_, change) => (closed
    ? { part: "levers", call: "opening", args: { change } }
    : { part: "levers", call: "usable_with", args: { change: change + 1 } })),
];
const SHOW = { best: showBest, shots: showShots, levers: showLevers, answers: showAnswers };

// `marked(place)` takes a function that says where the best set point stands in the plane, or null.
export function buildSafety(root, spawn, marked) {
  const start = el("button", { type: "button", id: "work-safety-out", onclick: work }, "Compute safety");
  const said = el("p", { id: "safety-said", role: "status", className: "small" });
  const places = Object.fromEntries(PARTS.map((part) => [part, el("div", { id: `safety-${part}`, className: "finding" })]));
  const scatter = el(
    "details",
    { className: "more", id: "step-scatter" },
    el("summary", {}, "Scatter of settings and loading (standard deviations)"),
    el("div", { className: "fields" }, parametersOf("scatter").map(({ path }) => numberField(path))),
  );
  root.append(
    el("div", { className: "actions" }, start, said),
    scatter,
    el("div", { className: "parts" }, PARTS.map((part) => places[part])),
  );

  let pool = null;
  let worked = null;
  const found = new Map();
  // The best set point in whatever plane is shown.
  const place = () => {
    const { bears, present_bears: now, settings } = found.get("best") ?? { bears: 0 };
    if (worked === null || !isBetter(bears, now)) return null;
    const there = structuredClone(model.scenario);
    for (const [axis, value] of settings) there.setup[axis] = value;
    return set_point(JSON.stringify(there));
  };
  const show = (part) => places[part].replaceChildren(...SHOW[part](found.get(part)));
  units.addEventListener("changed", () => [...found.keys()].forEach(show));
  const forget = () => {
    if (worked === null || worked === model.text()) return;
    pool?.stop();
    worked = null;
    marked(place);
    root.classList.add("old");
    said.textContent = "Something has changed since: compute it again.";
  };
  model.addEventListener("changed", forget);

  async function work() {
    const problems = model.problems();
    if (problems.length > 0) {
      said.textContent = `Not computed: ${inWords(problems[0])}`;
      return;
    }
    pool ??= new Pool(spawn);
    pool.stop();
    const scenario = model.text();
    worked = scenario;
    root.classList.remove("old");
    found.clear();
    for (const part of PARTS) places[part].replaceChildren();
    let trouble = "";
    const say = (done, of) => {
      said.textContent = trouble || (done < of ? `Computing: ${done} of ${of} done …` : "");
    };
    said.textContent = "Computing …";
    const told = (part, { values, failure, problems }) => {
      if (values) {
        found.set(part, values);
        show(part);
        if (part === "best") marked(place);
      } else {
        trouble = failure ?? problems.map(inWords).join(" ");
        said.textContent = trouble;
        pool.stop();
      }
    };
    await workOut(pool, scenario, PARTS, told, say);
  }
}

// Has some of the parts worked out by a pool; `told(part, {values} | {failure} | {problems})` hears of each, of the
// levers with each window that is there, and `heard(done, of)` of each job. Resolves to all answers, or to null when it was stopped.
export async function workOut(pool, scenario, parts, told, heard = () => {}) {
  const halves = [];
  const shares = [];
  const openings = [];
  let levers = null;
  let done = 0;
  const run = async (wanted, more) => {
    const jobs = wanted.filter(({ part }) => parts.includes(part));
    const of = done + jobs.length + more;
    return pool.run(jobs.map(({ call, args }) => ({ call, args: { scenario, ...args } })), (index, answer) => {
      done += 1;
      heard(done, of);
      take(jobs[index], answer);
    });
  };
  const take = ({ part, call, args }, answer) => {
    if (answer.failure || answer.problems) return told(part, answer);
    const { value } = answer;
    if (call === "tried") {
      halves[Number(args.present)] = value;
      const [found, present] = halves;
      if (found && present) told(part, { values: best_of({ scenario, found, present }) });
      return;
    }
    if (part !== "levers") return told(part, { values: value });
    if (call === "opening") {
      openings[args.change] = value;
      return told(part, { values: { closed: true, ...ranked_openings({ openings: openings.filter(Boolean) }) } });
    }
    if (call === "usable_with") shares[args.change] = value;
    else levers = value;
    if (levers) told(part, { values: levers.map((lever, place) => ({ ...lever, ...gained(shares, place + 1) })) });
  };
  const first = await run(FIRST, later(false).filter(({ part }) => parts.includes(part)).length);
  const last = first && (await run(later(shares[0] === 0), 0));
  return last && [...first, ...last];
}

// What a change does to the window, in percentage points; `waiting` as long as that is not known.
function gained(shares, change) {
  const [here, there] = [shares[0], shares[change]];
  if (here === undefined || there === undefined) return { waiting: true };
  if (here === null || there === null) return { window_points: null };
  return { window_points: 100 * (there - here) };
}

const sigmas = (value) => (Math.abs(value) >= 30 ? `more than 30 σ${value < 0 ? " outside" : ""}` : `${number(value)} σ`);
const reach = ([axis, value]) => `${difference(value, axisOf(axis).unit).replace("+", "")} of ${axisOf(axis).title.toLowerCase()}`;
const setting = ([axis, value]) => `${axisOf(axis).title.toLowerCase()} ${quantity(value, axisOf(axis).unit)}`;

function sigmaOf(axis) {
  const { scatter, setup } = model.scenario;
  return axis === "injection_time" ? (scatter[axis] / 100) * setup[axis] : scatter[axis];
}

function list(failing) {
  if (failing.length === 0) return el("p", {}, "No limit within 30 standard deviations.");
  const row = ({ label, at, disturbance }) => {
    // What moves by less than a fifth of the whole disturbance is not worth a word.
    const moved = disturbance.filter(([axis, d]) => Math.abs(d) > 0.2 * Math.abs(at) * sigmaOf(axis));
    const words = moved.map(([axis, d]) => `${axisOf(axis).title.toLowerCase()} ${difference(d, axisOf(axis).unit)}`);
    return el("li", {}, el("strong", {}, label), ` at ${sigmas(at)}`, words.length > 0 && `: ${words.join(", ")}`);
  };
  return el("ol", {}, failing.slice(0, 4).map(row));
}

const isBetter = (bears, now) => bears > 0 && bears > now * 1.02 + 0.05;

function showBest({ settings, within, at_edge: edge, bears, ample, present_bears: now, failing, present_failing: nowFailing }) {
  const better = isBetter(bears, now);
  const take = el(
    "button",
    { type: "button", id: "take-best", onclick: () => model.setAll(settings.map(([axis, value]) => [`setup.${axis}`, Number(value.toPrecision(4))]), false) },
    "Take these settings",
  );
  return [
    el("h3", {}, "What the set point withstands"),
    now > 0
      ? el("p", {}, "The largest disturbance of all settings and the loading at once that stays inside, in standard deviations: ", el("strong", { id: "bears-now", dataset: { value: now } }, sigmas(now)), ".")
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
  ].filter(Boolean);
}

function showShots({ inside_percent: inside, interval_percent: interval, feedstock_uncertain: uncertain, broken }) {
  return [
    el("h3", {}, "Share of shots inside"),
    el(
      "p",
      {},
      el("strong", { id: "shots-inside", dataset: { value: inside } }, quantity(inside, "%", 4)),
      `, with 95 % between ${quantity(interval[0], "%", 4)} and ${quantity(interval[1], "%", 4)}; `,
      uncertain ? "the uncertain numbers of feedstock and contact are drawn anew for each shot." : "the feedstock’s numbers are taken as exact.",
    ),
    broken.length > 0 && el("ul", {}, broken.map(({ label, percent }) => el("li", {}, `${label}: ${quantity(percent, "%", 3)} of the shots`))),
  ].filter(Boolean);
}

// What rounds to nothing has no sign of its own.
const points = (value) => `${Number(value.toFixed(1)) < 0 ? "−" : "+"}${Math.abs(value).toFixed(1)}`;

function table(heads, rows) {
  return el(
    "table",
    { className: "readings" },
    el("thead", {}, el("tr", {}, heads.map((words) => el("th", { scope: "col" }, words)))),
    el("tbody", {}, rows.map(([first, ...cells]) => el("tr", {}, el("th", { scope: "row" }, first), cells.map((words, k) => el("td", { dataset: { title: heads[k + 1] } }, words))))),
  );
}

function showLevers(levers) {
  if (levers.closed) return showClosed(levers);
  const shots = ({ yield_points: gain, yield_interval_points: interval }) =>
    gain === null ? "cannot be computed" : `${points(gain)} (${points(interval[0])} to ${points(interval[1])})`;
  const plane = ({ waiting, window_points: gain }) => (waiting ? "…" : gain === null ? "cannot be computed" : points(gain));
  const sorted = [...levers].sort((a, b) => (b.window_points ?? -Infinity) - (a.window_points ?? -Infinity));
  return [
    el("h3", {}, "What would widen the window"),
    table(["Change", "Usable share of the window, points", "Shots inside, points"], sorted.map((lever) => [restate(lever.change), plane(lever), shots(lever)])),
    el("p", { className: "small" }, "Points are percentage points. In brackets stands the 95 % interval. Each change is made alone; everything else stays as set. Where all shots are inside already, none can be gained."),
  ];
}

const allowed = ({ label, value, threshold, unit, at_least: least, beyond_reckoning: beyond }) =>
  `${label}: ${beyond ? "more than " : ""}${quantity(value, unit)}, ${least ? "at least" : "at most"} ${quantity(threshold, unit)}`;

function showClosed({ as_set: now, levers, without_effect: still }) {
  const row = ({ change, closest, gained: by }) => {
    if (!closest || by === null) return [restate(change), "cannot be computed", "–"];
    const opens = closest.worst.g >= 0;
    return [restate(change), `${signed(by, 2)}, to ${signed(closest.worst.g, 2)}${opens ? ": open" : ""}`, allowed(closest.worst)];
  };
  const { x, y } = model.scenario.window;
  const where = ({ place }) => [x, y].map(({ axis }, k) => setting([axis, place[k]])).join(", ");
  return [
    el("h3", {}, "What would open the window"),
    now && el("p", { id: "closed-now" }, `No place of this plane meets every limit. The closest place is ${where(now)}. The worst limit there is ${allowed(now.worst)}: margin ${signed(now.worst.g, 2)}.`),
    table(["Change", "Worst margin", "Worst limit then"], levers.map(row)),
    still.length > 0 && el("p", { id: "closed-still" }, `No effect on the worst margin: ${still.map(restate).join("; ")}.`),
    el("p", { className: "small" }, "The worst margin is taken at the place of this plane where it is best. Below zero, the limit is not met: −0.1 stands for 10 % of a pressure, rate, force or time, for 1 K of a temperature or for 0.1 % of shrinkage. Each change is made alone; everything else stays as set."),
  ].filter(Boolean);
}

function showAnswers(answers) {
  const { smallest_gate_mm: gate, smallest_gate_settings: settings, gate_may_be_smaller: smaller, most_cavities: cavities } = answers;
  const { highest_loading_percent: loading, highest_loading_leaves_out: noLoading, most_cavities_leaves_out: noCavities } = answers;
  const times = cavities === 0 ? "not even the present number" : cavities === 1 ? "the present number, no more" : `${cavities} times the present number`;
  const then = (stop, words) => (stop === "" ? "" : `; ${words}: ${stop}`);
  const leftOut = (limits, why) => limits.length > 0 && el("dd", {}, `Left out, because ${why}: ${limits.join(", ")}.`);
  return [
    el("h3", {}, "Working backwards"),
    el(
      "dl",
      { className: "reasons" },
      el("dt", {}, "Smallest gate thickness with which some set point nearby meets every limit and withstands 3 σ"),
      el("dd", { id: "smallest-gate" }, gate === null ? `none from a third to three times the present thickness${then(answers.smallest_gate_stopped_by, "with the present gate the first limit to fail is")}` : `about ${quantity(gate, "mm", 2)}${smaller ? " or less" : ""}, with ${settings.map(setting).join(", ")}${then(answers.smallest_gate_stopped_by, "with a thinner gate the first limit to fail is")}`),
      el("dd", {}, "No limit compares the gate with the particle size."),
      el("dt", {}, "Highest loading that meets every limit at these settings"),
      el("dd", { id: "highest-loading" }, loading === null ? `none from half the present loading up${then(answers.highest_loading_stopped_by, "the limit closest to being met is")}` : `${number(loading)} vol%${then(answers.highest_loading_stopped_by, "with more powder the first limit to fail is")}`),
      leftOut(noLoading, "no loading meets them"),
      el("dt", {}, "Largest number of cavities with which these settings meet every limit, in whole multiples; vents and cooling water grow with it"),
      el("dd", { id: "most-cavities" }, `${times}${then(answers.most_cavities_stopped_by, "with more cavities the first limit to fail is")}`),
      leftOut(noCavities, "the present number does not meet them either"),
    ),
  ];
}
