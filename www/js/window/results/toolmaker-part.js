// @ts-check
// What the toolmaker's sheet says of the part: its sizes, what must stay as it is, what follows the mould, who signs.

import { el } from "app/shared/dom";
import { number, quantity } from "app/shared/numbers";
import { unitsInUse } from "app/shared/units";
import { table } from "app/window/results/toolmaker-tables";
import { inTurn } from "app/window/studies";

// Greatest number of sizes.
const MOST_SIZES = 12;

/**
 * The sizes of a scenario and its gate as SVG. An empty list and nothing if they are not known, with the reason in `failure`
 * if the computation failed.
 * @typedef {{ of: string, sizes: Gatefrost.CavitySize[], gate?: string, failure?: string }} Cut
 */

/**
 * @param {string} of what is to be drawn, with its units
 * @param {string} scenario
 * @returns {Promise<Cut>}
 */
export async function cutFor(of, scenario) {
  const sizes = inTurn({ call: "cavity_sizes", args: { scenario } });
  const { value: gate } = await inTurn({ call: "gate_detail", args: { scenario, units: unitsInUse() } });
  const { value = [], failure } = await sizes;
  return { of, sizes: value, gate, failure };
}

/** @param {Cut} cut */
export function sizes({ sizes: all, failure }) {
  if (failure) return line("Sizes of the part:", `not computed. ${failure} Open the sheet again to try again.`);
  if (all.length === 0) return null;
  const row = (/** @type {Gatefrost.CavitySize} */ { name, measure, final_mm: final, tolerance_mm: tolerance, cavity_mm: cavity, cut }) =>
    el(
      "tr",
      {},
      el("th", { scope: "row" }, measure ? `${name}: ${measure}` : name),
      el("td", {}, `${quantity(final, "mm", 4)}${tolerance === null ? "" : ` ± ${quantity(tolerance, "mm", 2)}`}`),
      el("td", {}, `${quantity(cavity, "mm", 5)}${cut ? " (cut)" : ""}`),
    );
  const left = all.length - MOST_SIZES;
  return table("Sizes of the part", ["Size", "Sintered", "Cavity at 23 °C"], all.slice(0, MOST_SIZES).map(row), left > 0 ? `and ${left} more: open the link` : null);
}

/**
 * @param {string} words
 * @param {string} told
 */
const line = (words, told) => el("p", {}, el("strong", {}, words), " ", told);

// The limits rest on these; the sheet no longer holds when one of them is changed.
export const unchanged = () => line("Do not change without asking:", "form, section and place of the gates; walls of the part; lengths and sections of sprue and runners; depth of the vents; sizes of the cavity.");

/** @param {Gatefrost.DebindingStep} step */
function stepWords(step) {
  if ("bath" in step) return `bath of ${step.bath.water ? "water" : "solvent"} at ${quantity(step.bath.temperature, "°C")}`;
  if ("catalytic" in step) return `oven with acid vapour at ${quantity(step.catalytic.temperature, "°C")}`;
  return `furnace to ${quantity(step.thermal.end_temperature, "°C")}, at most ${number(step.thermal.ramp)} K/min`;
}

// Debinding and sintering in short, from what the scenario states.
/** @param {Gatefrost.Scenario} scenario */
export function afterTheMould({ debinding, sintering }) {
  const stretches = sintering.stretches.map(({ ramp, temperature, hold }) => `${number(ramp)} K/min to ${quantity(temperature, "°C")}, ${number(hold)} min`);
  const told = [
    debinding.steps.length > 0 && `Debinding: ${debinding.steps.map(stepWords).join("; then ")}.`,
    stretches.length > 0 && `Sintering: ${stretches.join("; then ")}.`,
  ].filter((words) => words !== false);
  return told.length > 0 ? line("After the mould:", `${told.join(" ")} An outline, no furnace recipe.`) : null;
}

/** @param {string} revision */
export const signed = (revision) =>
  el("p", { className: "sheet-signed" }, ["Revision", "Date", "Name", "Signature"].map((words) => el("span", {}, `${words} ${words === "Revision" ? revision : ""}`)));
