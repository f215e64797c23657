// Notices: what could not be read or computed, in words, until they are dismissed.

import { byId, el } from "app/shared/dom";
import { model } from "app/window/settings/model";
import { restate } from "app/shared/units";

// One notice of a kind at a time; `lines` are texts, `action` is an optional button {words, act}, and `unlisted` is how
// many more lines there would be.
export function notice(kind, title, lines = [], action = null, unlisted = 0) {
  dismiss(kind);
  const close = el("button", { type: "button", onclick: () => dismiss(kind) }, "Dismiss");
  const box = el(
    "div",
    { className: "notice", dataset: { kind } },
    el("p", { className: "title" }, title),
    lines.length > 0 && el("ul", {}, lines.slice(0, 12).map((line) => el("li", {}, line))),
    lines.length > 12 && el("p", {}, `and ${lines.length - 12 + unlisted} more`),
    el("div", { className: "row" }, action && el("button", { type: "button", onclick: action.act }, action.words), close),
  );
  byId("notices").append(box);
}

export function dismiss(kind) {
  for (const box of byId("notices").querySelectorAll(".notice")) if (box.dataset.kind === kind) box.remove();
}

// What was left out of a link; `kept` is how many of its entries were not.
export function leftOut({ scenario, kept, only_demo: onlyDemo, problems, unlisted }) {
  dismiss("link");
  if (problems.length === 0) return;
  let title = `Nothing in this link could be read. The demo “${scenario.name}” is open instead.`;
  if (kept > 0) title = "Some of this link could not be read. The rest is open. Left out:";
  if (onlyDemo) title = `Only the name of the demo in this link could be read. The demo “${scenario.name}” is open. Left out:`;
  notice("link", title, problems.map(inWords), null, unlisted);
}

// What was on the page before is one press away.
export function offerWayBack(title) {
  const before = structuredClone(model.scenario);
  const act = () => {
    dismiss("file");
    model.replace(before);
  };
  notice("file", title, [], { words: `Back to “${before.name}”`, act });
}

// Entries of lists by what they are called, and how many stand before the first.
const LISTS = [
  [/^cavity\.passages\.(\d+)\./, "Passage", 1],
  [/^setup\.further_hold\.(\d+)\./, "Hold step", 2],
  [/^feedstock\.uncertainty\.numbers\.(\d+)\./, "Uncertain number", 1],
];

// Messages of the core are sentences that begin with the field's name; of an entry of a list it is said which.
export const inWords = (problem) => restate(worded(problem));

// Why something broke off: the problems of a scenario, or what the error says.
export const reasons = (error) => (error?.problems ? error.problems.map(inWords) : [error?.message ?? String(error)]);

function worded({ path, message }) {
  // Where the page itself names the number, it needs no other name.
  if (message.startsWith("Standard error of")) return message;
  for (const [pattern, words, first] of LISTS) {
    const [, index] = pattern.exec(path) ?? [];
    if (index !== undefined) return `${words} ${Number(index) + first}: ${message}`;
  }
  return message;
}
