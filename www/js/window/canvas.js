// The window: limit lines in the plane of two settings, and the set point to drag through it.

import { fraction_of, moves, set_point, value_at } from "app/shared/core";
import { byId } from "app/shared/dom";
import { model } from "app/window/settings/model";
import { quantity } from "app/shared/numbers";
import { Picture } from "app/shared/picture";
import { axisOf } from "app/window/plane";
import { units } from "app/shared/units";

// How near a finger must come to take hold of the set point, CSS pixels.
const GRIP = 32;
const STEPS = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowDown: [0, -1],
  ArrowUp: [0, 1],
};

const spans = () => [model.get("window.x"), model.get("window.y")];
const setPoint = () => set_point(model.text());

function fractions() {
  const point = setPoint();
  return spans().map((span, i) => fraction_of(JSON.stringify(span), point[i]));
}

// Rounded to what the span resolves, so that a drag gives numbers that a person would set.
function rounded(span, value) {
  if (axisOf(span.axis).logarithmic) return Number(value.toPrecision(3));
  const step = 10 ** Math.floor(Math.log10((span.to - span.from) / 200));
  return Number((Math.round(value / step) * step).toPrecision(10));
}

function moveTo(wanted, moving) {
  const values = spans().map((span, i) => {
    const { min, max } = axisOf(span.axis);
    const within = Math.min(1, Math.max(0, wanted[i]));
    const value = rounded(span, value_at(JSON.stringify(span), within));
    return Math.min(max, Math.max(min, value));
  });
  model.setAll(moves(model.text(), ...values), moving);
}

// What the figure needs beside the window.
export const windowOptions = () => ({ set_point: setPoint(), bands: byId("bands").checked, best: bestPlace() ?? [null, null] });

// Where the best set point stands in the present plane, if one has been worked out.
let bestPlace = () => null;
export function markBest(place) {
  bestPlace = place;
}

export function buildWindow(sheet) {
  const canvas = byId("window-canvas");
  const readOut = byId("window-reading");
  const picture = new Picture(canvas, sheet, "window", { options: windowOptions });
  canvas.addEventListener("pointermove", (event) => {
    readOut.textContent = picture.readOut(event) || setPointWords();
  });
  canvas.addEventListener("pointerleave", () => {
    readOut.textContent = setPointWords();
  });
  let dragging = false;

  const drag = (event) => {
    const place = picture.place(event);
    if (place) moveTo(place.fractions, true);
  };
  canvas.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || !picture.layout) return;
    if (event.pointerType === "touch" && picture.distance(event, fractions()) > GRIP) return;
    const place = picture.place(event);
    if (!place || place.fractions.some((f) => f < -0.02 || f > 1.02)) return;
    dragging = true;
    canvas.setPointerCapture(event.pointerId);
    canvas.classList.add("dragging");
    drag(event);
  });
  canvas.addEventListener("pointermove", (event) => dragging && drag(event));
  const rest = () => {
    if (!dragging) return;
    dragging = false;
    canvas.classList.remove("dragging");
    moveTo(fractions(), false);
  };
  canvas.addEventListener("pointerup", rest);
  canvas.addEventListener("pointercancel", rest);
  canvas.addEventListener("lostpointercapture", rest);
  // A finger on the set point drags it; anywhere else it scrolls the page, and a tap moves the point.
  canvas.addEventListener(
    "touchstart",
    (event) => {
      if (picture.distance(event.touches[0], fractions()) <= GRIP) event.preventDefault();
    },
    { passive: false },
  );
  canvas.addEventListener("click", (event) => {
    const place = picture.place(event);
    if (place?.fractions.every((f) => f >= 0 && f <= 1) && event.pointerType === "touch") moveTo(place.fractions, false);
  });
  canvas.addEventListener("keydown", (event) => {
    const step = STEPS[event.key];
    if (!step || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    const size = event.shiftKey ? 0.05 : 0.01;
    moveTo(fractions().map((f, i) => f + size * step[i]), false);
  });
  for (const source of [model, units]) source.addEventListener("changed", () => {
    readOut.textContent = setPointWords();
  });
  return picture;
}

export function setPointWords() {
  const values = setPoint();
  const words = spans().map(({ axis }, i) => {
    const entry = axisOf(axis);
    return `${entry.title.toLowerCase()} ${quantity(values[i], entry.unit, 4)}`;
  });
  return `Set point: ${words.join(", ")}`;
}
