// @ts-check
// Fields of the laboratory. A typed text stays, with a message below it if it is not accepted. Titles, symbols, units,
// ranges and help come from the core.

import { checked_number, number_typed } from "app/shared/core";
import { complaint, el, numberInput, symbol } from "app/shared/dom";
import { found } from "app/shared/catalogue";
import { number, quantity, short } from "app/shared/numbers";
import { doubtful, isConverted, restate, shownUnit, toEdge, toShown } from "app/shared/units";

/** @type {Map<string, Gatefrost.Entry>} */
const own = new Map();
/** @type {Gatefrost.Choice[]} */
let choices = [];

// Takes the descriptions that come with the shelf.
/** @param {Gatefrost.LaboratoryShelf} shelf */
export function learn(shelf) {
  for (const entry of shelf.fields) own.set(entry.path, entry);
  choices = shelf.choices;
}

/** @param {string} path */
export const described = (path) => own.get(path) ?? found(path);

/** @param {string} path */
function entryOf(path) {
  const entry = described(path);
  if (!entry) throw new Error(`${path} is described nowhere`);
  return entry;
}

/**
 * @param {string} id
 * @param {string} title
 * @param {string} help
 */
function about(id, title, help) {
  return el(
    "details",
    { className: "about" },
    el("summary", { "aria-label": `About ${title.toLowerCase()}`, title: "About this field" }, "?"),
    el("p", { id }, restate(help)),
  );
}

// Reads a typed text: the value, null for an empty field that may be empty, otherwise NaN after a call of `fail`.
/**
 * @param {string} path
 * @param {string} text
 * @param {boolean} optional
 * @param {(message: string | null) => void} fail
 */
export function readNumber(path, text, optional, fail) {
  fail(null);
  if (text.trim() === "" && optional) return null;
  const entry = entryOf(path);
  const doubt = doubtful(text);
  if (doubt) {
    fail(`${entry.title} ${doubt}`);
    return NaN;
  }
  const edge = inEdge(text, entry.unit);
  if (!own.has(path)) {
    const { value, message } = checked_number(path, edge);
    if (!message) return value;
    fail(restate(message));
    return NaN;
  }
  const found = number_typed(edge);
  if (found >= entry.min && found <= entry.max) return found;
  const what = text.trim() === "" ? "is empty" : Number.isNaN(found) ? `is “${text.trim().slice(0, 40)}”, which is not a number` : `is ${isConverted(entry.unit) ? quantity(found, entry.unit, 6) : number(found, 6)}`;
  fail(`${entry.title} ${what}; accepted is ${restate(entry.range)}`);
  return NaN;
}

// A typed text in the catalogue's unit; what is no number stays.
/**
 * @param {string} text
 * @param {string} unit
 */
function inEdge(text, unit) {
  const typed = isConverted(unit) ? number_typed(text) : NaN;
  return Number.isNaN(typed) ? text : String(toEdge(typed, unit));
}

// A number with the catalogue entry at `path`. An empty field is accepted (null) if `empty` says what that means.
/**
 * @param {string} id
 * @param {string} path
 * @param {{ value?: number | null, empty?: string | null, title?: string, help?: string, changed: () => void }} more
 */
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
  const more = about(`${id}-help`, title ?? entryOf(path).title, help ?? entryOf(path).help);
  const root = el("div", { className: "field number" }, label, el("span", { className: "entry" }, input, unit), more, range, error);
  // Another number in the same field, as when a loading is given by mass.
  const describe = (/** @type {string} */ next) => {
    at = next;
    const entry = entryOf(at);
    label.replaceChildren(title ?? entry.title, " ", entry.symbol ? symbol(entry.symbol) : "");
    unit.textContent = shownUnit(entry.unit);
    range.textContent = `${restate(entry.range)}${empty === null ? "" : ", or empty"}`;
  };
  const set = (/** @type {number | null | undefined} */ wanted) => {
    const { unit: edge } = entryOf(at);
    input.value = wanted === null || wanted === undefined ? "" : short(isConverted(edge) ? Number(toShown(wanted, edge).toPrecision(6)) : wanted);
  };
  // What to store: the text in the catalogue's unit, so that it may be read in another one.
  const kept = () => inEdge(input.value, entryOf(at).unit);
  const bring = (/** @type {string} */ text) => {
    if (isConverted(entryOf(at).unit) && !Number.isNaN(number_typed(text))) set(number_typed(text));
    else input.value = text;
  };
  describe(path);
  set(value);
  return { root, input, fail, set, describe, kept, bring, read: () => readNumber(at, input.value, empty !== null, fail) };
}

/**
 * @param {string} id
 * @param {string} title
 * @param {readonly (readonly [value: string, words: string])[]} options
 * @param {(wanted: string) => void} changed
 * @param {string} [help]
 */
export function choiceBox(id, title, options, changed, help) {
  const input = el(
    "select",
    { id, onchange: () => changed(input.value) },
    options.map(([name, words]) => el("option", { value: name }, words)),
  );
  const root = el("div", { className: "field choice" }, el("label", { htmlFor: id }, title), help && about(`${id}-help`, title, help), input);
  const set = (/** @type {string | undefined} */ wanted) => {
    if (wanted !== undefined && options.some(([name]) => name === wanted)) input.value = wanted;
  };
  return { root, input, set, kept: () => input.value, bring: set, read: () => input.value };
}

// One of the recipe's rules, as the core lists them.
/** @param {string} field */
function choiceOf(field) {
  const choice = choices.find((one) => one.field === field);
  if (!choice) throw new Error(`there is no choice of ${field}`);
  return choice;
}

/**
 * @param {string} field
 * @param {() => void} changed
 * @param {string} [station]
 */
export function ruleBox(field, changed, station = "recipe") {
  const { title, help, options } = choiceOf(field);
  return choiceBox(`${station}-${field.replaceAll("_", "-")}`, title, options, changed, help);
}

// The words of a rule's value.
/**
 * @param {string} field
 * @param {string} value
 */
export const ruleWords = (field, value) =>
  choiceOf(field).options.find(([name]) => name === value)?.[1] ?? value;
