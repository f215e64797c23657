// @ts-check
// Starts the page of what follows the mould: sizes, debinding and sintering of the scenario in the address.

import { Mould } from "app/after/mould";
import { Debinding } from "app/after/debinding";
import { Sintering } from "app/after/sintering";
import { Sizes } from "app/after/sizes";
import { showSummary } from "app/after/summary";
import { wordsAfter } from "app/after/words";
import { explainAgain } from "app/explain/place";
import { learnWords } from "app/shared/catalogue";
import { AfterSheet, forms } from "app/shared/core";
import { byId, el, onceAFrame } from "app/shared/dom";
import { listProblems } from "app/shared/notices";
import { start } from "app/shared/start";
import { recallUnits, restate } from "app/shared/units";
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
 * @typedef {{ show(plan: Gatefrost.Plan, mould: { busy: boolean }): void }} Station
 */

// So long after the last change the hand rests.
const REST_MS = 250;

const page = document.documentElement;

class AfterPage {
  #sheet = new AfterSheet();
  /** @type {Station[]} */
  #stations;
  #mould;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #resting;

  /** @param {() => Worker} spawn */
  constructor(spawn) {
    learnWords(wordsAfter);
    recallUnits();
    model.scenario = openAddress();
    /** @type {Bench} */
    const bench = { sheet: this.#sheet, forms: forms(), spawn };
    this.#mould = new Mould(() => this.#plan());
    this.#stations = [new Sizes(bench), new Debinding(bench), new Sintering(bench)];
    model.addEventListener("replaced", showValues);
    model.addEventListener("changed", () => this.#changed());
    watchAddress();
    buildHistory();
    model.replace(model.scenario);
  }

  #changed() {
    showValues();
    byId("scenario-name").textContent = model.scenario.name;
    document.title = `After the mould: ${model.scenario.name} – Gatefrost`;
    const problems = model.problems();
    showProblems(problems);
    listProblems(problems);
    byId("summary").parentElement?.classList.toggle("old", problems.length > 0);
    if (problems.length > 0) return;
    // Until the next frame nothing has begun, yet what is shown is old.
    page.dataset.busy = "true";
    this.#mould.ask(model.text());
    this.#plan();
  }

  // A draft takes milliseconds, so it follows each key. Sizes wait for the mould, bands until the hand rests.
  #plan = onceAFrame(() => {
    clearTimeout(this.#resting);
    this.#resting = setTimeout(() => this.#show(false), REST_MS);
    this.#show(true);
  });

  /** @param {boolean} draft */
  #show(draft) {
    page.dataset.busy = String(this.#mould.busy || draft);
    if (model.problems().length > 0) return;
    const mould = this.#mould.found;
    const plan = this.#sheet.plan(model.text(), mould ? JSON.stringify(mould) : "", draft);
    showSummary(plan, this.#mould);
    byId("remarks").replaceChildren(...plan.remarks.map((words) => el("li", {}, restate(words))));
    for (const station of this.#stations) station.show(plan, this.#mould);
    explainAgain();
    page.dataset.ready = "true";
  }
}

await start((spawn) => void new AfterPage(spawn), "Load it again: the address holds the scenario.");
