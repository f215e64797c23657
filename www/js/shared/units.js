// The units in which numbers are shown and typed. The scenario, links and files keep the catalogue's.

import { restated, unit_sets, unit_table } from "app/shared/core";
import { el } from "app/shared/dom";
import { keep, recall } from "app/shared/keep";

const PLACE = "gatefrost.units";
let name = "si";
let table = new Map();

// Tells of "changed".
export const units = new EventTarget();

export const unitsInUse = () => name;

export function useUnits(wanted) {
  table = new Map(unit_table(wanted).map((entry) => [entry.edge, entry]));
  name = wanted;
  keep(() => localStorage, PLACE, wanted);
  units.dispatchEvent(new Event("changed"));
}

export function recallUnits() {
  const wanted = recall(() => localStorage, PLACE);
  if (unit_sets().some((set) => set.name === wanted)) useUnits(wanted);
}

export const isConverted = (unit) => table.has(unit);

export const shownUnit = (unit) => table.get(unit)?.unit ?? unit;

export function toShown(value, unit) {
  const entry = table.get(unit);
  return entry && typeof value === "number" ? value * entry.factor + entry.offset : value;
}

// What was typed, in the unit of the catalogue: without the tail that the conversion leaves.
export function toEdge(value, unit) {
  const entry = table.get(unit);
  return entry ? Number(((value - entry.offset) / entry.factor).toPrecision(10)) : value;
}

export const restate = (sentence) => (table.size > 0 ? restated(sentence, name) : sentence);

// The choice of units.
export function buildUnits(select) {
  select.append(...unit_sets().map((set) => el("option", { value: set.name }, set.title)));
  select.value = name;
  select.addEventListener("change", () => useUnits(select.value));
}
