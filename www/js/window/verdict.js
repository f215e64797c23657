// @ts-check
// The set point in one sentence under the window, and whether it is of the scenario that is shown.

import { byId } from "app/shared/dom";
import { model } from "app/window/settings/model";
import { verdict } from "app/window/results/margins";
import { setPointWords } from "app/window/canvas";

const page = document.documentElement;
// When a verdict that is late is taken back, in ms.
const LATE = 200;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let late;

/** @param {Gatefrost.Report} report */
export function showVerdict(report) {
  forgetLate();
  const { inside, words } = verdict(report);
  const line = byId("verdict");
  line.textContent = words;
  page.dataset.inside = String(report.inside);
  line.classList.toggle("out", !inside);
  byId("window-canvas").setAttribute("aria-label", `Processing window. ${setPointWords()}. ${words} Arrow keys move the set point.`);
}

// The verdict and the numbers are of the scenario that stands above them, or it is said that they are not yet:
// at once where another one has been opened, after a moment where only a value has changed.
export function markCurrent(/** @type {boolean} */ current, opened = false) {
  page.dataset.current = String(current);
  if (current) forgetLate();
  else if (opened) noVerdict("Computing…");
  else late ??= setTimeout(() => noVerdict("Computing…"), LATE);
}

/** @param {string} words */
export function noVerdict(words) {
  forgetLate();
  byId("verdict").textContent = words;
  byId("verdict").classList.remove("out");
  delete page.dataset.inside;
}

function forgetLate() {
  clearTimeout(late);
  late = undefined;
}

/** Bands can be hidden where there are any. */
export function showBandsChoice() {
  byId("bands-choice").hidden = !model.uncertain;
}
