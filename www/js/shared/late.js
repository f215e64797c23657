// @ts-check
// A worker whose module is loaded with its first job. Where the module cannot be loaded, the job has failed, and the next
// job tries again.

import { PageWorker } from "app/shared/worker";

/** @typedef {import("app/shared/worker").Answer<any>} Answer */

export class LateWorker {
  #load;
  #unreached;
  /** @type {PageWorker | null} */
  #worker = null;
  // Number of the last job or stop. A job that is not the last does not begin.
  #last = 0;

  /**
   * @param {() => Promise<() => Worker>} load resolves to what starts a worker
   * @param {string} unreached what the answer says where the module cannot be loaded
   */
  constructor(load, unreached) {
    this.#load = load;
    this.#unreached = unreached;
  }

  get busy() {
    return this.#worker?.busy ?? false;
  }

  // Starts the worker before its first job. Where the module cannot be loaded, that job says so.
  async start() {
    const spawn = this.#worker ? null : await this.#load().catch(() => null);
    if (spawn) this.#worker ??= new PageWorker(spawn);
  }

  // Does a job, {call, args}, of any module. Resolves to {value}, {problems}, {failure} or {stopped}; never rejects.
  /**
   * @param {{ call: string, args: Record<string, any> }} job
   * @returns {Promise<Answer>}
   */
  async run(job) {
    this.#last += 1;
    const own = this.#last;
    await this.start();
    if (own !== this.#last) return { stopped: true };
    return this.#worker ? this.#worker.run(/** @type {any} */ (job)) : { failure: this.#unreached };
  }

  // Ends the job under way.
  stop() {
    this.#last += 1;
    this.#worker?.stop();
  }
}
