// @ts-check
// Starts the page that calibrates the feedstock of the scenario in the address on shots of the machine.

import { Estimate } from "app/calibration/estimate";
import { Further } from "app/calibration/further";
import { Log } from "app/calibration/log";
import { wordsLog } from "app/calibration/words";
import { learnWords } from "app/shared/catalogue";
import { byId } from "app/shared/dom";
import { listProblems } from "app/shared/notices";
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
  watchAddress();
  buildHistory();
  model.replace(model.scenario);
  page.dataset.ready = "true";
  page.dataset.busy = "false";
}

function changed() {
  showValues();
  byId("scenario-name").textContent = model.scenario.name;
  byId("scenario-provenance").textContent = model.scenario.feedstock.provenance;
  document.title = `Calibration: ${model.scenario.name} – Gatefrost`;
  const problems = model.problems();
  showProblems(problems);
  listProblems(problems);
}

await start(build, "Load it again: the address holds the scenario, and this tab its log.");
