// @ts-check
// Station 3: the critical loading from densities and from torques or viscosities.

import { numberBox, ruleBox } from "app/laboratory/fields";
import { list, tableOf, under } from "app/shared/tables";
import { figureOf } from "app/shared/figure";
import { keeper, recall } from "app/readings/tab-keep";
import { TableBox, clearedWords } from "app/readings/table-box";
import { loadReadings } from "app/shared/core";
import { byId, el } from "app/shared/dom";
import { number } from "app/shared/numbers";
import { restate } from "app/shared/units";

const NOTHING = "No readings yet. Paste some, or press “Worked example”.";
const CLEARED = clearedWords("Not fitted", { empty: NOTHING });

export class CriticalStation {
  #laboratory;
  #recipe;
  #figure;
  #said = el("p", { className: "said-so", id: "critical-said", role: "status", "aria-live": "polite" });
  #work = el("p", { id: "critical-work" });
  #numbers = el("div", { id: "critical-numbers" });
  #use = el("button", { type: "button", id: "critical-use", hidden: true, onclick: () => this.#useIt() }, "Use it in the recipe");
  #results;
  /** @type {Gatefrost.CriticalLoading | null} */
  #found = null;
  #keep = keeper("critical", () => Object.fromEntries(Object.entries(this.#fields).map(([name, field]) => [name, field.input.value])));
  #fields = {
    powder: numberBox("critical-powder", "feedstock.powder_density", { empty: "fitted", changed: () => this.#again(), help: "Density of the solid, not of the loose powder. Leave it empty to fit it too." }),
    binder: numberBox("critical-binder", "feedstock.binder_density", { empty: "fitted", changed: () => this.#again(), help: "At the temperature of the density readings, usually 20 °C. Leave it empty to fit it too." }),
    exponent: numberBox("critical-exponent", "feedstock.loading_exponent", { title: "Exponent of the divergence", empty: "fitted", value: 2, changed: () => this.#again(), help: "m in (1 − φ/φc)^−m; 2 is customary. Leave it empty to fit it too, which needs readings close to the critical loading." }),
    exponentError: numberBox("critical-exponent-spread", "page.exponent_error", { value: 0.4, changed: () => this.#again() }),
    flowExponent: numberBox("critical-flow-exponent", "feedstock.flow_law.power_law.n", { title: "Flow exponent at the rate of the readings", value: 1, changed: () => this.#again(), help: "Slope of ln shear stress against ln shear rate there; 1 is Newtonian. In a melt that thins the readings rise less steeply with loading." }),
    scaling: ruleBox("loading_scaling", () => this.#again(), "critical"),
  };
  #box;

  /**
   * @param {import("app/laboratory/start").Bench} bench
   * @param {import("app/laboratory/recipe").RecipeStation} recipe
   */
  constructor({ laboratory, shelf }, recipe) {
    this.#laboratory = laboratory;
    this.#recipe = recipe;
    this.#figure = figureOf(laboratory, "critical", "Density and flow resistance against loading", "Density peaks at the critical loading; flow resistance diverges there. The tinted band is the 95 % interval.", { tall: true });
    this.#results = el("div", { hidden: true }, this.#work, el("div", { className: "row" }, this.#use), this.#figure.root, this.#numbers);
    const kept = recall("critical") ?? {};
    for (const [name, field] of Object.entries(this.#fields)) if (kept[name] !== undefined) field.input.value = kept[name];
    this.#box = new TableBox("critical-text", "Readings against loading", {
      load: loadReadings,
      form: shelf.loadings_form,
      example: shelf.loadings,
      exampleWords: "The worked example is invented: it was computed from a critical loading of 65 vol% and rounded.",
      job: (text) => this.#job(text),
      take: (answer) => this.#take(answer),
      cleared: (why) => this.#cleared(why),
      working: (words) => this.#working(words),
    });
    byId("critical-ins").append(this.#box.root, ...Object.values(this.#fields).map((field) => field.root));
    byId("critical-outs").append(this.#said, this.#results);
    this.#said.textContent = NOTHING;
    this.#box.again();
  }

  #again() {
    this.#keep();
    this.#box.again();
  }

  #useIt() {
    if (!this.#found?.critical) return;
    this.#recipe.setCritical(this.#found.critical);
    byId("recipe").scrollIntoView({ block: "start" });
    byId("recipe").focus({ preventScroll: true });
  }

  /**
   * @param {string} text
   * @returns {import("app/readings/table-box").Job | null}
   */
  #job(text) {
    const { powder, binder, exponent, exponentError, flowExponent, scaling } = this.#fields;
    const [powder_density, binder_density, given, error, flow] = [powder, binder, exponent, exponentError, flowExponent].map((field) => field.read());
    if ([powder_density, binder_density, given, error, flow].some(Number.isNaN)) return null;
    /** @type {Gatefrost.AssessArgs} */
    const args = { text, powder_density, binder_density, exponent: given, exponent_error: Number(error), flow_exponent: Number(flow), loading_scaling: /** @type {Gatefrost.LoadingScaling} */ (scaling.read()) };
    return { call: "assess", args };
  }

  /** @param {string} words */
  #working(words) {
    this.#results.classList.add("old");
    this.#use.hidden = true;
    this.#said.textContent = words;
  }

  /** @param {import("app/readings/table-box").Why} why */
  #cleared(why) {
    this.#working(CLEARED[why]);
    if (why === "empty") this.#results.hidden = true;
  }

  /** @param {Gatefrost.Told<Gatefrost.Assessed>} answer */
  #take({ told: { table, found }, bytes }) {
    this.#found = found;
    this.#laboratory.take_assessment(bytes);
    this.#results.hidden = false;
    this.#results.classList.remove("old");
    this.#figure.refresh();
    this.#said.textContent = found.verdict;
    this.#work.textContent = found.reason;
    this.#use.hidden = !found.critical;
    this.#numbers.replaceChildren(...fitted(found, table.notes));
  }
}

/**
 * The fitted constants, with remarks.
 * @param {Gatefrost.CriticalLoading} found
 * @param {string[]} notes of the table
 */
function fitted({ density, resistance, agree, critical }, notes) {
  /** @type {import("app/shared/dom").Child[][]} */
  const rows = [];
  const remarks = [...notes];
  /**
   * @param {string} by
   * @param {string} title
   * @param {Gatefrost.CriticalEstimate} estimate
   * @param {string} unit
   */
  const add = (by, title, estimate, unit) => {
    const open = estimate.low === null && estimate.high === null;
    const bounds = open && estimate.standard_error === null ? "given" : interval(estimate);
    const error = typeof estimate.standard_error === "number" ? number(estimate.standard_error, 2) : "–";
    rows.push([`${title}, by ${by}`, under(number(estimate.value, 4), unit), bounds, error, unit]);
  };
  if ("Ok" in density) {
    add("density", "Critical loading", density.Ok.critical, "vol%");
    add("density", "Powder density", density.Ok.powder_density, "kg/m³");
    add("density", "Binder density", density.Ok.binder_density, "kg/m³");
    remarks.push(...density.Ok.remarks);
  } else remarks.push(`Density: ${density.Err}`);
  if ("Ok" in resistance) {
    const by = resistance.Ok.of.replace("_", " ");
    add(by, "Critical loading", resistance.Ok.critical, "vol%");
    add(by, "Factor A", resistance.Ok.factor, "of the readings");
    add(by, "Exponent m", resistance.Ok.exponent, "–");
    remarks.push(...resistance.Ok.remarks);
  } else remarks.push(`Flow resistance: ${resistance.Err}`);
  if (agree && critical) add("both together", "Critical loading", critical, "vol%");
  const heads = [{ words: "Constant" }, "Value", "95 % interval", "Standard error", { words: "Unit" }];
  return [...(rows.length > 0 ? [tableOf("What was fitted", heads, rows, "stacked")] : []), list(remarks.map(restate))];
}

/** @param {Gatefrost.CriticalEstimate} estimate */
function interval({ low, high }) {
  const side = (/** @type {number | null} */ value) => (typeof value === "number" ? number(value, 4) : "open");
  return `${side(low)} to ${side(high)}`;
}
