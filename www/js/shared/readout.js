// @ts-check
// A cross-hair on a figure, moved by the pointer or the arrow keys. It goes from one row of the figure's table to the
// next along the axis and shows the numbers of that row.

import { el } from "app/shared/dom";
import { quantity } from "app/shared/numbers";

/** @type {Record<string, number>} */
const STEPS = { ArrowLeft: -1, ArrowRight: 1 };
// Least movement of a key, as a share of the axis, and the greatest number of rows that are shown.
const [STRIDE, LEAP, MOST] = [0.01, 0.1, 6];
// Columns of tables of time intervals: beginning and length.
const STRETCHES = [
  ["Start", "Length"],
  ["Begins", "Lasts"],
];

/**
 * Rows of a table at one place along the axis, where `at` is a share of it.
 * @typedef {{ at: number, rows: Gatefrost.DataCell[][] }} Place
 */

export class ReadOut {
  #picture;
  #table;
  #say;
  #hair = el("span", { className: "hair", hidden: true });
  /** @type {{ columns: Gatefrost.DataColumn[], places: Place[] } | null} */
  #data = null;
  /** @type {number | null} */
  #place = null;

  /**
   * @param {import("app/shared/picture").Picture} picture
   * @param {() => Gatefrost.DataTable} table the figure's data in the units of the core; throws where there are none
   * @param {(text: string) => void} say
   */
  constructor(picture, table, say) {
    const { canvas } = picture;
    this.#picture = picture;
    this.#table = table;
    this.#say = say;
    this.root = el("div", { className: "plot" }, canvas, this.#hair);
    canvas.addEventListener("pointermove", (event) => this.#point(event));
    canvas.addEventListener("pointerleave", () => document.activeElement !== canvas && this.#show(null));
    canvas.addEventListener("blur", () => this.#show(null));
    canvas.addEventListener("keydown", (event) => this.#press(event));
  }

  // With other data the cross-hair stays where it is, if there is a row.
  renew() {
    this.#data = null;
    if (this.#place !== null) this.#show(nearest(this.#known(), this.#place));
  }

  // Puts the cross-hair at its place in the picture.
  put() {
    const { canvas, layout } = this.#picture;
    this.#hair.hidden = this.#place === null || !layout;
    if (this.#place === null || !layout) return;
    const { plot, others } = layout;
    const scale = canvas.clientWidth / canvas.width;
    const bottom = (others.at(-1) ?? plot).rect.bottom;
    const { left, right, top } = plot.rect;
    this.#hair.style.left = `${canvas.offsetLeft + (left + this.#place * (right - left)) * scale}px`;
    this.#hair.style.top = `${canvas.offsetTop + top * scale}px`;
    this.#hair.style.height = `${(bottom - top) * scale}px`;
  }

  // The places of the table's rows along the axis; an empty list if nothing has been computed yet.
  #known() {
    const { layout } = this.#picture;
    if (!layout) return [];
    try {
      this.#data ??= placesOf(this.#table(), layout.plot.x);
      return this.#data.places;
    } catch {
      return [];
    }
  }

  /** @param {Place | null | undefined} found */
  #show(found) {
    this.#place = found?.at ?? null;
    this.put();
    const columns = this.#data?.columns ?? [];
    const more = found && found.rows.length > MOST ? [`and ${found.rows.length - MOST} more in the table`] : [];
    const lines = (found?.rows ?? []).slice(0, MOST).map((row) => cells(columns, row));
    this.#say([...lines, ...more].join("  ·  "));
  }

  /** @param {PointerEvent} event */
  #point(event) {
    const [across, up] = this.#picture.place(event)?.fractions ?? [-1, -1];
    this.#show([across, up].every((f) => f >= 0 && f <= 1) ? nearest(this.#known(), across) : null);
  }

  /** @param {KeyboardEvent} event */
  #press(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const list = this.#known();
    const direction = STEPS[event.key];
    /** @type {Place | null | undefined} */
    let found = null;
    if (direction) found = this.#next(list, direction, event.shiftKey ? LEAP : STRIDE);
    else if (event.key === "Home") [found] = list;
    else if (event.key === "End") found = list.at(-1);
    else if (event.key !== "Escape") return;
    event.preventDefault();
    this.#show(found);
  }

  /**
   * The next place in a direction, at least a stride away; beyond the last place it stays there.
   * @param {Place[]} list
   * @param {number} direction
   * @param {number} stride
   */
  #next(list, direction, stride) {
    const place = this.#place;
    const ahead = list.filter(({ at }) => place === null || (at - place) * direction > 1e-9);
    const from = place ?? (direction > 0 ? 0 : 1);
    const least = place === null ? 0 : stride;
    const far = ahead.filter(({ at }) => (at - from) * direction >= least - 1e-9);
    const last = ahead.slice(direction > 0 ? -1 : 0).slice(0, 1);
    return nearest(far.length > 0 ? far : last, from) ?? nearest(list, from);
  }
}

/**
 * @param {Place[]} list
 * @param {number} where
 * @returns {Place | null}
 */
function nearest(list, where) {
  return list.reduce(
    (/** @type {Place | null} */ best, one) => (best && Math.abs(best.at - where) <= Math.abs(one.at - where) ? best : one),
    null,
  );
}

/**
 * The rows of a table by their place along an axis.
 * @param {Gatefrost.DataTable} table
 * @param {Gatefrost.AxisSpan} axis
 */
function placesOf({ columns, rows }, axis) {
  const named = (/** @type {string} */ title) => columns.findIndex((column) => column.title === title);
  const [begins, lasts] = STRETCHES.map((pair) => pair.map(named)).find(([a, b]) => a >= 0 && b >= 0) ?? [];
  const own = named(axis.title);
  const along = own >= 0 ? own : columns.findIndex((_, i) => typeof rows[0]?.[i] === "number");
  const at = (/** @type {Gatefrost.DataCell[]} */ row) => (begins === undefined ? row[along] : Number(row[begins]) + Number(row[lasts]) / 2);
  /** @type {Map<string, Gatefrost.DataCell[][]>} */
  const byPlace = new Map();
  for (const row of rows) {
    const value = at(row);
    const where = typeof value === "number" ? share(axis, value) : NaN;
    if (!(where >= -1e-9 && where <= 1 + 1e-9)) continue;
    const key = where.toPrecision(9);
    byPlace.set(key, [...(byPlace.get(key) ?? []), row]);
  }
  const places = [...byPlace].map(([key, list]) => ({ at: Number(key), rows: list })).sort((a, b) => a.at - b.at);
  return { columns, places };
}

/**
 * @param {Gatefrost.AxisSpan} axis
 * @param {number} value
 */
function share({ from, to, log }, value) {
  return log ? Math.log(value / from) / Math.log(to / from) : (value - from) / (to - from);
}

/**
 * @param {Gatefrost.DataColumn[]} columns
 * @param {Gatefrost.DataCell[]} row
 */
function cells(columns, row) {
  const words = columns.map(({ title, unit }, i) => (typeof row[i] === "number" ? `${title} ${quantity(row[i], unit, 4)}` : row[i]));
  return words.filter(Boolean).join(", ");
}
