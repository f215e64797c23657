// @ts-check
// Station 1: powder, binder parts and loading give an estimated feedstock, each number with its band.

import { list, wayBack } from "app/shared/tables";
import { figureOf } from "app/shared/figure";
import { keeper, recall } from "app/readings/tab-keep";
import { RecipeForm, powderOf } from "app/laboratory/recipe-form";
import { batchTable, comparison, constants, sentence } from "app/laboratory/recipe-results";
import { byId, el, onceAFrame, whenQuiet } from "app/shared/dom";
import { problemsOf } from "app/shared/notices";
import { restate } from "app/shared/units";

/** @typedef {import("app/laboratory/recipe-results").Shown} Shown */

export class RecipeStation {
  #bench;
  /** @type {Shown | null} */
  #shown = null;
  // Density of the binder in the last estimate.
  /** @type {number | null} */
  #binderDensity = null;
  // A worked recipe is not stored until it is edited.
  #touched = false;
  #recompute = onceAFrame(() => this.#compute());
  // Curves follow each keystroke; long tables wait for a pause.
  #fillTables = whenQuiet(60, () => this.#show());
  #keep = keeper("recipe", () => (this.#touched ? this.#form.state() : null));
  #form;
  #figures;
  #said = el("p", { className: "said-so", id: "recipe-said", role: "status", "aria-live": "polite" });
  #beyond = el("p", { className: "small", id: "recipe-beyond", hidden: true });
  #beside = el("div", { id: "recipe-beside" });
  #remarks = el("div");
  #numbers = el("div", { id: "recipe-numbers" });
  #batch = el("div", { id: "recipe-batch" });
  #results;
  #back = wayBack("Restore my recipe");
  #use = el("button", { type: "button", id: "recipe-use", onclick: () => this.#useIt() }, "Use this feedstock");

  /** @param {import("app/laboratory/start").Bench} bench */
  constructor(bench) {
    this.#bench = bench;
    const { laboratory, shelf } = bench;
    this.#form = new RecipeForm({ shelf, changed: () => this.#changed(), estimate: () => this.#shown?.estimate ?? null, binderDensity: () => this.#binderDensity });
    this.#figures = [
      figureOf(laboratory, "recipe_flow", "Estimated viscosity against shear rate", "At and around the chosen temperature. The tinted band belongs to the chosen one."),
      figureOf(laboratory, "recipe_loading", "Viscosity against loading", "At the chosen shear rate and temperature, with its band."),
    ];
    const figures = el("div", { className: "figures" }, this.#figures.map((figure) => figure.root));
    this.#results = el("div", {}, this.#said, this.#beyond, this.#beside, figures, this.#numbers, this.#batch, this.#remarks);
    this.#build();
    this.#form.put(this.#first());
    const kept = recall("recipe");
    if (kept) {
      this.#touched = true;
      this.#form.restore(kept);
    }
    this.#recompute();
  }

  /** @param {Gatefrost.CriticalEstimate} critical */
  setCritical(critical) {
    this.#form.setCritical(critical);
  }

  #build() {
    const { recipes } = this.#bench.shelf;
    const worked = recipes.map(({ title, recipe }) => el("button", { type: "button", className: "quiet", onclick: () => this.#replace(recipe) }, title));
    byId("recipe-ins").append(
      el("div", { className: "row" }, el("span", { className: "small" }, "Worked recipes (invented):"), worked, this.#back.button),
      ...this.#form.parts(),
      el("div", { className: "row" }, this.#use),
      el("p", { className: "small" }, "Opens the window with this feedstock, marked as estimated from a recipe. What you enter on this page is kept in this tab."),
    );
    byId("recipe-outs").append(this.#results);
  }

  // The worked recipe whose powder is as dense as the scenario's.
  #first() {
    const { shelf, scenario } = this.#bench;
    const alike = (/** @type {Gatefrost.NamedRecipe} */ { recipe }) =>
      Math.abs(powderOf(shelf, recipe.powder).density.value / scenario.feedstock.powder_density - 1) < 0.01;
    return (shelf.recipes.find(alike) ?? shelf.recipes[0]).recipe;
  }

  #changed() {
    this.#touched = true;
    this.#keep();
    this.#recompute();
  }

  /**
   * Replaces the present recipe by a worked one, with a way back.
   * @param {Gatefrost.Recipe} recipe
   */
  #replace(recipe) {
    if (this.#touched) {
      const before = this.#form.state();
      this.#back.offer(() => {
        this.#form.restore(before);
        this.#changed();
      });
    }
    this.#form.put(recipe);
    this.#recompute();
    this.#touched = false;
    this.#keep();
  }

  #compute() {
    this.#form.refuse([]);
    const wanted = this.#form.written();
    if (!wanted) {
      this.#stale("Not estimated: see the message at the field.");
      return;
    }
    /** @type {Shown} */
    let shown;
    try {
      shown = this.#estimate(wanted);
    } catch (error) {
      const problems = problemsOf(error);
      if (!problems) throw error;
      this.#form.refuse(problems);
      this.#stale("Not estimated: see the message.");
      return;
    }
    this.#shown = shown;
    this.#binderDensity = shown.estimate.feedstock.binder_density;
    this.#results.classList.remove("old");
    this.#use.disabled = false;
    // A batch that cannot be mixed does not affect the estimate.
    this.#form.refuse(shown.estimate.batch_refused ?? []);
    for (const figure of this.#figures) figure.refresh();
    this.#say(shown);
    this.#fillTables();
  }

  /**
   * @param {NonNullable<ReturnType<RecipeForm["written"]>>} wanted
   * @returns {Shown}
   */
  #estimate({ recipe, rate, temperature }) {
    const { chosen, ...shown } = this.#bench.laboratory.estimate(JSON.stringify(recipe), rate, temperature);
    if (!chosen) throw new Error("the estimate has no viscosity");
    return { ...shown, chosen, at: [rate, temperature] };
  }

  /** @param {string} words */
  #stale(words) {
    this.#shown = null;
    this.#results.classList.add("old");
    this.#use.disabled = true;
    this.#said.textContent = words;
  }

  /** @param {Shown} shown */
  #say(shown) {
    const { name, nameRemark } = this.#form;
    this.#said.textContent = sentence(shown);
    this.#beyond.textContent = restate(shown.remark ?? "");
    this.#beyond.hidden = !shown.remark;
    name.placeholder = shown.estimate.feedstock.name;
    const other = this.#bench.laboratory.name_remark("name of the feedstock", name.value);
    nameRemark.textContent = other ? `${other} The name stays as you typed it.` : "";
    nameRemark.hidden = !other;
  }

  #show() {
    const shown = this.#shown;
    if (!shown) return;
    const { laboratory, scenario, shelf } = this.#bench;
    const { estimate } = shown;
    this.#beside.replaceChildren(...comparison(shown, scenario, laboratory.name_remark("name of the scenario", scenario.name)));
    this.#numbers.replaceChildren(...constants(estimate));
    this.#remarks.replaceChildren(el("h3", {}, "Remarks"), list(estimate.remarks.map(restate)));
    this.#batch.replaceChildren(...batchTable(estimate.batch, shelf, this.#form.powder));
  }

  #useIt() {
    const { laboratory, scenario, use } = this.#bench;
    use(() => laboratory.link_with_recipe(JSON.stringify(scenario)));
  }
}
