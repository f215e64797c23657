// @ts-check
// The columns of the trial log on the page: fields of a shot, what stands in their cells, and what a new shot has.

import { readFields } from "app/calibration/words";
import { model } from "app/window/settings/model";

/**
 * @typedef {object} Column
 * @property {string} field of a shot
 * @property {string} [words] of the head, where they are not those of the catalogue
 * @property {() => [number | string | null, string][]} [choices] what a choice offers, instead of a number
 * @property {boolean} [always] whether it is shown without any value in it
 */

/** @type {() => [number | null, string][]} */
const seen = () => [
  [null, "–"],
  [1, "yes"],
  [0, "no"],
];

// The sections of the part, in one of which the pressure sensor is.
/** @type {() => [string | null, string][]} */
const sections = () => {
  const parts = model.scenario.cavity.passages.filter(({ role }) => role === "part").map(({ name }) => name);
  const others = model.scenario.shots.flatMap(({ sensor }) => (sensor && !parts.includes(sensor) ? [sensor] : []));
  return [[null, parts[0] ? `first: ${parts[0]}` : "–"], ...[...parts, ...new Set(others)].map((name) => /** @type {[string, string]} */ ([name, name]))];
};

/** @type {Column[]} */
export const COLUMNS = [
  { field: "melt_temperature", always: true },
  { field: "mould_temperature", always: true },
  { field: "coolant", words: "Mould temperature of", choices: () => [[0, "steel"], [1, "coolant"]], always: true },
  { field: "injection_time", always: true },
  { field: "hold_pressure", always: true },
  { field: "hold_time", always: true },
  { field: "second_hold_pressure", words: "Second hold pressure" },
  { field: "second_hold_time", words: "Second hold time" },
  { field: "cooling_time" },
  { field: "switch_over" },
  { field: "pressure_limit" },
  { field: "repeats" },
  { field: "peak_pressure", always: true },
  { field: "switch_pressure" },
  { field: "cavity_pressure" },
  { field: "sensor", words: "Sensor at the entry of", choices: sections },
  { field: "filled" },
  { field: "part_mass", always: true },
  { field: "part_temperature" },
  { field: "flash", choices: seen },
  { field: "sink", choices: seen },
];

export const hasReading = (/** @type {Gatefrost.Shot} */ shot) => readFields.some((field) => typeof shot[field] === "number");

// A shot with the settings of another and without readings.
/**
 * @param {any} settings
 * @returns {Gatefrost.Shot}
 */
export function freshShot(settings) {
  const nothing = Object.fromEntries(COLUMNS.map(({ field }) => [field, null]));
  const without = Object.fromEntries(readFields.map((field) => [field, null]));
  const shot = { ...nothing, hold_pressure: 0, hold_time: 0, coolant: 0, ...settings, ...without, name: "", repeats: 1, used: 0 };
  return /** @type {any} */ (shot);
}
