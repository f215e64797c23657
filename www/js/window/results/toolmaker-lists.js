// @ts-check
// The lists of the toolmaker's sheet: set point, tool, machine and cycle.

import { parameter } from "app/shared/catalogue";
import { el } from "app/shared/dom";
import { number, quantity } from "app/shared/numbers";
import { model } from "app/window/settings/model";

/** @typedef {[words: string, value: string | null]} Row */

/**
 * @param {string} title
 * @param {Row[]} rows
 * @param {string} [note]
 */
export function list(title, rows, note) {
  const known = rows.filter(([, value]) => value !== null);
  const pairs = known.flatMap(([words, value]) => [el("dt", {}, words), el("dd", {}, value)]);
  return el("section", {}, el("h3", {}, title), el("dl", {}, pairs), note && el("p", {}, note));
}

/**
 * @param {string} path
 * @returns {Row}
 */
const set = (path) => {
  const { title, unit } = parameter(path);
  const value = model.get(path);
  return [title, typeof value === "number" ? quantity(value, unit, 4) : null];
};

/**
 * @param {Gatefrost.Scenario} scenario
 * @param {Gatefrost.Report} report
 * @returns {Row[]}
 */
export function setPoint({ setup }, { fill }) {
  /** @type {Row[]} */
  const steps = setup.further_hold.map(({ pressure, time }, i) => [`Hold step ${i + 2}`, `${quantity(pressure, "MPa")} for ${quantity(time, "s")}`]);
  /** @type {Row[]} */
  const ram = setup.ram.map(({ share, speed }, i) => [`Speed step ${i + 1}`, `${number(share)} % of the volume at ${number(speed)} % speed`]);
  return [
    set("setup.melt_temperature"),
    set("setup.mould_temperature"),
    set("setup.injection_time"),
    ["Set injection rate", quantity(fill.rate_cm3_s, "cm³/s")],
    ...ram,
    set("setup.switch_over"),
    set("setup.hold_pressure"),
    set("setup.hold_time"),
    ...steps,
    set("setup.cooling_time"),
  ];
}

/**
 * @param {number | null} percent
 * @param {number} digits
 */
const inLength = (percent, digits) => (percent === null ? "none" : `${number(percent, digits)} %`);
// Replaces the entries that only a complete part has.
const SHORT = "none: short shot";

/**
 * @param {Gatefrost.Scenario} scenario
 * @param {Gatefrost.Report} report
 * @returns {Row[]}
 */
export function tool({ mould }, { cavity, hold, after, fill }) {
  const [width, depth, land] = [mould.vent_width, mould.vent_depth, mould.vent_land].map((size) => quantity(size, "mm"));
  return [
    ["Oversize factor", after.oversize_factor === null ? "none" : number(after.oversize_factor, 6)],
    ["Linear shrinkage in the mould", inLength(after.moulding_shrinkage_percent, 3)],
    ["Linear shrinkage in the furnace", inLength(after.sintering_shrinkage_percent, 4)],
    ["Gate freeze", hold ? (hold.gate_freeze_s === null ? "never" : quantity(hold.gate_freeze_s, "s")) : SHORT],
    ["Vents", `${width} × ${depth}`],
    ["Vent land", land],
    ["Weld lines", fill.weld_lines.length === 0 ? "none" : fill.weld_lines.map((w) => w.passage).join(", ")],
    ["Thickest section", quantity(cavity.thickest_mm, "mm")],
    ["Projected area", quantity(cavity.projected_area_cm2, "cm²")],
  ];
}

/**
 * @param {Gatefrost.Scenario} scenario
 * @param {Gatefrost.Report} report
 * @returns {Row[]}
 */
export function machine({ machine: m, mould }, { fill, hold, cool, cavity, margins }) {
  const force = Math.max(fill.opening_force_kn, hold?.opening_force_kn ?? 0);
  const water = margins.find(({ limit }) => limit === "cooling_water");
  return [
    ["Nozzle pressure", `${quantity(fill.nozzle_pressure_mpa, "MPa")} of ${quantity(m.max_pressure, "MPa")}`],
    ["Opening force", `${quantity(force, "kN")}; clamp ${quantity(m.clamp_force, "kN")}`],
    ["Shot", `${quantity(cavity.volume_cm3, "cm³")} of ${quantity(m.shot_volume, "cm³")}`],
    ["Mass of the parts", hold ? quantity(hold.part_mass_g, "g", 4) : SHORT],
    ["Cycle time", cool.cycle_s === null ? (hold ? "none" : SHORT) : quantity(cool.cycle_s, "s")],
    ["Heat to the cooling water", cool.heat_w === null ? "not known" : quantity(cool.heat_w, "W")],
    ["Cooling water", quantity(mould.water_flow, parameter("mould.water_flow").unit)],
    ["Rise of the cooling water", water ? quantity(water.value, water.unit, 2) : null],
  ];
}
