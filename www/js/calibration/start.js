// @ts-check
// Starts the page that calibrates the feedstock of the scenario in the address on shots of the machine.

import { Estimate } from "app/calibration/estimate";
import { Further } from "app/calibration/further";
import { Log } from "app/calibration/log";
import { wordsLog } from "app/calibration/words";
import { learnWords } from "app/shared/catalogue";
import { byId, el } from "app/shared/dom";
import { inWords } from "app/shared/notices";
import { start } from "app/shared/start";
import { recallUnits } from "app/shared/units";
import { buildHistory } from "app/window/saved/history";
import { openAddress, watchAddress } from "app/window/saved/link";
import { showProblems, showValues } from "app/window/settings/fields";
import { model } from "app/window/settings/model";

const page = document.documentElement;

function build() {
  learnWords(wordsLog);
  recallUnits();
  model.scenario = openAddress();
  new Log();
  new Estimate();
  new Further();
  model.addEventListener("replaced", showValues);
  model.addEventListener("changed", changed);
  for (const button of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-to]"))) button.addEventListener("click", () => goTo(button.dataset.to ?? ""));
  watchAddress();
  buildHistory();
  model.replace(model.scenario);
  page.dataset.ready = "true";
  page.dataset.busy = "false";
}

/** @param {string} id */
function goTo(id) {
  const station = byId(id, "section");
  station.scrollIntoView({ block: "start" });
  station.focus({ preventScroll: true });
}

function changed() {
  showValues();
  byId("scenario-name").textContent = model.scenario.name;
  byId("scenario-provenance").textContent = model.scenario.feedstock.provenance;
  document.title = `Calibration: ${model.scenario.name} – Gatefrost`;
  const problems = model.problems();
  showProblems(problems);
  const list = byId("trouble", "ul");
  list.hidden = problems.length === 0;
  list.replaceChildren(...problems.map((problem) => el("li", {}, inWords(problem))));
}

await start(build, "Load it again: the address holds the scenario, and this tab its log.");
