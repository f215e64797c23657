// @ts-check
// Starts the page of the whole plan: route, machine, mould, mixing and cost of the scenario in the address, and the sheet.

import { wordsAfter } from "app/after/words";
import { Moulding } from "app/plan/moulding";
import { showSheet } from "app/plan/sheet";
import { cost, machine, mixing, mould, route } from "app/plan/stations";
import { explainAgain } from "app/explain/place";
import { learnWords } from "app/shared/catalogue";
import { PlanSheet } from "app/shared/core";
import { byId, onceAFrame } from "app/shared/dom";
import { listProblems } from "app/shared/notices";
import { start } from "app/shared/start";
import { recallUnits, units } from "app/shared/units";
import { buildHistory } from "app/window/saved/history";
import { openAddress, watchAddress } from "app/window/saved/link";
import { showProblems, showValues } from "app/window/settings/fields";
import { model } from "app/window/settings/model";

const page = document.documentElement;

class PlanPage {
  #sheet = new PlanSheet();
  #stations;
  #moulding;

  constructor() {
    learnWords(wordsAfter);
    recallUnits();
    model.scenario = openAddress();
    this.#moulding = new Moulding(() => this.#plan());
    this.#stations = [route(this.#sheet), machine(), mould(), mixing(), cost(this.#sheet)];
    model.addEventListener("replaced", showValues);
    model.addEventListener("changed", () => this.#changed());
    units.addEventListener("changed", () => this.#plan());
    byId("print-plan").addEventListener("click", () => print());
    watchAddress();
    buildHistory();
    model.replace(model.scenario);
    if (new URLSearchParams(location.search).has("sheet")) go("sheet");
  }

  #changed() {
    showValues();
    byId("scenario-name").textContent = model.scenario.name;
    document.title = `The whole plan: ${model.scenario.name} – Gatefrost`;
    const problems = model.problems();
    showProblems(problems);
    listProblems(problems).parentElement?.classList.toggle("old", problems.length > 0);
    if (problems.length > 0) return;
    this.#moulding.ask(model.text());
    this.#plan();
  }

  #plan = onceAFrame(() => {
    if (model.problems().length > 0) return;
    const { report, handed, busy } = this.#moulding;
    const plan = this.#sheet.plan(model.text(), report, handed);
    for (const station of this.#stations) station.show(plan);
    showSheet(plan);
    explainAgain();
    page.dataset.ready = "true";
    page.dataset.busy = String(busy);
  });
}

/** @param {string} id */
function go(id) {
  const station = byId(id);
  station.scrollIntoView({ block: "start" });
  station.focus({ preventScroll: true });
}

await start(() => void new PlanPage(), "Load it again: the address holds the scenario.");
