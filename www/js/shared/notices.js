// @ts-check
// Notices: what could not be read or computed, in words, until they are dismissed.

import { byId, el } from "app/shared/dom";
import { restate } from "app/shared/units";

// How long the place of a dismissed notice stays, in ms.
const SETTLED = 500;

// Shows a notice, at most one of each kind. `lines` are texts, `action` is an optional button {words, act}, or several.
/** @typedef {{ words: string, act: () => void }} Action */
/**
 * @param {string} kind
 * @param {string} title
 * @param {string[]} [lines]
 * @param {Action | Action[] | null} [action]
 * @param {number} [unlisted] how many more lines there would be
 */
export function notice(kind, title, lines = [], action = null, unlisted = 0) {
  dismiss(kind);
  const close = el("button", { type: "button", onclick: () => dismiss(kind) }, "Dismiss");
  const box = el(
    "div",
    { className: "notice", dataset: { kind } },
    el("p", { className: "title" }, title),
    lines.length > 0 && el("ul", {}, lines.slice(0, 12).map((line) => el("li", {}, line))),
    lines.length > 12 && el("p", {}, `and ${lines.length - 12 + unlisted} more`),
    el("div", { className: "row" }, [action ?? []].flat().map(({ words, act }) => el("button", { type: "button", onclick: act }, words)), close),
  );
  box.addEventListener("click", () => (box.dataset.pressed = "true"), { capture: true });
  byId("notices").append(box);
}

/** @param {string} kind */
export function dismiss(kind) {
  for (const box of /** @type {NodeListOf<HTMLElement>} */ (byId("notices").querySelectorAll(".notice"))) {
    if (box.dataset.kind !== kind) continue;
    if (box.dataset.pressed) keepPlace(box);
    box.remove();
  }
}

// Keeps the place of a notice for a while, so that a second tap on it meets nothing that has moved there.
/** @param {HTMLElement} box */
function keepPlace(box) {
  const place = el("div", { "aria-hidden": "true" });
  const { marginTop, marginBottom } = getComputedStyle(box);
  Object.assign(place.style, { height: `${box.offsetHeight}px`, marginTop, marginBottom });
  box.before(place);
  setTimeout(() => place.remove(), SETTLED);
}

// Tells what was left out of a link. `kept` is the number of entries that were read.
/** @param {Gatefrost.Opened} opened */
export function leftOut({ scenario, kept, only_demo: onlyDemo, problems, unlisted }) {
  dismiss("link");
  if (problems.length === 0) return;
  let title = `Nothing in this link could be read. The demo “${scenario.name}” is open instead.`;
  if (kept > 0) title = "Some of this link could not be read. The rest is open. Left out:";
  if (onlyDemo) title = `Only the name of the demo in this link could be read. The demo “${scenario.name}” is open. Left out:`;
  notice("link", title, problems.map(inWords), null, unlisted);
}

// Tells where the trial log is: a link carries only how many shots it has.
/**
 * @param {Gatefrost.Scenario} scenario
 * @param {boolean} here whether this tab has it
 */
export function logApart({ trials: { logged } }, here) {
  dismiss("log");
  if (!here) notice("log", `The trial log of this scenario has ${logged} shots. It is in the scenario’s file, not in the link.`);
}

// Entries of lists by what they are called, and how many stand before the first.
/** @type {[RegExp, string, number][]} */
const LISTS = [
  [/^cavity\.passages\.(\d+)\./, "Passage", 1],
  [/^feedstock\.further_melting\.(\d+)\./, "Melting peak", 2],
  [/^setup\.further_hold\.(\d+)\./, "Hold step", 2],
  [/^setup\.ram\.(\d+)\./, "Speed step", 1],
  [/^feedstock\.uncertainty\.numbers\.(\d+)\./, "Uncertain number", 1],
  [/^shots\.(\d+)\./, "Shot", 1],
];

// A message of the core begins with the name of the field. For an entry of a list, its number is added.
/** @param {Gatefrost.Problem} problem */
export const inWords = (problem) => restate(worded(problem));

// Lists the problems of the scenario in their place on the page, and returns that.
/** @param {Gatefrost.Problem[]} problems */
export function listProblems(problems) {
  const list = byId("trouble", "ul");
  list.hidden = problems.length === 0;
  list.replaceChildren(...problems.map((problem) => el("li", {}, inWords(problem))));
  return list;
}

/**
 * The problems of a scenario in an error of the core; null for any other error.
 * @param {any} error
 * @returns {Gatefrost.Problem[] | undefined}
 */
export const problemsOf = (error) => error?.problems;

/**
 * Why something failed: the problems of a scenario, or the message of the error.
 * @param {any} error
 * @returns {string[]}
 */
export const reasons = (error) => problemsOf(error)?.map(inWords) ?? [error?.message ?? String(error)];

/** @param {Gatefrost.Problem} problem */
function worded({ path, message }) {
  // Numbers that the page shows have their name on the page.
  if (message.startsWith("Standard error of")) return message;
  for (const [pattern, words, first] of LISTS) {
    const [, index] = pattern.exec(path) ?? [];
    if (index !== undefined) return `${words} ${Number(index) + first}: ${message}`;
  }
  return message;
}
