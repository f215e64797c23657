// @ts-check
// What is computed for exercises that a lecturer makes: one job after the other, in a worker with the module of studies.

import { inTurn } from "app/window/studies";

// An answer that names problems, as `reasons` tells them.
class Refused extends Error {
  /** @param {any[]} problems */
  constructor(problems) {
    super(problems[0]?.message ?? "");
    this.problems = problems;
  }
}

let waiting = 0;

/** @param {number} change */
function busy(change) {
  waiting += change;
  document.documentElement.dataset.busy = String(waiting > 0);
}

/**
 * The value of a function of the module. Rejects with what is wrong.
 * @param {string} call
 * @param {Record<string, any>} args
 * @returns {Promise<any>}
 */
export async function ask(call, args) {
  busy(1);
  const { value, problems, failure } = await inTurn({ call, args });
  busy(-1);
  if (problems) throw new Refused(problems);
  if (failure) throw new Error(failure);
  return value;
}
