// @ts-check
// What the mould hands on: how full the parts are, and how that scatters. The module of studies computes it in a worker,
// because this page's own has no solver of the mould.

import { loadStudies } from "app/shared/core";
import { LateWorker } from "app/shared/late";
import { inWords, notice } from "app/shared/notices";

const UNREACHED = "The module that fills and packs the part could not be loaded. Sizes need it.";

export class Mould {
  #known;
  #worker = new LateWorker(loadStudies, UNREACHED);
  // What the last question was about.
  #asked = "";
  busy = false;
  /** @type {Gatefrost.FromMould | null} */
  found = null;

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
    // What is known belongs to another scenario.
    this.found = null;
    this.#worker.stop();
    const answer = await this.#worker.run({ call: "from_mould", args: { scenario } });
    if (answer.stopped) return;
    this.busy = false;
    this.found = answer.value ?? null;
    if (answer.failure) notice("mould", "The mould could not be computed.", [answer.failure]);
    else if (answer.problems) notice("mould", "The mould could not be computed.", answer.problems.map(inWords));
    this.#known();
  }
}

// The scenario without what the mould does not depend on, so that a change of the furnace asks nothing anew.
/** @param {string} scenario */
function relevant(scenario) {
  const rest = JSON.parse(scenario);
  for (const name of ["sizes", "debinding", "sintering", "name", "notes", "window"]) delete rest[name];
  for (const name of ["sintered_density", "powder_loss"]) delete rest.feedstock[name];
  return JSON.stringify(rest);
}
