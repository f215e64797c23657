// @ts-check
// What the scenario's part asks of the readings: its shear rates and temperatures, computed with the law chosen.

import { problemsOf, inWords } from "app/shared/notices";
import { PageWorker } from "app/shared/worker";

export class Part {
  #bench;
  #known;
  /** @type {PageWorker | null} */
  #worker = null;
  // Why it could not be computed with the law chosen.
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

  // What is known of the part was computed with another law.
  forget() {
    this.#worker?.stop();
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
    this.#worker?.stop();
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
    this.#worker ??= new PageWorker(this.#bench.spawn);
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
