// @ts-check
// Station 2: rheometer readings, corrected and fitted; the laws ranked.

import { choiceBox, numberBox } from "app/laboratory/fields";
import { list } from "app/shared/tables";
import { figureOf } from "app/shared/figure";
import { keeper, recall } from "app/readings/tab-keep";
import { Part } from "app/laboratory/part";
import { TableBox, clearedWords } from "app/readings/table-box";
import { loadReadings } from "app/shared/core";
import { byId, el } from "app/shared/dom";
import { number } from "app/shared/numbers";
import { restate } from "app/shared/units";

/** @typedef {Gatefrost.Studied} Studied */

const counted = (/** @type {number} */ points) => (points === 1 ? "1 point" : `${points} points`);

const EXAMPLE =
  "The worked example is invented: a steel feedstock at three temperatures, through three dies, at four rates, with a scatter of 1 %. It is no material that you can buy.";
// The tables of the results, loaded with the first answer.
/** @type {typeof import("app/laboratory/rheometer-results")} */
let tables;

const NOTHING = "No readings yet. Paste some, or press “Worked example”.";
const CLEARED = clearedWords("Not fitted", { empty: NOTHING });

export class RheometerStation {
  #bench;
  /** @type {Record<string, string>} */
  #laws;
  #kept = recall("rheometer") ?? {};
  /** @type {Studied | null} */
  #studied = null;
  #chosen = 0;
  // The law to show from the next answer: the last choice, if the readings have not changed.
  /** @type {string | null} */
  #wanted = this.#kept.law ?? null;
  #part;
  #figures;
  #said = el("p", { className: "said-so", id: "rheometer-said", role: "status", "aria-live": "polite" });
  #notes = el("div", { id: "rheometer-notes" });
  #ranking = el("div", { id: "rheometer-ranking" });
  #constants = el("div", { id: "rheometer-constants" });
  #coverage = el("div", { id: "rheometer-coverage", "aria-live": "polite" });
  #corrected = el("div", { id: "rheometer-corrected" });
  #results;
  #keep = keeper("rheometer", () => this.#state());
  #measured;
  #others = choiceBox("rheometer-others", "Its other constants", [["scenario", "those of the scenario"], ["recipe", "those of the recipe above"]], () => this.#keep());
  #d2 = numberBox("rheometer-d2", "feedstock.flow_law.cross_wlf.d2", { title: "Cross law, reference temperature", empty: "usual", changed: () => this.#refit(), help: "Held fixed, because readings cannot tell it apart from D1 and A1. Leave it empty for −10 °C. It changes D1 and A1; the curve hardly changes." });
  #transition = numberBox("rheometer-transition", "feedstock.flow_law.carreau_yasuda.transition", { title: "Carreau–Yasuda, breadth of the transition", empty: "fitted", changed: () => this.#refit(), help: "Leave it empty to fit it. 2 is Carreau’s own law; enter it where the readings do not determine it." });
  #a2 = el("input", { type: "checkbox", id: "rheometer-a2", checked: this.#kept.a2 === true, onchange: () => this.#refit() });
  #use = el("button", { type: "button", id: "rheometer-use", disabled: true, onclick: () => this.#useFit() }, "Use this feedstock");
  #box;

  /** @param {import("app/laboratory/start").Bench} bench */
  constructor(bench) {
    const { laboratory, shelf, scenario } = bench;
    this.#bench = bench;
    this.#laws = Object.fromEntries(shelf.laws);
    this.#part = new Part(bench, () => this.#partKnown());
    this.#measured = numberBox("rheometer-loading", "feedstock.measured_loading", { title: "Loading of the measured feedstock", value: scenario.feedstock.solids_loading, changed: () => this.#typed() });
    this.#figures = [
      figureOf(laboratory, "flow", "Viscosity against shear rate", "Readings are marks, with a sign for each temperature. The lines are the law chosen below. The upright lines are the shear rates of the scenario’s part, computed with that law."),
      figureOf(laboratory, "residuals", "Readings against the fit", "How far each reading lies above the chosen law. A pattern means that the law does not fit."),
    ];
    const figures = el("div", { className: "figures" }, this.#figures.map((figure) => figure.root));
    this.#results = el("div", { hidden: true }, figures, this.#coverage, this.#ranking, this.#constants, this.#notes, this.#corrected);
    this.#restore();
    this.#box = this.#readings();
    this.#build();
    this.#said.textContent = NOTHING;
    this.#measured.read();
    this.#box.again();
  }

  // The address has another scenario.
  scenarioChanged() {
    this.#measured.set(this.#bench.scenario.feedstock.solids_loading);
    this.#measured.read();
    this.#part.forget();
    this.#partKnown();
    this.#askPart();
  }

  #readings() {
    const { shelf } = this.#bench;
    return new TableBox("rheometer-text", "Readings, pasted, dropped or opened", {
      load: loadReadings,
      form: shelf.readings_form,
      example: shelf.readings,
      exampleWords: EXAMPLE,
      job: (text) => this.#job(text),
      take: (answer) => this.#take(answer),
      cleared: (why) => this.#cleared(why),
      working: (words) => this.#working(words),
    });
  }

  #build() {
    const { d2, transition, a2 } = this.#kept;
    byId("rheometer-ins").append(
      this.#box.root,
      el("details", { className: "more rules", id: "rheometer-held", open: Boolean(d2 || transition || a2) }, el("summary", {}, "Held fixed in the fit"),
        this.#d2.root, this.#transition.root, el("label", { className: "pick" }, this.#a2, "Fit the Cross law’s A2 too (three temperatures or more)")),
      this.#measured.root,
      this.#others.root,
      el("div", { className: "row" }, this.#use),
      el("p", { className: "small" }, "Opens the window with the chosen law, at the loading it was measured at, marked as fitted to your data."),
    );
    byId("rheometer-outs").append(this.#said, this.#results);
  }

  #lawShown() {
    return this.#studied?.ranking.fits[this.#chosen]?.kind ?? this.#wanted;
  }

  #state() {
    return {
      loading: this.#measured.input.value,
      others: this.#others.read(),
      d2: this.#d2.kept(),
      transition: this.#transition.input.value,
      a2: this.#a2.checked,
      law: this.#lawShown(),
    };
  }

  #restore() {
    const { loading, d2, transition, others } = this.#kept;
    if (loading !== undefined) this.#measured.input.value = loading;
    if (d2 !== undefined) this.#d2.bring(d2);
    if (transition !== undefined) this.#transition.input.value = transition;
    this.#others.set(others);
  }

  #refit() {
    this.#keep();
    this.#wanted = this.#lawShown();
    this.#box.again();
  }

  #typed() {
    this.#keep();
    if (!Number.isNaN(this.#measured.read())) this.#askPart();
  }

  /**
   * @param {string} text
   * @returns {import("app/readings/table-box").Job | null}
   */
  #job(text) {
    const [d2, transition] = [this.#d2.read(), this.#transition.read()];
    if ([d2, transition].some(Number.isNaN)) return null;
    /** @type {Gatefrost.StudyArgs} */
    const args = { text, d2, free_a2: this.#a2.checked, transition };
    return { call: "study", args };
  }

  #useFit() {
    const loading = Number(this.#measured.read());
    if (Number.isNaN(loading)) {
      this.#measured.input.focus();
      return;
    }
    const { laboratory, scenario, use } = this.#bench;
    use(() => laboratory.link_with_fit(JSON.stringify(scenario), this.#chosen, loading, this.#others.read() === "recipe"));
  }

  /** @param {string} words */
  #working(words) {
    this.#results.classList.add("old");
    this.#use.disabled = true;
    this.#said.textContent = words;
  }

  /** @param {import("app/readings/table-box").Why} why */
  #cleared(why) {
    this.#studied = null;
    this.#working(CLEARED[why]);
    if (why === "empty") this.#results.hidden = true;
  }

  /** @param {Gatefrost.Told<Studied>} answer */
  async #take({ told, bytes }) {
    tables ??= await import("app/laboratory/rheometer-results");
    this.#studied = told;
    this.#bench.laboratory.take_study(bytes);
    this.#results.hidden = false;
    this.#results.classList.remove("old");
    this.#choose(told, Math.max(0, told.ranking.fits.findIndex(({ kind }) => kind === this.#wanted)));
    this.#wanted = null;
    this.#notes.replaceChildren(...tables.notesOf(told));
    this.#corrected.replaceChildren(...tables.correctionTables(told));
  }

  /**
   * @param {Studied} studied
   * @param {number} place
   */
  #choose(studied, place) {
    this.#chosen = place;
    this.#keep();
    this.#part.forget();
    this.#draw();
    this.#use.disabled = studied.ranking.fits.length === 0;
    this.#said.textContent = this.#sentence(studied, place);
    this.#showRanking(studied, place);
    this.#constants.replaceChildren(...tables.constantsTable(studied, this.#laws, place));
    this.#showCoverage();
    this.#askPart();
  }

  #draw() {
    this.#bench.laboratory.show_fit(this.#chosen);
    for (const figure of this.#figures) figure.refresh();
  }

  /**
   * @param {Studied} studied
   * @param {number} place
   */
  #sentence({ points, ranking: { fits, best } }, place) {
    if (fits.length === 0) return `${counted(points)}; no law could be fitted.`;
    const ranked = best ? `Best by AICc: ${this.#laws[best]}` : fits[0].aicc === null ? "Too few to rank the laws" : "No law is offered as the best";
    return `${counted(points)}. ${ranked}. Chosen: ${this.#laws[fits[place].kind]}, scatter ${number(100 * fits[place].log_scatter, 2)} %.`;
  }

  /**
   * @param {Studied} studied
   * @param {number} chosen
   */
  #showRanking(studied, chosen) {
    const focused = /** @type {HTMLInputElement | null} */ (this.#ranking.querySelector("input:focus"))?.value;
    this.#ranking.replaceChildren(...tables.rankingTable(studied.ranking, this.#laws, chosen, (place) => this.#choose(studied, place)));
    if (focused !== undefined) /** @type {HTMLInputElement | null} */ (this.#ranking.querySelector(`input[value="${focused}"]`))?.focus();
  }

  // The shear rates of the part are computed with the chosen law, not with that of the scenario.
  #askPart() {
    const loading = Number(this.#measured.read());
    if (this.#studied && !Number.isNaN(loading)) this.#part.ask(this.#chosen, loading);
  }

  #partKnown() {
    if (!this.#studied) return;
    this.#draw();
    this.#showCoverage();
  }

  #showCoverage() {
    const { laboratory, scenario } = this.#bench;
    const warnings = laboratory.coverage(this.#chosen);
    const { unknown } = this.#part;
    const none = laboratory.knows_part()
      ? `The readings cover the shear rates and temperatures of the part, ${scenario.name}, computed with this law.`
      : unknown
        ? `The shear rates and temperatures of the part are not known, because the part cannot be computed with this law: ${unknown.join(" ")}`
        : "The shear rates and temperatures of the part are being computed.";
    const fitted = (this.#studied?.ranking.fits.length ?? 0) > 0;
    const words = !fitted ? [] : warnings.length > 0 ? warnings : [none];
    this.#coverage.replaceChildren(list(words.map(restate), warnings.length > 0 ? { className: "list error" } : {}));
  }
}
