// @ts-check
// Form fields: one builder per kind of value, each bound to one path of the scenario.

import { checked_number, number_typed } from "app/shared/core";
import { complaint, el, numberInput, symbol } from "app/shared/dom";
import { parameter } from "app/shared/catalogue";
import { model } from "app/window/settings/model";
import { inWords } from "app/shared/notices";
import { doubtful, isConverted, restate, shownUnit, toEdge, toShown, units } from "app/shared/units";
import { toNumber } from "app/shared/ways";
import { stepsInUnit } from "app/shared/words";

/**
 * @typedef {object} Field
 * @property {HTMLElement} root
 * @property {HTMLElement} input
 * @property {(value: any) => void} show
 * @property {(message: string | null) => void} complain
 * @property {() => void} [restate] says all but the value in the units in use
 */
/** @typedef {{ value?: number | null, message?: string | null }} Typed */
/** @typedef {(path: string, text: string) => Typed} Reader */

/** @type {Map<string, Field>} */
const fields = new Map();

export const idOf = (/** @type {string} */ path) => `f-${path.replaceAll(".", "-")}`;

// Updates numbers, ranges and help after a change of units.
units.addEventListener("changed", () => {
  for (const field of fields.values()) field.restate?.();
  showValues();
});

// Brings every field in line with the scenario, except the one being typed in.
export function showValues() {
  for (const [path, field] of fields) {
    if (!field.root.isConnected) fields.delete(path);
    else if (!model.refused.has(path)) field.show(model.get(path));
  }
}

// Brings the fields of a change in line: while the set point is dragged, those that it names; else all, because a change
// may touch others, as a new name does what refers to it.
/** @param {import("app/window/settings/model").Change} change */
export function showChanged({ what, moving }) {
  if (what === null || !moving) showValues();
  else for (const path of what.split(",")) if (!model.refused.has(path)) fields.get(path)?.show(model.get(path));
}

// Puts messages at their fields.
/** @param {Gatefrost.Problem[]} problems */
export function showProblems(problems) {
  const byPath = new Map(problems.map(({ path, message }) => [path, message]));
  for (const [path, field] of fields) field.complain(byPath.get(path) ?? null);
}

// The fields that are on the page, with their paths.
export const present = () => [...fields].filter(([, { root }]) => root.isConnected);

export const canReveal = (/** @type {string} */ path) => fields.get(path)?.root.isConnected === true;

// Opens the sections that hide a field, and focuses it.
/** @param {string} path */
export function reveal(path) {
  const field = fields.get(path);
  if (!field?.root.isConnected) return;
  for (let box = field.root.closest("details"); box; box = box.parentElement?.closest("details") ?? null) box.open = true;
  field.input.focus();
}

// Rebuilds part of the form and keeps the focus.
/** @param {() => void} build */
export function focusKept(build) {
  const id = document.activeElement?.id;
  build();
  if (id && document.activeElement?.id !== id) document.getElementById(id)?.focus();
}

// Binds a field to its path: `show` puts the value into it, `retell` writes everything else in the units in use.
/**
 * @template {HTMLElement} Root
 * @param {string} path
 * @param {Root} root
 * @param {HTMLElement} input
 * @param {(value: any) => void} show
 * @param {() => void} [retell]
 */
export function register(path, root, input, show, retell) {
  const { error, fail } = complaint(idOf(path), input);
  root.append(error);
  const complain = (/** @type {string | null} */ message) => fail(message && inWords({ path, message }));
  fields.set(path, { root, input, show, complain, restate: retell });
  retell?.();
  show(model.get(path));
  complain(model.refused.get(path) ?? null);
  return root;
}

// The text of a number for editing: the shortest that keeps its value; in another unit than the catalogue's, six
// digits.
/**
 * @param {number | null | undefined} edge
 * @param {string} unit
 */
export function plain(edge, unit) {
  if (edge === null || edge === undefined) return "";
  return written(isConverted(unit) ? Number(toShown(edge, unit).toPrecision(6)) : edge);
}

const written = (/** @type {number} */ value) => (Math.abs(value) >= 1e7 ? value.toExponential().replace("e+", "e") : String(value));

// It opens in another tab, so that the settings stay.
export const handbookLink = (/** @type {string} */ href, /** @type {string} */ about) => el("a", { href, className: "to-handbook", target: "_blank", "aria-label": `In the handbook: ${about}` }, "In the handbook");

// `empty` is the word for an optional number without a value. `read` reads what is typed, and `also` says what it reads
// beyond a number.
/**
 * @param {string} path
 * @param {{ empty?: string, read?: Reader, also?: string }} [more]
 */
export function numberField(path, { empty = "same", read = entered, also = "" } = {}) {
  const entry = parameter(path);
  const id = idOf(path);
  const input = numberInput({
    id,
    placeholder: entry.default === null ? empty : "",
    "aria-describedby": `${id}-error ${id}-range ${id}-help`,
    oninput: () => take(path, input.value, read),
    onkeydown: (/** @type {KeyboardEvent} */ event) => step(event, path, input, read),
    onblur: () => {
      if (!model.refused.has(path)) input.value = plain(model.get(path), entry.unit);
    },
  });
  const [unit, range, help] = [el("span", { className: "unit" }), el("p", { className: "range", id: `${id}-range` }), el("p", { id: `${id}-help` })];
  const about = el(
    "details",
    { className: "about" },
    el("summary", { "aria-label": `About ${entry.title.toLowerCase()}`, title: "About this number" }, "?"),
    help,
    el("p", { className: "source" }, `Source: ${entry.source}. `, handbookLink(toNumber(path), entry.title)),
  );
  const root = el(
    "div",
    { className: "field number" },
    el("label", { htmlFor: id }, el("span", { className: "words" }, entry.title), " ", symbol(entry.symbol)),
    el("span", { className: "entry" }, input, unit),
    about,
    range,
  );
  const show = (/** @type {number | null} */ value) => {
    const words = plain(value, entry.unit);
    if (input.value === words || (document.activeElement === input && sameNumber(read(path, input.value), value))) return;
    input.value = words;
  };
  return register(path, root, input, show, () => {
    unit.textContent = shownUnit(entry.unit);
    range.textContent = restate(entry.range) + also;
    help.textContent = restate(entry.help);
  });
}

/**
 * @param {Typed} found
 * @param {number | null} value
 */
const sameNumber = (found, value) => !found.message && found.value === (value ?? null);

// Reads a typed text in the reader's unit and checks it in the catalogue's.
/**
 * @param {string} path
 * @param {string} text
 * @returns {Typed}
 */
export function entered(path, text) {
  const { unit, title } = parameter(path);
  const doubt = doubtful(text);
  if (doubt) return { message: `${title} ${doubt}` };
  const typed = isConverted(unit) ? number_typed(text) : NaN;
  return checked_number(path, Number.isNaN(typed) ? text : String(toEdge(typed, unit)));
}

/**
 * @param {string} path
 * @param {string} text
 * @param {Reader} read
 */
function take(path, text, read) {
  const { value, message } = read(path, text);
  if (message) model.refuse(path, message);
  else model.set(path, value);
}

// Arrow up and down step by about a hundredth of the value, and by no less than a machine does.
/** @type {Record<string, number>} */
const DIRECTIONS = { ArrowUp: 1, ArrowDown: -1 };

/**
 * @param {KeyboardEvent} event
 * @param {string} path
 * @param {HTMLInputElement} input
 * @param {Reader} read
 */
function step(event, path, input, read) {
  const direction = DIRECTIONS[event.key];
  const { unit: edge, whole, ...ends } = parameter(path);
  const [now, min, max] = [model.get(path), ends.min, ends.max].map((value) => toShown(value, edge));
  if (!direction || typeof now !== "number") return;
  event.preventDefault();
  const size = Math.abs(now) || Math.abs(max) / 100;
  const decade = Math.floor(Math.log10(size));
  const dialled = isConverted(edge) ? 0 : 1 / (stepsInUnit[path.replace("setup.", "")] ?? Infinity);
  const unit = whole ? 1 : Math.max(dialled, 10 ** (decade - (size / 10 ** decade < 3 ? 2 : 1)));
  const times = event.shiftKey ? 10 : 1;
  const next = Math.min(max, Math.max(min, now + direction * times * unit));
  input.value = written(Number(next.toPrecision(isConverted(edge) ? 6 : 10)));
  take(path, input.value, read);
}

/**
 * @param {string} path
 * @param {string} title
 * @param {{ long?: boolean, most?: number, take?: (text: string) => void }} [more]
 */
export function textField(path, title, { long = false, most, take } = {}) {
  const id = idOf(path);
  const input = el(long ? "textarea" : "input", {
    id,
    autocomplete: "off",
    maxLength: most,
    "aria-describedby": `${id}-error`,
    oninput: () => (take ? take(input.value) : model.set(path, input.value)),
  });
  if (input instanceof HTMLInputElement) input.type = "text";
  const root = el("div", { className: "field wide" }, el("label", { htmlFor: id }, title), input);
  return register(path, root, input, (value) => {
    if (input.value !== value) input.value = value ?? "";
  });
}

// `choices` are pairs of value and words, or a function that returns the present ones.
/**
 * @typedef {readonly (readonly [value: string, words: string])[]} Choices
 */
/**
 * @param {string} path
 * @param {string} title
 * @param {Choices | (() => Choices)} choices
 * @param {{ help?: string, choose?: (wanted: string) => void }} [more]
 */
export function choiceField(path, title, choices, { help, choose } = {}) {
  const id = idOf(path);
  const input = el(
    "select",
    {
      id,
      "aria-describedby": `${id}-error`,
      onchange: () => (choose ? choose(input.value) : model.set(path, input.value)),
    },
  );
  let shown = "";
  const offer = () => {
    const now = typeof choices === "function" ? choices() : choices;
    if (JSON.stringify(now) === shown) return;
    shown = JSON.stringify(now);
    input.replaceChildren(...now.map(([value, words]) => el("option", { value }, words)));
  };
  const root = el(
    "div",
    { className: "field wide" },
    el("label", { htmlFor: id }, title),
    input,
    help && el("p", { className: "range" }, help),
  );
  return register(path, root, input, (value) => {
    offer();
    input.value = value !== null && typeof value === "object" ? Object.keys(value)[0] : (value ?? "");
  });
}

/**
 * @param {string} path
 * @param {string} title
 * @param {string} help
 */
export function switchField(path, title, help) {
  const id = idOf(path);
  const input = el("input", {
    id,
    type: "checkbox",
    "aria-describedby": `${id}-error`,
    onchange: () => model.set(path, input.checked),
  });
  const root = el(
    "div",
    { className: "field wide" },
    el("label", { htmlFor: id, className: "switch" }, input, " ", title),
    el("p", { className: "range" }, help),
  );
  return register(path, root, input, (value) => {
    input.checked = value === true;
  });
}
