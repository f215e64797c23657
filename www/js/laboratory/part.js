// @ts-check
// The shear rates and temperatures of the scenario's part, computed with the chosen law. The readings should cover
// them. The window's module computes them, because only that one holds the solver; it is loaded when it is first
// needed.

import { loadWindow } from "app/shared/core";
import { problemsOf, inWords } from "app/shared/notices";
import { PageWorker } from "app/shared/worker";

const UNREACHED = "The window's module could not be loaded. It is needed to fill the part.";

export class Part {
  #bench;
  #known;
  /** @type {Promise<() => Worker> | null} */
  #loading = null;
  // Number of the last request. Answers to earlier requests are ignored.
  #question = 0;
  /** @type {PageWorker | null} */
  #worker = null;
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
    this.#stop();
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
    this.#stop();
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

  #stop() {
    this.#question += 1;
    this.#worker?.stop();
  }

  /** @param {string} scenario */
  async #find(scenario) {
    const question = this.#question;
    const worker = await this.#ready();
    if (question !== this.#question) return;
    /** @type {import("app/shared/worker").Answer<Gatefrost.Packed>} */
    const answer = worker ? await /** @type {any} */ (worker).run({ call: "span_of_part", args: { scenario } }) : { failure: UNREACHED };
    const { value, problems, failure = "", stopped } = answer;
    if (stopped) return;
    if (!value) {
      this.#fail(problems?.map(inWords) ?? [failure]);
      return;
    }
    this.#bench.laboratory.set_part(value.bytes);
    this.unknown = null;
    this.#known();
  }

  // The worker, once the window's module is there; null where it cannot be loaded. The next question tries again.
  async #ready() {
    try {
      this.#loading ??= loadWindow();
      const spawn = await this.#loading;
      this.#worker ??= new PageWorker(spawn);
    } catch {
      this.#loading = null;
    }
    return this.#worker;
  }
}
