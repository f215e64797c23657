// @ts-check
// Workers that share a list of jobs. They can be stopped before the end.

import { PageWorker } from "app/shared/worker";

const MOST = 8;

// One worker for each core.
const cores = () => Math.min(MOST, Math.max(1, navigator.hardwareConcurrency || 1));

/**
 * @typedef {import("app/shared/worker").Job} Job
 */
/**
 * @template Value
 * @typedef {import("app/shared/worker").Answer<Value>} Answer
 */
/**
 * @typedef {object} Work
 * @property {Job[]} jobs
 * @property {Answer<any>[]} answers
 * @property {number} next the first job that no worker has
 * @property {number} left
 * @property {(index: number, answer: Answer<any>) => void} told
 * @property {(answers: Answer<any>[] | null) => void} resolve
 */

export class Pool {
  /** @type {PageWorker[]} */
  #workers;
  /** @type {Work | null} */
  #work = null;

  /**
   * @param {() => Worker} spawn
   * @param {number} [most]
   */
  constructor(spawn, most = MOST) {
    this.#workers = Array.from({ length: Math.min(most, cores()) }, () => new PageWorker(spawn));
  }

  get size() {
    return this.#workers.length;
  }

  get busy() {
    return this.#work !== null;
  }

  // Resolves to the answers in the order of the jobs, or to null when it was stopped. Each worker takes the
  // next job as soon as it is free; `told(index, answer)` is called for each answer and may stop the rest.
  /**
   * @param {Job[]} jobs
   * @param {(index: number, answer: Answer<any>) => void} [told]
   * @returns {Promise<Answer<any>[] | null>}
   */
  run(jobs, told = () => {}) {
    if (jobs.length === 0) return Promise.resolve([]);
    return new Promise((resolve) => {
      /** @type {Work} */
      const work = { jobs, answers: [], next: 0, left: jobs.length, told, resolve };
      this.#work = work;
      for (const worker of this.#workers) this.#employ(worker, work);
    });
  }

  /**
   * @param {PageWorker} worker
   * @param {Work} work
   */
  async #employ(worker, work) {
    while (work.next < work.jobs.length) {
      const index = work.next;
      work.next += 1;
      const answer = await worker.run(work.jobs[index]);
      if (work !== this.#work) return;
      work.answers[index] = answer;
      work.left -= 1;
      try {
        work.told(index, answer);
      } catch (error) {
        // An error in showing one answer does not stop the others.
        reportError(error);
      }
      if (work !== this.#work) return;
      if (work.left === 0) {
        this.#work = null;
        work.resolve(work.answers);
      }
    }
  }

  // Ends the busy workers. The idle ones stay for the next jobs.
  stop() {
    const work = this.#work;
    this.#work = null;
    for (const worker of this.#workers) worker.stop();
    work?.resolve(null);
  }
}
