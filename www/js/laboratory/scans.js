// @ts-check
// Station 4: melting and setting of the binder from calorimetry (DSC), on cooling, on heating, or both.

import { choiceBox, numberBox } from "app/laboratory/fields";
import { list, tableOf, under } from "app/shared/tables";
import { figureOf } from "app/shared/figure";
import { keeper, recall } from "app/readings/tab-keep";
import { TableBox, clearedWords } from "app/readings/table-box";
import { loadReadings } from "app/shared/core";
import { byId, el } from "app/shared/dom";
import { number, quantity } from "app/shared/numbers";
import { restate, shownUnit, toShown } from "app/shared/units";

/** @typedef {Gatefrost.DscResult} Found */
/** @typedef {Gatefrost.Direction} Direction */

// In the order in which they are drawn. The one on cooling gives the no-flow temperature.
/** @type {Direction[]} */
const DIRECTIONS = ["cooling", "heating"];
const NOTHING = "No tables yet. Paste one, or press “Worked example”.";
const EXAMPLE_RATE = 10;

export class ScanStation {
  #bench;
  #kept = recall("scan") ?? {};
  #figure;
  #said = el("p", { className: "said-so", id: "scan-said", role: "status", "aria-live": "polite" });
  #remarks = el("div", { id: "scan-remarks", "aria-live": "polite" });
  #numbers = el("div", { id: "scan-numbers" });
  #results;
  #keep = keeper("scan", () => Object.fromEntries(Object.entries(this.#fields).map(([name, { input }]) => [name, input.value])));
  #fields = {
    unit: choiceBox("scan-unit", "Unit of the heat flow", [["", "as in the header"], ["watts_per_gram", "W/g"], ["milliwatts", "mW"]], () => this.#again(), "A table of heat capacity [J/gK] needs no unit here."),
    rate: numberBox("scan-rate", "page.scan_rate", { empty: "none", changed: () => this.#again() }),
    mass: numberBox("scan-mass", "page.scan_mass", { empty: "none", changed: () => this.#again() }),
    share: numberBox("scan-share", "page.binder_share", { empty: "auto", changed: () => this.#again() }),
    others: choiceBox("scan-others", "Its other constants", [["scenario", "those of the scenario"], ["recipe", "those of the recipe above"]], () => this.#again()),
  };
  #use = el("button", { type: "button", id: "scan-use", disabled: true, onclick: () => this.#useIt() }, "Use this feedstock");
  /** @type {Partial<Record<Direction, Found>>} */
  #found = {};
  // What is said of each table in place of a result.
  /** @type {Partial<Record<Direction, string>>} */
  #instead = {};
  /** @type {Record<Direction, TableBox>} */
  #boxes;

  /** @param {import("app/laboratory/start").Bench} bench */
  constructor(bench) {
    this.#bench = bench;
    this.#figure = figureOf(bench.laboratory, "calorimetry", "Heat capacity against temperature", "The curve is drawn with its peaks upwards. Full discs: onset in the direction of the run. Open discs: peak. Open squares: end. Dashed: baseline. The tinted band is the 95 % interval of the no-flow temperature.", { tall: true });
    this.#results = el("div", { hidden: true }, this.#remarks, this.#figure.root, this.#numbers);
    for (const [name, field] of Object.entries(this.#fields)) if (this.#kept[name] !== undefined) field.input.value = this.#kept[name];
    this.#boxes = { cooling: this.#box("cooling", 0), heating: this.#box("heating", 1) };
    const { others, ...fields } = this.#fields;
    byId("scan-ins").append(
      ...DIRECTIONS.map((direction) => this.#boxes[direction].root),
      ...Object.values(fields).map((field) => field.root),
      others.root,
      el("div", { className: "row" }, this.#use),
      el("p", { className: "small" }, "Opens the window with the melting peaks; from a table on cooling with the no-flow temperature and its standard error; from one on heating with the melted temperature."),
    );
    byId("recipe-ins").addEventListener("change", () => this.#fromRecipe() && this.#again());
    byId("scan-outs").append(this.#said, this.#results);
    this.#show();
    this.#again();
  }

  // The address has another scenario, whose feedstock may have another share of binder.
  scenarioChanged() {
    this.#again();
  }

  /**
   * @param {Direction} direction
   * @param {number} place
   */
  #box(direction, place) {
    const { shelf } = this.#bench;
    return new TableBox(`scan-${direction}`, `Table on ${direction}, pasted, dropped or opened`, {
      load: loadReadings,
      form: place === 0 ? shelf.scans_form : [],
      example: shelf.scans[place],
      exampleWords: `The worked example is invented: a feedstock, at ${EXAMPLE_RATE} K/min.`,
      prepare: () => this.#prepare(),
      job: (text) => this.#job(text, direction),
      take: (answer) => this.#take(answer, direction),
      cleared: (why) => this.#cleared(why, direction),
      working: (words) => this.#working(words, direction),
    });
  }

  // Sets the fields as the examples need them.
  #prepare() {
    const { unit, rate, share } = this.#fields;
    const before = [unit, rate, share].map(({ input }) => input.value);
    /** @param {string[]} values */
    const set = (values) => {
      [unit, rate, share].forEach(({ input }, i) => { input.value = values[i]; });
      this.#keep();
    };
    set(["", String(EXAMPLE_RATE), ""]);
    return () => set(before);
  }

  #again() {
    this.#keep();
    for (const direction of DIRECTIONS) this.#boxes[direction].again();
  }

  /**
   * @param {string} text
   * @param {Direction} direction
   * @returns {import("app/readings/table-box").Job | null}
   */
  #job(text, direction) {
    const [rate, mass, binder_share] = [this.#fields.rate.read(), this.#fields.mass.read(), this.#share()];
    if ([rate, mass, binder_share].some(Number.isNaN)) return null;
    const unit = /** @type {Gatefrost.HeatFlowUnit | null} */ (this.#fields.unit.read() || null);
    /** @type {Gatefrost.ScanArgs} */
    const args = { text, direction, rate, mass, unit, binder_share };
    return { call: "scan", args };
  }

  // Binder in the mass of the sample: as typed, or that of the feedstock.
  #share() {
    const percent = this.#fields.share.read();
    if (percent !== null) return percent / 100;
    const { laboratory, scenario } = this.#bench;
    try {
      return laboratory.binder_share(JSON.stringify(scenario), this.#fromRecipe());
    } catch {
      // The recipe cannot be used as it is; the scenario can.
      return laboratory.binder_share(JSON.stringify(scenario), false);
    }
  }

  #fromRecipe() {
    return this.#fields.others.read() === "recipe";
  }

  #useIt() {
    const { laboratory, scenario, use } = this.#bench;
    use(() => laboratory.link_with_scans(JSON.stringify(scenario), this.#fromRecipe(), this.#share()));
  }

  /**
   * @param {string} words
   * @param {Direction} direction
   */
  #working(words, direction) {
    this.#instead[direction] = words;
    this.#results.classList.add("old");
    this.#show();
  }

  /**
   * @param {import("app/readings/table-box").Why} why
   * @param {Direction} direction
   */
  #cleared(why, direction) {
    delete this.#found[direction];
    this.#bench.laboratory.forget_scan(direction === "heating");
    this.#instead[direction] = clearedWords(`The table on ${direction} is not read`, { below: "it" })[why];
    this.#draw();
  }

  /**
   * @param {Gatefrost.Told<Found>} answer
   * @param {Direction} direction
   */
  #take({ told, bytes }, direction) {
    this.#found[direction] = told;
    delete this.#instead[direction];
    this.#bench.laboratory.take_scan(bytes);
    this.#draw();
  }

  #draw() {
    const found = DIRECTIONS.flatMap((direction) => this.#found[direction] ?? []);
    this.#results.hidden = found.length === 0;
    this.#results.classList.remove("old");
    this.#show();
    if (found.length === 0) return;
    this.#figure.refresh();
    const remarks = [`Binder is ${number(100 * this.#share(), 3)} % of the mass of the sample.`, ...this.#bench.laboratory.compare_scans(), ...new Set(found.flatMap((one) => one.remarks))];
    this.#remarks.replaceChildren(list(remarks.map(restate)));
    this.#numbers.replaceChildren(peaksTable(found));
  }

  // The sentence above the results, and whether they can be used.
  #show() {
    const { cooling, heating } = this.#found;
    const instead = Object.values(this.#instead).filter(Boolean);
    const sure = (/** @type {Gatefrost.DscTemperature} */ t) => `${degrees(t.value)} ${shownUnit("°C")}, standard error ${quantity(t.standard_error, "K", 2)}`;
    const said = [];
    if (cooling?.no_flow) said.push(`No-flow temperature ${sure(cooling.no_flow)}.`);
    else if (heating) said.push("The no-flow temperature stays as it is: it needs a table on cooling.");
    if (heating?.melted) said.push(`Melted temperature ${sure(heating.melted)}.`);
    this.#said.textContent = [...said, ...instead].join(" ") || NOTHING;
    this.#use.disabled = said.length === 0 || instead.length > 0;
  }
}

// To a tenth of a degree.
const degrees = (/** @type {number} */ t) => number(Math.round(toShown(t, "°C") * 10) / 10, 4);

/** @param {Found[]} found */
function peaksTable(found) {
  const rows = found.flatMap(({ direction, peaks }) => peaks.map((peak, i) => {
    const range = `${degrees(peak.onset)} to ${degrees(peak.end)} ${shownUnit("°C")}`;
    return [under(`${i + 1} on ${direction}`, range), degrees(peak.peak), number(peak.heat_of_binder, 3), number(peak.heat, 3), degrees(peak.onset), degrees(peak.end), peak.overlaps ? "yes" : "no"];
  }));
  const celsius = shownUnit("°C");
  const heads = [{ words: "Peak" }, `Peak, ${celsius}`, "Heat, kJ/kg of binder", "Heat, J/g of sample", `Onset, ${celsius}`, `End, ${celsius}`, "Overlaps"];
  return tableOf("Peaks, the coldest first", heads, rows, "stacked");
}
