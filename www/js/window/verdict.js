// @ts-check
// The verdict: the set point in one sentence under the window. It is withdrawn when it no longer belongs to the
// scenario that is shown.

import { byId } from "app/shared/dom";
import { model } from "app/window/settings/model";
import { verdict } from "app/window/results/margins";
import { setPointWords } from "app/window/canvas";

const page = document.documentElement;
// Delay after which an outdated verdict is withdrawn, in ms.
const LATE = 200;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let late;

/** @param {Gatefrost.Report} report */
export function showVerdict(report) {
  forgetLate();
  const { inside, words } = verdict(report);
  say(words, !inside);
  page.dataset.inside = String(report.inside);
  byId("window-canvas").setAttribute("aria-label", `Processing window. ${setPointWords()}. ${words} Arrow keys move the set point.`);
}

// Says when the verdict and the numbers do not yet belong to the scenario above them: immediately after another
// scenario was opened, after a short delay if only a value has changed.
export function markCurrent(/** @type {boolean} */ current, opened = false) {
  page.dataset.current = String(current);
  if (current) forgetLate();
  else if (opened) noVerdict("Computing…");
  else late ??= setTimeout(() => noVerdict("Computing…"), LATE);
}

/** @param {string} words */
export function noVerdict(words) {
  forgetLate();
  say(words, false);
  delete page.dataset.inside;
}

// Under the window and in the strip.
/**
 * @param {string} words
 * @param {boolean} out
 */
function say(words, out) {
  for (const line of [byId("verdict"), byId("strip-verdict")]) {
    line.textContent = words;
    line.classList.toggle("out", out);
  }
}

function forgetLate() {
  clearTimeout(late);
  late = undefined;
}

/** Bands can be hidden if there are any. */
export function showBandsChoice() {
  byId("bands-choice").hidden = !model.uncertain;
}
