// @ts-check
// The limits as a list: those that are not met first, then by margin. The set point in words.

import { byId, put, putHidden } from "app/shared/dom";
import { fillDetails, fillRow, limitRow } from "app/window/results/limit-row";

/** @type {Map<Gatefrost.Limit, import("app/window/results/limit-row").Row>} */
const rows = new Map();

/**
 * @param {Gatefrost.Margin[]} margins
 * @param {boolean} moving while the set point is dragged the rows keep their places
 */
export function showMargins(margins, moving) {
  const present = new Set(margins.map(({ limit }) => limit));
  for (const [limit, { root }] of rows) {
    if (present.has(limit)) continue;
    root.remove();
    rows.delete(limit);
  }
  for (const margin of margins) {
    const row = rows.get(margin.limit) ?? limitRow(margin.limit);
    rows.set(margin.limit, row);
    fillRow(row, margin);
  }
  arrange(moving ? margins.filter(({ limit }) => !rows.get(limit)?.root.isConnected) : margins);
  const missed = broken(margins).length;
  put(byId("limits-count"), missed > 0 ? `${missed} of ${margins.length} not met` : `${margins.length} met`);
}

/**
 * What each row tells on opening.
 * @param {Gatefrost.Margin[]} margins
 * @param {string[]} sentences
 */
export function tellMargins(margins, sentences) {
  margins.forEach((margin, place) => {
    const row = rows.get(margin.limit);
    if (row) fillDetails(row, margin, sentences[place]);
  });
}

// The order of the list: what is not met first, then the least margin; last what does not apply.
/** @param {Gatefrost.Margin[]} margins */
export const inOrder = (margins) => margins.toSorted((a, b) => Number(a.ignored) - Number(b.ignored) || a.g - b.g);

/**
 * Puts rows in their order at the end of the list. A row that is moved would lose the keyboard, so it gets it back.
 * @param {Gatefrost.Margin[]} margins
 */
function arrange(margins) {
  const wanted = inOrder(margins).flatMap(({ limit }) => rows.get(limit)?.root ?? []);
  const list = byId("margin-list", "ol");
  if (wanted.length === list.children.length && wanted.every((root, place) => root === list.children[place])) return;
  const held = list.contains(document.activeElement) ? document.activeElement : null;
  list.append(...wanted);
  if (held instanceof HTMLElement) held.focus({ preventScroll: true });
}

/**
 * Opens the row of a limit and brings it into view.
 * @param {Gatefrost.Limit} limit
 * @param {{ focus?: boolean }} [more]
 */
export function openLimit(limit, { focus = false } = {}) {
  const row = rows.get(limit);
  if (!row) return;
  row.box.open = true;
  if (focus) row.box.querySelector("summary")?.focus({ preventScroll: true });
  row.root.scrollIntoView({ block: "nearest" });
}

/**
 * Says at each row whether its limit has a line in the plane.
 * @param {Gatefrost.Limit[]} lines
 */
export function markLines(lines) {
  for (const [limit, { lineless }] of rows) putHidden(lineless, lines.includes(limit));
}

// The limits that have a row, by their labels.
export const listedLimits = () => [...rows].map(([limit, { label }]) => ({ limit, label: label.textContent ?? "" }));

export const broken = (/** @type {Gatefrost.Margin[]} */ margins) => margins.filter((margin) => margin.g < 0 && !margin.ignored);

// The limits by which a fill ends in a short shot.
const SHORT = ["short_shot", "switch_over"];

/**
 * What is not met at a set point, in words. A short shot comes first, with the limit that makes it one.
 * @param {Gatefrost.Report} report
 */
export function notMet({ fill, margins }) {
  if (fill.outcome !== "short_shot") return broken(margins).map(({ label }) => label);
  const causes = margins.filter(({ g, limit }) => g < 0 && SHORT.includes(limit)).map(({ label }) => label);
  const because = causes.length > 0 ? ` (${causes.join(", ")})` : "";
  const others = broken(margins).filter(({ limit }) => !SHORT.includes(limit));
  return [`the cavity does not fill${because}`, ...others.map(({ label }) => label)];
}

// The set point in one sentence, for the line under the window and for screen readers.
/** @param {Gatefrost.Report} report */
export function verdict(report) {
  const names = notMet(report);
  if (names.length === 0) return { inside: true, words: "Inside: every limit is met." };
  return { inside: false, words: `Outside: ${names.join(", ")}.` };
}
