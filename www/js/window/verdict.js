// @ts-check
// The verdict: the set point in one sentence under the window. It is withdrawn when it no longer belongs to the
// scenario that is shown.

import { byId, el, put, putAttribute, putHidden } from "app/shared/dom";
import { lit } from "app/window/lit";
import { model } from "app/window/settings/model";
import { broken, openLimit, verdict } from "app/window/results/margins";
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
  const line = byId("verdict");
  // The same words stay as they are: one of their buttons may have the focus.
  const stays = !inside && line.textContent === words && line.children.length > 0;
  if (!stays) say(words, !inside);
  if (!inside && !stays) line.replaceChildren(...withLimits(words, broken(report.margins)));
  putAttribute(page, "data-inside", String(report.inside));
  putAttribute(byId("window-canvas"), "aria-label", `Processing window. ${setPointWords()}. ${words} Arrow keys move the set point.`);
}

/**
 * The words, with the limits in them as buttons that open their rows.
 * @param {string} words
 * @param {Gatefrost.Margin[]} margins
 */
function withLimits(words, margins) {
  const press = (/** @type {Gatefrost.Limit} */ limit) => () => {
    openLimit(limit, { focus: true });
    lit.open(limit);
  };
  /** @type {(string | HTMLElement)[]} */
  const parts = [];
  let rest = words;
  for (const { label, limit } of margins.toSorted((a, b) => words.indexOf(a.label) - words.indexOf(b.label))) {
    const at = rest.indexOf(label);
    if (at < 0) continue;
    parts.push(rest.slice(0, at), el("button", { type: "button", className: "word", onclick: press(limit) }, label));
    rest = rest.slice(at + label.length);
  }
  return [...parts, rest];
}

// Says when the verdict and the numbers do not yet belong to the scenario above them: immediately after another
// scenario was opened, after a short delay if only a value has changed.
export function markCurrent(/** @type {boolean} */ current, opened = false) {
  putAttribute(page, "data-current", String(current));
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
    put(line, words);
    line.classList.toggle("out", out);
  }
}

function forgetLate() {
  clearTimeout(late);
  late = undefined;
}

/** Bands can be hidden if there are any. */
export function showBandsChoice() {
  putHidden(byId("bands-choice"), !model.uncertain);
}
