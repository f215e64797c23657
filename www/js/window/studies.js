// @ts-check
// One worker with the module of studies, for the toolmaker's sheet and for parts to begin with: one job after the other.

import { loadStudies } from "app/shared/core";
import { LateWorker } from "app/shared/late";

const worker = new LateWorker(loadStudies, "What computes it could not be loaded.");

/** @type {Promise<unknown>} */
let before = Promise.resolve();

/**
 * Does a job, {call, args}, when those before it are done. Never rejects.
 * @param {Parameters<LateWorker["run"]>[0]} job
 */
export function inTurn(job) {
  const answer = before.then(() => worker.run(job));
  before = answer;
  return answer;
}
