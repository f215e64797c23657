// @ts-check
// One worker that does one job at a time and can be stopped. A worker that dies, fails or does not answer in time is
// replaced, and its job is started again. A job on which this happens twice has failed.

const ATTEMPTS = 2;
// Time for a worker to start, in ms.
const START = 60_000;
// Time after which a job is considered hung, in ms, with the usual number of cells and layers. The core bounds the
// work, which grows with the layers and with the square of the cells.
const PATIENCE = 300_000;
const USUAL = 58 ** 2 * 20;

/** @param {Job} job */
function patience({ args }) {
  const { scenario } = /** @type {{ scenario?: string }} */ (args ?? {});
  const { axial_cells: cells = 0, layers = 0 } = (scenario && JSON.parse(scenario).model) ?? {};
  return PATIENCE * Math.max(1, (cells ** 2 * layers) / USUAL);
}

/**
 * @typedef {typeof import("gatefrost")} Core
 * @typedef {{ [Name in keyof Core as Core[Name] extends (args: any) => any ? Name : never]: Core[Name] }} Calls
 * @typedef {{ [Name in keyof Calls]: { call: Name, args: Parameters<Calls[Name]>[0] } }[keyof Calls]} Job
 * @typedef {ReturnType<typeof setTimeout>} Timer
 */
/**
 * The answer to a job.
 * @template Value
 * @typedef {{ value?: Value, problems?: any[], unlisted?: number, failure?: string, stopped?: boolean }} Answer
 */
/**
 * @typedef {{ job: Job, resolve: (answer: Answer<any>) => void, id: number, lost: number, timer?: Timer }} Pending
 */

export class PageWorker {
  #spawn;
  /** @type {Worker | null} */
  #worker = null;
  #ready = false;
  /** @type {Pending | null} */
  #pending = null;
  #id = 0;

  /** @param {() => Worker} spawn */
  constructor(spawn) {
    this.#spawn = spawn;
    this.#hire();
  }

  get busy() {
    return this.#pending !== null;
  }

  // Does a job, {call, args}. Resolves to {value}, {problems}, {failure} or {stopped}; never rejects.
  /**
   * @template {keyof Calls} Name
   * @param {{ call: Name, args: Parameters<Calls[Name]>[0] }} job
   * @returns {Promise<Answer<ReturnType<Calls[Name]>>>}
   */
  run(job) {
    return new Promise((resolve) => {
      this.#pending = { job: /** @type {any} */ (job), resolve, id: 0, lost: 0 };
      this.#begin();
    });
  }

  // Ends the job under way; the next job gets a fresh worker.
  stop() {
    if (!this.#pending) return;
    this.#dismiss();
    this.#hire();
    this.#settle({ stopped: true });
  }

  #hire() {
    const worker = this.#spawn();
    this.#worker = worker;
    this.#ready = false;
    const mine = () => worker === this.#worker;
    worker.onmessage = ({ data }) => {
      if (!mine()) return;
      if (data.ready) {
        this.#ready = true;
        // The lock is granted once the worker has ended, for any reason.
        if (data.life) navigator.locks.request(data.life, () => mine() && this.#lost("it was ended, perhaps because memory ran out"));
        if (this.#pending) this.#post();
      } else if (data.id === this.#pending?.id) {
        // After a trap the memory of the instance may be inconsistent.
        if (data.failure) this.#lost(data.failure);
        else this.#settle(data);
      }
    };
    worker.onerror = (event) => {
      event.preventDefault();
      if (mine()) this.#lost(event.message || "the worker could not start");
    };
  }

  // Sends the job as soon as the worker is ready.
  #begin() {
    if (!this.#worker) this.#hire();
    if (this.#ready) this.#post();
    else this.#wait(START, "the worker did not start");
  }

  #post() {
    const pending = this.#pending;
    if (!pending) return;
    this.#id += 1;
    pending.id = this.#id;
    const time = patience(pending.job);
    this.#wait(time, `no answer came within ${Math.round(time / 60_000)} minutes`);
    this.#worker?.postMessage({ id: pending.id, ...pending.job });
  }

  /**
   * @param {number} time
   * @param {string} words
   */
  #wait(time, words) {
    const pending = this.#pending;
    if (!pending) return;
    clearTimeout(pending.timer);
    pending.timer = setTimeout(() => this.#lost(words), time);
  }

  // Drops a worker that cannot be used any more. If it was idle, the next job starts another.
  /** @param {string} words */
  #lost(words) {
    this.#dismiss();
    const pending = this.#pending;
    if (!pending) return;
    pending.lost += 1;
    if (pending.lost < ATTEMPTS) this.#begin();
    else this.#settle({ failure: `Tried ${ATTEMPTS} times: ${words}.` });
  }

  #dismiss() {
    this.#worker?.terminate();
    this.#worker = null;
  }

  /** @param {Answer<any>} answer */
  #settle(answer) {
    const pending = this.#pending;
    if (!pending) return;
    this.#pending = null;
    clearTimeout(pending.timer);
    pending.resolve(answer);
  }
}
