// @ts-check
// Another scenario beside the present one: pinned, laid over its window, and compared with it.

import { read_json } from "app/shared/core";
import { byId, putHidden } from "app/shared/dom";
import { keep, recall } from "app/shared/keep";
import { dismiss, inWords, notice, reasons } from "app/shared/notices";
import { model } from "app/window/settings/model";

const PLACE = "gatefrost.pinned";
const MOST_CHARACTERS = 1 << 20;
const storage = () => sessionStorage;

/** @type {Gatefrost.Scenario | null} */
let pinned = null;

// The pinned scenario in the present one's plane, as text; null where nothing is pinned.
export const besideText = () => (pinned ? JSON.stringify({ ...pinned, name: nameOf(pinned), window: model.scenario.window }) : null);

// Told apart from the present one where only a number differs.
const nameOf = (/** @type {Gatefrost.Scenario} */ { name }) => (name === model.scenario.name ? `${name.slice(0, 110)} (pinned)` : name);

/** @typedef {{ ask: () => void, redraw: () => void }} Page */

/**
 * @param {import("app/shared/core").Sheet} sheet
 * @param {Page} page
 */
export const buildBeside = (sheet, page) => new Beside(sheet, page);

class Beside {
  #sheet;
  #page;
  /** @type {Gatefrost.Margin[]} */
  #margins = [];
  // Why the pinned scenario cannot be shown in the present plane.
  /** @type {string[]} */
  #refused = [];

  /**
   * @param {import("app/shared/core").Sheet} sheet
   * @param {Page} page
   */
  constructor(sheet, page) {
    this.#sheet = sheet;
    this.#page = page;
    byId("pin").addEventListener("click", () => this.#pin());
    byId("unpin").addEventListener("click", () => {
      this.#change(null);
      byId("pin").focus();
    });
    this.#restore();
  }

  /**
   * The answer of the core: the pinned window, or what is wrong with it in this plane.
   * @param {{ bytes?: Uint8Array, problems?: Gatefrost.Problem[] }} answer
   */
  take({ bytes, problems }) {
    this.#refused = (problems ?? []).map(inWords);
    this.#sheet.set_beside(problems ? undefined : bytes);
    this.show();
    this.#page.redraw();
  }

  /**
   * Takes the report of the present scenario.
   * @param {Gatefrost.Report} report
   */
  report(report) {
    this.#margins = report.margins;
    this.show();
  }

  async show() {
    const table = byId("beside");
    putHidden(table, !pinned);
    if (!pinned) {
      if (table.hasChildNodes()) table.replaceChildren();
      return;
    }
    const { told } = await import("app/window/compared");
    if (pinned) table.replaceChildren(...told(pinned, this.#sheet.compared(), this.#margins, this.#refused));
  }

  #pin() {
    const problems = model.problems();
    dismiss("pin");
    if (problems.length > 0) notice("pin", "The scenario can be pinned when these are corrected:", problems.map(inWords));
    else this.#change(structuredClone(model.scenario));
  }

  /** @param {Gatefrost.Scenario | null} scenario */
  #change(scenario) {
    pinned = scenario;
    this.#refused = [];
    this.#sheet.set_beside(undefined);
    keep(storage, PLACE, scenario && JSON.stringify(scenario));
    byId("unpin").hidden = !scenario;
    byId("pin-said").textContent = scenario ? `Pinned: ${scenario.name}. What you change from now on is compared with it.` : "Nothing is pinned.";
    this.show();
    this.#page.redraw();
    this.#page.ask();
  }

  // The stored text is checked like a file.
  #restore() {
    const text = recall(storage, PLACE);
    if (text === null) return;
    try {
      if (text.length > MOST_CHARACTERS) throw new Error("It is too long for a scenario.");
      this.#change(read_json(text));
    } catch (error) {
      keep(storage, PLACE, null);
      notice("pin", "The pinned scenario could not be read. Nothing is pinned.", reasons(error));
    }
  }
}
