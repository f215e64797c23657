// @ts-check
// The window: limit lines in the plane of two settings, and the set point to drag through it.

import { fraction_of, moves, set_point, value_at } from "app/shared/core";
import { byId } from "app/shared/dom";
import { quantity } from "app/shared/numbers";
import { stepsInUnit } from "app/shared/words";
import { lit } from "app/window/lit";
import { MarkedPicture } from "app/window/marked";
import { axisOf } from "app/window/plane";
import { limitUnder, movedOn, openFromFigure } from "app/window/press";
import { model } from "app/window/settings/model";

// Greatest distance at which a finger takes hold of the set point, CSS pixels.
const GRIP = 32;
// Within this distance a press takes hold of the set point, also where a line passes, CSS pixels.
const RING = 14;
/** @type {Record<string, [number, number]>} */
const STEPS = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowDown: [0, -1],
  ArrowUp: [0, 1],
};

const spans = () => [model.scenario.window.x, model.scenario.window.y];
const setPoint = ofText(set_point);

/**
 * What the core says of the scenario, asked once for each state of it.
 * @template Value
 * @param {(text: string) => Value} ask
 * @returns {() => Value}
 */
function ofText(ask) {
  /** @type {{ text: string, value: Value } | null} */
  let known = null;
  return () => {
    const text = model.text();
    if (known?.text !== text) known = { text, value: ask(text) };
    return known.value;
  };
}

// A place that a scenario has no setting for is at no fraction.
function fractions() {
  const point = setPoint();
  return spans().map((span, i) => fraction_of(JSON.stringify(span), point[i] ?? NaN));
}

/**
 * Rounded to what a machine takes; what is no setting of a machine, to the resolution of the span.
 * @param {Gatefrost.Span} span
 * @param {number} value
 */
function rounded({ axis, from, to }, value) {
  const steps = stepsInUnit[axis];
  if (steps) return Math.round(value * steps) / steps;
  if (axisOf(axis).logarithmic) return Number(value.toPrecision(3));
  const step = 10 ** Math.floor(Math.log10((to - from) / 200));
  return Number((Math.round(value / step) * step).toPrecision(10));
}

/**
 * The rounded value at a fraction of the span, within what is accepted.
 * @param {Gatefrost.Span} span
 * @param {number} fraction
 */
function valueNear(span, fraction) {
  const { min, max } = axisOf(span.axis);
  const within = Math.min(1, Math.max(0, fraction));
  return Math.min(max, Math.max(min, rounded(span, value_at(JSON.stringify(span), within))));
}

/**
 * @param {number[]} wanted
 * @param {boolean} moving
 */
function moveTo(wanted, moving) {
  const [x, y] = spans().map((span, i) => valueNear(span, wanted[i]));
  model.setAll(moves(model.text(), x, y), moving);
}

/**
 * A setting by a share of its span further, at least by one step of the machine. What does not move keeps its value.
 * @param {Gatefrost.Span} span
 * @param {number} i which of the two settings
 * @param {number} share
 */
function stepped(span, i, share) {
  const now = setPoint()[i] ?? NaN;
  if (share === 0) return now;
  const next = valueNear(span, fractions()[i] + share);
  if (next !== now) return next;
  const { min, max } = axisOf(span.axis);
  const further = now + Math.sign(share) / (stepsInUnit[span.axis] ?? Infinity);
  return Math.min(Math.min(max, span.to), Math.max(Math.max(min, span.from), rounded(span, further)));
}

/** @typedef {[number | null, number | null]} Place */

// What the figure needs besides the window.
export const windowOptions = () => ({ set_point: setPoint(), bands: byId("bands", "input").checked, best: bestPlace() ?? noPlace });

/** @type {Place} */
const noPlace = [null, null];
/** @type {() => Place | null} */
let bestPlace = () => null;

/**
 * Place of the best set point in the present plane, if it has been computed.
 * @param {() => Place | null} place
 */
export function markBest(place) {
  bestPlace = place;
}

/** @param {import("app/shared/core").Sheet} sheet */
export function buildWindow(sheet) {
  const canvas = byId("window-canvas", "canvas");
  const picture = new MarkedPicture(canvas, sheet, windowOptions);
  /** @type {MarkedPicture | null} */
  let small = null;
  const refresh = () => {
    picture.refresh();
    small?.refresh();
  };
  // The set point has moved, and nothing else that the picture shows.
  const move = (/** @type {boolean} */ held) => {
    picture.move(held);
    small?.move(held);
  };
  canvas.addEventListener("keydown", stepWithKeys);
  lit.addEventListener("changed", () => {
    sheet.set_lit(lit.limit);
    refresh();
  });
  dragWith(picture, sheet);
  // What nobody needs before there is something to read.
  const read = async () => {
    const { buildStrip } = await import("app/window/strip");
    small = buildStrip(sheet, windowOptions);
    const { buildCrossHair } = await import("app/window/cross-hair");
    buildCrossHair({ picture, sheet, onMark: (event) => onMark(picture, event), inGrip: (event) => inGrip(picture, event), setPoint: setPointWords });
  };
  const paint = () => {
    picture.paint();
    read();
  };
  return { refresh, move, paint };
}

/**
 * @param {MarkedPicture} picture
 * @param {MouseEvent | Touch} event
 */
const onMark = (picture, event) => picture.distance(event, fractions()) <= RING;

/**
 * @param {MarkedPicture} picture
 * @param {MouseEvent | Touch} event
 */
const inGrip = (picture, event) => picture.distance(event, fractions()) <= GRIP;

/**
 * The pointer drags the set point; a press on a line or a name opens its limit.
 * @param {MarkedPicture} picture
 * @param {import("app/shared/core").Sheet} sheet
 */
function dragWith(picture, sheet) {
  const { canvas } = picture;
  let dragging = false;
  /** @type {import("app/window/press").Press | null} */
  let pressed = null;
  const drag = (/** @type {PointerEvent} */ event) => {
    const place = picture.place(event);
    if (place) moveTo(place.fractions, true);
  };
  canvas.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || !picture.layout) return;
    if (event.pointerType === "touch" && !inGrip(picture, event)) return;
    const place = picture.place(event);
    if (!place || place.fractions.some((f) => f < -0.02 || f > 1.02)) return;
    canvas.setPointerCapture(event.pointerId);
    const limit = onMark(picture, event) ? null : limitUnder(picture, sheet, event);
    if (limit) pressed = { limit, x: event.clientX, y: event.clientY };
    else begin(event);
  });
  const begin = (/** @type {PointerEvent} */ event) => {
    dragging = true;
    pressed = null;
    canvas.classList.add("dragging");
    drag(event);
  };
  canvas.addEventListener("pointermove", (event) => {
    if (dragging) drag(event);
    else if (pressed && movedOn(pressed, event)) begin(event);
  });
  canvas.addEventListener("pointerup", () => pressed && openFromFigure(pressed.limit));
  const rest = () => {
    pressed = null;
    if (!dragging) return;
    dragging = false;
    canvas.classList.remove("dragging");
    moveTo(fractions(), false);
  };
  for (const end of ["pointerup", "pointercancel", "lostpointercapture"]) canvas.addEventListener(end, rest);
  touchWith(picture, sheet);
}

/**
 * A finger on the set point drags it; anywhere else it scrolls the page. A tap moves the point, or opens the limit
 * whose line or name it meets.
 * @param {MarkedPicture} picture
 * @param {import("app/shared/core").Sheet} sheet
 */
function touchWith(picture, sheet) {
  const { canvas } = picture;
  canvas.addEventListener(
    "touchstart",
    (event) => {
      if (inGrip(picture, event.touches[0])) event.preventDefault();
    },
    { passive: false },
  );
  canvas.addEventListener("click", (event) => {
    if (!(event instanceof PointerEvent) || event.pointerType !== "touch") return;
    const place = picture.place(event);
    if (!place?.fractions.every((f) => f >= 0 && f <= 1)) return;
    const limit = inGrip(picture, event) ? null : limitUnder(picture, sheet, event);
    if (limit) openFromFigure(limit);
    else moveTo(place.fractions, false);
  });
}

/** @param {KeyboardEvent} event */
function stepWithKeys(event) {
  const step = STEPS[event.key];
  if (!step || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  const size = event.shiftKey ? 0.05 : 0.01;
  const [x, y] = spans().map((span, i) => stepped(span, i, size * step[i]));
  const moved = moves(model.text(), x, y).filter(([path, value]) => Math.abs(value - model.get(path)) > 1e-9 * Math.abs(value));
  model.setAll(moved, false);
}

export function setPointWords() {
  const values = setPoint();
  const words = spans().map(({ axis }, i) => {
    const entry = axisOf(axis);
    return `${entry.title.toLowerCase()} ${quantity(values[i], entry.unit, 4)}`;
  });
  return `Set point: ${words.join(", ")}`;
}
