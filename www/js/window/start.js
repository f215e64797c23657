// @ts-check
// Starts the page of the window and keeps it together: a change goes to the workers, their answers to the figures.

import { Sheet } from "app/shared/core";
import { byId, el, onceAFrame, put, putHidden, whenQuiet } from "app/shared/dom";
import { dismiss, notice } from "app/shared/notices";
import { start } from "app/shared/start";
import { buildUnits, recallUnits, restate, units, unitsInUse } from "app/shared/units";
import { besideText, buildBeside } from "app/window/beside";
import { Calculator } from "app/window/calculator";
import { buildWindow, markBest } from "app/window/canvas";
import { axisPaths, buildPlane } from "app/window/plane";
import { Figures } from "app/window/results/figures";
import { awaitStudy, buildFindings, showFindings, showStudy } from "app/window/results/findings";
import { markLines, showMargins, tellMargins } from "app/window/results/margins";
import { resultsOf, showProvenance, showResults } from "app/window/results/results";
import { buildSafety } from "app/window/results/safety";
import { buildToolmaker } from "app/window/results/toolmaker";
import { buildDemos } from "app/window/saved/demos";
import { watchFiles } from "app/window/saved/files";
import { buildHistory, keepOnLeaving } from "app/window/saved/history";
import { offerLast } from "app/window/saved/last";
import { openAddress, watchAddress, writeBack } from "app/window/saved/link";
import { buildShelf } from "app/window/saved/shelf";
import { showChanged, showValues, textField } from "app/window/settings/fields";
import { showCoolant } from "app/window/settings/coolant";
import { model } from "app/window/settings/model";
import { buildEvery } from "app/window/settings/more";
import { buildStory } from "app/window/settings/story";
import { showShare } from "app/window/share";
import { dim, showTrouble } from "app/window/trouble";
import { markCurrent, noVerdict, showBandsChoice, showVerdict } from "app/window/verdict";
import { markUntold, showBusy, showRefined } from "app/window/working";

const page = document.documentElement;
// From the last report of a drag until all is shown that nobody reads in its midst, in ms.
const PAUSE = 120;

/** @typedef {{ bytes: Uint8Array }} Packed */

class WindowPage {
  #sheet = new Sheet();
  #spawn;
  #figures;
  #picture;
  #beside;
  #toolmaker;
  #calculator;
  /** @type {Gatefrost.Report | null} */
  #report = null;
  // Whether the set point is being dragged.
  #moving = false;
  // The scenario of the report, as text.
  /** @type {string | null} */
  #reported = null;
  /** @type {Gatefrost.GateStudy[] | null} */
  #studied = null;
  // The window in a line.
  /** @type {Gatefrost.WindowLine | null} */
  #line = null;

  /** @param {() => Worker} spawn starts a worker */
  constructor(spawn) {
    const sheet = this.#sheet;
    this.#spawn = spawn;
    recallUnits();
    model.scenario = openAddress();
    this.#buildForm();
    this.#picture = buildWindow(sheet);
    this.#figures = new Figures(byId("figure-list"), sheet);
    this.#toolmaker = buildToolmaker(sheet, () => this.#current());
    this.#calculator = new Calculator(spawn, this.#listener());
    this.#beside = buildBeside(sheet, { ask: () => this.#ask(false), redraw: () => this.#redraw() });
    byId("bands").addEventListener("change", () => this.#redraw());
    model.addEventListener("replaced", showValues);
    model.addEventListener("changed", ({ detail }) => this.#changed(detail));
    units.addEventListener("changed", () => this.#restate());
    this.#buildTools();
    model.replace(model.scenario);
  }

  #buildForm() {
    byId("title-name").append(
      textField("name", "Scenario", { most: 120 }),
      el("details", { className: "notes" }, el("summary", {}, "Notes"), textField("notes", "Notes on this scenario", { long: true, most: 4000 })),
    );
    byId("headline").append(resultsOf("headline"));
    buildStory(byId("story-steps"), this.#sheet);
    buildEvery(byId("story"));
    // The search is loaded when it is first used.
    byId("search").addEventListener("focus", () => import("app/window/settings/search").then(({ buildSearch }) => buildSearch()), { once: true });
    buildPlane(byId("plane"));
    buildFindings(byId("finding-list"));
    buildSafety(byId("safety-parts"), (place) => {
      markBest(place);
      this.#picture.refresh();
    });
    buildDemos();
  }

  #buildTools() {
    byId("stop").addEventListener("click", () => this.#calculator.stop());
    byId("to-cautions").addEventListener("click", showCautions);
    byId("to-story").addEventListener("click", toSettings);
    // Notices take their room from the bench, so that the figure stays in view.
    const notices = byId("notices");
    new ResizeObserver(() => page.style.setProperty("--notices", `${notices.offsetHeight}px`)).observe(notices);
    // On a phone the window comes first.
    byId("more-tools", "details").open = matchMedia("(min-width: 48rem)").matches;
    watchAddress({ inWorker: true });
    watchFiles();
    buildHistory();
    keepOnLeaving();
    buildShelf();
    offerLast();
    buildUnits(byId("units", "select"));
  }

  #isCurrent() {
    return this.#reported === model.text();
  }

  // The data of the toolmaker's sheet, if they belong to the present scenario.
  #current() {
    return this.#report && this.#isCurrent() ? { report: this.#report, windowLine: this.#line } : null;
  }

  // Shows the report in the reader's units: what is read while the hand moves at once, the rest in the next frame, or after
  // a pause in a drag.
  #tell() {
    const report = this.#report;
    if (!report) return;
    showResults(report);
    showMargins(report.margins, this.#moving);
    showVerdict(report);
    markCurrent(this.#isCurrent());
    this.#untold = true;
    markUntold(true);
    if (this.#moving) this.#tellLater();
    else this.#tellNext();
  }

  #tellLater = whenQuiet(PAUSE, () => this.#tellUntold());
  #tellNext = onceAFrame(() => this.#tellUntold());

  #untold = false;

  // What is drawn next goes over all of the report.
  #tellUntold() {
    if (this.#untold) this.#tellRest();
  }

  #tellRest() {
    const report = this.#report;
    if (report) {
      tellMargins(report.margins, this.#sheet.sentences(unitsInUse()));
      showCoolant(report);
      this.#showLines();
      showRemarks(report.remarks.map(restate));
      showFindings(report);
      this.#beside.report(report);
      if (this.#figured !== report) this.#figure(report);
    }
    this.#untold = false;
    markUntold(false);
  }

  // The report that the figures show.
  /** @type {Gatefrost.Report | null} */
  #figured = null;

  /** @param {Gatefrost.Report} report */
  #figure(report) {
    this.#figured = report;
    this.#studied = null;
    awaitStudy();
    this.#figures.refresh(report);
    this.#toolmaker.refresh();
  }

  // While the hand moves, a report is shown between two frames: each frame has the mark to draw.
  #showReport() {
    if (this.#moving) this.#tellSoon();
    else this.#tellFrame();
  }

  #tellSoon = whenQuiet(0, () => this.#tell());
  #tellFrame = onceAFrame(() => this.#tell());

  #showNothing() {
    const words = this.#line?.nothing ?? "";
    put(byId("window-nothing"), restate(words));
    putHidden(byId("window-nothing"), words === "");
  }

  #showLines() {
    markLines(this.#line?.lines ?? []);
  }

  #redraw() {
    this.#picture.refresh();
    this.#figures.windowDrawn();
  }

  #restate() {
    if (this.#report) this.#tell();
    if (this.#studied) showStudy(this.#studied);
    this.#showNothing();
  }

  // What the lines depend on. It stays while the set point is dragged.
  #key = "";

  /** @param {boolean} moving */
  #ask(moving) {
    if (!moving && model.problems().length > 0) return;
    if (!moving || this.#key === "") this.#key = model.planeKey(axisPaths());
    this.#calculator.ask(model.text(), this.#key, moving, besideText());
  }

  /** @param {import("app/window/settings/model").Change} change */
  #changed(change) {
    const { moving, opened } = change;
    this.#moving = moving;
    showChanged(change);
    showProvenance();
    const title = `${model.scenario.name} – Gatefrost`;
    if (document.title !== title) document.title = title;
    // A check takes longer than half a frame. While the set point is dragged, the worker does it.
    const problems = moving && model.refused.size === 0 ? [] : model.problems();
    markCurrent(this.#isCurrent(), opened);
    if (!moving) showTrouble(problems);
    if (problems.length > 0) {
      this.#calculator.cancel();
      return;
    }
    // A finished computation is not repeated.
    if (this.#report && this.#isCurrent()) this.#tell();
    // The set point moves with the pointer, before its numbers are there.
    this.#picture.move(moving);
    this.#ask(moving);
    showBandsChoice();
  }

  /** @returns {import("app/window/calculator").Listener} */
  #listener() {
    const sheet = this.#sheet;
    return {
      report: ({ told, bytes }, scenario) => {
        showTrouble([]);
        this.#report = told;
        this.#reported = scenario;
        sheet.set_report(bytes);
        this.#showReport();
      },
      window: (answer, fine) => this.#takeWindow(answer, fine),
      bands: ({ bytes }) => {
        if (sheet.set_bands(bytes)) this.#redraw();
      },
      beside: (answer) => this.#beside.take(answer),
      // The figures of the report are drawn with the next frame; these go after them.
      moments: ({ bytes }) =>
        requestAnimationFrame(() => {
          this.#tellUntold();
          this.#figures.setMoments(sheet.set_moments(bytes));
        }),
      study: ({ bytes }) => this.#takeStudy(sheet.set_study(bytes)),
      problems: showTrouble,
      link: writeBack,
      failure: (words, what) => this.#fail(words, what),
      mended: () => {
        dismiss("failure");
        dim(false);
      },
      busy: showBusy,
      progress: showRefined,
    };
  }

  /**
   * @param {Packed} answer
   * @param {boolean} fine
   */
  #takeWindow({ bytes }, fine) {
    this.#sheet.set_window(bytes);
    this.#line = this.#sheet.window_line();
    byId("window-figure").dataset.detail = fine ? "fine" : "coarse";
    this.#redraw();
    this.#beside.show();
    this.#toolmaker.refresh();
    this.#showNothing();
    showShare(this.#line);
    this.#showLines();
    // The first drawing is immediate, so that "ready" means drawn.
    if (!page.dataset.ready) {
      this.#picture.paint();
      this.#addPlanes();
    }
    page.dataset.ready = "true";
  }

  // Nobody waits for the other planes and the sweep.
  async #addPlanes() {
    const [{ buildPlanes }, { buildSweep }] = await Promise.all([import("app/window/planes"), import("app/window/sweep")]);
    buildPlanes(byId("planes"), this.#spawn);
    buildSweep(byId("sweep"));
  }

  /** @param {Gatefrost.GateStudy[]} gates */
  #takeStudy(gates) {
    requestAnimationFrame(() => {
      this.#tellUntold();
      this.#figures.setStudy();
      this.#studied = gates;
      showStudy(gates);
    });
  }

  /**
   * @param {string} words
   * @param {string} what
   */
  #fail(words, what) {
    this.#figures.giveUp();
    dim(true);
    if (what === "report") noVerdict("Not computed: see the message.");
    const again = { words: "Compute again", act: () => this.#calculator.again() };
    notice("failure", "The calculation failed. What is shown is from before the last change.", [words], again);
  }
}

/** @param {string[]} remarks */
function showRemarks(remarks) {
  const list = byId("remarks");
  const stays = list.children.length === remarks.length && remarks.every((words, i) => list.children[i].textContent === words);
  if (!stays) list.replaceChildren(...remarks.map((words) => el("li", {}, words)));
}

function toSettings() {
  const settings = byId("story");
  settings.scrollIntoView({ block: "start" });
  settings.focus({ preventScroll: true });
}

function showCautions() {
  const cautions = byId("cautions");
  cautions.scrollIntoView({ block: "center" });
  cautions.focus();
}

await start((spawn) => new WindowPage(spawn), "Load it again: the address holds the scenario.");
