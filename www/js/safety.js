// How safe the set point is and what would widen the window. It takes some seconds: it is worked out when
// asked for, the parts side by side, and dropped when something changes.

import { best_of, levers_changed, set_point } from "app/core";
import { Crew } from "app/crew";
import { el } from "app/dom";
import { numberField } from "app/fields";
import { model, parametersOf } from "app/model";
import { inWords } from "app/notices";
import { difference, number, quantity } from "app/numbers";
import { axisOf } from "app/plane";
import { restate, units } from "app/units";

const PARTS = ["best", "shots", "levers", "answers"];
// The longest first. The best set point is worked out in two halves: as found by a search, as it is now. Each
// lever is a window of its own.
const jobsOf = () => [
  { part: "best", call: "tried", fine: false },
  { part: "best", call: "tried", fine: true },
  ...PARTS.slice(1).map((part) => ({ part, call: "safety", fine: part })),
  ...Array.from({ length: levers_changed() + 1 }, (_, change) => ({ part: "levers", call: "usable_with", fine: change })),
];
const SHOW = { best: showBest, shots: showShots, levers: showLevers, answers: showAnswers };

// `marked(place)` takes a function that says where the best set point stands in the plane, or null.
export function buildSafety(root, spawn, marked) {
  const start = el("button", { type: "button", id: "work-safety-out", onclick: work }, "Work it out");
  const said = el("p", { id: "safety-said", role: "status", className: "small" });
  const places = Object.fromEntries(PARTS.map((part) => [part, el("div", { id: `safety-${part}`, className: "finding" })]));
  const scatter = el(
    "details",
    { className: "more", id: "step-scatter" },
    el("summary", {}, "How well machine and mixing repeat (standard deviations)"),
    el("div", { className: "fields" }, parametersOf("scatter").map(({ path }) => numberField(path))),
  );
  root.append(
    el("div", { className: "actions" }, start, said),
    scatter,
    el("div", { className: "parts" }, PARTS.map((part) => places[part])),
  );

  let crew = null;
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
    crew?.stop();
    worked = null;
    marked(place);
    root.classList.add("old");
    said.textContent = "Something has changed since: work it out anew.";
  };
  model.addEventListener("changed", forget);

  async function work() {
    const problems = model.problems();
    if (problems.length > 0) {
      said.textContent = `Not worked out: ${inWords(problems[0])}`;
      return;
    }
    crew ??= new Crew(spawn);
    crew.stop();
    const scenario = model.text();
    worked = scenario;
    root.classList.remove("old");
    found.clear();
    for (const part of PARTS) places[part].replaceChildren();
    let trouble = "";
    const say = (done, of) => {
      said.textContent = trouble || (done < of ? `Working: ${done} of ${of} done …` : "");
    };
    said.textContent = "Working …";
    const told = (part, { values, failure, problems }) => {
      if (values) {
        found.set(part, values);
        show(part);
        if (part === "best") marked(place);
      } else {
        trouble = failure ?? problems.map(inWords).join(" ");
        said.textContent = trouble;
        crew.stop();
      }
    };
    await workOut(crew, scenario, PARTS, told, say);
  }
}

// Has some of the parts worked out by a crew; `told(part, {values} | {failure} | {problems})` hears of each, of the
// levers with each window that is there, and `heard(done, of)` of each job.
export function workOut(crew, scenario, parts, told, heard = () => {}) {
  const jobs = jobsOf().filter(({ part }) => parts.includes(part));
  const halves = [];
  const shares = [];
  let levers = null;
  let done = 0;
  return crew.run(jobs.map(({ call, fine }) => ({ call, scenario, fine })), (index, answer) => {
    const { part, call, fine } = jobs[index];
    done += 1;
    heard(done, jobs.length);
    if (answer.failure || answer.problems) return told(part, answer);
    if (call === "tried") {
      halves[Number(fine)] = answer.values;
      const [found, present] = halves;
      if (found && present) told(part, { values: JSON.parse(best_of(scenario, found, present)) });
      return;
    }
    if (part !== "levers") return told(part, { values: JSON.parse(answer.text) });
    if (call === "usable_with") shares[fine] = answer.values[0];
    else levers = JSON.parse(answer.text);
    if (levers) told(part, { values: levers.map((lever, place) => ({ ...lever, ...gained(shares, place + 1) })) });
  });
}

// What a change does to the window, in percentage points; `waiting` as long as that is not known.
function gained(shares, change) {
  const [here, there] = [shares[0], shares[change]];
  if (here === undefined || there === undefined) return { waiting: true };
  const points = 100 * (there - here);
  return { window_points: Number.isNaN(points) ? null : points };
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
    el("h3", {}, "What the set point bears"),
    now > 0
      ? el("p", {}, "The largest disturbance of all settings and the loading at once, in standard deviations, that stays inside: ", el("strong", { id: "bears-now", dataset: { value: now } }, sigmas(now)), ".")
      : el("p", {}, "The set point is outside: ", el("strong", { id: "bears-now", dataset: { value: now } }, "it bears nothing"), "."),
    el("p", {}, now > 0 ? "What fails first:" : "What fails, and how far off it is:"),
    list(nowFailing),
    better
      ? el("p", {}, "Safest nearby: ", el("strong", { id: "bears-best", dataset: { value: bears } }, sigmas(bears)), ` with ${settings.map(setting).join(", ")}. Searched up to ${within.map(reach).join(", ")} from the set point.${edge.length > 0 ? " It lies at the edge of that: taken over and worked out anew, it may go further." : ""}`)
      : el("p", {}, bears <= 0 ? "No set point nearby is inside." : !ample ? "No set point nearby bears more." : "No set point was found that bears more."),
    ample && el("p", { id: "best-ample" }, "So much is ample: nothing further away was looked for, and more may be had."),
    model.uncertain && el("p", { className: "small", id: "best-certain" }, "This takes the feedstock as it stands; only the share of shots counts what is not known of it."),
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
      uncertain ? "what is not known of feedstock and contact is in it: each shot has another of those that may be." : "the feedstock’s constants are taken as known.",
    ),
    broken.length > 0 && el("ul", {}, broken.map(({ label, percent }) => el("li", {}, `${label}: ${quantity(percent, "%", 3)} of the shots`))),
  ].filter(Boolean);
}

function showLevers(levers) {
  // What rounds to nothing has no sign of its own.
  const points = (value) => (value === null ? "cannot be computed" : `${Number(value.toFixed(1)) < 0 ? "−" : "+"}${Math.abs(value).toFixed(1)}`);
  const row = (lever) =>
    el(
      "tr",
      {},
      el("th", { scope: "row" }, restate(lever.change)),
      el("td", { dataset: { title: "window, points" } }, lever.waiting ? "…" : points(lever.window_points)),
      el("td", { dataset: { title: "shots inside, points" } }, points(lever.yield_points)),
    );
  const sorted = [...levers].sort((a, b) => (b.window_points ?? -Infinity) - (a.window_points ?? -Infinity));
  return [
    el("h3", {}, "What would widen the window"),
    el(
      "table",
      { className: "readings" },
      el("thead", {}, el("tr", {}, ["Change", "window, points", "shots inside, points"].map((words) => el("th", { scope: "col" }, words)))),
      el("tbody", {}, sorted.map(row)),
    ),
    el("p", { className: "small" }, "Points: change of the usable share of the plane, and of the share of shots inside, in percentage points. Each change by itself, the rest as set. Where all shots are inside already, none can be gained."),
  ];
}

function showAnswers({ smallest_gate_mm: gate, smallest_gate_settings: settings, gate_may_be_smaller: smaller, highest_loading_percent: loading, most_cavities: cavities, most_cavities_stopped_by: stop }) {
  const times = cavities === 0 ? "not even the present ones" : cavities === 1 ? "the present ones, no more" : `${cavities} times the present ones`;
  return [
    el("h3", {}, "Asked backwards"),
    el(
      "dl",
      { className: "reasons" },
      el("dt", {}, "Smallest gate with which some set point nearby bears 3 σ"),
      el("dd", {}, gate === null ? "none from a third to three times the present depth" : `about ${quantity(gate, "mm", 2)} deep${smaller ? " or less" : ""}, with ${settings.map(setting).join(", ")}`),
      el("dt", {}, "Highest loading that still fills at these settings"),
      el("dd", {}, loading === null ? "less than half the present" : `${number(loading)} vol%`),
      el("dt", {}, "Most cavities that this machine fills, feeds and keeps shut, in whole multiples, vents and water in step"),
      el("dd", {}, stop === "" ? times : `${times}; then: ${stop}`),
    ),
  ];
}
