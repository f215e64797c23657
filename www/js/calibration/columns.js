// @ts-check
// The columns of the trial log on the page: fields of a shot, what stands in their cells, and what a new shot has.

/**
 * @typedef {object} Column
 * @property {string} field of a shot
 * @property {string} [words] of the head, where they are not those of the catalogue
 * @property {[number | null, string][]} [choices] what a choice offers, instead of a number
 * @property {boolean} [always] whether it is shown without any value in it
 */

/** @type {[number | null, string][]} */
const SEEN = [
  [null, "–"],
  [1, "yes"],
  [0, "no"],
];

/** @type {Column[]} */
export const COLUMNS = [
  { field: "melt_temperature", always: true },
  { field: "mould_temperature", always: true },
  { field: "coolant", words: "Mould temperature of", choices: [[0, "steel"], [1, "coolant"]], always: true },
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
  { field: "filled" },
  { field: "part_mass", always: true },
  { field: "part_temperature" },
  { field: "flash", choices: SEEN },
  { field: "sink", choices: SEEN },
];

// What is read of a shot.
export const READ = ["peak_pressure", "switch_pressure", "cavity_pressure", "filled", "part_mass", "part_temperature", "flash", "sink"];

export const hasReading = (/** @type {any} */ shot) => READ.some((field) => typeof shot[field] === "number");

// A shot with the settings of another and without readings.
/**
 * @param {any} settings
 * @returns {Gatefrost.Shot}
 */
export function freshShot(settings) {
  const nothing = Object.fromEntries(COLUMNS.map(({ field }) => [field, null]));
  const without = Object.fromEntries(READ.map((field) => [field, null]));
  const shot = { ...nothing, hold_pressure: 0, hold_time: 0, coolant: 0, sensor: null, ...settings, ...without, name: "", repeats: 1, used: 0 };
  return /** @type {any} */ (shot);
}
