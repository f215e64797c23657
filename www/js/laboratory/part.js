// @ts-check
// The shear rates and temperatures of the scenario's part, computed with the chosen law. The readings should cover
// them. The window's module computes them, because only that one holds the solver; it is loaded when it is first
// needed.

import { loadWindow } from "app/shared/core";
import { LateWorker } from "app/shared/late";
import { problemsOf, inWords } from "app/shared/notices";

const UNREACHED = "The window's module could not be loaded. It is needed to fill the part.";

export class Part {
  #bench;
  #known;
  #worker = new LateWorker(loadWindow, UNREACHED);
  // Why it could not be computed with the chosen law.
  /** @type {string[] | null} */
  unknown = null;

  /**
   * @param {import("app/laboratory/start").Bench} bench
   * @param {() => void} known hears that it is known, or why it is not
   */
  constructor(bench, known) {
    this.#bench = bench;
    this.#known = known;
  }

  // Discards the result of another law.
  forget() {
    this.#worker.stop();
    this.#bench.laboratory.forget_part();
    this.unknown = null;
  }

  /**
   * Computes it with one of the fits, counted from the best, measured at `loading`.
   * @param {number} fit
   * @param {number} loading
   */
  ask(fit, loading) {
    const { laboratory, scenario } = this.#bench;
    this.#worker.stop();
    try {
      this.#find(laboratory.scenario_with_fit(JSON.stringify(scenario), fit, loading));
    } catch (error) {
      const problems = problemsOf(error);
      if (!problems) throw error;
      this.#fail(problems.map(inWords));
    }
  }

  /** @param {string[]} why */
  #fail(why) {
    this.#bench.laboratory.forget_part();
    this.unknown = why;
    this.#known();
  }

  /** @param {string} scenario */
  async #find(scenario) {
    /** @type {import("app/shared/worker").Answer<Gatefrost.Packed>} */
    const { value, problems, failure = "", stopped } = await this.#worker.run({ call: "span_of_part", args: { scenario } });
    if (stopped) return;
    if (!value) {
      this.#fail(problems?.map(inWords) ?? [failure]);
      return;
    }
    this.#bench.laboratory.set_part(value.bytes);
    this.unknown = null;
    this.#known();
  }
}
