// Starts the laboratory: three stations, each usable alone, for the scenario in the address.

import { Laboratory, laboratory_shelf, last_panic, load, open_link } from "app/shared/core";
import { byId } from "app/shared/dom";
import { PageWorker } from "app/shared/worker";
import { criticalStation } from "app/laboratory/critical";
import { learn } from "app/laboratory/fields";
import { recipeStation } from "app/laboratory/recipe";
import { rheometerStation } from "app/laboratory/rheometer";
import { dismiss, inWords, leftOut, notice } from "app/shared/notices";
import { toWindow } from "app/shared/ways";

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
  notice("fault", "An error stopped this page. Load it again: what you entered is kept in this tab.", [words]);
}

async function start() {
  // Estimates take a millisecond and follow each key: they run here. Tables of readings go to workers.
  const spawn = await load();
  const laboratory = new Laboratory();
  const shelf = laboratory_shelf();
  learn(shelf);
  const bench = { laboratory, shelf, spawn, scenario: null, use };

  openAddress(bench);
  const recipe = recipeStation(bench);
  bench.recipe = recipe;
  let rheometer = null;
  bench.findPart = (text) => findPart(bench, text, (failed) => rheometer?.partChanged(failed));
  rheometer = rheometerStation(bench);
  criticalStation(bench);
  addEventListener("hashchange", () => {
    openAddress(bench);
    rheometer.scenarioChanged();
  });
  for (const button of document.querySelectorAll("[data-to]")) {
    button.addEventListener("click", () => {
      const station = byId(button.dataset.to);
      station.scrollIntoView({ block: "start" });
      station.focus({ preventScroll: true });
    });
  }
  // The flow curve is printed whether it is folded or not.
  const unfolded = new Set();
  addEventListener("beforeprint", () => {
    for (const details of document.querySelectorAll("#rheometer-corrected .more:not([open])")) {
      details.open = true;
      unfolded.add(details);
    }
  });
  addEventListener("afterprint", () => {
    for (const details of unfolded) details.open = false;
    unfolded.clear();
  });
  page.dataset.ready = "true";
  // The stations that hold readings say themselves when they are done.
  const reading = [...document.querySelectorAll("textarea")].some((field) => field.value.trim() !== "");
  if (!reading) page.dataset.busy = "false";
}

// The shear rates and temperatures of the part of a scenario, given as text, to hold readings against. `known` is
// told that they are there, or in sentences why not.
async function findPart(bench, scenario, known) {
  bench.worker?.stop();
  if (scenario === null) return;
  bench.worker ??= new PageWorker(bench.spawn);
  const { value, problems, failure, stopped } = await bench.worker.run({ call: "span_of_part", args: { scenario } });
  if (stopped) return;
  if (value) bench.laboratory.set_part(value.bytes);
  else bench.laboratory.forget_part();
  known(value ? null : (problems?.map(inWords) ?? [failure]));
}

// The scenario that the address carries, or the first demo.
function openAddress(bench) {
  const opened = open_link(location.hash);
  const { scenario } = opened;
  leftOut(opened);
  bench.scenario = scenario;
  byId("scenario-name").textContent = scenario.name;
  byId("to-window").href = toWindow(location.hash.slice(1));
}

// Goes to the window with a feedstock of ours: `make()` gives the link's text. What stands in the way is said.
function use(make) {
  dismiss("use");
  try {
    location.href = toWindow(make());
  } catch (error) {
    if (!error?.problems) throw error;
    notice("use", "This feedstock cannot be used in the scenario as it is:", error.problems.map(inWords));
    byId("notices").scrollIntoView({ block: "center" });
  }
}
