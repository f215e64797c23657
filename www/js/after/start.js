// @ts-check
// Starts the page of what follows the mould: sizes, debinding and sintering of the scenario in the address.

import { Mould } from "app/after/mould";
import { Debinding } from "app/after/debinding";
import { Sintering } from "app/after/sintering";
import { Sizes } from "app/after/sizes";
import { showSummary } from "app/after/summary";
import { wordsAfter } from "app/after/words";
import { learnWords } from "app/shared/catalogue";
import { AfterSheet, forms, link_of } from "app/shared/core";
import { byId, el, onceAFrame } from "app/shared/dom";
import { inWords } from "app/shared/notices";
import { start } from "app/shared/start";
import { restate, units } from "app/shared/units";
import { toWindow } from "app/shared/ways";
import { buildHistory } from "app/window/saved/history";
import { openAddress, watchAddress } from "app/window/saved/link";
import { showProblems, showValues } from "app/window/settings/fields";
import { model } from "app/window/settings/model";

/**
 * What the three stations use.
 * @typedef {object} Bench
 * @property {AfterSheet} sheet
 * @property {Gatefrost.TrialForms} forms
 * @property {() => Worker} spawn
 */
/**
 * A station: it shows a plan.
 * @typedef {{ show(plan: Gatefrost.Plan): void }} Station
 */

const page = document.documentElement;

class AfterPage {
  #sheet = new AfterSheet();
  /** @type {Station[]} */
  #stations;
  #mould;

  /** @param {() => Worker} spawn */
  constructor(spawn) {
    learnWords(wordsAfter);
    model.scenario = openAddress();
    /** @type {Bench} */
    const bench = { sheet: this.#sheet, forms: forms(), spawn };
    this.#mould = new Mould(() => this.#plan());
    this.#stations = [new Sizes(bench), new Debinding(bench), new Sintering(bench)];
    model.addEventListener("replaced", showValues);
    model.addEventListener("changed", () => this.#changed());
    units.addEventListener("changed", () => this.#plan());
    watchAddress();
    buildHistory();
    buildWays();
    model.replace(model.scenario);
  }

  #changed() {
    showValues();
    byId("scenario-name").textContent = model.scenario.name;
    document.title = `After the mould: ${model.scenario.name} – Gatefrost`;
    const problems = model.problems();
    showProblems(problems);
    const list = byId("trouble", "ul");
    list.hidden = problems.length === 0;
    list.replaceChildren(...problems.map((problem) => el("li", {}, inWords(problem))));
    byId("summary").parentElement?.classList.toggle("old", problems.length > 0);
    if (problems.length > 0) return;
    this.#mould.ask(model.text());
    this.#plan();
  }

  // The plan takes milliseconds, so it follows each key. Sizes wait for the mould.
  #plan = onceAFrame(() => {
    if (model.problems().length > 0) return;
    const mould = this.#mould.found;
    const plan = this.#sheet.plan(model.text(), mould ? JSON.stringify(mould) : "");
    showSummary(plan, this.#mould);
    byId("remarks").replaceChildren(...plan.remarks.map((words) => el("li", {}, restate(words))));
    for (const station of this.#stations) station.show(plan);
    page.dataset.ready = "true";
    page.dataset.busy = String(this.#mould.busy);
  });
}

function buildWays() {
  // The address lags behind what is typed.
  const back = byId("to-window", "a");
  const take = () => {
    back.href = toWindow(model.problems().length === 0 ? link_of(model.text()) : location.hash.slice(1));
  };
  for (const kind of ["pointerdown", "focus", "click"]) back.addEventListener(kind, take);
  for (const button of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-to]"))) {
    button.addEventListener("click", () => {
      const station = byId(button.dataset.to ?? "");
      station.scrollIntoView({ block: "start" });
      station.focus({ preventScroll: true });
    });
  }
}

await start((spawn) => void new AfterPage(spawn), "Load it again: the address holds the scenario.");
