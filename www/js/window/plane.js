// Which two settings span the window, and how far.

import { axes, moves, set_point } from "app/shared/core";
import { el, numberInput } from "app/shared/dom";
import { doubtful, idOf, plain } from "app/window/settings/fields";
import { model } from "app/window/settings/model";
import { shownUnit, toEdge, units } from "app/shared/units";

let known = null;

export function axisOf(name) {
  known ??= axes();
  return known.find((axis) => axis.axis === name);
}

// Every number that moving the set point in the plane changes.
export const axisPaths = () => moves(model.text(), 1, 1).map(([path]) => path);

export function buildPlane(root) {
  axisOf("");
  const sides = [side("x", "Horizontal axis"), side("y", "Vertical axis")];
  root.append(...sides.map((s) => s.root));
  const show = () => sides.forEach((s) => s.show());
  model.addEventListener("replaced", show);
  model.addEventListener("changed", show);
  units.addEventListener("changed", show);
  show();
}

function side(name, words) {
  const path = (field) => `window.${name}.${field}`;
  const axis = el(
    "select",
    { id: idOf(path("axis")), onchange: () => choose(name, axis.value) },
    known.map((choice) => el("option", { value: choice.axis }, choice.title)),
  );
  const ends = ["from", "to"].map((end) => {
    const input = numberInput({
      id: idOf(path(end)),
      "aria-describedby": "plane-error",
      oninput: () => takeEnd(path(end), input, axisOf(axis.value).unit),
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
    axis.value = model.get(path("axis"));
    unit.textContent = shownUnit(axisOf(axis.value).unit);
    for (const { end, input } of ends) {
      const refused = model.refused.has(path(end));
      input.setAttribute("aria-invalid", String(refused));
      if (document.activeElement !== input && !refused) input.value = plain(model.get(path(end)), axisOf(axis.value).unit);
    }
  };
  return { root, show };
}

// Plain reading here; the core judges the range together with the whole plane.
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

// A flow rate is an injection time.
const moved = (axis) => (axis === "flow_rate" ? "injection_time" : axis);

// A setting that comes into the window gets a range about its present value; one that is on the
// other side already changes places with it.
function choose(side, wanted) {
  const other = side === "x" ? "y" : "x";
  model.restructure("window", ({ window }) => {
    const [leaving, there] = [window[side], window[other]];
    for (const span of [leaving, there]) kept.set(span.axis, span);
    if (moved(there.axis) === moved(wanted)) window[other] = leaving;
    window[side] = there.axis === wanted ? there : { axis: wanted, ...rangeAbout(wanted) };
  });
}

const kept = new Map();

// Value of a setting, wherever it may stand.
function valueOf(axis) {
  const [value] = set_point(JSON.stringify({ ...model.scenario, window: { ...model.scenario.window, x: { axis, from: 0, to: 1 } } }));
  return value;
}

function rangeAbout(name) {
  let { logarithmic, min, max } = axisOf(name);
  const before = kept.get(name);
  const value = valueOf(name);
  if (before && value > before.from && value < before.to) return { from: before.from, to: before.to };
  if (name === "flow_rate") {
    // As far as the injection times reach.
    const volume = value * model.get("setup.injection_time");
    const times = axisOf("injection_time");
    [min, max] = [volume / times.max, volume / times.min];
  }
  const within = (v) => Math.min(max, Math.max(min, Number(v.toPrecision(3))));
  if (logarithmic) {
    // A time of nothing has no place on such an axis.
    const middle = value > 0 ? value : 1;
    return { from: within(middle / 10), to: within(middle * 10) };
  }
  return lineRange(name, value, within);
}

// Ends that keep every corner computable: below the critical loading, the mould below the melt, the
// hold within the machine's pressure.
function lineRange(name, value, within) {
  const { feedstock, machine, setup } = model.scenario;
  const room = {
    melt_temperature: [Math.max(feedstock.no_flow_temperature + 10, setup.mould_temperature), value + 55],
    mould_temperature: [value - 25, Math.min(value + 25, setup.melt_temperature)],
    hold_pressure: [0, Math.min(Math.max(value * 2, 10), machine.max_pressure)],
    solids_loading: [value - 10, Math.min(value + 5, feedstock.critical_loading - 1)],
    gate_depth: [value / 2.5, value * 2.5],
  }[name];
  return { from: within(room[0]), to: within(room[1]) };
}
