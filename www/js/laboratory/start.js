// @ts-check
// Starts the laboratory: four stations, each usable alone, for the scenario in the address.

import { learn } from "app/laboratory/fields";
import { RecipeStation } from "app/laboratory/recipe";
import { Laboratory, laboratory_shelf, open_link } from "app/shared/core";
import { byId } from "app/shared/dom";
import { dismiss, inWords, leftOut, notice, problemsOf } from "app/shared/notices";
import { start } from "app/shared/start";
import { recallUnits } from "app/shared/units";
import { toWindow } from "app/shared/ways";

/**
 * What all stations use.
 * @typedef {object} Bench
 * @property {Laboratory} laboratory
 * @property {Gatefrost.LaboratoryShelf} shelf
 * @property {Gatefrost.Scenario} scenario
 * @property {(make: () => string) => void} use goes to the window with a feedstock of ours
 */

const page = document.documentElement;

// Estimates take a millisecond and follow each key: they run here. Tables of readings go to workers, with
// the module of readings.
function build() {
  const shelf = laboratory_shelf();
  learn(shelf);
  recallUnits();
  /** @type {Bench} */
  const bench = { laboratory: new Laboratory(), shelf, scenario: openAddress(), use };
  const recipe = new RecipeStation(bench);
  import("app/shared/through").then(({ buildThrough }) => buildThrough(() => location.hash.slice(1)));
  printUnfolded();
  readingStations(bench, recipe);
}

// The stations that take readings. Their scripts come after the first station stands.
/**
 * @param {Bench} bench
 * @param {RecipeStation} recipe
 */
async function readingStations(bench, recipe) {
  const [{ RheometerStation }, { CriticalStation }, { ScanStation }] = await Promise.all([
    import("app/laboratory/rheometer"),
    import("app/laboratory/critical"),
    import("app/laboratory/scans"),
  ]);
  const rheometer = new RheometerStation(bench);
  new CriticalStation(bench, recipe);
  const scans = new ScanStation(bench);
  addEventListener("hashchange", () => {
    bench.scenario = openAddress();
    rheometer.scenarioChanged();
    scans.scenarioChanged();
  });
  page.dataset.ready = "true";
  // Stations with readings report the end of their own work.
  const reading = [...document.querySelectorAll("textarea")].some((field) => field.value.trim() !== "");
  if (!reading) page.dataset.busy = "false";
}

// Unfolds the flow curve for printing.
function printUnfolded() {
  /** @type {Set<HTMLDetailsElement>} */
  const unfolded = new Set();
  addEventListener("beforeprint", () => {
    for (const details of /** @type {NodeListOf<HTMLDetailsElement>} */ (document.querySelectorAll("#rheometer-corrected .more:not([open])"))) {
      details.open = true;
      unfolded.add(details);
    }
  });
  addEventListener("afterprint", () => {
    for (const details of unfolded) details.open = false;
    unfolded.clear();
  });
}

// The scenario that the address carries, or the first demo.
function openAddress() {
  const opened = open_link(location.hash);
  leftOut(opened);
  byId("scenario-name").textContent = opened.scenario.name;
  byId("to-window", "a").href = toWindow(location.hash.slice(1));
  return opened.scenario;
}

/**
 * Opens the window with a feedstock of the laboratory: `make()` returns the text of the link. Problems are shown.
 * @param {() => string} make
 */
function use(make) {
  dismiss("use");
  try {
    location.href = toWindow(make());
  } catch (error) {
    const problems = problemsOf(error);
    if (!problems) throw error;
    notice("use", "This feedstock cannot be used in the scenario as it is:", problems.map(inWords));
    byId("notices").scrollIntoView({ block: "center" });
  }
}

await start(build, "Load it again: what you entered is kept in this tab.");
