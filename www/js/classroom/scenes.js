// @ts-check
// The demonstrations: what moves, what is shown of it. All stand on the first demo but the last, which is of the furnace.

import { say } from "app/classroom/say";
import { told } from "app/shared/core";

/**
 * What moves.
 * @typedef {object} Control
 * @property {() => string} words
 * @property {string} path in the scenario; empty where it is none of a scenario
 * @property {string} unit
 * @property {number[]} values in the order of the keys
 * @property {number} at position of the value to begin with
 */
/**
 * @typedef {object} Scene
 * @property {() => string} title
 * @property {() => string} words
 * @property {Control} control
 * @property {Record<string, unknown>} [set] what differs from the demo from the beginning, by path
 * @property {Sweep} [sweep] one result against the control
 * @property {"hold"} [sheet] a figure of the report at each value
 * @property {(report: any) => string} [told] what is said beside such a figure
 * @property {boolean} [window] whether the window is shown at each value
 * @property {boolean} [gas] whether the furnace is shown
 */
/**
 * @typedef {object} Sweep
 * @property {string} result path in the report
 * @property {() => string} words
 * @property {string} unit
 * @property {boolean} log whether the result has a logarithmic axis
 * @property {boolean} [across] whether the control has one
 * @property {string} [level] path in the scenario of what the result must stay below
 * @property {() => string} [limit] its words
 * @property {string} [mark] a place on the control's axis: path in the scenario, or behind `last.` in the report at the last value
 * @property {() => string} [marked] its words
 */

/**
 * Values from one to another by equal steps, ends included.
 * @param {number} from
 * @param {number} to
 * @param {number} step
 */
const even = (from, to, step) => Array.from({ length: Math.round((to - from) / step) + 1 }, (_, k) => Number((from + k * step).toFixed(6)));

const GATE = "cavity.passages.2.form.strip.thickness";
const WALL = "cavity.passages.3.form.strip.thickness";

/** @param {any} report */
const frozen = (report) => report.hold.gate_freeze_s;

/** @type {Scene[]} */
export const SCENES = [
  {
    title: () => say("hall-loading-title"),
    words: () => say("hall-loading-words"),
    control: { words: () => say("hall-loading-control"), path: "feedstock.solids_loading", unit: "vol%", values: even(50, 65.5, 0.5), at: 12 },
    sweep: {
      result: "fill.required_pressure_mpa",
      words: () => say("hall-loading-result"),
      unit: "MPa",
      log: true,
      level: "machine.max_pressure",
      limit: () => say("hall-loading-level"),
      mark: "feedstock.critical_loading",
      marked: () => say("hall-loading-mark"),
    },
  },
  {
    title: () => say("hall-gate-title"),
    words: () => say("hall-gate-words"),
    control: { words: () => say("hall-gate-control"), path: GATE, unit: "mm", values: even(0.3, 1.5, 0.1), at: 1 },
    sheet: "hold",
    told: (report) => {
      const mass = told(report.hold.part_mass_g, "g");
      const shrinkage = told(report.hold.shrinkage_percent, "%");
      return typeof frozen(report) === "number" ? say("hall-gate-told", { freeze: told(frozen(report), "s"), mass, shrinkage }) : say("hall-gate-never", { mass, shrinkage });
    },
  },
  {
    title: () => say("hall-speed-title"),
    words: () => say("hall-speed-words"),
    control: { words: () => say("hall-speed-control"), path: "setup.injection_time", unit: "s", values: [0.02, 0.025, 0.03, 0.04, 0.05, 0.07, 0.09, 0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1, 1.5, 2], at: 11 },
    set: { "machine.max_rate": 200, "machine.max_pressure": 250 },
    sweep: {
      result: "fill.melt_temperature_max_c",
      words: () => say("hall-speed-result"),
      unit: "°C",
      log: false,
      across: true,
      level: "feedstock.burn_onset",
      limit: () => say("hall-speed-level"),
    },
  },
  {
    title: () => say("hall-hold-title"),
    words: () => say("hall-hold-words"),
    control: { words: () => say("hall-hold-control"), path: "setup.hold_time", unit: "s", values: even(0.2, 3, 0.1), at: 4 },
    sweep: {
      result: "hold.part_mass_g",
      words: () => say("hall-hold-result"),
      unit: "g",
      log: false,
      mark: "last.hold.gate_freeze_s",
      marked: () => say("hall-hold-mark"),
    },
  },
  {
    title: () => say("hall-wall-title"),
    words: () => say("hall-wall-words"),
    control: { words: () => say("hall-wall-control"), path: WALL, unit: "mm", values: even(0.4, 2.8, 0.2), at: 6 },
    window: true,
  },
  {
    title: () => say("hall-wax-title"),
    words: () => say("hall-wax-words"),
    control: { words: () => say("hall-wax-control"), path: "", unit: "%", values: even(2, 30, 1), at: 18 },
    gas: true,
  },
];
