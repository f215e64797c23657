// @ts-check
// Shows that something is being computed, and how far the lines are refined.

import { byId, putAttribute, putHidden } from "app/shared/dom";

// Shorter computations are not shown, in ms.
const SLOW = 700;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let slow;

let computing = false;
// Jobs under way that were asked for by a press.
let asked = 0;
// Whether there are results that are not shown yet.
let untold = false;
const mark = () => putAttribute(document.documentElement, "data-busy", String(computing || asked > 0 || untold));

/** @param {boolean} flag whether results are still to be shown */
export function markUntold(flag) {
  untold = flag;
  mark();
}

/**
 * Marks the page as busy until a job that a press asked for has its answer, which it returns.
 * @template Answer
 * @param {Promise<Answer>} job
 */
export async function untilAnswered(job) {
  asked += 1;
  mark();
  try {
    return await job;
  } finally {
    asked -= 1;
    mark();
  }
}

/**
 * @param {boolean} busy
 * @param {boolean} refining
 */
export function showBusy(busy, refining) {
  computing = busy;
  mark();
  if (!refining) {
    clearTimeout(slow);
    slow = undefined;
    putHidden(byId("working"), true);
  } else {
    // Other news does not restart the delay.
    slow ??= setTimeout(() => {
      byId("working").hidden = false;
    }, SLOW);
  }
}

/** @param {number} share */
export function showRefined(share) {
  byId("refined", "progress").value = share;
}
