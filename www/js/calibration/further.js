// @ts-check
// What the rows without readings will read, and the next shots.

import { freshShot, hasReading } from "app/calibration/columns";
import { UNREACHED, calibrating } from "app/calibration/estimate";
import { banded, wordsOf } from "app/calibration/found";
import { MOST } from "app/calibration/grid";
import { TrialSheet } from "app/shared/core";
import { parameter } from "app/shared/catalogue";
import { byId, el } from "app/shared/dom";
import { exhibit } from "app/shared/exhibit";
import { LateWorker } from "app/shared/late";
import { inWords, reasons } from "app/shared/notices";
import { number } from "app/shared/numbers";
import { list, tableOf } from "app/shared/tables";
import { restate, shownUnit, toShown, units } from "app/shared/units";
import { model } from "app/window/settings/model";

// One question to the worker with its button, its stop and its place for the answer.
class Question {
  out = el("div", { "aria-live": "polite" });
  #worker = new LateWorker(calibrating(() => {}), UNREACHED);
  #said;
  #stop = el("button", { type: "button", hidden: true, onclick: () => this.#worker.stop() }, "Stop");
  // The answer with the scenario it is of.
  /** @type {{ value: any, scenario: string } | null} */
  #last = null;
  #draw;

  /**
   * @param {string} id
   * @param {(value: any) => (Node | false)[]} draw
   */
  constructor(id, draw) {
    this.#draw = draw;
    this.#said = el("p", { className: "said-so", role: "status", id: `${id}-said` });
    this.#stop.id = `${id}-stop`;
    this.rest = [this.#stop];
    this.below = [this.#said, this.out];
    this.out.id = `${id}-out`;
    units.addEventListener("changed", () => this.#last && this.out.replaceChildren(...shown(this.#draw(this.#last.value))));
    model.addEventListener("changed", () => {
      if (this.#last && this.#last.scenario !== model.text()) this.#said.textContent = "The log or the scenario has changed since: ask again.";
    });
  }

  /** @param {{ call: string, args: Record<string, any> }} job */
  async ask(job) {
    const problems = model.problems();
    if (problems.length > 0) return this.#tell(problems.map(inWords).join(" "));
    const page = document.documentElement;
    page.dataset.busy = "true";
    this.#stop.hidden = false;
    this.#said.textContent = "Computing…";
    const scenario = model.text();
    const answer = await this.#worker.run({ call: job.call, args: { scenario, ...job.args } });
    page.dataset.busy = "false";
    this.#stop.hidden = true;
    if (answer.stopped) return this.#tell("Stopped.");
    if (!answer.value) return this.#tell(answer.problems ? reasons(answer).join(" ") : `It could not be computed: ${answer.failure}`);
    this.#said.textContent = "";
    this.#last = { value: answer.value, scenario };
    this.out.replaceChildren(...shown(this.#draw(answer.value)));
  }

  /** @param {string} words */
  #tell(words) {
    this.#said.textContent = restate(words);
  }
}

const shown = (/** @type {(Node | false)[]} */ nodes) => /** @type {Node[]} */ (nodes.filter(Boolean));

export class Further {
  constructor() {
    this.#untried();
    this.#next();
  }

  #untried() {
    const question = new Question("predict", predictions);
    const ask = () => {
      const { shots } = model.scenario;
      if (shots.every(hasReading)) {
        question.out.replaceChildren(el("p", {}, `${shots.length > 0 ? "Every row of the log has a reading." : "The log is empty."} Add a shot with settings alone, then press again.`));
        return;
      }
      question.ask({ call: "predicted", args: {} });
    };
    byId("untried-place").append(
      el("p", { className: "plain" }, "Rows of the log without any reading are settings that were not tried. What they will read follows from the feedstock as the scenario has it: use the calibrated one first."),
      el("div", { className: "row" }, el("button", { type: "button", id: "predict", onclick: ask }, "Predict"), question.rest),
      ...question.below,
    );
  }

  #next() {
    const count = el("select", { id: "next-count" }, [1, 2, 3, 4, 5].map((n) => el("option", { value: n }, n === 1 ? "the next shot" : `a plan of ${n} shots`)));
    const aim = el("select", { id: "next-aim" }, el("option", { value: "limits" }, "the limits near the set point"), el("option", { value: "size" }, "the size of the part"));
    const question = new Question("next", planned);
    const ask = () => question.ask({ call: "next_shots", args: { count: Number(count.value), size: aim.value === "size" } });
    byId("next-place").append(
      el("p", { className: "plain" }, "Settings within the machine and inside the window whose readings would narrow the bands most. They are found from the feedstock as the scenario has it. Without any shot this is a plan for a new feedstock."),
      el("div", { className: "row" }, el("label", { htmlFor: "next-count" }, "Propose ", count), el("label", { htmlFor: "next-aim" }, " for ", aim), el("button", { type: "button", id: "next-ask", onclick: ask }, "Propose"), question.rest),
      ...question.below,
    );
  }
}

const AHEAD = "Predicted readings";

/** @param {Gatefrost.PredictedShots} value */
function predictions({ predictions, forecasts }) {
  const { name } = model.scenario;
  const sheet = new TrialSheet();
  sheet.foresee(Float64Array.from(forecasts.predicted.flat()), Float64Array.from(forecasts.read.flat()), name);
  const drawn = exhibit(sheet, "ahead", AHEAD, { title: () => `${name} ${AHEAD}`, height: 700 });
  requestAnimationFrame(() => drawn.refresh());
  const figure = el("figure", { className: "tall", dataset: { figure: "ahead" } }, el("figcaption", {}, el("h3", {}, AHEAD)), drawn.plot, drawn.reading, drawn.foot);
  const rows = predictions.map((one) => [`${one.shot + 1}${one.name && ` (${one.name})`}: ${wordsOf(one.read)}, ${shownUnit(one.unit)}`, banded(one.band, one.unit)]);
  const signs = el("p", { className: "small" }, "Discs with bars are predictions with their 95 % bands. Squares are readings of the log.");
  return [figure, signs, tableOf("Predicted readings with their 95 % bands", [{ words: "Shot" }, "Predicted"], rows)];
}

const unitOf = (/** @type {string} */ read) => parameter(`shots.*.${read}`).unit;

/** @param {Gatefrost.ShotPlan} plan */
function planned({ shots, narrows, remarks }) {
  const rows = shots.map(({ shot, expected, left }) => [
    settingOf(shot),
    el("span", {}, expected.flatMap(([read, band], i) => [i > 0 && el("br"), `${wordsOf(read)} ${banded(band, unitOf(read))} ${shownUnit(unitOf(read))}`])),
    `${number(100 * left, 2)} %`,
  ]);
  const add = () => {
    model.restructure("shots", (scenario) => {
      const room = MOST - scenario.shots.length;
      scenario.shots.push(...shots.slice(0, room).map(({ shot }, i) => ({ ...freshShot(shot), name: `planned ${i + 1}` })));
      scenario.trials.logged = scenario.shots.length;
    });
  };
  return [
    shots.length > 0 && tableOf("Shots in their order", [{ words: "Setting" }, { words: "Expected, with 95 % bands" }, "Standard error left"], rows),
    el("p", { className: "small" }, `They narrow ${narrows}. The last column is the standard error after the shot as a share of that before the first one.`),
    list(remarks.map(restate)),
    shots.length > 0 && el("div", { className: "row" }, el("button", { type: "button", id: "next-add", onclick: add }, "Put them into the log as rows to fill in")),
  ];
}

/** @param {Gatefrost.Shot} shot */
function settingOf(shot) {
  /** @type {[string, number, string][]} */
  const parts = [["melt", shot.melt_temperature, "°C"], ["steel", shot.mould_temperature, "°C"], ["injection", shot.injection_time, "s"], ["hold", shot.hold_pressure, "MPa"], ["for", shot.hold_time, "s"]];
  return parts.map(([words, value, unit]) => `${words} ${number(toShown(value, unit), 4)} ${shownUnit(unit)}`).join(", ");
}
