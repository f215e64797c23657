// @ts-check
// Which two settings span the window, and how far.

import { axes, moves, set_point } from "app/shared/core";
import { el, numberInput, put, putAttribute } from "app/shared/dom";
import { idOf, plain } from "app/window/settings/fields";
import { model } from "app/window/settings/model";
import { doubtful, shownUnit, toEdge, units } from "app/shared/units";

/** @type {Gatefrost.AxisEntry[] | null} */
let entries = null;
const known = () => (entries ??= axes());

/** @param {Gatefrost.Axis} name */
export function axisOf(name) {
  const found = known().find((axis) => axis.axis === name);
  if (!found) throw new Error(`${name} spans no window`);
  return found;
}

// Every number that moving the set point in the plane changes.
export const axisPaths = () => moves(model.text(), 1, 1).map(([path]) => path);

/** @param {HTMLElement} root */
export function buildPlane(root) {
  const sides = [side("x", "Horizontal axis"), side("y", "Vertical axis")];
  root.append(...sides.map((s) => s.root));
  const show = () => sides.forEach((s) => s.show());
  model.addEventListener("replaced", show);
  model.addEventListener("changed", show);
  units.addEventListener("changed", show);
  show();
}

/**
 * @param {"x" | "y"} name
 * @param {string} words
 */
function side(name, words) {
  const path = (/** @type {string} */ field) => `window.${name}.${field}`;
  const axis = el(
    "select",
    { id: idOf(path("axis")), onchange: () => choose(name, chosen()) },
    known().map((choice) => el("option", { value: choice.axis }, choice.title)),
  );
  const chosen = () => /** @type {Gatefrost.Axis} */ (axis.value);
  const ends = ["from", "to"].map((end) => {
    const input = numberInput({
      id: idOf(path(end)),
      "aria-describedby": "plane-error",
      oninput: () => takeEnd(path(end), input, axisOf(chosen()).unit),
      onblur: () => show(),
    });
    return { end, input };
  });
  const unit = el("span", { className: "unit" });
  const root = el(
    "fieldset",
    {},
    el("legend", {}, words),
    el("label", { className: "hidden", htmlFor: axis.id }, `Setting, ${words.toLowerCase()}`),
    axis,
    ends.map(({ end, input }) => el("label", { htmlFor: input.id }, `${end} `, input)),
    unit,
  );
  const show = () => {
    const name = model.get(path("axis"));
    if (axis.value !== name) axis.value = name;
    put(unit, shownUnit(axisOf(chosen()).unit));
    for (const { end, input } of ends) {
      const refused = model.refused.has(path(end));
      putAttribute(input, "aria-invalid", String(refused));
      const words = plain(model.get(path(end)), axisOf(chosen()).unit);
      if (document.activeElement !== input && !refused && input.value !== words) input.value = words;
    }
  };
  return { root, show };
}

// Only reads the number. The core checks the range together with the whole plane.
/**
 * @param {string} path
 * @param {HTMLInputElement} input
 * @param {string} unit
 */
function takeEnd(path, input, unit) {
  const value = Number(input.value.trim().replace(",", "."));
  const doubt = doubtful(input.value);
  if (doubt) {
    model.refuse(path, doubt);
  } else if (input.value.trim() === "" || !Number.isFinite(value)) {
    model.refuse(path, `“${input.value.trim()}” is not a number`);
  } else {
    model.set(path, toEdge(value, unit));
  }
}

// The flow rate is set by the injection time.
const moved = (/** @type {Gatefrost.Axis} */ axis) => (axis === "flow_rate" ? "injection_time" : axis);

// A setting that is put on an axis gets a range around its present value. If it is on the other axis already, the two
// axes change places.
/**
 * @param {"x" | "y"} side
 * @param {Gatefrost.Axis} wanted
 */
function choose(side, wanted) {
  const other = side === "x" ? "y" : "x";
  model.restructure("window", ({ window }) => {
    const [leaving, there] = [window[side], window[other]];
    for (const span of [leaving, there]) keepRange(span);
    if (moved(there.axis) === moved(wanted)) window[other] = leaving;
    window[side] = there.axis === wanted ? there : { axis: wanted, ...rangeAbout(wanted) };
  });
}

/** @type {Map<Gatefrost.Axis, Gatefrost.Span>} */
const kept = new Map();

// Remembers a range for when its setting is on an axis again.
/** @param {Gatefrost.Span} span */
export const keepRange = (span) => kept.set(span.axis, span);

// The range of a setting that is on an axis, otherwise one around its value.
/**
 * @param {Gatefrost.Axis} axis
 * @returns {Gatefrost.Span}
 */
export function spanOf(axis) {
  const { x, y } = model.scenario.window;
  return [x, y].find((span) => span.axis === axis) ?? { axis, ...rangeAbout(axis) };
}

// Value of a setting, by its path.
/** @param {Gatefrost.Axis} axis */
function valueOf(axis) {
  const [value] = set_point(JSON.stringify({ ...model.scenario, window: { ...model.scenario.window, x: { axis, from: 0, to: 1 } } }));
  return value;
}

/** @param {Gatefrost.Axis} name */
function rangeAbout(name) {
  let { logarithmic, min, max } = axisOf(name);
  const before = kept.get(name);
  const value = valueOf(name) ?? 0;
  if (before && value > before.from && value < before.to) return { from: before.from, to: before.to };
  if (name === "flow_rate") {
    // The range of the injection times, as rates.
    const volume = value * model.get("setup.injection_time");
    const times = axisOf("injection_time");
    [min, max] = [volume / times.max, volume / times.min];
  }
  const within = (/** @type {number} */ v) => Math.min(max, Math.max(min, Number(v.toPrecision(3))));
  if (logarithmic) {
    // A time of nothing has no place on such an axis.
    const middle = value > 0 ? value : 1;
    return { from: within(middle / 10), to: within(middle * 10) };
  }
  return lineRange(name, value, within);
}

// Ends of the axis for which every corner can be computed: loading below critical, mould colder than the melt, hold
// pressure within that of the machine.
/**
 * @param {Gatefrost.Axis} name
 * @param {number} value
 * @param {(end: number) => number} within
 */
function lineRange(name, value, within) {
  const { feedstock, machine, setup } = model.scenario;
  /** @type {{ [Name in Gatefrost.Axis]?: [number, number] }} */
  const rooms = {
    melt_temperature: [Math.max(feedstock.no_flow_temperature + 10, setup.mould_temperature), value + 55],
    mould_temperature: [value - 25, Math.min(value + 25, setup.melt_temperature)],
    hold_pressure: [0, Math.min(Math.max(value * 2, 10), machine.max_pressure)],
    solids_loading: [value - 10, Math.min(value + 5, feedstock.critical_loading - 1)],
    gate_depth: [value / 2.5, value * 2.5],
    wall_thickness: [value / 1.5, value * 1.5],
  };
  const room = rooms[name] ?? [value / 2, value * 2];
  return { from: within(room[0]), to: within(room[1]) };
}
