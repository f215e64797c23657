// @ts-check
// What a calibration found: remarks, numbers and readings before and after, figures, and what to do with it.

import { Windows } from "app/calibration/windows";
import { parameter } from "app/shared/catalogue";
import { TrialSheet } from "app/shared/core";
import { byId, download, el, fileName } from "app/shared/dom";
import { exhibit } from "app/shared/exhibit";
import { keep } from "app/shared/keep";
import { number } from "app/shared/numbers";
import { list, tableOf } from "app/shared/tables";
import { restate, shownUnit, toShown, units } from "app/shared/units";
import { model } from "app/window/settings/model";

/** @type {[string, string][]} */
const SETTINGS = [
  ["melt", "Melt temperature"],
  ["mould", "Mould temperature"],
  ["injection", "Injection time"],
  ["hold-pressure", "Hold pressure"],
  ["hold-time", "Hold time"],
];

/**
 * A value with its band, in the reader's units.
 * @param {Gatefrost.ReadBand} band
 * @param {string} unit
 * @param {number} [digits]
 */
export function banded({ value, low, high }, unit, digits = 4) {
  const of = (/** @type {number} */ edge) => number(toShown(edge, unit), digits);
  return `${of(value)} (${of(low)} to ${of(high)})`;
}

/**
 * The words for a quantity in a sentence.
 * @param {string} read
 */
export const wordsOf = (read) => parameter(`shots.*.${read}`).title.toLowerCase();

export class Found {
  #sheet = new TrialSheet();
  #windows = new Windows();
  #place = byId("found-place");
  #use = el("button", { type: "button", id: "use", onclick: () => this.#takeOver() }, "Use the calibrated feedstock");
  #said = el("p", { className: "said-so", role: "status", id: "found-said" });
  /** @type {Gatefrost.CalibratedLog | null} */
  #found = null;
  // The scenario that was calibrated, and the calibrated one, as texts.
  #before = "";
  #after = "";

  constructor() {
    units.addEventListener("changed", () => this.#found && this.#build());
  }

  /**
   * @param {Gatefrost.CalibratedLog} found
   * @param {string} before
   */
  show(found, before) {
    this.#found = found;
    this.#before = before;
    this.#after = JSON.stringify(found.calibration.scenario);
    this.#sheet.show(JSON.stringify(found.readings), JSON.stringify(found.numbers), found.calibration.scenario.name);
    // Before it, the window has the bands of what the estimation began with.
    const known = JSON.parse(before);
    known.feedstock.uncertainty = found.calibration.prior;
    this.#windows.show(JSON.stringify(known), this.#after);
    this.#build();
    this.compare();
  }

  // Says what became of what is shown: taken over, or out of date.
  compare() {
    if (!this.#found) return;
    const now = model.text();
    const [used, fresh] = [now === this.#after, now === this.#before];
    this.#place.classList.toggle("outdated", !used && !fresh);
    this.#use.disabled = !fresh;
    this.#said.textContent = "";
    if (used) this.#said.textContent = "The calibrated feedstock is in the scenario. “Undo” takes it back. The link carries its numbers and bands; the log is in the file.";
    else if (!fresh) this.#said.textContent = "The log or the scenario has changed since: calibrate again.";
  }

  #build() {
    if (!this.#found) return;
    const { calibration, numbers } = this.#found;
    this.#place.replaceChildren(
      list([calibration.agreement.told, ...calibration.remarks].map(restate), { id: "found-remarks" }),
      this.#actions(),
      this.#said,
      this.#figure("numbers", "Numbers before and after"),
      numbersTable(numbers),
      this.#windows.root,
      this.#figure("readings", "Predictions before and after"),
      readingsTable(calibration),
      el("p", { className: "small" }, "Of flash and sink, the prediction is the margin of the limit: negative where they are expected."),
      ...this.#residuals(),
    );
  }

  #actions() {
    const { scenario } = /** @type {Gatefrost.CalibratedLog} */ (this.#found).calibration;
    const save = (/** @type {string} */ title, /** @type {unknown} */ value) => download(fileName(title, ".json"), "application/json", `${JSON.stringify(value, null, 2)}\n`);
    return el(
      "div",
      { className: "row" },
      this.#use,
      el("button", { type: "button", id: "save-feedstock", className: "quiet", onclick: () => save(`${scenario.feedstock.name} calibrated`, scenario.feedstock) }, "Download the calibrated feedstock"),
      el("button", { type: "button", id: "save-calibrated", className: "quiet", onclick: () => save(`${scenario.name} calibrated`, scenario) }, "Download the calibrated scenario with its log"),
    );
  }

  // What stood before is pinned, so that the window's page shows both.
  #takeOver() {
    if (!this.#found) return;
    keep(() => sessionStorage, "gatefrost.pinned", this.#before);
    model.replace(this.#found.calibration.scenario);
  }

  /**
   * @param {string} name
   * @param {string} heading
   */
  #figure(name, heading) {
    const shown = exhibit(this.#sheet, name, heading, { title: () => `${model.scenario.name} ${heading}`, height: 520 });
    requestAnimationFrame(() => shown.refresh());
    const figure = el("figure", { className: name, dataset: { figure: name } }, el("figcaption", {}, el("h3", {}, heading)), shown.plot, shown.reading, shown.foot);
    figure.style.setProperty("--rows", String(this.#found?.numbers.length ?? 1));
    return figure;
  }

  // One figure against the setting that is chosen.
  #residuals() {
    const place = el("div", {});
    const choice = el("select", { id: "against" }, SETTINGS.map(([value, words]) => el("option", { value }, words)));
    const show = () => {
      const [name, words] = SETTINGS[Math.max(0, choice.selectedIndex)];
      place.replaceChildren(this.#figure(`residuals-${name}`, `Residuals against ${words.toLowerCase()}`));
    };
    choice.addEventListener("change", show);
    show();
    return [el("div", { className: "row" }, el("label", { htmlFor: "against" }, "Residuals against ", choice)), place, el("p", { className: "small" }, "Discs are pressures, rings are masses, squares are temperatures, open squares are filled shares and what was seen.")];
  }
}

/** @param {Gatefrost.TrialNumber[]} numbers */
function numbersTable(numbers) {
  const rows = numbers.map(({ title, unit, prior, posterior }) => {
    const of = (/** @type {number[]} */ [value, low, high]) => banded({ value, low, high }, unit, 3);
    return [unit ? `${title}, ${shownUnit(unit)}` : title, of(prior), of(posterior)];
  });
  return tableOf("Numbers with their 95 % bands", [{ words: "Number" }, "Before", "After"], rows);
}

/** @param {Gatefrost.Calibration} calibration */
function readingsTable({ readings }) {
  const rows = readings.map((one) => {
    const seen = one.read === "flash" || one.read === "sink";
    const measured = seen ? (one.measured > 0.5 ? "yes" : "no") : number(toShown(one.measured, one.unit), 4);
    return [
      `${one.shot + 1}${one.name && ` (${one.name})`}: ${wordsOf(one.read)}${one.unit && `, ${shownUnit(one.unit)}`}`,
      measured,
      banded(one.before, one.unit),
      banded(one.after, one.unit),
      one.wrong ? `${number(one.residual, 2)}: does not fit` : number(one.residual, 2),
    ];
  });
  return tableOf("Readings with their 95 % bands", [{ words: "Shot" }, "Read", "Before", "After", "Residual in standard deviations"], rows);
}
