// Fields of the laboratory: what was typed stays, and why it is no value stands beneath it.

import { checked_number, number_typed } from "app/core";
import { el } from "app/dom";
import { parameter } from "app/model";
import { number, short } from "app/numbers";

function frame(id, title, input, unit, help) {
  const error = el("p", { className: "error", id: `${id}-error`, hidden: true });
  const root = el(
    "div",
    { className: "field wide" },
    el("label", { htmlFor: id }, title),
    el("div", { className: "entry" }, input, unit && el("span", { className: "unit" }, unit)),
    help && el("p", { className: "range" }, help),
    error,
  );
  const fail = (message) => {
    error.textContent = message ?? "";
    error.hidden = !message;
    if (message) input.setAttribute("aria-invalid", "true");
    else input.removeAttribute("aria-invalid");
  };
  return { root, fail };
}

// A number: `path` checks it against the catalogue, else `min` and `max` hold. An empty field is a
// value (null) where it is `optional`.
export function numberBox(id, title, { unit = "", value = null, path, min, max, optional = false, help, changed }) {
  const input = el("input", {
    id,
    type: "text",
    inputMode: "decimal",
    autocomplete: "off",
    "aria-describedby": `${id}-error`,
    oninput: () => changed(),
  });
  const range = path ? parameter(path).range : `${short(min)} to ${short(max)} ${unit}`.trim();
  const box = frame(id, title, input, unit, help ?? `Accepted: ${range}${optional ? ", or empty" : ""}`);
  const set = (wanted) => {
    input.value = wanted === null || wanted === undefined ? "" : short(wanted);
  };
  // The value, null for an empty optional field, NaN with a message in place for anything else.
  const read = () => {
    box.fail(null);
    const text = input.value;
    if (text.trim() === "" && optional) return null;
    if (path) {
      const { value: found, message } = checked_number(path, text);
      if (!message) return found;
      box.fail(message);
      return NaN;
    }
    const found = number_typed(text);
    if (found >= min && found <= max) return found;
    const what = text.trim() === "" ? "is empty" : Number.isNaN(found) ? `is “${text.trim().slice(0, 40)}”, which is not a number` : `is ${number(found, 6)}`;
    box.fail(`${title} ${what}; accepted is ${range}`);
    return NaN;
  };
  set(value);
  return { root: box.root, input, fail: box.fail, read, set };
}

export function choiceBox(id, title, choices, value, changed, help) {
  const input = el(
    "select",
    { id, "aria-describedby": `${id}-error`, onchange: () => changed(input.value) },
    choices.map(([name, words]) => el("option", { value: name }, words)),
  );
  input.value = value;
  const box = frame(id, title, input, "", help);
  return { root: box.root, input, fail: box.fail, read: () => input.value };
}

export const list = (lines, attributes = {}) =>
  el("ul", { className: "list", ...attributes }, lines.map((line) => el("li", {}, line)));

// A table with its caption; `heads` are texts, or {words} for columns of text.
export function tableOf(caption, heads, rows) {
  const wordy = heads.map((head) => typeof head === "object");
  const cell = (tag, value, i, more) => el(tag, { className: wordy[i] ? "words" : "", ...more }, value ?? "–");
  return el(
    "div",
    { className: "scroll", tabIndex: 0, role: "region", "aria-label": caption },
    el(
      "table",
      {},
      el("caption", {}, caption),
      el("thead", {}, el("tr", {}, heads.map((head, i) => cell("th", head.words ?? head, i, { scope: "col" })))),
      el("tbody", {}, rows.map((row) => el("tr", {}, row.map((value, i) => cell("td", value, i, {}))))),
    ),
  );
}
