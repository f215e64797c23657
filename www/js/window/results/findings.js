// @ts-check
// Results of hold and cooling for each gate and each end of flow, and what decides when a gate freezes.

import { el, put, putHidden } from "app/shared/dom";
import { read } from "app/window/settings/model";
import { quantity } from "app/shared/numbers";
import { unitsInUse } from "app/shared/units";
import { ExplainPlace } from "app/explain/place";
import { resultsOf } from "app/window/results/results";

/** @typedef {[unit: string, digits: number, none?: string]} As */
/**
 * @template Row
 * @typedef {[heading: string, path: PathOf<Row>, as?: As][]} Columns
 */

/** @type {As} */
const DEGREES = ["°C", 4];
/** @type {As} */
const SECONDS = ["s", 3];
/** @type {As} */
const PRESSURE = ["MPa", 3, "none"];

// Columns: heading, path below that of the row, unit, digits, and the word for an absent value ("never" unless given).
// The first column is the name of the row.
/** @type {Columns<Gatefrost.GateReport>} */
const GATES = [
  ["Gate", "name"],
  ["Frozen after", "freeze_s", SECONDS],
  ["Centre at no-flow temperature after", "centre_freeze_s", SECONDS],
  ["Hand formula, mean", "hand_mean_s", SECONDS],
  ["Hand formula, centre", "hand_centre_s", SECONDS],
];
/** @type {Columns<Gatefrost.GateStudy>} */
const CAUSES = [
  ["Gate", "name"],
  ["As computed", "freeze_s", SECONDS],
  ["Without creeping melt", "without_creep_s", SECONDS],
  ["Without latent heat either", "without_latent_s", SECONDS],
  ["With perfect contact too", "perfect_contact_s", SECONDS],
  ["Hand formula, mean", "hand_mean_s", SECONDS],
];
/** @type {Columns<Gatefrost.EndReport>} */
const ENDS = [
  ["End of flow", "name"],
  ["Sealed by", "gate"],
  ["Sealed after", "sealed_after_s", SECONDS],
  ["Pressure when sealed", "sealed_pressure_mpa", PRESSURE],
  ["Shrinkage by volume", "shrinkage_percent", ["%", 3]],
];
/** @type {Columns<Gatefrost.WeldReport>} */
const WELDS = [
  ["Weld line in", "passage"],
  ["Distance from its beginning", "from_start_mm", ["mm", 3]],
  ["Fronts meet after", "time_s", SECONDS],
  ["One front", "front_temperatures_c.0", DEGREES],
  ["The other front", "front_temperatures_c.1", DEGREES],
  ["Greatest pressure in the hold", "pressure_mpa", PRESSURE],
  ["Pressure when it solidified", "pressure_when_set_mpa", PRESSURE],
];

/** @type {Columns<Gatefrost.PassageFlow>} */
const PASSAGES = [
  ["Passage", "name"],
  ["Apparent shear rate", "apparent_shear_rate_1_s", ["1/s", 3]],
  ["Wall stress", "wall_stress_kpa", ["kPa", 3]],
  ["Mean speed", "velocity_m_s", ["m/s", 3]],
  ["Pressure drop at the end of filling", "pressure_drop_mpa", PRESSURE],
];

const REASONS = [
  ["Creeping melt", "As the cavity cools and shrinks, hot melt creeps in through the gate and keeps it warm. The hand formula has no flow."],
  ["Latent heat", "The binder gives up heat as it solidifies, and that heat has to leave through the wall too. The hand formula has only the heat capacity."],
  ["Wall contact", "The contact between melt and steel resists the flow of heat: see the contact conductance. The hand formula puts the melt’s surface at wall temperature."],
  ["The difference that is left", "The hand formula begins with a gate at melt temperature throughout and ends when its mean is at the no-flow temperature. The computed gate has a cold skin from the fill, or heat from shear, and counts as frozen when it lets through a thousandth of what it did at the end of filling."],
];

// `shown` is what the rows were made of.
/** @type {Record<string, { root: HTMLElement, body: HTMLElement, place: ExplainPlace, columns: [heading: string, path: string, as?: As][], shown: string }>} */
const tables = {};

/**
 * @param {string} name
 * @param {string} title
 * @param {[heading: string, path: string, as?: As][]} columns
 * @param {HTMLElement} [note]
 */
function table(name, title, columns, note) {
  const body = el("tbody");
  const grid = el(
    "table",
    { className: "readings" },
    el("caption", {}, title),
    el("thead", {}, el("tr", {}, columns.map(([words]) => el("th", { scope: "col" }, words)))),
    body,
  );
  const box = el("div", { className: "scroll", tabIndex: 0, role: "region", "aria-label": title }, grid);
  const place = new ExplainPlace(() => body);
  const root = el("div", { className: "finding", id: `finding-${name}` }, box, place.root, note);
  tables[name] = { root, body, place, columns, shown: "" };
  return root;
}

/**
 * @param {string} name
 * @param {string} path
 * @param {object[]} rows
 */
function fill(name, path, rows) {
  const { body, place, columns, shown } = tables[name];
  const wanted = JSON.stringify([unitsInUse(), rows]);
  if (shown === wanted) return;
  tables[name].shown = wanted;
  /**
   * @param {object} row
   * @param {number} index
   * @returns {(column: [heading: string, path: string, as?: As], place: number) => HTMLElement}
   */
  const cell = (row, index) => ([title, field, as], column) => {
    const value = read(row, field);
    const key = `${path}.${index}.${field}`;
    if (column === 0) return el("th", { scope: "row" }, value);
    if (!as) return el("td", { dataset: { title } }, value);
    const [unit, digits, none = "never"] = as;
    const words = typeof value === "number" ? quantity(value, unit, digits) : none;
    // The causes are taken apart in the table itself.
    const shown = path === "study.gates" ? words : place.number(key, words);
    return el("td", { dataset: { key, value: value ?? "", title } }, shown);
  };
  // A number that had the focus keeps it.
  const focused = /** @type {HTMLElement | null} */ (body.contains(document.activeElement) ? document.activeElement : null)?.dataset.explains;
  body.replaceChildren(...rows.map((row, index) => el("tr", {}, columns.map(cell(row, index)))));
  if (focused) /** @type {HTMLElement | null} */ (body.querySelector(`[data-explains="${focused}"]`))?.focus({ preventScroll: true });
}

const order = el("p", { id: "fill-order" });
const governed = el("p", { id: "governed-by" });

/** @param {HTMLElement} root */
export function buildFindings(root) {
  const reasons = REASONS.map(([words, why]) => [el("dt", {}, words), el("dd", {}, why)]);
  root.append(
    el("div", { className: "finding" }, resultsOf("hold"), order, governed),
    table("gates", "Gate freeze, from the end of filling", GATES),
    table(
      "causes",
      "Why the gate freeze differs from the hand formula: one cause after another removed",
      CAUSES,
      el("details", { className: "more" }, el("summary", {}, "What is removed in each step"), el("dl", { className: "reasons" }, reasons.flat())),
    ),
    table("ends", "Ends of flow, the one that shrinks most first", ENDS),
    table("welds", "Weld lines", WELDS),
    table("passages", "Flow in each passage, at its hardest", PASSAGES),
  );
}

/** @param {Gatefrost.Report} report */
export function showFindings({ fill: { paths, passages, weld_lines: welds }, hold, cool }) {
  fill("gates", "hold.gates", hold?.gates ?? []);
  fill("ends", "hold.ends", hold?.ends ?? []);
  fill("welds", "fill.weld_lines", welds);
  fill("passages", "fill.passages", passages);
  for (const name of ["gates", "causes", "ends"]) putHidden(tables[name].root, !hold);
  putHidden(tables.welds.root, welds.length === 0);
  const [first, last] = [paths.at(-1), paths[0]];
  const full = (/** @type {Gatefrost.PathProfile} */ path) => `${path.end} (${quantity(path.filled_after_s, "s", 3)})`;
  const known = paths.length > 1 && paths.every((path) => typeof path.filled_after_s === "number");
  put(order, known && first && last ? `The first branch to fill is ${full(first)}, the last ${full(last)}.` : "");
  putHidden(order, !known);
  const noCycle = `There is no cycle time: ${hold ? "the part never gets cold enough to eject" : "the cavity does not fill"}.`;
  put(governed, cool.governed_by ? `What decides the cycle time: ${cool.governed_by}.` : noCycle);
}

// Another report is there; its study will follow.
export const awaitStudy = () => mark(true);

/** @param {Gatefrost.GateStudy[]} gates */
export function showStudy(gates) {
  fill("causes", "study.gates", gates);
  mark(false);
}

/** @param {boolean} waiting */
function mark(waiting) {
  const { classList } = tables.causes.root;
  if (classList.contains("waiting") !== waiting) classList.toggle("waiting", waiting);
}
