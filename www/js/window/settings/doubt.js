// @ts-check
// One uncertain number as a row of the form: its standard error, in its own unit or as a share.

import { parameter } from "app/shared/catalogue";
import { number_typed } from "app/shared/core";
import { el, numberInput, symbol } from "app/shared/dom";
import { number, quantity, stepUnit } from "app/shared/numbers";
import { doubtful, restate, shownUnit, toEdge, toShown } from "app/shared/units";
import { idOf, register } from "app/window/settings/fields";
import { model } from "app/window/settings/model";
import { PLACE, WHOLE, correlationOf, hasShare, known, most, scale } from "app/window/settings/uncertainty";

/** @typedef {{ recast: (index: number) => void, remove: (places: number[]) => void }} Acts */

const pathOf = (/** @type {number} */ place) => `${PLACE}.numbers.${place}.standard_error`;

/**
 * The field of an entry, where it is on the page.
 * @param {number} index
 */
export const fieldOf = (index) => /** @type {HTMLInputElement | null} */ (document.getElementById(idOf(pathOf(index))));

/**
 * The row, and the function that updates it when another number has changed.
 * @param {import("app/window/settings/uncertainty").Row} row
 * @param {Acts} acts
 */
export function doubtRow({ whole = false, places }, acts) {
  const [index] = places;
  const { path, logarithmic } = known().numbers[index];
  const entry = parameter(path);
  const title = whole ? WHOLE : entry.title;
  const at = pathOf(index);
  const id = idOf(at);
  const input = errorInput(places, title);
  const value = el("span", { className: "small" });
  const range = el("p", { className: "range", id: `${id}-range` });
  const unit = unitChoice(index, whole, title, acts);
  const root = el(
    "div",
    { className: "field number doubt" },
    el("label", { htmlFor: id }, el("span", { className: "words" }, title), " ", !whole && symbol(entry.symbol), " ", value),
    el("span", { className: "entry" }, "±", input, unit.root),
    el("button", { type: "button", "aria-label": `Remove: ${title}`, onclick: () => acts.remove(places) }, "Remove"),
    range,
    el("p", { className: "small", id: `${id}-note` }, note(index, whole)),
  );
  const tell = () => {
    const now = whole ? null : model.get(path);
    value.textContent = typeof now === "number" ? `of ${quantity(now, entry.unit, 6)}` : "";
    range.textContent = restate(accepted(path, logarithmic));
    unit.tell();
  };
  const show = (/** @type {number | undefined} */ error) => {
    if (document.activeElement !== input) input.value = written(error, entry, logarithmic);
  };
  return { root: el("li", {}, register(at, root, input, show, tell)), tell };
}

/**
 * @param {number[]} places
 * @param {string} title
 */
function errorInput(places, title) {
  const [index] = places;
  const { path, logarithmic } = known().numbers[index];
  const entry = parameter(path);
  const at = pathOf(index);
  const take = () => {
    const { value, message } = entered(input.value, entry, logarithmic);
    if (message) model.refuse(at, `Standard error of “${title}” ${message}; accepted is ${accepted(path, logarithmic)}`);
    else model.setAll(places.map((place) => [pathOf(place), value]), false);
  };
  const input = numberInput({
    id: idOf(at),
    "aria-describedby": `${idOf(at)}-error ${idOf(at)}-range ${idOf(at)}-note`,
    oninput: take,
    onblur: () => {
      if (!model.refused.has(at)) input.value = written(model.get(at), entry, logarithmic);
    },
  });
  return input;
}

/**
 * A standard error for editing, with six digits; empty while its field is being removed.
 * @param {number | undefined} error
 * @param {Gatefrost.Entry} entry
 * @param {boolean} share
 */
function written(error, entry, share) {
  if (error === undefined) return "";
  return String(Number((share ? 100 * error : toShown(error, stepUnit(entry.unit))).toPrecision(6)));
}

/**
 * @param {string} path
 * @param {boolean} share
 */
function accepted(path, share) {
  const top = most(path, share);
  return share ? `0 to ${100 * top} %` : `0 to ${number(top, 6)} ${stepUnit(parameter(path).unit)}`.trim();
}

/**
 * Reads a typed text: a share, or a value in the catalogue's unit.
 * @param {string} text
 * @param {Gatefrost.Entry} entry
 * @param {boolean} share
 * @returns {{ value?: number, message?: string }}
 */
function entered(text, entry, share) {
  const doubt = doubtful(text);
  if (doubt) return { message: doubt };
  const typed = number_typed(text);
  const edge = share ? Number((typed / 100).toPrecision(12)) : toEdge(typed, stepUnit(entry.unit));
  if (edge >= 0 && edge <= most(entry.path, share) * (1 + 1e-6)) return { value: edge };
  if (text.trim() === "") return { message: "is empty" };
  if (Number.isNaN(typed)) return { message: `is “${text.trim().slice(0, 40)}”, which is not a number` };
  return { message: (share ? `is ${typed} %` : `is ${edge} ${stepUnit(entry.unit)}`).trim() };
}

/**
 * The number's own unit, or per cent of it.
 * @param {number} index
 * @param {boolean} whole
 * @param {string} title
 * @param {Acts} acts
 */
function unitChoice(index, whole, title, { recast }) {
  const { path, logarithmic } = known().numbers[index];
  const own = stepUnit(parameter(path).unit);
  const both = !whole && typeof model.get(path) === "number" && (logarithmic || hasShare(path));
  if (!both) {
    const root = el("span", { className: "unit" });
    const tell = () => {
      root.textContent = logarithmic ? "%" : shownUnit(own);
    };
    return { root, tell };
  }
  const plainly = el("option", { value: "own" });
  const root = el(
    "select",
    { "aria-label": `Unit of the standard error: ${title}`, id: `${idOf(`${PLACE}.numbers.${index}`)}-unit`, onchange: () => recast(index) },
    el("option", { value: "share" }, "% of it"),
    plainly,
  );
  root.value = logarithmic ? "share" : "own";
  const tell = () => {
    plainly.textContent = shownUnit(own) || "absolute";
  };
  return { root, tell };
}

/**
 * The numbers that are correlated with it.
 * @param {number} index
 * @param {boolean} whole
 */
function note(index, whole) {
  const now = known();
  const { path } = now.numbers[index];
  if (whole) return scale().length > 1 ? ["Its constants ", ...listed(scale().map((part) => symbol(parameter(part).symbol))), " move together."] : [];
  if (model.get(path) === undefined) return ["Not used: it belongs to a law that is not selected."];
  const others = now.numbers.flatMap((other, j) => {
    const r = correlationOf(now, index, j);
    return j !== index && Math.abs(r) >= 0.005 ? [el("span", {}, `${number(r, 3).replace("-", "−")} with `, symbol(parameter(other.path).symbol))] : [];
  });
  return others.length > 0 ? ["Correlated: ", ...listed(others)] : [];
}

const listed = (/** @type {HTMLElement[]} */ parts) => parts.flatMap((part, i) => (i > 0 ? [", ", part] : [part]));
