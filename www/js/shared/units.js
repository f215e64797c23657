// @ts-check
// The units in which numbers are shown and typed. The scenario, links and files keep the catalogue's.

import { restated, unit_sets, unit_table } from "app/shared/core";
import { el } from "app/shared/dom";
import { keep, recall } from "app/shared/keep";

const PLACE = "gatefrost.units";
/** @type {Gatefrost.Units} */
let name = "si";
/** @type {Map<string, Gatefrost.Shown>} */
let table = new Map();

// Sends "changed".
export const units = new EventTarget();

export const unitsInUse = () => name;

/** @param {Gatefrost.Units} wanted */
export function useUnits(wanted) {
  table = new Map(unit_table(wanted).map((entry) => [entry.edge, entry]));
  name = wanted;
  keep(() => localStorage, PLACE, wanted);
  units.dispatchEvent(new Event("changed"));
}

export function recallUnits() {
  const wanted = recall(() => localStorage, PLACE);
  const set = unit_sets().find(({ name: known }) => known === wanted);
  if (set) useUnits(set.name);
}

/** @param {string} unit */
export const isConverted = (unit) => table.has(unit);

/** @param {string} unit */
export const shownUnit = (unit) => table.get(unit)?.unit ?? unit;

/**
 * @param {any} value
 * @param {string} unit
 */
export function toShown(value, unit) {
  const entry = table.get(unit);
  return entry && typeof value === "number" ? value * entry.factor + entry.offset : value;
}

// The typed value in the catalogue's unit, rounded to remove the rounding error of the conversion.
/**
 * @param {number} value
 * @param {string} unit
 */
export function toEdge(value, unit) {
  const entry = table.get(unit);
  return entry ? Number(((value - entry.offset) / entry.factor).toPrecision(10)) : value;
}

/** @param {string} sentence */
export const restate = (sentence) => (table.size > 0 ? restated(sentence, name) : sentence);

// Where feet and pounds are used, a comma groups thousands: what else such a number may mean.
/** @param {string} text */
export function doubtful(text) {
  const typed = text.trim();
  if (name !== "inch" || !/^[1-9]\d{0,2},\d{3}$/.test(typed)) return null;
  return `is “${typed}”, which may mean ${typed.replace(",", "")} or ${typed.replace(",", ".")}: write it that way`;
}

// The choice of units.
/** @param {HTMLSelectElement} select */
export function buildUnits(select) {
  select.append(...unit_sets().map((set) => el("option", { value: set.name }, set.title)));
  select.value = name;
  select.addEventListener("change", () => useUnits(/** @type {Gatefrost.Units} */ (select.value)));
}
