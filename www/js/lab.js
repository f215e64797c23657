// Starts the laboratory: three stations, each usable alone, for the scenario in the address.

import { Laboratory, laboratory_shelf, last_panic, load, open_link } from "app/core";
import { byId } from "app/dom";
import { Hand } from "app/hand";
import { criticalStation } from "app/lab-critical";
import { learn } from "app/lab-fields";
import { recipeStation } from "app/lab-recipe";
import { rheometerStation } from "app/lab-rheometer";
import { dismiss, inWords, notice } from "app/notices";

const page = document.documentElement;

addEventListener("error", (event) => {
  if (event.error) brokeOff(event.error);
});
addEventListener("unhandledrejection", (event) => brokeOff(event.reason));

try {
  page.dataset.busy = "true";
  await start();
} catch (error) {
  page.dataset.failed = "true";
  notice("start", "The page could not start.", [String(error), "It needs a browser with WebAssembly and modules, of 2023 or later."]);
}

function brokeOff(error) {
  let words = String(error);
  try {
    words = last_panic() ?? words;
  } catch {
    // The core is not there to ask.
  }
  notice("fault", "Something on this page broke off. Load the page again: what you entered is kept in this tab.", [words]);
}

async function start() {
  // Estimates take a millisecond and follow the hand: they run here. Tables of readings go to workers.
  const spawn = await load();
  const laboratory = new Laboratory();
  const shelf = laboratory_shelf();
  learn(shelf);
  const bench = { laboratory, shelf, spawn, scenario: null, hasPart: false, use };

  openAddress(bench);
  const recipe = recipeStation(bench);
  bench.recipe = recipe;
  const rheometer = rheometerStation(bench);
  criticalStation(bench);
  findPart(bench, rheometer);
  addEventListener("hashchange", () => {
    openAddress(bench);
    rheometer.scenarioChanged();
    findPart(bench, rheometer);
  });
  for (const button of document.querySelectorAll("[data-to]")) {
    button.addEventListener("click", () => {
      const station = byId(button.dataset.to);
      station.scrollIntoView({ block: "start" });
      station.focus({ preventScroll: true });
    });
  }
  page.dataset.ready = "true";
  // The stations that hold readings say themselves when they are done.
  const reading = [...document.querySelectorAll("textarea")].some((field) => field.value.trim() !== "");
  if (!reading) page.dataset.busy = "false";
}

// The shear rates and temperatures of the scenario's part, to hold readings against.
async function findPart(bench, rheometer) {
  bench.hand?.stop();
  if (!bench.hasPart) {
    bench.laboratory.forget_part();
    rheometer.partChanged();
    return;
  }
  bench.hand ??= new Hand(bench.spawn);
  const { text } = await bench.hand.run({ call: "evaluate", scenario: JSON.stringify(bench.scenario) });
  if (!text) return;
  bench.laboratory.set_part(text);
  rheometer.partChanged();
}

// The scenario that the address carries; its own shear rates are shown where it carries one.
function openAddress(bench) {
  const { scenario, problems } = open_link(location.hash);
  dismiss("link");
  if (problems.length > 0) notice("link", "Not everything in this link could be read.", problems.map(inWords));
  bench.scenario = scenario;
  bench.hasPart = location.hash.length > 1;
  byId("scenario-name").textContent = scenario.name;
  byId("to-window").href = `index.html${location.hash}`;
}

// Goes to the window with a feedstock of ours: `make()` gives the link's text. What stands in the way is said.
function use(make) {
  dismiss("use");
  try {
    location.href = `index.html#${make()}`;
  } catch (error) {
    if (!error?.problems) throw error;
    notice("use", "This feedstock cannot be used in the scenario as it is:", error.problems.map(inWords));
    byId("notices").scrollIntoView({ block: "center" });
  }
}
