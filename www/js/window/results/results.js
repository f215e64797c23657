// @ts-check
// Numbers of the report, each shown once, by its path in the report.

import { byId, el } from "app/shared/dom";
import { model, read } from "app/window/settings/model";
import { number, quantity } from "app/shared/numbers";

// Path in the report, words, unit, digits.
/** @typedef {PathOf<Gatefrost.Report>} ReportPath */
/** @type {Record<string, [path: ReportPath, words: string, unit: string, digits: number][]>} */
const RESULTS = {
  headline: [
    ["fill.nozzle_pressure_mpa", "Nozzle pressure", "MPa", 3],
    ["fill.fill_time_s", "Fill time", "s", 3],
    ["fill.filled_percent", "Filled", "%", 3],
    ["fill.opening_force_kn", "Opening force, filling", "kN", 3],
    ["hold.gate_freeze_s", "Gate freeze, from the end of filling", "s", 3],
    ["cool.cooling_time_s", "Cold enough to eject, from the end of filling", "s", 3],
    ["hold.part_mass_g", "Mass of the parts", "g", 4],
    ["cool.cycle_s", "Cycle time", "s", 3],
  ],
  feedstock: [
    ["feedstock.viscosity_at_1000_pa_s", "Viscosity at 1000 1/s", "Pa·s", 3],
    ["feedstock.powder_mass_percent", "Powder by mass", "%", 3],
    ["feedstock.density_kg_m3", "Density", "kg/m³", 4],
    ["feedstock.diffusivity_mm2_s", "Thermal diffusivity", "mm²/s", 3],
    ["feedstock.particle_size_90_um", "Particle size d90 (2.2 times the median unless it is typed)", "µm", 3],
  ],
  cavity: [
    ["cavity.volume_cm3", "Volume", "cm³", 3],
    ["cavity.projected_area_cm2", "Projected area", "cm²", 3],
    ["cavity.flow_length_mm", "Flow length", "mm", 3],
    ["cavity.thickest_mm", "Thickest section", "mm", 3],
  ],
  setup: [
    ["fill.rate_cm3_s", "Set injection rate", "cm³/s", 3],
    ["fill.gate_pressure_mpa", "Pressure at the gate", "MPa", 3],
    ["fill.front_temperature_min_c", "Coldest flow front", "°C", 3],
    ["fill.melt_temperature_max_c", "Hottest melt", "°C", 3],
    ["hold.ends.0.sealed_pressure_mpa", "Pressure when sealed", "MPa", 3],
    ["hold.shrinkage_percent", "Shrinkage of the worst 10 %, by volume", "%", 3],
  ],
  hold: [
    ["hold.held_s", "Whole hold time", "s", 3],
    ["hold.shrinkage_spread_percent.0", "Least shrinkage, by volume", "%", 3],
    ["hold.shrinkage_spread_percent.1", "Greatest shrinkage, by volume", "%", 3],
    ["hold.shrinkage_when_opened_percent", "Mean shrinkage when the mould opens", "%", 3],
    ["hold.void_percent", "Voids or sinks when the mould opens", "%", 3],
    ["hold.residual_pressure_mpa", "Pressure left when the mould opens", "MPa", 3],
    ["hold.opening_force_kn", "Opening force, holding", "kN", 3],
    ["cool.runner_time_s", "Sprue and runners cold enough to eject, from the end of filling", "s", 3],
    ["cool.plasticising_s", "Plasticising", "s", 3],
  ],
  after: [
    ["after.oversize_factor", "Oversize factor (cavity over sintered part)", "", 6],
    ["after.moulding_shrinkage_percent", "Linear shrinkage in the mould", "%", 3],
    ["after.sintering_shrinkage_percent", "Linear shrinkage in the furnace", "%", 4],
    ["after.oversize_by_loading_alone", "Oversize factor from the loading alone: not the size to cut", "", 6],
  ],
};

/** @type {{ path: ReportPath, unit: string, digits: number, output: HTMLOutputElement }[]} */
const outputs = [];

/** @param {string} step */
export function resultsOf(step) {
  const rows = RESULTS[step].map(([path, words, unit, digits]) => {
    const output = el("output", { dataset: { key: path } }, "–");
    outputs.push({ path, unit, digits, output });
    return el("div", { className: "result" }, el("dt", {}, words), el("dd", {}, output));
  });
  return el("dl", { className: "results" }, rows);
}

// After a short shot there is no part, and so no times of hold and cooling.
/**
 * @param {Gatefrost.Report} report
 * @param {string} path
 * @param {string} unit
 */
const absent = (report, path, unit) => {
  if (report.hold === null && /^(hold|cool)\./.test(path)) return "none: short shot";
  return unit === "s" ? "never" : "none";
};

/** @param {Gatefrost.Report} report */
export function showResults(report) {
  for (const { path, unit, digits, output } of outputs) {
    const value = read(report, path);
    output.textContent = value === null || value === undefined ? absent(report, path, unit) : quantity(value, unit, digits);
    output.dataset.value = value ?? "";
  }
  sizeNote.textContent = sizeWords(report.after);
  sizeNote.hidden = sizeNote.textContent === "";
}

// Remarks on the size of the cavity.
export const sizeNote = el("p", { id: "size-note" });

/** @param {Gatefrost.AfterReport} after */
export function sizeWords({ no_size: reason, parts, limits_not_met: missed }) {
  if (reason) return `The size of the cavity cannot be computed. ${reason}`;
  const each = parts.map(({ name, oversize_factor: factor }) => `${name} ${number(factor, 6)}`);
  return [
    each.length > 0 && `Oversize factor of each part: ${each.join(", ")}.`,
    missed.length > 0 && `Limits that are not met here: ${missed.join(", ")}. The size is that of the part as it comes out nevertheless.`,
  ].filter(Boolean).join(" ");
}

// Says at the head of the page where the flow constants come from.
export function showProvenance() {
  const { provenance } = model.scenario.feedstock;
  const note = byId("provenance");
  note.textContent = provenance ? `Flow constants: ${provenance}` : "";
  note.title = note.textContent;
}
