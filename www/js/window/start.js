// Starts the page and keeps it together: a change goes to the workers, their answers to the figures.

import { Sheet, demos, last_panic, load } from "app/shared/core";
import { besideText, buildBeside } from "app/window/beside";
import { Calculator } from "app/window/calculator";
import { byId, el, onceAFrame } from "app/shared/dom";
import { canReveal, reveal, showProblems, showValues, textField } from "app/window/settings/fields";
import { Figures } from "app/window/results/figures";
import { awaitStudy, buildFindings, showFindings, showStudy } from "app/window/results/findings";
import { watchFiles } from "app/window/saved/files";
import { buildHistory } from "app/window/saved/history";
import { demoScenario, openAddress, watchAddress } from "app/window/saved/link";
import { showMargins, verdict } from "app/window/results/margins";
import { model } from "app/window/settings/model";
import { buildEvery } from "app/window/settings/more";
import { dismiss, inWords, notice, offerWayBack } from "app/shared/notices";
import { axisPaths, buildPlane } from "app/window/plane";
import { resultsOf, showProvenance, showResults } from "app/window/results/results";
import { buildShelf, offerLast } from "app/window/saved/shelf";
import { stick } from "app/window/stick";
import { buildSafety } from "app/window/results/safety";
import { buildStory } from "app/window/settings/story";
import { buildToolmaker } from "app/window/results/toolmaker";
import { buildUnits, recallUnits, restate, units, unitsInUse } from "app/shared/units";
import { buildWindow, markBest, setPointWords } from "app/window/canvas";

const page = document.documentElement;
let slow = 0;
// When a verdict that is late is taken back, in ms.
const LATE = 200;
let late = 0;

// Nothing breaks off without a word.
addEventListener("error", (event) => {
  // Browsers report a resize that is only late as an error without an error in it.
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
  notice("fault", "An error stopped this page. Load it again: the address holds the scenario.", [words]);
}

async function start() {
  const spawn = await load();
  recallUnits();
  const sheet = new Sheet();
  model.scenario = openAddress();

  byId("title-name").append(
    textField("name", "Scenario", { most: 120 }),
    el("details", { className: "notes" }, el("summary", {}, "Notes"), textField("notes", "Notes on this scenario", { long: true, most: 4000 })),
  );
  byId("headline").append(resultsOf("headline"));
  let picture = null;
  buildStory(byId("story-steps"), sheet);
  buildEvery(byId("story"));
  buildPlane(byId("plane"));
  buildFindings(byId("finding-list"));
  buildSafety(byId("safety-parts"), spawn, (place) => {
    markBest(place);
    picture?.refresh();
  });
  buildDemos();
  picture = buildWindow(sheet);
  const figures = new Figures(byId("figure-list"), sheet);

  let report = null;
  // The scenario that it is of, as text.
  let reported = null;
  const isCurrent = () => reported === model.text();
  let studied = null;
  // All that is told of the report, in the reader's units.
  const tell = () => {
    showResults(report);
    showMargins(byId("margin-list"), report.margins, sheet.sentences(unitsInUse()));
    showVerdict(report);
    clearTimeout(late);
    late = 0;
    markCurrent(isCurrent());
    byId("remarks").replaceChildren(...report.remarks.map((words) => el("li", {}, restate(words))));
    showFindings(report);
    beside.report(report);
  };
  const showReport = onceAFrame(() => {
    tell();
    studied = null;
    awaitStudy();
    figures.refresh(report);
    toolmaker.refresh();
  });
  const toolmaker = buildToolmaker(sheet, () => report && isCurrent() && { report, windowLine: sheet.window_line() });
  const showNothing = () => {
    const words = sheet.window_line()?.nothing ?? "";
    byId("window-nothing").textContent = restate(words);
    byId("window-nothing").hidden = words === "";
  };
  const redraw = () => {
    picture.refresh();
    figures.windowDrawn();
  };
  const calculator = new Calculator(spawn, {
    report({ told, bytes }, scenario) {
      report = told;
      reported = scenario;
      sheet.set_report(bytes);
      showReport();
    },
    window({ bytes }, fine) {
      sheet.set_window(bytes);
      byId("window-figure").dataset.detail = fine ? "fine" : "coarse";
      redraw();
      beside.show();
      toolmaker.refresh();
      showNothing();
      // Drawn at once the first time, so that "ready" means drawn.
      if (!page.dataset.ready) picture.paint();
      page.dataset.ready = "true";
    },
    bands({ bytes }) {
      if (sheet.set_bands(bytes)) redraw();
    },
    beside: (answer) => beside.take(answer),
    // The figures of the report are drawn with the next frame; these go after them.
    moments: ({ bytes }) => requestAnimationFrame(() => figures.setMoments(sheet.set_moments(bytes))),
    study({ bytes }) {
      const gates = sheet.set_study(bytes);
      requestAnimationFrame(() => {
        figures.setStudy();
        studied = gates;
        showStudy(gates);
      });
    },
    problems: (problems) => showTrouble(problems),
    failure(words, what) {
      figures.giveUp();
      dim(true);
      if (what === "report") noVerdict("Not computed: see the message.");
      const again = { words: "Compute again", act: () => calculator.again() };
      notice("failure", "The calculation failed. What is shown is from before the last change.", [words], again);
    },
    mended() {
      dismiss("failure");
      dim(false);
    },
    busy: showBusy,
    progress: (share) => (byId("refined").value = share),
  });

  const ask = (moving = false) => {
    if (model.problems().length === 0) calculator.ask(model.text(), model.planeKey(axisPaths()), moving, besideText());
  };
  const beside = buildBeside(sheet, { ask, redraw });
  byId("bands").addEventListener("change", redraw);

  model.addEventListener("replaced", showValues);
  model.addEventListener("changed", ({ detail }) => {
    showValues();
    showProvenance();
    document.title = `${model.scenario.name} – Gatefrost`;
    const problems = model.problems();
    markCurrent(isCurrent(), detail.opened);
    showTrouble(problems);
    if (problems.length > 0) {
      calculator.cancel();
      return;
    }
    // What was computed already is not computed again.
    if (report && isCurrent()) tell();
    // The set point moves with the pointer, before its numbers are there.
    picture.refresh();
    ask(detail.moving);
    showBandsChoice();
  });
  byId("stop").addEventListener("click", () => calculator.stop());
  byId("to-cautions").addEventListener("click", () => showCautions());
  byId("to-story").addEventListener("click", () => byId("story").focus());
  stick(byId("stage-column"), byId("limits-column"));
  // On a phone the window comes first.
  byId("more-tools").open = matchMedia("(min-width: 48rem)").matches;
  watchAddress();
  watchFiles();
  buildHistory();
  buildShelf();
  offerLast();
  buildUnits(byId("units"));
  units.addEventListener("changed", () => {
    if (report) tell();
    if (studied) showStudy(studied);
    showNothing();
  });
  model.replace(model.scenario);
}

// What stands in the way, at its fields and in a list; the last good picture stays, dimmed.
function showTrouble(problems) {
  showProblems(problems);
  dim(problems.length > 0);
  const list = byId("trouble");
  list.hidden = problems.length === 0;
  list.replaceChildren(
    ...problems.map((problem) => {
      const go = el("button", { type: "button", className: "quiet", onclick: () => reveal(problem.path) }, "Go there");
      return el("li", {}, `${inWords(problem)} `, canReveal(problem.path) && go);
    }),
  );
  const plane = problems.filter(({ path }) => path.startsWith("window"));
  byId("plane-error").textContent = plane.map(inWords).join(" ");
  byId("plane-error").hidden = plane.length === 0;
  if (problems.length > 0) noVerdict("Not computed: see the message.");
}

// The verdict and the numbers are of the scenario that stands above them, or it is said that they are not yet:
// at once where another one has been opened, after a moment where only a value has changed.
function markCurrent(current, opened = false) {
  page.dataset.current = String(current);
  if (current || opened) clearTimeout(late);
  if (current) late = 0;
  else if (opened) noVerdict("Computing…");
  else late ||= setTimeout(() => noVerdict("Computing…"), LATE);
}

function noVerdict(words) {
  clearTimeout(late);
  late = 0;
  byId("verdict").textContent = words;
  byId("verdict").classList.remove("out");
  delete page.dataset.inside;
}

function dim(flag) {
  page.classList.toggle("dimmed", flag);
}

function showVerdict(report) {
  const { inside, words } = verdict(report);
  const line = byId("verdict");
  line.textContent = words;
  page.dataset.inside = report.inside;
  line.classList.toggle("out", !inside);
  byId("window-canvas").setAttribute("aria-label", `Processing window. ${setPointWords()}. ${words} Arrow keys move the set point.`);
}

// Bands can be hidden where there are any.
function showBandsChoice() {
  byId("bands-choice").hidden = !model.uncertain;
}

function showBusy(busy, refining) {
  page.dataset.busy = String(busy);
  if (!refining) {
    clearTimeout(slow);
    slow = 0;
    byId("working").hidden = true;
  } else if (slow === 0) {
    // Only what takes long enough to be noticed is worth a word; other news meanwhile does not take it back.
    slow = setTimeout(() => (byId("working").hidden = false), 700);
  }
}

// The list says which demo is open, and whether it has been changed.
function buildDemos() {
  const choice = byId("demo");
  const known = demos();
  const texts = new Map(known.map(({ name }) => [name, JSON.stringify(demoScenario(name))]));
  const own = el("option", { value: "" });
  choice.append(own, ...known.map(({ name, title }) => el("option", { value: name }, title)));
  let open = null;
  const show = () => {
    const text = model.text();
    const pure = known.find(({ name }) => texts.get(name) === text);
    open = pure ?? open;
    own.textContent = open ? `${open.title}, changed` : "A scenario of your own";
    own.hidden = Boolean(pure);
    choice.value = pure?.name ?? "";
  };
  model.addEventListener("replaced", ({ detail }) => {
    if (!detail.restored) open = known.find(({ title }) => title === model.scenario.name) ?? null;
  });
  model.addEventListener("changed", show);
  choice.addEventListener("change", () => {
    if (!choice.value) return;
    const scenario = demoScenario(choice.value);
    offerWayBack(`${scenario.name} is open.`);
    model.replace(scenario);
  });
}

function showCautions() {
  const cautions = byId("cautions");
  cautions.scrollIntoView({ block: "center" });
  cautions.focus();
}
