// @ts-check
// The estimation in a worker, with its progress and a stop; and whether new readings fit the feedstock.

import { Found } from "app/calibration/found";
import { loadStudies } from "app/shared/core";
import { byId, el } from "app/shared/dom";
import { LateWorker } from "app/shared/late";
import { dismiss, inWords, notice, reasons } from "app/shared/notices";
import { restate } from "app/shared/units";
import { model } from "app/window/settings/model";

export const UNREACHED = "The module that calibrates could not be loaded. Press again.";

// What starts a worker of the calibration; `heard` is told the share of a job that is done.
/** @param {(share: number) => void} heard */
export const calibrating = (heard) => async () => {
  const spawn = await loadStudies();
  return () => {
    const worker = spawn();
    worker.addEventListener("message", ({ data }) => typeof data.share === "number" && heard(data.share));
    return worker;
  };
};

const page = document.documentElement;

export class Estimate {
  #found = new Found();
  #bar = el("progress", { max: 1, value: 0, hidden: true, "aria-label": "Share of the calibration" });
  #said = el("p", { className: "said-so", role: "status", id: "estimate-said" });
  #trouble = el("ul", { className: "trouble", id: "estimate-trouble", hidden: true, "aria-live": "polite" });
  #stop = el("button", { type: "button", id: "stop", hidden: true, onclick: () => this.#worker.stop() }, "Stop");
  #go = el("button", { type: "button", id: "calibrate", onclick: () => this.#calibrate() }, "Calibrate");
  #check = el("button", { type: "button", id: "check", onclick: () => this.#compare() }, "Check only whether they fit");
  #worker = new LateWorker(calibrating((share) => this.#heard(share)), UNREACHED);

  constructor() {
    byId("estimate-place").append(
      el("p", { className: "plain" }, "“Calibrate” finds the numbers that the new readings tell, with their bands. “Check only whether they fit” compares new readings with the feedstock as it is: use it for the next lot."),
      el("div", { className: "row" }, this.#go, this.#check, this.#stop, this.#bar),
      this.#said,
      this.#trouble,
    );
    model.addEventListener("changed", () => this.#found.compare());
  }

  /** @param {number} share */
  #heard(share) {
    this.#bar.value = Math.max(this.#bar.value, share);
  }

  async #calibrate() {
    const scenario = model.text();
    const value = await this.#ask("Calibrating…", { call: "calibrated", args: { scenario, date: new Date().toISOString().slice(0, 10) } });
    if (!value) return;
    this.#said.textContent = "Calibrated. Nothing is changed until you press “Use the calibrated feedstock”.";
    this.#found.show(value, scenario);
  }

  async #compare() {
    const value = await this.#ask("Comparing…", { call: "fitting", args: { scenario: model.text() } });
    if (value) this.#said.textContent = restate(value.told);
  }

  /**
   * @param {string} words
   * @param {{ call: string, args: Record<string, any> }} job
   */
  async #ask(words, job) {
    dismiss("estimate");
    this.#trouble.hidden = true;
    const problems = model.problems();
    if (problems.length > 0) return this.#refuse(problems.map(inWords));
    this.#busy(true);
    this.#said.textContent = words;
    const answer = await this.#worker.run(job);
    this.#busy(false);
    if (answer.value) return answer.value;
    this.#said.textContent = answer.stopped ? "Stopped. The log is as it was." : "";
    if (answer.problems) this.#refuse(reasons(answer));
    else if (answer.failure) notice("estimate", "The calibration failed. The log is kept.", [answer.failure]);
    return null;
  }

  /** @param {string[]} lines */
  #refuse(lines) {
    this.#said.textContent = "Not computed: see the list.";
    this.#trouble.replaceChildren(...lines.map((line) => el("li", {}, restate(line))));
    this.#trouble.hidden = false;
    return null;
  }

  /** @param {boolean} busy */
  #busy(busy) {
    page.dataset.busy = String(busy);
    this.#go.disabled = busy;
    this.#check.disabled = busy;
    this.#bar.hidden = !busy;
    this.#bar.value = 0;
    this.#stop.hidden = !busy;
  }
}
