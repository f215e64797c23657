// @ts-check
// The form of station 1: powder, binder parts, loading, rules and batch. Values that were not typed follow the powder.

import { Binder } from "app/laboratory/binder";
import { choiceBox, described, numberBox, ruleBox } from "app/laboratory/fields";
import { found } from "app/shared/catalogue";
import { el } from "app/shared/dom";

/** @typedef {"name" | "loading" | "critical" | "criticalError" | "size"} Typed a field that may follow the powder */
/** @typedef {ReturnType<typeof numberBox> | ReturnType<typeof choiceBox>} Box */
/**
 * @typedef {object} Station
 * @property {Gatefrost.LaboratoryShelf} shelf
 * @property {() => void} changed
 * @property {() => Gatefrost.Estimate | null} estimate
 * @property {() => number | null} binderDensity density of the binder in the last estimate
 */

/** @type {[string, string][]} */
const LOADINGS = [
  ["volume_percent", "by volume"],
  ["mass_percent", "by mass"],
];
/** @type {[string, string][]} */
const AMOUNTS = [
  ["mass_kg", "mass"],
  ["volume_l", "volume"],
];
/**
 * Fields of the page by their paths in the recipe.
 * @type {Record<string, string>}
 */
const FIELDS = {
  critical_loading: "critical",
  critical_loading_error: "criticalError",
  particle_size: "size",
  loading_exponent: "exponent",
  reference_temperature: "reference",
  "batch.amount.mass_kg": "amount",
  "batch.amount.volume_l": "amount",
  "batch.regrind.mass_fraction": "regrind",
  "batch.regrind.loading": "regrindLoading",
};
/** @type {[Typed, string][]} */
const WORDS = [
  ["name", "name"],
  ["loading", "powder content"],
  ["critical", "critical loading"],
  ["criticalError", "its standard error"],
  ["size", "particle size"],
];

export class RecipeForm {
  #station;
  // The fields of name, loading and lot that were typed; the others follow the powder. Among them, those that were
  // typed for another powder.
  /** @type {Set<Typed>} */
  #typed = new Set();
  /** @type {Set<Typed>} */
  #kept = new Set();
  // The worked recipe that was opened last.
  #worked;
  #followed = el("p", { className: "small", id: "recipe-followed", role: "status", hidden: true });
  #trouble = el("ul", { className: "trouble", id: "recipe-trouble", hidden: true, "aria-live": "polite" });
  #slider = el("input", { id: "recipe-slider", type: "range", min: "30", max: "75", step: "0.1", "aria-label": "Powder content", oninput: () => this.#slid() });
  #binder;
  #boxes;
  name = el("input", { id: "recipe-name", type: "text", maxLength: 120, autocomplete: "off", "aria-describedby": "recipe-name-remark", oninput: () => this.#named() });
  nameRemark = el("p", { className: "error", id: "recipe-name-remark", role: "status", hidden: true });

  /** @param {Station} station */
  constructor(station) {
    this.#station = station;
    this.#worked = station.shelf.recipes[0].recipe;
    this.#binder = new Binder(station.shelf.binders, station.changed);
    this.#boxes = { ...this.#lot(), ...this.#rules(), ...this.#batch() };
  }

  // Powder and loading, with the numbers of the lot.
  #lot() {
    const { shelf } = this.#station;
    const typing = (/** @type {"critical" | "criticalError" | "size"} */ field) => () => {
      this.#mark(field, this.#boxes[field].input.value);
      this.#station.changed();
    };
    return {
      powder: choiceBox("recipe-powder", "Powder", shelf.powders.map(({ key, name }) => [key, name]), () => this.#otherPowder()),
      unit: choiceBox("recipe-unit", "Powder content", LOADINGS, (wanted) => this.#convert(wanted)),
      loading: numberBox("recipe-loading", "recipe.loading.volume_percent", { changed: () => this.#loaded() }),
      critical: numberBox("recipe-critical", "feedstock.critical_loading", { empty: "usual", changed: typing("critical"), help: "It belongs to the lot: measure it, or find it in station 3. Leave it empty for that of a usual lot of the powder." }),
      criticalError: numberBox("recipe-critical-spread", "recipe.critical_loading_error", { empty: "usual", changed: typing("criticalError") }),
      size: numberBox("recipe-size", "feedstock.particle_size", { empty: "usual", changed: typing("size") }),
    };
  }

  #rules() {
    const { changed } = this.#station;
    return {
      law: ruleBox("loading_law", changed),
      exponent: numberBox("recipe-exponent", "feedstock.loading_exponent", { value: 2, changed }),
      scaling: ruleBox("loading_scaling", changed),
      rule: ruleBox("conductivity_rule", changed),
      form: ruleBox("flow_form", changed),
      noFlow: ruleBox("no_flow_rule", changed),
      reference: numberBox("recipe-reference", "recipe.reference_temperature", { empty: "usual", changed }),
      rate: numberBox("recipe-rate", "page.rate", { value: 1000, changed }),
      temperature: numberBox("recipe-temperature", "page.temperature", { value: 160, changed }),
    };
  }

  #batch() {
    const { changed } = this.#station;
    const amount = numberBox("recipe-amount", "recipe.batch.amount.mass_kg", { title: "Amount of feedstock", value: 10, changed });
    return {
      amountOf: choiceBox("recipe-amount-of", "Batch by", AMOUNTS, (wanted) => {
        amount.describe(`recipe.batch.amount.${wanted}`);
        changed();
      }),
      amount,
      regrind: numberBox("recipe-regrind", "page.regrind", { value: 0, changed }),
      regrindLoading: numberBox("recipe-regrind-loading", "recipe.batch.regrind.loading", { empty: "same", changed }),
    };
  }

  // The fields in the order of the work.
  parts() {
    const b = this.#boxes;
    return [
      el("div", { className: "field choice" }, el("label", { htmlFor: "recipe-name" }, "Name of the feedstock"), this.name, this.nameRemark),
      b.powder.root,
      this.#followed,
      b.unit.root,
      b.loading.root,
      this.#slider,
      this.#binder.root,
      this.#trouble,
      el("fieldset", {}, el("legend", {}, "This powder lot"), b.critical.root, b.criticalError.root, b.size.root),
      el("details", { className: "more rules", id: "recipe-rules" }, el("summary", {}, "Rules of the estimate"),
        b.law.root, b.exponent.root, b.scaling.root, b.form.root, b.reference.root, b.noFlow.root, b.rule.root),
      el("fieldset", {}, el("legend", {}, "Curves drawn at"), b.rate.root, b.temperature.root),
      el("fieldset", {}, el("legend", {}, "Batch"), b.amountOf.root, b.amount.root, b.regrind.root, b.regrindLoading.root),
    ];
  }

  get powder() {
    return this.#boxes.powder.read();
  }

  /** @param {Gatefrost.Recipe} recipe */
  put(recipe) {
    const b = this.#boxes;
    this.#worked = recipe;
    this.#typed = new Set();
    this.#followed.hidden = true;
    this.name.value = recipe.name ?? "";
    const [[given, value]] = Object.entries(recipe.loading);
    b.powder.set(recipe.powder);
    b.unit.set(given);
    b.loading.set(value);
    b.critical.set(recipe.critical_loading);
    b.criticalError.set(recipe.critical_loading_error);
    b.size.set(recipe.particle_size);
    b.law.set(recipe.loading_law);
    b.exponent.set(recipe.loading_exponent);
    b.scaling.set(recipe.loading_scaling);
    b.rule.set(recipe.conductivity_rule);
    b.form.set(recipe.flow_form);
    b.noFlow.set(recipe.no_flow_rule);
    b.reference.set(recipe.reference_temperature);
    this.#binder.fill(recipe.binder.map(({ part, mass_fraction }) => [part, String(Number((100 * mass_fraction).toPrecision(10)))]));
    this.#follow();
  }

  // The form as it is, valid or not.
  state() {
    const texts = Object.entries(this.#boxes).map(([key, box]) => [key, box.kept()]);
    return { ...Object.fromEntries(texts), name: this.name.value, typed: [...this.#typed], worked: this.#worked.powder, parts: this.#binder.lines() };
  }

  /** @param {any} kept */
  restore(kept) {
    const { recipes } = this.#station.shelf;
    this.#worked = (recipes.find(({ recipe }) => recipe.powder === kept.worked) ?? recipes[0]).recipe;
    // Data stored by an older page do not say which fields were typed, so all are taken as typed.
    this.#typed = new Set(kept.typed ?? WORDS.map(([field]) => field));
    this.#followed.hidden = true;
    this.name.value = kept.name;
    for (const [key, box] of Object.entries(this.#boxes)) {
      if (kept[key] !== undefined) box.bring(kept[key]);
    }
    this.#binder.fill(kept.parts);
    this.#boxes.amount.describe(`recipe.batch.amount.${this.#boxes.amountOf.read()}`);
    this.#follow();
  }

  /** @param {{ value: number, standard_error: number | null }} critical */
  setCritical({ value, standard_error }) {
    this.#boxes.critical.set(Number(value.toFixed(2)));
    this.#boxes.criticalError.set(typeof standard_error === "number" ? Number(standard_error.toPrecision(3)) : null);
    this.#mark("critical", this.#boxes.critical.input.value);
    this.#mark("criticalError", this.#boxes.criticalError.input.value);
    this.#station.changed();
  }

  // The recipe for the core, or null if a field does not hold a number.
  written() {
    const b = this.#boxes;
    const binder = this.#binder.read();
    const [loading, exponent, rate, temperature, amount, regrind] = [b.loading, b.exponent, b.rate, b.temperature, b.amount, b.regrind].map((box) => Number(box.read()));
    const [critical, criticalError, size, regrindLoading, reference] = [b.critical, b.criticalError, b.size, b.regrindLoading, b.reference].map((box) => box.read());
    const all = [loading, exponent, rate, temperature, amount, regrind, critical, criticalError, size, regrindLoading, reference];
    if (!binder || all.some(Number.isNaN)) return null;
    const recipe = {
      ...(this.name.value.trim() !== "" && { name: this.name.value }),
      powder: this.powder,
      loading: { [b.unit.read()]: loading },
      binder,
      ...(critical !== null && { critical_loading: critical }),
      ...(critical !== null && criticalError !== null && { critical_loading_error: criticalError }),
      ...(size !== null && { particle_size: size }),
      loading_law: b.law.read(),
      loading_scaling: b.scaling.read(),
      loading_exponent: exponent,
      conductivity_rule: b.rule.read(),
      flow_form: b.form.read(),
      no_flow_rule: b.noFlow.read(),
      ...(reference !== null && { reference_temperature: reference }),
      batch: {
        amount: { [b.amountOf.read()]: amount },
        ...(regrind > 0 && { regrind: { mass_fraction: regrind / 100, ...(regrindLoading !== null && { loading: regrindLoading }) } }),
      },
    };
    return { recipe, rate, temperature };
  }

  /**
   * Shows problems at their fields, and those without a field in the list.
   * @param {Gatefrost.Problem[]} problems
   */
  refuse(problems) {
    const left = [];
    /** @type {Record<string, Box>} */
    const boxes = this.#boxes;
    for (const { path, message } of problems) {
      const [, place, field] = /^binder\.(\d+)\.(\w+)$/.exec(path) ?? [];
      const box = path.startsWith("loading.") ? this.#boxes.loading : boxes[FIELDS[path]];
      if (box && "fail" in box) box.fail(`${described(`recipe.${path}`)?.title ?? titleOf(path)} ${message}`);
      else if (field) this.#binder.refuse(Number(place), field, message);
      else left.push(path === "binder" ? `Binder: ${message}` : `${titleOf(path)} ${message}`);
    }
    this.#trouble.hidden = left.length === 0;
    this.#trouble.replaceChildren(...left.map((words) => el("li", {}, words)));
  }

  #named() {
    this.#mark("name", this.name.value);
    this.#station.changed();
  }

  /**
   * The same powder content in the other unit, if it is known.
   * @param {string} wanted
   */
  #convert(wanted) {
    const estimate = this.#station.estimate();
    if (estimate) {
      const share = estimate.properties.find((p) => p.quantity === "powder_mass")?.value ?? NaN;
      this.#boxes.loading.set(Number((wanted === "mass_percent" ? share : estimate.feedstock.solids_loading).toPrecision(5)));
    }
    this.#follow();
    this.#station.changed();
  }

  #loaded() {
    this.#mark("loading", this.#boxes.loading.input.value);
    this.#follow();
    this.#station.changed();
  }

  /**
   * Records a typed text. An empty field follows the powder.
   * @param {Typed} field
   * @param {string} text
   */
  #mark(field, text) {
    if (text.trim() === "") this.#typed.delete(field);
    else this.#typed.add(field);
    this.#kept.delete(field);
    this.#tellKept();
  }

  // After a change of powder, values that were not typed become those usual for the powder, or those of the worked
  // recipe if it has this powder. So changing the powder and changing it back restores every value.
  #otherPowder() {
    const { critical, criticalError, size } = this.#boxes;
    const usual = powderOf(this.#station.shelf, this.powder);
    /** @type {Partial<Gatefrost.Recipe>} */
    const own = usual.key === this.#worked.powder ? this.#worked : {};
    if (!this.#typed.has("critical")) critical.set(own.critical_loading);
    if (!this.#typed.has("criticalError")) criticalError.set(own.critical_loading_error);
    if (!this.#typed.has("size")) size.set(own.particle_size);
    if (!this.#typed.has("name")) this.name.value = own.name ?? "";
    if (!this.#typed.has("loading")) this.#loadFor(usual);
    this.#kept = new Set(this.#typed);
    this.#followed.hidden = false;
    this.#tellKept();
    this.#station.changed();
  }

  /**
   * The loading, as far below the critical loading, typed or usual, as in the worked recipe.
   * @param {Gatefrost.Powder} powder
   */
  #loadFor({ key, critical_loading: usual, density }) {
    const { critical, unit, loading } = this.#boxes;
    // Worked recipes are given by volume.
    const worked = "volume_percent" in this.#worked.loading ? this.#worked.loading.volume_percent : NaN;
    const distance = Number(this.#worked.critical_loading) - worked;
    const wanted = key === this.#worked.powder ? worked : usual.value - distance;
    const typed = Number(critical.read());
    const volume = Math.max(0, typed > 0 ? Math.min(wanted, typed - 0.5) : wanted);
    const byVolume = unit.read() === "volume_percent";
    const binder = this.#station.binderDensity();
    if (!byVolume && binder === null) return;
    const mass = (100 * volume * density.value) / (volume * density.value + (100 - volume) * Number(binder));
    loading.set(Number((byVolume ? volume : mass).toPrecision(5)));
    this.#follow();
  }

  #tellKept() {
    const kept = WORDS.filter(([field]) => this.#kept.has(field)).map(([, words]) => words);
    this.#followed.textContent = `The fields that you did not fill in now follow the powder.${kept.length > 0 ? ` Kept as you typed them: ${kept.join(", ")}. Check that they belong to the new powder.` : ""}`;
  }

  // The range of the slider and the description of the field depend on the unit of the loading.
  #follow() {
    const { unit, loading } = this.#boxes;
    const byVolume = unit.read() === "volume_percent";
    loading.describe(`recipe.loading.${unit.read()}`);
    this.#slider.min = byVolume ? "30" : "60";
    this.#slider.max = byVolume ? "75" : "98";
    const value = loading.read();
    if (!Number.isNaN(value)) this.#slider.value = String(value);
  }

  #slid() {
    this.#boxes.loading.set(Number(this.#slider.value));
    this.#mark("loading", this.#slider.value);
    this.#station.changed();
  }
}

/**
 * @param {Gatefrost.LaboratoryShelf} shelf
 * @param {string} key
 */
export function powderOf(shelf, key) {
  const powder = shelf.powders.find((one) => one.key === key);
  if (!powder) throw new Error(`there is no powder ${key}`);
  return powder;
}

/**
 * The name of a field such as `binder_heat_capacity`, from the catalogue or from its own words.
 * @param {string} quantity
 */
export function titleOf(quantity) {
  const known = found(quantity) ?? found(`feedstock.${quantity}`);
  if (known) return known.title;
  const words = (quantity.split(".").pop() ?? "").replaceAll("_", " ");
  return words[0] ? words[0].toUpperCase() + words.slice(1) : "It";
}
