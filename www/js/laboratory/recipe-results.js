// @ts-check
// The results of station 1: viscosity in a sentence, constants and properties with their bands, and the batch.

import { Laboratory } from "app/shared/core";
import { ruleWords } from "app/laboratory/fields";
import { list, tableOf, under } from "app/shared/tables";
import { powderOf, titleOf } from "app/laboratory/recipe-form";
import { download, el, fileName } from "app/shared/dom";
import { problemsOf } from "app/shared/notices";
import { number, quantity } from "app/shared/numbers";
import { restate, shownUnit, toShown } from "app/shared/units";

/** @typedef {{ viscosity: number, low: number, high: number }} Chosen viscosity at the rate and temperature chosen */
/** @typedef {Gatefrost.EstimateShown & { chosen: Chosen, at: [rate: number, temperature: number] }} Shown */

/** @param {Shown} shown */
export const sentence = ({ chosen, at }) =>
  `An estimate: ${number(chosen.viscosity, 3)} Pa·s at ${number(at[0], 4)} 1/s and ${quantity(at[1], "°C", 4)}, with a band from ${number(chosen.low, 2)} to ${number(chosen.high, 2)} Pa·s.`;

/**
 * The scenario's own feedstock at the same rate and temperature, and why it differs.
 * @param {Shown} shown
 * @param {Gatefrost.Scenario} scenario
 * @param {string | undefined} remark on the scenario's name
 */
export function comparison({ estimate, chosen, at }, scenario, remark) {
  const own = ownViscosity(scenario, at);
  if (own === null) return [];
  const { feedstock } = scenario;
  const { critical_loading, solids_loading } = estimate.feedstock;
  const factor = own / chosen.viscosity;
  const times = factor >= 1 ? `${number(factor, 2)} times the estimate` : `${number(100 * factor, 2)} % of the estimate`;
  const why = [
    `The estimate mixes the melt viscosities of the binder’s parts and multiplies by the relative viscosity, here at ${number(solids_loading, 4)} vol% with a critical loading of ${number(critical_loading, 4)} vol%. The rule leaves out entanglement and parts that do not mix, so it tends to come out low. The band says how far it may be off.`,
    `The constants of the scenario’s feedstock are illustrative. They were not computed from a recipe: they were chosen so that the viscosity at moulding rates lies where published feedstocks for high-pressure moulding lie, at 100 to 1000 Pa·s (Int. J. Mater. Forming 2021, 10.1007/s12289-021-01612-0). They stand at ${number(feedstock.solids_loading, 4)} vol% with a critical loading of ${number(feedstock.critical_loading, 4)} vol%.`,
    "Neither is a measurement. Readings of your own feedstock show which is nearer.",
  ];
  const illustrative = feedstock.provenance.includes("illustrative");
  return [
    el("p", { className: "small" }, `The scenario’s own feedstock, “${feedstock.name}”, has ${number(own, 3)} Pa·s there at ${number(feedstock.solids_loading, 4)} vol%, ${times}, which is at ${number(solids_loading, 4)} vol%.`),
    ...(illustrative ? [el("details", { className: "more" }, el("summary", {}, "Why the estimate and the demo’s feedstock differ"), list(why))] : []),
    ...(remark ? [el("p", { className: "error", id: "recipe-scenario-remark" }, `${remark} It stays as it was typed.`)] : []),
  ];
}

/**
 * @param {Gatefrost.Scenario} scenario
 * @param {[rate: number, temperature: number]} at
 */
function ownViscosity(scenario, [rate, temperature]) {
  try {
    return Laboratory.own_viscosity(JSON.stringify(scenario), rate, temperature);
  } catch (error) {
    if (!problemsOf(error)) throw error;
    return null;
  }
}

/** @param {Gatefrost.Estimated} estimated */
function line({ quantity: of, value, low, high, unit, rule: source }) {
  const rule = restate(source.replaceAll("_", ""));
  const [shown, least, most] = [value, low, high].map((one) => number(toShown(one, unit), 4));
  const band = low === high ? "–" : `${least} to ${most}`;
  return [under(titleOf(of), rule), under(shown, shownUnit(unit)), band, shownUnit(unit) || "–", rule];
}

/** @param {Gatefrost.Estimate} estimate */
export function constants(estimate) {
  const heads = [{ words: "Quantity" }, "Estimate", "Band, low to high", { words: "Unit" }, { words: "Rule or source" }];
  return [
    tableOf("Constants of the feedstock", heads, estimate.parameters.map(line), "stacked"),
    el("div", { className: "row save" }, el("button", { type: "button", className: "quiet", onclick: () => save(estimate) }, "Estimate as a file (JSON)")),
    el("details", { className: "more" }, el("summary", {}, "Further properties, and what makes the viscosity uncertain"),
      tableOf("Properties of binder and mixture", heads, estimate.properties.map(line), "stacked"),
      tableOf("What makes the viscosity uncertain", [{ words: "Source of error" }, "As a factor"], estimate.viscosity_errors.map((e) => [e.source, `× ${number(Math.exp(e.log_error), 3)}`])),
      tableOf("Conductivity by each rule", [{ words: "Rule" }, "W/mK"], estimate.conductivities.map((c) => [ruleWords("conductivity_rule", c.rule), number(c.conductivity, 3)]))),
  ];
}

/**
 * What to weigh for a batch.
 * @param {Gatefrost.BatchSheet | null} sheet
 * @param {Gatefrost.LaboratoryShelf} shelf
 * @param {string} powder
 */
export function batchTable(sheet, shelf, powder) {
  if (!sheet) return [];
  return [
    tableOf(`Amounts for ${number(sheet.mass_kg, 5)} kg or ${number(sheet.volume_l, 5)} L, ${number(sheet.volume_percent, 4)} vol% or ${number(sheet.mass_percent, 4)} % by mass of powder`, [{ words: "Material" }, "kg"], [
      ...(sheet.regrind_kg > 0 ? [["Regrind", number(sheet.regrind_kg, 5)]] : []),
      [powderOf(shelf, powder).name, number(sheet.powder_kg, 5)],
      ...sheet.parts.map((p) => [p.name, number(p.mass_kg, 5)]),
    ]),
  ];
}

/**
 * Feedstock with its uncertainty, and where each number comes from.
 * @param {Gatefrost.Estimate} estimate
 */
function save(estimate) {
  download(fileName(estimate.feedstock.name, "-estimate.json"), "application/json", `${JSON.stringify(estimate, null, 2)}\n`);
}
