// @ts-check
// Station 3: the furnace run, the density that comes of it, and what a deviation does.

import { itemList } from "app/after/lists";
import { trial } from "app/after/trial";
import { ExplainPlace } from "app/explain/place";
import { tableOf } from "app/shared/tables";
import { figureOf } from "app/shared/figure";
import { byId, el } from "app/shared/dom";
import { number, quantity } from "app/shared/numbers";
import { restate } from "app/shared/units";
import { numberField } from "app/window/settings/fields";
import { model } from "app/window/settings/model";
import { more } from "app/window/settings/more";

export class Sintering {
  #figures;
  #place = new ExplainPlace();
  #said = el("p", { className: "said-so", id: "sintering-said", role: "status" });
  #table = el("div", {});

  /** @param {import("app/after/start").Bench} bench */
  constructor(bench) {
    this.#figures = [
      figureOf(bench.sheet, "temperatures", "Density and length against temperature", "For the time of the last hold that is set. The tinted band follows from the standard error of the activation energy: the density of the set run is taken as known.", { tall: true }),
      figureOf(bench.sheet, "run", "Density and length during the furnace run", "By the master sintering curve: an estimate to plan trials by.", { tall: true }),
    ];
    const fields = (/** @type {string} */ path) => [el("div", { className: "fields" }, numberField(`${path}.ramp`), numberField(`${path}.temperature`), numberField(`${path}.hold`))];
    byId("sintering-ins").append(
      el("h3", {}, "Furnace run"),
      itemList({ path: "sintering.stretches", what: "stretch", most: 12, fields, fresh: (all) => ({ ...(all.at(-1) ?? { ramp: 5, temperature: 1360, hold: 120 }) }) }),
      el("div", { className: "fields" }, numberField("feedstock.sintered_density"), numberField("sintering.temperature_scatter")),
      more("More: the sintering curve", numberField("sintering.log_half", { empty: "through the density" }), numberField("sintering.energy"), numberField("sintering.energy_error"), numberField("sintering.fitted_at", { empty: "the furnace run" }), numberField("sintering.width"), numberField("sintering.full_density")),
      runs(bench),
    );
    byId("sintering-outs").append(this.#said, this.#table, this.#place.root, ...this.#figures.map((figure) => figure.root));
  }

  /** @param {Gatefrost.Plan} plan */
  show({ sintering: run, sintered_density_percent: set }) {
    const place = this.#place;
    const opens = (/** @type {string} */ name, /** @type {string} */ shown) => place.number(`plan.${name}`, shown);
    for (const figure of this.#figures) figure.root.hidden = !run;
    if (!run) {
      const none = model.scenario.sintering.stretches.length === 0;
      const why = none ? "No furnace run is set: add a stretch to see what a deviation does." : "No curve: see the remarks at the head of the page.";
      place.refill(this.#said, "Density ", opens("sintered_density_percent", `${number(set, 3)} %`), `, as it is set. ${why}`);
      this.#table.replaceChildren();
      return;
    }
    const of = run.from_curve ? "by the fitted curve" : "as it is set; the curve passes through it";
    const colder = model.scenario.sintering.temperature_scatter;
    const ends = (/** @type {[number, number] | null} */ range) => (range && range[1] - range[0] > 0.005 ? ` (${number(range[0], 3)} to ${number(range[1], 3)})` : "");
    const longer =
      run.longer_if_colder === null
        ? []
        : [` ${quantity(colder, "K", 3)} colder, the last hold takes `, opens("sintering.longer_if_colder", number(run.longer_if_colder, 3)), ` times as long${ends(run.longer_range)} for the same density.`];
    place.refill(this.#said, "Density ", opens("sintered_density_percent", `${number(run.density_percent, 3)} %`), `${ends(run.density_range_percent)}, ${of}.`, ...longer);
    const heads = [{ words: "Deviation" }, "Density, %", "Length, %"];
    const signed = (/** @type {number} */ value) => `${value > 0 ? "+" : ""}${number(value, 2)}`;
    const banded = (/** @type {number} */ value, /** @type {[number, number]} */ [low, high]) =>
      high - low > 0.005 ? `${signed(value)} (${signed(low)} to ${signed(high)})` : signed(value);
    const rows = run.deviations.map((d, i) => [
      restate(d.what),
      opens(`sintering.deviations.${i}.density_change_percent`, banded(d.density_change_percent, d.density_change_range_percent)),
      opens(`sintering.deviations.${i}.length_change_percent`, banded(d.length_change_percent, d.length_change_range_percent)),
    ]);
    place.refill(this.#table, tableOf("What a deviation does to the sintered part", heads, rows));
    for (const figure of this.#figures) figure.refresh();
  }
}

/** @param {import("app/after/start").Bench} bench */
function runs(bench) {
  return trial(bench, {
    id: "runs",
    title: "Fit densities of furnace runs",
    call: "fit_densities",
    form: bench.forms.runs,
    example: bench.forms.runs_example,
    words: "The worked example is invented.",
    use: "Use these values",
    numbers: (/** @type {Gatefrost.CurveFit} */ fit) => [
      ["Activation energy", `${number(fit.energy_kj_mol, 3)} kJ/mol`, fit.fitted < 3 ? "not told by these runs" : fit.energy_half_width_kj_mol === null ? "too few runs for a band" : `± ${number(fit.energy_half_width_kj_mol, 2)}`],
      ["Work at half of the way, ln Θ½", number(fit.log_half, 5), ""],
      ["Width of the rise", number(fit.width, 3), fit.fitted >= 2 ? "" : "not told by these runs"],
      ["Greatest difference of a density", `${number(fit.worst_percent, 2)} %`, ""],
    ],
  });
}
