// @ts-check
// The trial log: edited as a table, read from a text that is opened, dropped or pasted, and downloaded.

import { EXAMPLE } from "app/calibration/example";
import { Grid } from "app/calibration/grid";
import { decode_readings, loadReadings } from "app/shared/core";
import { byId, download, el, fileName, whenQuiet } from "app/shared/dom";
import { LateWorker } from "app/shared/late";
import { list } from "app/shared/tables";
import { demoScenario } from "app/window/saved/link";
import { numberField } from "app/window/settings/fields";
import { model } from "app/window/settings/model";

const FORM = [
  "A line of heads with units, then a line for each shot, or for the mean of several with their number under repeats.",
  "Settings: shot, melt temperature [°C], steel temperature [°C] or coolant temperature [°C], injection time [s], hold pressure [MPa], hold time [s], second hold pressure [MPa], second hold time [s], cooling time [s], switch-over [%], pressure limit [MPa].",
  "Readings: peak pressure [MPa], switch-over pressure [MPa], cavity pressure [MPa] with sensor section (name of the section of the part at whose entry the sensor is), filled share [%] of short shots, part mass [g] without sprue and runners, part temperature [°C] on opening, flash and sink (yes or no).",
  "Comma, semicolon or tab; decimal commas; bar, psi, K, ms and other usual units. What was not set or not read stays empty. At most 200 rows.",
];

// What readings are good to, and what stands between machine and model.
const GOOD_TO = ["pressure_error", "mass_error", "temperature_error", "pressure_model", "mass_model", "temperature_model", "steel_rise"];

const UNREACHED = "What reads tables could not be loaded. Try again.";

/** @typedef {{ line?: number | null, column?: string | null, message: string }} TableProblem */

export class Log {
  // Whether the text has been typed or refused: then it is not written anew.
  #typed = false;
  // One worker reads, the other writes, so that neither stops the other.
  #reader = new LateWorker(loadReadings, UNREACHED);
  #writer = new LateWorker(loadReadings, UNREACHED);
  #said = el("p", { className: "said-so", role: "status", id: "log-said" });
  #trouble = el("ul", { className: "trouble", id: "log-trouble", hidden: true, "aria-live": "polite" });
  #text = el("textarea", { id: "log-text", spellcheck: false, autocomplete: "off", wrap: "off", "aria-describedby": "log-trouble", "aria-label": "Log as a table of text" });
  #asText = el("details", { className: "more", id: "log-as-text", ontoggle: () => this.#write() });

  constructor() {
    const grid = new Grid();
    this.#text.addEventListener("input", () => {
      this.#typed = this.#text.value !== "";
    });
    this.#asText.append(
      el("summary", {}, "As text: copy it, paste or type another"),
      this.#text,
      el("div", { className: "row" }, el("button", { type: "button", id: "log-read", onclick: () => this.take(this.#text.value) }, "Read this text")),
      list(FORM),
    );
    const good = el("details", { className: "more", id: "log-good-to" }, el("summary", {}, "What the readings are good to"), GOOD_TO.map((field) => numberField(`trials.${field}`)));
    byId("log-place").replaceChildren(grid.root, this.#buttons(), this.#said, this.#trouble, this.#asText, good);
    const write = whenQuiet(200, () => this.#write());
    model.addEventListener("changed", write);
    this.#watch(byId("log", "section"), grid.root);
  }

  #buttons() {
    const chooser = el("input", {
      type: "file",
      accept: ".csv,.tsv,.txt,text/csv,text/plain",
      className: "hidden",
      id: "log-file",
      tabIndex: -1,
      "aria-label": "Log: file",
      onchange: () => {
        const file = chooser.files?.[0];
        if (file) this.#open(file);
        chooser.value = "";
      },
    });
    const name = (/** @type {string} */ ending) => fileName(`${model.scenario.name} shots`, ending);
    /** @type {[string, string, () => void][]} */
    const buttons = [
      ["log-example", "Worked example", () => this.#example()],
      ["log-open", "Open a table", () => chooser.click()],
      ["log-save", "Download CSV", () => this.#save(name(".csv"))],
      ["log-save-scenario", "Download scenario with log", () => download(fileName(model.scenario.name, ".json"), "application/json", `${JSON.stringify(model.scenario, null, 2)}\n`)],
    ];
    const row = buttons.map(([id, words, onclick]) => el("button", { type: "button", id, onclick }, words));
    return el(
      "div",
      {},
      el("div", { className: "row" }, row, chooser),
      el("p", { className: "small" }, "The worked example is invented. It opens the demo hinge with six shots; “Undo” brings back what was there. A table can also be dropped here, or pasted into the log."),
    );
  }

  // Takes the rows of a text into the log. A text that cannot be read changes nothing and stays where it is.
  /** @param {string} text */
  async take(text) {
    this.#trouble.hidden = true;
    this.#text.removeAttribute("aria-invalid");
    const read = await this.#read(model.scenario.shots, text);
    if (!read) return;
    const { shots, rows, notes } = read;
    this.#typed = false;
    model.restructure("shots", (scenario) => {
      scenario.shots = shots;
      scenario.trials.logged = shots.length;
    });
    this.#said.textContent = [`${rows} ${rows === 1 ? "row" : "rows"} read. “Undo” brings back the log that was there.`, ...notes].join(" ");
  }

  /**
   * @param {Gatefrost.Shot[]} shots
   * @param {string} text
   * @returns {Promise<Gatefrost.ReadLog | null>}
   */
  async #read(shots, text) {
    document.documentElement.dataset.busy = "true";
    this.#reader.stop();
    const answer = await this.#reader.run({ call: "read_log", args: { shots, text } });
    document.documentElement.dataset.busy = "false";
    if (answer.value) return answer.value;
    if (!answer.stopped) this.#refuse(text, answer.problems ? answer : { message: answer.failure });
    return null;
  }

  /**
   * @param {string} text
   * @param {any} error
   */
  #refuse(text, error) {
    const problems = /** @type {TableProblem[]} */ (error?.problems ?? [{ message: String(error?.message ?? error) }]);
    const lines = problems.map(({ line, column, message }) => {
      const place = [line && `line ${line}`, column && `column “${column}”`].filter(Boolean).join(", ");
      return place ? `${place[0].toUpperCase()}${place.slice(1)}: ${message}` : message;
    });
    if (error?.unlisted > 0) lines.push(`and ${error.unlisted} more`);
    this.#trouble.replaceChildren(...lines.map((line) => el("li", {}, line)));
    this.#trouble.hidden = false;
    this.#said.textContent = "Nothing was changed.";
    this.#text.value = text;
    this.#text.setAttribute("aria-invalid", "true");
    this.#typed = true;
    this.#asText.open = true;
  }

  async #example() {
    const scenario = demoScenario("hinge");
    const read = await this.#read([], EXAMPLE);
    if (!read) return;
    scenario.shots = read.shots;
    scenario.trials.logged = read.shots.length;
    model.replace(scenario);
    this.#said.textContent = "The invented example is open: the demo hinge with six shots. Press “Calibrate” below.";
  }

  // Brings the text in line with the log, unless it is being edited or was refused.
  async #write() {
    if (!this.#asText.open || this.#typed) return;
    const table = model.scenario.shots.length > 0 ? await this.#table() : "";
    if (!this.#typed && table !== null) this.#text.value = table;
  }

  // The log as a table, where it is valid.
  /** @returns {Promise<string | null>} */
  async #table() {
    if (model.problems().length > 0) return null;
    this.#writer.stop();
    return (await this.#writer.run({ call: "write_log", args: { shots: model.scenario.shots } })).value ?? null;
  }

  /** @param {string} name */
  async #save(name) {
    const table = await this.#table();
    if (table !== null) download(name, "text/csv", table);
    else this.#said.textContent = "The log can be downloaded when what is listed above is corrected.";
  }

  /**
   * @param {HTMLElement} station
   * @param {HTMLElement} table
   */
  #watch(station, table) {
    table.addEventListener("paste", (event) => {
      const text = event.clipboardData?.getData("text/plain").trim() ?? "";
      if (!text.includes("\n")) return;
      event.preventDefault();
      this.take(text);
    });
    const over = (/** @type {DragEvent} */ event, /** @type {boolean} */ on) => {
      if (!event.dataTransfer?.types.includes("Files")) return;
      event.preventDefault();
      station.classList.toggle("over", on);
    };
    station.addEventListener("dragover", (event) => over(event, true));
    station.addEventListener("dragleave", (event) => over(event, false));
    station.addEventListener("drop", (event) => {
      const file = event.dataTransfer?.files[0];
      over(event, false);
      if (file) this.#open(file);
    });
  }

  /** @param {File} file */
  async #open(file) {
    try {
      this.take(decode_readings(new Uint8Array(await file.arrayBuffer())));
    } catch (error) {
      this.#refuse(this.#text.value, error);
    }
  }
}
