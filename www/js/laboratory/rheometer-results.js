// @ts-check
// The results of station 2: the ranked laws, their constants and the corrections of the readings.

import { list, tableOf, under } from "app/shared/tables";
import { download, el } from "app/shared/dom";
import { number, stepUnit } from "app/shared/numbers";
import { restate, shownUnit, toShown } from "app/shared/units";

/** @typedef {Gatefrost.Studied} Studied */

/** @type {Record<Gatefrost.Standing, string>} */
const STANDINGS = { fitted: "fitted", held: "held fixed", at_bound: "at the end of its range", undetermined: "not determined by the data", out_of_range: "outside the accepted range" };
// Rows of the flow curve that come from the worker at most.
const MOST_LISTED = 60;

const signOf = (/** @type {string} */ symbol) => symbol.replace("_", "");

/**
 * The laws in the order of their rank, one of them chosen.
 * @param {Gatefrost.Ranking} ranking
 * @param {Record<string, string>} laws their names
 * @param {number} chosen
 * @param {(place: number) => void} choose
 */
export function rankingTable({ fits, refused, remarks }, laws, chosen, choose) {
  const rows = fits.map((fit, i) => {
    const input = el("input", { type: "radio", name: "rheometer-fit", value: String(i), checked: i === chosen, onchange: () => choose(i) });
    const pick = el("label", { className: "pick" }, input, ` ${i + 1}. ${laws[fit.kind]}`);
    return [pick, number(fit.aicc, 4), `${number(100 * fit.log_scatter, 2)} %`, number(fit.r_squared, 5), String(fit.points), String(fit.degrees_of_freedom), fit.converged ? "yes" : "no"];
  });
  return [
    tableOf("Laws, the best first", [{ words: "Law" }, "AICc", "Scatter", "r²", "Points", "Degrees of freedom", "At a minimum"], rows),
    el("p", { className: "small" }, "AICc is the corrected Akaike criterion; smaller is better. With too few points it does not exist. Degrees of freedom: number of points minus number of fitted constants."),
    list([...remarks, ...refused.map(({ kind, reason }) => `${laws[kind]} is not offered: ${reason}`)].map(restate)),
  ];
}

/**
 * The constants of the chosen law, with their correlation.
 * @param {Studied} studied
 * @param {Record<string, string>} laws
 * @param {number} chosen
 */
export function constantsTable(studied, laws, chosen) {
  const fit = studied.ranking.fits[chosen];
  if (!fit) return [];
  const rows = fit.constants.map((c) => [
    under(`${c.title} (${signOf(c.symbol)})`, STANDINGS[c.standing]),
    under(shown(c.value, c.unit, 4), shownUnit(c.unit)),
    c.interval ? `${shown(c.interval[0], c.unit, 4)} to ${shown(c.interval[1], c.unit, 4)}` : "–",
    typeof c.standard_error === "number" ? shown(c.standard_error, stepUnit(c.unit), 2) : "–",
    shownUnit(c.unit) || "–",
    STANDINGS[c.standing],
  ]);
  const { numbers, correlation = [] } = studied.uncertainties[chosen];
  const symbols = numbers.map(({ path }) => signOf(fit.constants.find((c) => c.path === path)?.symbol ?? path));
  const lines = correlation.map((row, i) => [symbols[i], ...row.map((value) => number(value, 3))]);
  return [
    tableOf(`Constants: ${laws[fit.kind]}`, [{ words: "Constant" }, "Value", "95 % interval", "Standard error", { words: "Unit" }, { words: "Fitted or held" }], rows, "stacked"),
    list(fit.remarks.map(restate)),
    el("details", { className: "more" }, el("summary", {}, "Correlation of the constants"), tableOf("Correlation", [{ words: "Constant" }, ...symbols], lines)),
    el("div", { className: "row save" }, el("button", { type: "button", className: "quiet", onclick: () => save(studied, chosen) }, "Fit as a file (JSON)")),
  ];
}

/**
 * The law with errors, covariance and what was corrected, as the command line prints it.
 * @param {Studied} studied
 * @param {number} chosen
 */
function save({ reduction, notes, uncertainties, ranking }, chosen) {
  const text = JSON.stringify({ notes, reduction, fits: [ranking.fits[chosen]], uncertainty: uncertainties[chosen] }, null, 2);
  download(`fit-${ranking.fits[chosen].kind}.json`, "application/json", `${text}\n`);
}

/** @param {Studied} studied */
export const notesOf = ({ notes, reduction }) => [el("h3", {}, "Corrections"), list([...notes, ...reduction.notes.map(({ text }) => text)].map(restate))];

/**
 * A value with its standard error.
 * @param {number} value
 * @param {number | null} error
 * @param {number} factor to the unit that is shown
 * @param {number} digits
 */
const sure = (value, error, factor, digits) => `${number(value * factor, digits)}${typeof error === "number" ? ` ± ${number(error * factor, 2)}` : ""}`;

// Millimetres and megapascals of one unit of the core, in the reader's unit.
const per = (/** @type {string} */ unit, /** @type {number} */ factor) => toShown(factor, unit);

/**
 * A value in the reader's unit, without it.
 * @param {number} value
 * @param {string} unit
 * @param {number} digits
 */
const shown = (value, unit, digits) => number(toShown(value, unit), digits);

/**
 * The results of the corrections: ends, slip and the flow curve.
 * @param {Studied} studied
 */
export function correctionTables({ points: count, reduction: { ends, slip, points } }) {
  const many = count > points.length && points.length >= MOST_LISTED ? `, the first ${points.length}` : "";
  const endRow = (/** @type {Gatefrost.EndCorrection} */ e) =>
    [shown(e.temperature, "°C", 4), shown(e.diameter * 1e3, "mm", 3), number(e.apparent_rate, 4), sure(e.length, e.length_error, per("mm", 1e3), 3), sure(e.pressure, e.pressure_error, per("MPa", 1e-6), 3), sure(e.stress, e.stress_error, 1e-3, 4), String(e.dies), String(e.degrees_of_freedom)];
  const slipRow = (/** @type {Gatefrost.SlipVelocity} */ s) => [shown(s.temperature, "°C", 4), number(s.stress / 1e3, 4), sure(s.velocity, s.velocity_error, per("mm/s", 1e3), 3)];
  const pointRow = (/** @type {Gatefrost.FlowPoint} */ p) =>
    [String(p.line), shown(p.temperature, "°C", 4), number(p.shear_rate, 4), number(p.stress / 1e3, 4), number(p.viscosity, 4)];
  const [celsius, mm] = ["°C", "mm"].map(shownUnit);
  const endHeads = [`Temperature, ${celsius}`, `Die, ${mm}`, "Apparent rate, 1/s", `End length, ${mm}`, `End pressure, ${shownUnit("MPa")}`, "Wall stress, kPa", "Dies", "Degrees of freedom"];
  const curveHeads = ["Line", `Temperature, ${celsius}`, "Wall rate, 1/s", "Wall stress, kPa", "Viscosity, Pa·s"];
  return [
    ...(ends.length > 0 ? [tableOf("End corrections; ± is one standard error", endHeads, ends.map(endRow))] : []),
    ...(slip.length > 0 ? [tableOf("Slip at the wall", [`Temperature, ${celsius}`, "Wall stress, kPa", `Slip velocity, ${shownUnit("mm/s")}`], slip.map(slipRow))] : []),
    el("details", { className: "more", open: points.length <= 12 }, el("summary", {}, `Flow curve after the corrections${many}`), tableOf("Flow curve", curveHeads, points.map(pointRow))),
  ];
}
