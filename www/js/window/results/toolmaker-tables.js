// @ts-check
// The tables of the toolmaker's sheet: gates and runners, and the limits.

import { el } from "app/shared/dom";
import { difference, quantity } from "app/shared/numbers";
import { inOrder } from "app/window/results/margins";

// Greatest number of rows of passages.
const MOST_PASSAGES = 9;

/**
 * The section of a passage in words.
 * @param {Gatefrost.PassageReport} passage
 */
function size({ shape, thickness_mm: t, width_mm: w }) {
  const span = (/** @type {[number, number]} */ [a, b]) => (Math.abs(a - b) < 1e-9 ? quantity(a, "mm") : `${quantity(a, "mm")} to ${quantity(b, "mm")}`);
  if (shape === "tube") return `⌀ ${span(t)}`;
  return shape === "strip" ? `${span(t)} thick, ${span(w)} wide` : `${span(t)} thick`;
}

// The passages before the part, which the toolmaker cuts besides it.
/** @param {Gatefrost.Report} report */
export function passages({ cavity }) {
  // Passages of the same sizes share a row.
  /** @type {Map<string, Gatefrost.PassageReport[]>} */
  const alike = new Map();
  for (const p of cavity.passages.filter(({ role }) => role !== "part")) {
    const key = [p.role, size(p), quantity(p.length_mm, "mm")].join("|");
    alike.set(key, [...(alike.get(key) ?? []), p]);
  }
  const row = (/** @type {Gatefrost.PassageReport[]} */ [p, ...others]) => {
    const count = [p, ...others].reduce((sum, { copies }) => sum + copies, 0);
    const names = others.length > 1 ? `${p.name} to ${others.at(-1)?.name}` : [p, ...others].map(({ name }) => name).join(", ");
    const words = count > 1 ? `${names} (${count} ×)` : names;
    return el("tr", {}, el("th", { scope: "row" }, words), el("td", {}, p.role), el("td", {}, size(p)), el("td", {}, quantity(p.length_mm, "mm")));
  };
  const groups = [...alike.values()];
  if (groups.length === 0) return null;
  const left = groups.slice(MOST_PASSAGES).flat();
  return table("Gates and runners", ["Passage", "Role", "Section", "Length"], groups.slice(0, MOST_PASSAGES).map(row), left.length > 0 ? `and ${left.length} more: open the link` : null);
}

/** @param {Gatefrost.Report} report */
export function margins({ margins: unordered }) {
  const all = inOrder(unordered);
  const row = (/** @type {Gatefrost.Margin} */ m) =>
    el(
      "tr",
      {},
      el("th", { scope: "row" }, m.label),
      el("td", {}, quantity(m.value, m.unit)),
      el("td", {}, `${m.at_least ? "≥" : "≤"} ${quantity(m.threshold, m.unit)}`),
      el("td", {}, m.ignored ? "left out" : `${m.g >= 0 ? "" : "NOT MET by "}${difference(Math.abs(m.value - m.threshold), m.unit, 3).slice(1)}`),
    );
  const half = Math.ceil(all.length / 2);
  const columns = [all.slice(0, half), all.slice(half)];
  return el("div", { className: "sheet-margins" }, columns.map((list, i) => table(i === 0 ? "Limits at the set point" : "\u00a0", ["Limit", "Found", "Allowed", "To spare"], list.map(row))));
}

/**
 * @param {string} title
 * @param {string[]} heads
 * @param {HTMLElement[]} rows
 * @param {string | null} [note]
 */
export function table(title, heads, rows, note) {
  return el(
    "section",
    {},
    el("h3", {}, title),
    el("table", {}, el("thead", {}, el("tr", {}, heads.map((words) => el("th", { scope: "col" }, words)))), el("tbody", {}, rows)),
    note && el("p", {}, note),
  );
}
