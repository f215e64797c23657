// @ts-check
// Shows that something is being computed, and how far the lines are refined.

import { byId } from "app/shared/dom";

// Shorter computations are not shown, in ms.
const SLOW = 700;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let slow;

/**
 * @param {boolean} busy
 * @param {boolean} refining
 */
export function showBusy(busy, refining) {
  document.documentElement.dataset.busy = String(busy);
  if (!refining) {
    clearTimeout(slow);
    slow = undefined;
    byId("working").hidden = true;
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
