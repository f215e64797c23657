// Notices: what could not be read or computed, in words, until they are dismissed.

import { byId, el } from "app/dom";
import { model, parameter } from "app/model";
import { restate } from "app/units";

// One notice of a kind at a time; `lines` are texts, `action` is an optional button {words, act}.
export function notice(kind, title, lines = [], action = null) {
  dismiss(kind);
  const close = el("button", { type: "button", onclick: () => dismiss(kind) }, "Dismiss");
  const box = el(
    "div",
    { className: "notice", dataset: { kind } },
    el("p", { className: "title" }, title),
    lines.length > 0 && el("ul", {}, lines.slice(0, 12).map((line) => el("li", {}, line))),
    lines.length > 12 && el("p", {}, `and ${lines.length - 12} more`),
    el("div", { className: "row" }, action && el("button", { type: "button", onclick: action.act }, action.words), close),
  );
  byId("notices").append(box);
}

export function dismiss(kind) {
  for (const box of byId("notices").querySelectorAll(".notice")) if (box.dataset.kind === kind) box.remove();
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

// Ends of the window by the words that stand beside their fields.
const SIDES = { x: "across", y: "up" };
const inWindow = (text) =>
  text.replace(/\bwindow\.([xy])(?:\.(\w+))?/g, (_, side, end) => ["window", SIDES[side], end].filter(Boolean).join(", "));

function fieldName(path) {
  const title = parameter(path)?.title;
  if (title) return title;
  return path.startsWith("window.") ? inWindow(path).replace("w", "W") : null;
}

// Lists by what their entries are called, and how many stand before the first.
const LISTS = [
  [/^cavity\.passages\.(\d+)\.(\w+)/, (number) => `Passage ${number}`, 1],
  [/^setup\.further_hold\.(\d+)\./, (number) => `Step ${number} of the hold`, 2],
  [/^feedstock\.uncertainty\.numbers\.(\d+)\.(\w+)/, (number) => `Uncertain number ${number}`, 1],
];
const WORDS = {
  "cavity.passages": "The list of passages",
  "setup.further_hold": "The list of further hold steps",
  "feedstock.uncertainty.numbers": "The list of uncertain numbers",
  "feedstock.uncertainty.correlation": "The correlation of the uncertain numbers",
  after: "What it follows",
  meets: "The end it meets",
  name: "Name",
  path: "Its path",
  standard_error: "Standard error",
  role: "Role",
};

// Messages of the core begin with the field's name, or with what it does ("is …", "has …").
export const inWords = (problem) => restate(worded(problem));

// Why something broke off: the problems of a scenario, or what the error says.
export const reasons = (error) => (error?.problems ? error.problems.map(inWords) : [error?.message ?? String(error)]);

function worded({ path, message }) {
  // Where the page itself names the number, it needs no other name.
  if (!path || message.startsWith("Standard error of")) return message;
  let [where, field] = ["", path];
  for (const [pattern, words, first] of LISTS) {
    const [, index, inner] = pattern.exec(path) ?? [];
    if (index !== undefined) [where, field] = [`${words(Number(index) + first)}: `, inner];
  }
  const name = fieldName(path) ?? WORDS[field];
  if (!name) return `${where || `${path.length > 80 ? `${path.slice(0, 80)}…` : path}: `}${message}`;
  return where + (message.startsWith(name) ? message : `${name} ${inWindow(message)}`);
}
