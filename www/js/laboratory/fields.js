// Fields of the laboratory: what was typed stays, and why it is no value stands beneath it. Titles,
// symbols, units, ranges and help come from the core.

import { checked_number, number_typed } from "app/shared/core";
import { complaint, el, numberInput, symbol } from "app/shared/dom";
import { parameter } from "app/window/settings/model";
import { number, short } from "app/shared/numbers";

const own = new Map();
let choices = [];

// Takes the descriptions that come with the shelf.
export function learn(shelf) {
  for (const entry of shelf.fields) own.set(entry.path, entry);
  choices = shelf.choices;
}

export const described = (path) => own.get(path) ?? parameter(path);

function about(id, title, help) {
  return el(
    "details",
    { className: "about" },
    el("summary", { "aria-label": `About ${title.toLowerCase()}`, title: "About this field" }, "?"),
    el("p", { id }, help),
  );
}

// Reads what was typed: the value, null for an empty field that may be, NaN with `fail` called else.
export function readNumber(path, text, optional, fail) {
  fail(null);
  if (text.trim() === "" && optional) return null;
  const entry = described(path);
  if (!own.has(path)) {
    const { value, message } = checked_number(path, text);
    if (!message) return value;
    fail(message);
    return NaN;
  }
  const found = number_typed(text);
  if (found >= entry.min && found <= entry.max) return found;
  const what = text.trim() === "" ? "is empty" : Number.isNaN(found) ? `is “${text.trim().slice(0, 40)}”, which is not a number` : `is ${number(found, 6)}`;
  fail(`${entry.title} ${what}; accepted is ${entry.range}`);
  return NaN;
}

// A number that the core describes at `path`. An empty field is a value (null) where `empty` says
// what it means.
export function numberBox(id, path, { value = null, empty = null, title, help, changed }) {
  let at = path;
  const input = numberInput({
    id,
    placeholder: empty ?? "",
    "aria-describedby": `${id}-error ${id}-range ${id}-help`,
    oninput: () => changed(),
  });
  const { error, fail } = complaint(id, input);
  const label = el("label", { htmlFor: id });
  const unit = el("span", { className: "unit" });
  const range = el("p", { className: "range", id: `${id}-range` });
  const more = about(`${id}-help`, title ?? described(path).title, help ?? described(path).help);
  const root = el("div", { className: "field number" }, label, el("span", { className: "entry" }, input, unit), more, range, error);
  // Another number in the same field, as when a loading is given by mass.
  const describe = (next) => {
    at = next;
    const entry = described(at);
    label.replaceChildren(title ?? entry.title, " ", entry.symbol ? symbol(entry.symbol) : "");
    unit.textContent = entry.unit;
    range.textContent = `${entry.range}${empty === null ? "" : ", or empty"}`;
  };
  const set = (wanted) => {
    input.value = wanted === null || wanted === undefined ? "" : short(wanted);
  };
  describe(path);
  set(value);
  return { root, input, fail, set, describe, read: () => readNumber(at, input.value, empty !== null, fail) };
}

export function choiceBox(id, title, options, changed, help) {
  const input = el(
    "select",
    { id, onchange: () => changed(input.value) },
    options.map(([name, words]) => el("option", { value: name }, words)),
  );
  const root = el("div", { className: "field choice" }, el("label", { htmlFor: id }, title), help && about(`${id}-help`, title, help), input);
  const set = (wanted) => {
    if (options.some(([name]) => name === wanted)) input.value = wanted;
  };
  return { root, input, set, read: () => input.value };
}

// One of the recipe's rules, as the core lists them.
export function ruleBox(field, changed) {
  const { title, help, options } = choices.find((choice) => choice.field === field);
  return choiceBox(`recipe-${field.replaceAll("_", "-")}`, title, options, changed, help);
}

// The words of a rule's value.
export const ruleWords = (field, value) =>
  choices.find((choice) => choice.field === field).options.find(([name]) => name === value)?.[1] ?? value;

export const list = (lines, attributes = {}) =>
  el("ul", { className: "list", ...attributes }, lines.map((line) => el("li", {}, line)));

// On a narrow screen what stands in hidden columns stands under a word of those that stay.
export const under = (words, below) => el("span", {}, words, el("span", { className: "under" }, below));

// A table with its caption; `heads` are texts, or {words} for columns of text.
// `className`: "stacked" hides the columns from the fourth on where the screen is narrow.
export function tableOf(caption, heads, rows, className = "") {
  const wordy = heads.map((head) => typeof head === "object");
  const cell = (tag, value, i, more) => el(tag, { className: wordy[i] ? "words" : "", ...more }, value ?? "–");
  return el(
    "div",
    { className: "scroll", tabIndex: 0, role: "region", "aria-label": caption },
    el(
      "table",
      { className },
      el("caption", {}, caption),
      el("thead", {}, el("tr", {}, heads.map((head, i) => cell("th", head.words ?? head, i, { scope: "col" })))),
      el("tbody", {}, rows.map((row) => el("tr", {}, row.map((value, i) => cell("td", value, i, {}))))),
    ),
  );
}

// A button that puts back what a worked example took the place of.
export function wayBack(words) {
  let before = null;
  const button = el("button", { type: "button", hidden: true, onclick: () => {
    button.hidden = true;
    before?.();
  } }, words);
  return {
    button,
    offer(restore) {
      before = restore;
      button.hidden = false;
    },
  };
}
