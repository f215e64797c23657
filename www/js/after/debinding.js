// @ts-check
// Station 2: the parts of the binder, the steps that take them out, and how long that takes for the governing wall.

import { itemList } from "app/after/lists";
import { banded } from "app/after/summary";
import { trial } from "app/after/trial";
import { ExplainPlace } from "app/explain/place";
import { list, tableOf } from "app/shared/tables";
import { figureOf } from "app/shared/figure";
import { byId, el } from "app/shared/dom";
import { number, quantity } from "app/shared/numbers";
import { restate, shownUnit, toShown, units } from "app/shared/units";
import { choiceField, focusKept, numberField, switchField, textField } from "app/window/settings/fields";
import { model } from "app/window/settings/model";
import { more } from "app/window/settings/more";
import { parameter } from "app/shared/catalogue";

/** @type {import("app/window/settings/fields").Choices} */
const LEAVES = [["solvent", "a solvent bath"], ["water", "a water bath"], ["catalyst", "a catalytic oven"], ["heat", "the furnace"]];
/** @type {import("app/window/settings/fields").Choices} */
const REACHED = [["", "not stated: one face is assumed"], ["one", "one face"], ["both", "both faces"]];
/** @type {Record<string, { title: string, fields: string[], folded: string[] }>} */
const KINDS = {
  bath: { title: "Bath", fields: ["temperature", "left", "diffusivity", "reference"], folded: ["energy", "diffusivity_error", "energy_error"] },
  catalytic: { title: "Catalytic oven", fields: ["speed", "temperature"], folded: ["speed_error"] },
  thermal: { title: "Furnace", fields: ["ramp", "end_temperature", "allowed_pressure"], folded: ["outside_pressure", "gas_viscosity", "gas_molar_mass"] },
};

export class Debinding {
  #bench;
  #figures = el("div", { className: "figures" });
  // The figures that are shown, by name.
  /** @type {Map<string, ReturnType<typeof figureOf>>} */
  #shown = new Map();
  #steps = el("div", {});
  #walls = el("div", {});
  #place = new ExplainPlace();
  #said = el("p", { className: "said-so", id: "debinding-said", role: "status" });

  /** @param {import("app/after/start").Bench} bench */
  constructor(bench) {
    this.#bench = bench;
    byId("debinding-ins").append(
      faces(),
      el("h3", {}, "Parts of the binder"),
      itemList({ path: "debinding.parts", what: "part of the binder", most: 8, fields: partFields, fresh: () => ({ name: "part", leaves: "heat", share: 10, ...usual("debinding.parts.0", ["density", "half_temperature", "energy", "energy_error"]) }) }),
      el("h3", {}, "Steps"),
      itemList({ path: "debinding.steps", what: "step", most: 6, fields: stepFields, fresh: () => ({ thermal: usual("debinding.steps.0.thermal", [...KINDS.thermal.fields, ...KINDS.thermal.folded]) }) }),
      el("div", { className: "fields" }, numberField("debinding.longest", { empty: "no limit" }), numberField("debinding.open_pores")),
      more("More: errors of the pores", numberField("debinding.open_pores_error"), numberField("debinding.permeability_error")),
      weighed(bench),
    );
    byId("debinding-outs").append(this.#said, this.#steps, this.#place.root, this.#walls, this.#figures);
  }

  /** @param {Gatefrost.Plan} plan */
  show(plan) {
    const wall = plan.walls[0];
    const place = this.#place;
    const governs = () => [
      `“${wall.name}” governs: ${quantity(wall.thickness_mm, "mm", 3)}, `,
      place.number("plan.walls.0.depth_mm", quantity(wall.depth_mm, "mm", 3)),
      " to the surface that is reached. All steps: ",
      place.number("plan.debinding_hours.value", banded(plan.debinding_hours, plan.draft)),
      ".",
    ];
    place.refill(this.#said, ...(wall ? governs() : ["There is no wall to debind."]));
    const heads = [{ words: "Step" }, `Temperature, ${shownUnit("°C")}`, { words: "Time (estimate, 95 % band)" }, "Mass lost, % of green", "Binder left, %", "Open pores, vol%", "Greatest gas pressure, kPa"];
    place.refill(this.#steps, tableOf("Debinding of the governing wall", heads, plan.steps.map((step, i) => stepRow(step, i, place, plan.draft))));
    this.#walls.replaceChildren(list(plan.steps.flatMap((step) => (step.no_time ? [restate(step.no_time)] : []))));
    this.#refresh(plan);
  }

  /** @param {Gatefrost.Plan} plan */
  #refresh(plan) {
    const names = plan.steps.map((step, index) => (step.schedule ? `schedule-${index}` : `losses-${index}`));
    const wanted = [...names, "walls"];
    if (wanted.join() !== [...this.#shown.keys()].join()) {
      this.#shown = new Map(wanted.map((name) => [name, this.#figure(name, plan)]));
      this.#figures.replaceChildren(...Array.from(this.#shown.values(), (figure) => figure.root));
    }
    for (const [name, figure] of this.#shown) {
      // Other walls are not in a draft: what was drawn stays, marked as old.
      const old = plan.draft && name === "walls";
      figure.root.classList.toggle("old", old);
      if (!old) figure.refresh();
    }
  }

  /**
   * @param {string} name
   * @param {Gatefrost.Plan} plan
   */
  #figure(name, plan) {
    const { sheet } = this.#bench;
    if (name === "walls") return figureOf(sheet, name, "Time of debinding against the wall", "All steps together, for walls that are reached as the governing one is. Tinted: the 95 % band.");
    const step = plan.steps[Number(name.split("-")[1])];
    if (step.schedule) return figureOf(sheet, name, "Fastest schedule of the furnace", "As fast as the ramp and the allowed pressure of the gas let it be. Below: what is left of each part. Tinted: the 95 % band.", { tall: true });
    return figureOf(sheet, name, `Mass lost in the ${step.name}`, "For the governing wall, half, one and a half and twice its depth. The tinted band is the 95 % band of the governing wall.");
  }
}

/**
 * @param {Gatefrost.StepPlan} step
 * @param {number} index
 * @param {ExplainPlace} place
 * @param {boolean} draft
 */
function stepRow(step, index, place, draft) {
  const opens = (/** @type {string} */ name, /** @type {string} */ shown) => place.number(`plan.steps.${index}.${name}`, shown);
  return [
    step.name,
    number(toShown(step.temperature_c, "°C"), 4),
    opens("hours.value", banded(step.hours, draft)),
    opens("mass_loss_percent", number(step.mass_loss_percent, 3)),
    opens("binder_left_percent", number(step.binder_left_percent, 3)),
    opens("pores_percent", number(step.pores_percent, 3)),
    step.schedule && opens("schedule.greatest_kpa", number(step.schedule.greatest_kpa, 3)),
  ];
}

/**
 * The catalogue's values of some numbers.
 * @param {string} path
 * @param {string[]} names
 */
const usual = (path, names) => Object.fromEntries(names.map((name) => [name, parameter(`${path}.${name}`).default]));

// Which walls are reached from both faces: one choice for each passage of the part.
function faces() {
  const box = el("div", { className: "fields" });
  const build = () =>
    focusKept(() => {
      const passages = model.scenario.cavity.passages.map((passage, index) => ({ passage, index })).filter(({ passage }) => passage.role === "part");
      box.replaceChildren(
        ...passages.map(({ passage, index }) => {
          const path = `cavity.passages.${index}.reached`;
          return choiceField(path, `“${passage.name}” is reached through`, REACHED, { choose: (wanted) => model.set(path, wanted || null) });
        }),
      );
    });
  model.addEventListener("replaced", build);
  build();
  return el("div", {}, el("h3", {}, "Walls"), el("p", { className: "lead" }, "A wall on a setter is reached through one face, a wall in a basket through both."), box);
}

/**
 * @param {string} path
 * @returns {HTMLElement[]}
 */
function partFields(path) {
  return [
    el("div", { className: "pair" }, textField(`${path}.name`, "Name", { most: 60 }), choiceField(`${path}.leaves`, "Taken out by", LEAVES)),
    el("div", { className: "fields" }, numberField(`${path}.share`)),
    more("More: density and decomposition", numberField(`${path}.density`), numberField(`${path}.half_temperature`), numberField(`${path}.energy`), numberField(`${path}.energy_error`)),
  ];
}

/**
 * @param {string} path
 * @returns {(HTMLElement | false)[]}
 */
function stepFields(path) {
  const kind = Object.keys(model.get(path))[0];
  const { fields, folded } = KINDS[kind];
  const at = `${path}.${kind}`;
  const choices = Object.entries(KINDS).map(([name, { title }]) => /** @type {const} */ ([name, title]));
  const choose = (/** @type {string} */ wanted) => {
    const fresh = usual(`debinding.steps.0.${wanted}`, [...KINDS[wanted].fields, ...KINDS[wanted].folded]);
    model.restructure("debinding.steps", ({ debinding }) => {
      debinding.steps[Number(path.split(".")[2])] = /** @type {any} */ ({ [wanted]: wanted === "bath" ? { ...fresh, water: false } : fresh });
    });
  };
  return [
    choiceField(path, "Kind", choices, { choose }),
    kind === "bath" && switchField(`${at}.water`, "Water, not a solvent", "It takes out what leaves by water."),
    el("div", { className: "fields" }, fields.map((name) => numberField(`${at}.${name}`))),
    more("More", ...folded.map((name) => numberField(`${at}.${name}`))),
  ];
}

// Which bath the weighings are of; hidden where there is no choice. The first is taken unless another is chosen.
function bathChoice() {
  const choice = el("select", { id: "weighed-step" });
  const root = el("div", { className: "field" }, el("label", { htmlFor: "weighed-step" }, "The weighings are of"), choice);
  const build = () => {
    const baths = model.scenario.debinding.steps.flatMap((step, index) => ("bath" in step ? [{ bath: step.bath, step: index + 1 }] : []));
    const kept = choice.value;
    const options = baths.map(({ bath, step }) => {
      const words = `step ${step}, ${bath.water ? "water" : "solvent"} bath at ${quantity(bath.temperature, "°C", 3)}`;
      return el("option", { value: String(step) }, words);
    });
    choice.replaceChildren(...options);
    if (baths.some(({ step }) => String(step) === kept)) choice.value = kept;
    root.hidden = baths.length < 2;
    if (kept && choice.value !== kept) choice.dispatchEvent(new Event("change", { bubbles: true }));
  };
  model.addEventListener("changed", build);
  units.addEventListener("changed", build);
  build();
  return { root, args: () => (choice.value ? { step: Number(choice.value) } : {}) };
}

/** @param {import("app/after/start").Bench} bench */
function weighed(bench) {
  const { root, args } = bathChoice();
  return trial(bench, {
    ahead: root,
    args,
    id: "weighed",
    title: "Fit weighings of a bath",
    call: "fit_losses",
    form: bench.forms.losses,
    example: bench.forms.losses_example,
    words: "The worked example is invented.",
    use: "Use these values",
    numbers: (/** @type {Gatefrost.DiffusivityFit} */ fit) => [
      ["Step of debinding", String(fit.step), ""],
      [`Diffusivity at ${quantity(fit.reference_c, "°C", 3)}`, `${number(fit.diffusivity, 3)}e-6 cm²/s`, fit.half_width_percent === null ? "too few weighings for a band" : `± ${number(fit.half_width_percent, 2)} %`],
      ["Activation energy", `${number(fit.energy_kj_mol, 3)} kJ/mol`, !fit.energy_fitted ? "not told by one temperature" : fit.energy_half_width_kj_mol === null ? "too few weighings for a band" : `± ${number(fit.energy_half_width_kj_mol, 2)}`],
      ["Scatter of a weighing", fit.scatter_percent === null ? "too few weighings" : `${number(fit.scatter_percent, 2)} % of the green mass`, ""],
    ],
  });
}
