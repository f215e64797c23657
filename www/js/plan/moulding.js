// @ts-check
// What the moulding is: the report of the set point, by the window's module in a worker, and what the mould hands on, by
// the module of studies. This page's own module has no solver of the mould.

import { loadStudies, loadWindow } from "app/shared/core";
import { LateWorker } from "app/shared/late";
import { inWords, notice } from "app/shared/notices";

const UNREACHED = "The module that fills and packs the part could not be loaded. The plan needs it.";
// What the moulding does not depend on.
const APART = ["sizes", "debinding", "sintering", "plan", "name", "notes", "window"];

export class Moulding {
  #known;
  #report = new Hand(loadWindow, "evaluate");
  #handed = new Hand(loadStudies, "from_mould");
  #asked = "";
  busy = false;
  /** The report, and what the mould hands on, as JSON; empty where there is none. */
  report = "";
  handed = "";

  /** @param {() => void} known hears that it is known, or that there is nothing to know */
  constructor(known) {
    this.#known = known;
  }

  /** @param {string} scenario */
  async ask(scenario) {
    const about = relevant(scenario);
    if (about === this.#asked) return;
    this.#asked = about;
    this.busy = true;
    // Weights and sizes take longer than the report, which is enough for all the rest.
    const handed = this.#handed.ask(scenario);
    const report = await this.#report.ask(scenario);
    if (report === undefined) return;
    this.report = report ? JSON.stringify(report.told) : "";
    this.#known();
    const found = await handed;
    if (found === undefined) return;
    this.handed = found ? JSON.stringify(found) : "";
    this.busy = false;
    this.#known();
  }
}

// One call of a module that is loaded when it is first asked.
class Hand {
  #worker;
  #call;

  /**
   * @param {() => Promise<() => Worker>} load
   * @param {string} call
   */
  constructor(load, call) {
    this.#worker = new LateWorker(load, UNREACHED);
    this.#call = call;
  }

  // The answer's value, null where there is none, undefined where another question has been asked since.
  /** @param {string} scenario */
  async ask(scenario) {
    this.#worker.stop();
    const answer = await this.#worker.run({ call: this.#call, args: { scenario } });
    if (answer.stopped) return undefined;
    if (answer.failure) notice("mould", "The moulding could not be computed.", [answer.failure]);
    else if (answer.problems) notice("mould", "The moulding could not be computed.", answer.problems.map(inWords));
    return answer.value ?? null;
  }
}

/** @param {string} scenario */
function relevant(scenario) {
  const rest = JSON.parse(scenario);
  for (const name of APART) delete rest[name];
  return JSON.stringify(rest);
}
