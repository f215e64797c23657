// @ts-check
// A class's own readings beside the model: part mass against hold time, or viscosity against shear rate.

import { chartOf } from "app/classroom/chart";
import { solved } from "app/classroom/hall-work";
import { say } from "app/classroom/say";
import { own_table, told } from "app/shared/core";
import { byId, el } from "app/shared/dom";
import { dismiss, notice, reasons } from "app/shared/notices";

// Places of the model's curve beside the readings.
const BESIDE = 12;
// Hold times that the model takes, in s.
const HOLD = [0.05, 100];

/** @typedef {{ chart: Gatefrost.Chart, ratios: number[], more: string }} Compared */

/** @param {number[][]} points */
const rising = (points) => /** @type {[number, number][]} */ (points.sort(([a], [b]) => a - b));

/**
 * @param {string} title
 * @param {string} unit
 * @param {boolean} log
 * @returns {Gatefrost.ChartAxis}
 */
const axis = (title, unit, log) => ({ title, unit, log, from_zero: false });

// Part mass against hold time. The model is computed at each hold that was weighed, and between.
/**
 * @param {number[][]} rows
 * @param {string} link
 * @returns {Promise<Compared>}
 */
async function holdSeries(rows, link) {
  const holds = rows.map(([hold]) => hold);
  const [least, most] = [Math.min(...holds), Math.max(...holds)];
  if (least < HOLD[0] || most > HOLD[1] || rows.some(([, mass]) => mass <= 0)) throw new Error(say("own-hold-range", { least: HOLD[0], most: HOLD[1] }));
  const between = Array.from({ length: BESIDE }, (_, k) => least + ((most - least) * k) / (BESIDE - 1));
  const values = [...new Set([...holds, ...between])].sort((a, b) => a - b);
  const { results, read: [freeze] } = await solved(say("beside-unreached"), "hall_swept", { link, set: {}, path: "setup.hold_time", values, result: "hold.part_mass_g", reads: ["last.hold.gate_freeze_s"] });
  const model = values.map((hold, k) => [hold, results[k]]);
  const by = new Map(/** @type {[number, number][]} */ (model));
  const sorted = rising(rows);
  const change = told(100 * (sorted[sorted.length - 1][1] / sorted[0][1] - 1), "%");
  return {
    chart: {
      caption: say("own-caption-hold"),
      x: axis(say("own-axis-hold"), "s", false),
      y: axis(say("own-axis-mass"), "g", false),
      curves: [{ name: say("own-by-model"), form: "leading", points: rising(model) }, { name: say("own-measured"), form: "dots", points: sorted }],
      series: say("figure-series"),
      marks: [],
      empty: "",
    },
    ratios: rows.map(([hold, mass]) => mass / (by.get(hold) ?? NaN)),
    more: typeof freeze === "number" ? say("own-gate", { freeze: told(freeze, "s"), change }) : "",
  };
}

// Viscosity against shear rate, at each temperature of the readings.
/**
 * @param {number[][]} rows
 * @param {string} link
 * @returns {Promise<Compared>}
 */
async function viscosities(rows, link) {
  if (rows.some(([, rate, viscosity]) => rate <= 0 || viscosity <= 0)) throw new Error(say("own-rate-range"));
  const temperatures = [...new Set(rows.map(([temperature]) => temperature))].sort((a, b) => a - b);
  /** @type {{ temperature: number, rates: number[], viscosities: number[] }[]} */
  const curves = await solved(say("beside-unreached"), "own_viscosities", { link, temperatures });
  const several = temperatures.length > 1;
  const at = (/** @type {number} */ temperature) => ({ temperature: told(temperature, "°C") });
  /** @type {Gatefrost.ChartCurve[]} */
  const drawn = [];
  const ratios = [];
  for (const { temperature, rates, viscosities: values } of curves) {
    const own = rising(rows.filter(([t]) => t === temperature).map(([, rate, viscosity]) => [rate, viscosity]));
    drawn.push({ name: several ? say("own-by-model-at", at(temperature)) : say("own-by-model"), form: several ? "line" : "leading", points: rates.map((rate, k) => [rate, values[k]]) });
    drawn.push({ name: several ? say("own-measured-at", at(temperature)) : say("own-measured"), form: "dots", points: own });
    ratios.push(...own.map(([rate, viscosity]) => viscosity / between(rates, values, rate)));
  }
  return {
    chart: {
      caption: say("own-caption-viscosity"),
      x: axis(say("own-axis-rate"), "1/s", true),
      y: axis(say("own-axis-viscosity"), "Pa·s", true),
      curves: drawn,
      series: say("figure-series"),
      marks: [],
      empty: "",
    },
    ratios,
    more: "",
  };
}

// The model's viscosity at a rate, by a straight line between the logarithms; NaN outside of its curve.
/**
 * @param {number[]} rates
 * @param {number[]} values
 * @param {number} rate
 */
function between(rates, values, rate) {
  const k = rates.findIndex((one) => one >= rate);
  if (k < 0 || (k === 0 && rates[0] > rate)) return NaN;
  if (k === 0) return values[0];
  const share = Math.log(rate / rates[k - 1]) / Math.log(rates[k] / rates[k - 1]);
  return values[k - 1] * (values[k] / values[k - 1]) ** share;
}

/** @type {Record<string, { words: () => string, about: () => string, columns: number, example: string, compare: (rows: number[][], link: string) => Promise<Compared> }>} */
const KINDS = {
  hold: { words: () => say("own-hold"), about: () => say("own-hold-about"), columns: 2, example: "0.5\t3.73\n1.0\t3.75\n1.5\t3.78\n2.0\t3.83\n2.5\t3.83\n3.0\t3.83", compare: holdSeries },
  viscosity: { words: () => say("own-viscosity"), about: () => say("own-viscosity-about"), columns: 3, example: "165\t100\t740\n165\t1000\t195\n165\t10000\t48", compare: viscosities },
};

// The part of a link that holds the scenario; empty for the demo.
/** @param {string} typed */
function fragmentOf(typed) {
  const text = typed.trim();
  return text.includes("#") ? text.slice(text.indexOf("#") + 1) : text;
}

// Builds the place where readings are compared.
export function buildOwn() {
  const kind = el("select", { id: "own-kind", onchange: () => choose() }, Object.entries(KINDS).map(([name, { words }]) => el("option", { value: name }, words())));
  const about = el("p", { id: "own-about", className: "small" });
  const table = el("textarea", { id: "own-table", rows: 8, spellcheck: false, "aria-describedby": "own-about" });
  const link = el("input", { id: "own-link", type: "text", autocomplete: "off", spellcheck: false });
  const said = el("div", { role: "status" });
  const found = el("div", { id: "own-found" });
  const chosen = () => KINDS[kind.value];
  const choose = () => {
    about.textContent = chosen().about();
    table.value = chosen().example;
    said.replaceChildren();
    found.replaceChildren();
  };
  const chooser = el("input", { type: "file", accept: ".txt,.csv,.tsv,text/plain,text/csv", className: "hidden", tabIndex: -1, "aria-label": say("own-file"), onchange: () => take(chooser.files?.[0]) });
  /** @param {File | undefined} file */
  async function take(file) {
    if (!file) return;
    table.value = await file.text();
    chooser.value = "";
    compare();
  }
  table.addEventListener("dragover", (event) => event.preventDefault());
  table.addEventListener("drop", (event) => {
    const file = event.dataTransfer?.files[0];
    if (!file) return;
    event.preventDefault();
    take(file);
  });
  async function compare() {
    dismiss("own");
    found.replaceChildren();
    said.textContent = say("own-computing");
    document.documentElement.dataset.busy = "true";
    try {
      const { columns, compare: by } = chosen();
      const rows = own_table(table.value, columns);
      const fragment = fragmentOf(link.value);
      const { readable } = await solved(say("beside-unreached"), "own_readable", { link: fragment });
      if (!readable) throw new Error(say("own-link-unreadable"));
      const { chart, ratios, more } = await by(rows, fragment);
      said.replaceChildren(...sentences(ratios, more));
      found.replaceChildren(chartOf(chart));
    } catch (error) {
      said.replaceChildren();
      notice("own", say("desk-refused"), reasons(error));
    }
    document.documentElement.dataset.busy = "false";
  }
  byId("own-parts").replaceChildren(
    el("div", { className: "field wide" }, el("label", { htmlFor: "own-kind" }, say("own-kind")), kind),
    about,
    el("div", { className: "field wide" }, el("label", { htmlFor: "own-table" }, say("own-table")), table),
    el("div", { className: "field wide" }, el("label", { htmlFor: "own-link" }, say("own-scenario")), link),
    el("p", { className: "row" }, el("button", { type: "button", id: "own-compare", onclick: compare }, say("own-compare")), el("button", { type: "button", onclick: () => chooser.click() }, say("own-file")), chooser),
    said,
    found,
  );
  choose();
  kind.focus();
}

/**
 * @param {number[]} ratios of readings to the model
 * @param {string} more
 */
function sentences(ratios, more) {
  const known = ratios.filter(Number.isFinite);
  const mean = known.reduce((sum, ratio) => sum + ratio, 0) / known.length;
  const percent = (/** @type {number} */ ratio) => told(100 * ratio, "%");
  const first = known.length > 0 && el("p", {}, say("own-ratio", { mean: percent(mean), least: percent(Math.min(...known)), most: percent(Math.max(...known)) }));
  return [first || "", more ? el("p", {}, more) : ""];
}
