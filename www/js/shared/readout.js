// A cross-hair on a figure, moved by the pointer or by the arrow keys: it goes from one row of the
// figure's table to the next along the axis, and says what stands there.

import { el } from "app/shared/dom";
import { quantity } from "app/shared/numbers";

const STEPS = { ArrowLeft: -1, ArrowRight: 1 };
// How far a key moves at least, as a share of the axis, and how many rows are read at most.
const [STRIDE, LEAP, MOST] = [0.01, 0.1, 6];
// Tables of stretches: where each begins, and how long it is.
const STRETCHES = [
  ["Start", "Length"],
  ["Begins", "Lasts"],
];

// `table()` gives the figure's data in the units of the core, or throws where there are none; `say(text)` shows what is read.
export function readOut(picture, table, say) {
  const { canvas } = picture;
  const hair = el("span", { className: "hair", hidden: true });
  const root = el("div", { className: "plot" }, canvas, hair);
  let data = null;
  let place = null;

  const axis = () => picture.layout.plot.x;
  const share = (value) => {
    const { from, to, log } = axis();
    return log ? Math.log(value / from) / Math.log(to / from) : (value - from) / (to - from);
  };
  // The places of the table along the axis, each with its rows.
  const places = () => {
    if (data) return data.places;
    const { columns, rows } = table();
    const named = (title) => columns.findIndex((column) => column.title === title);
    const [begins, lasts] = STRETCHES.map((pair) => pair.map(named)).find(([a, b]) => a >= 0 && b >= 0) ?? [];
    const own = named(axis().title);
    const along = own >= 0 ? own : columns.findIndex((_, i) => typeof rows[0]?.[i] === "number");
    const at = (row) => (begins === undefined ? row[along] : row[begins] + row[lasts] / 2);
    const byPlace = new Map();
    for (const row of rows) {
      const where = typeof at(row) === "number" ? share(at(row)) : NaN;
      if (!(where >= -1e-9 && where <= 1 + 1e-9)) continue;
      const key = where.toPrecision(9);
      byPlace.set(key, [...(byPlace.get(key) ?? []), row]);
    }
    const found = [...byPlace].map(([key, list]) => ({ at: Number(key), rows: list })).sort((a, b) => a.at - b.at);
    data = { columns, places: found };
    return found;
  };
  const cells = (row) =>
    data.columns
      .map(({ title, unit }, i) => {
        const value = row[i];
        if (typeof value !== "number") return value;
        return `${title} ${quantity(value, unit, 4)}`;
      })
      .filter(Boolean)
      .join(", ");

  const put = () => {
    hair.hidden = place === null || !picture.layout;
    if (hair.hidden) return;
    const { plot, others } = picture.layout;
    const scale = canvas.clientWidth / canvas.width;
    const bottom = (others.at(-1) ?? plot).rect.bottom;
    const { left, right, top } = plot.rect;
    hair.style.left = `${canvas.offsetLeft + (left + place * (right - left)) * scale}px`;
    hair.style.top = `${canvas.offsetTop + top * scale}px`;
    hair.style.height = `${(bottom - top) * scale}px`;
  };
  const show = (found) => {
    place = found?.at ?? null;
    put();
    const more = found && found.rows.length > MOST ? `and ${found.rows.length - MOST} more in the table` : null;
    say(found ? [...found.rows.slice(0, MOST).map(cells), more].filter(Boolean).join("  ·  ") : "");
  };
  const known = () => {
    try {
      return picture.layout ? places() : [];
    } catch {
      // Nothing has been computed yet.
      return [];
    }
  };
  const nearest = (list, where) =>
    list.reduce((best, one) => (best && Math.abs(best.at - where) <= Math.abs(one.at - where) ? best : one), null);

  canvas.addEventListener("pointermove", (event) => {
    const pointed = picture.place(event);
    const [across, up] = pointed?.fractions ?? [-1, -1];
    show([across, up].every((f) => f >= 0 && f <= 1) ? nearest(known(), across) : null);
  });
  canvas.addEventListener("pointerleave", () => document.activeElement !== canvas && show(null));
  canvas.addEventListener("blur", () => show(null));
  canvas.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const list = known();
    const direction = STEPS[event.key];
    let found = null;
    if (direction) {
      const ahead = list.filter(({ at }) => place === null || (at - place) * direction > 1e-9);
      const from = place ?? (direction > 0 ? 0 : 1);
      const least = place === null ? 0 : event.shiftKey ? LEAP : STRIDE;
      const far = ahead.filter(({ at }) => (at - from) * direction >= least - 1e-9);
      // Beyond the last place it stays there.
      found = nearest(far.length > 0 ? far : ahead.slice(direction > 0 ? -1 : 0).slice(0, 1), from) ?? nearest(list, from);
    } else if (event.key === "Home") [found] = list;
    else if (event.key === "End") found = list.at(-1);
    else if (event.key !== "Escape") return;
    event.preventDefault();
    show(found ?? null);
  });
  return {
    root,
    put,
    // Other data: the cross-hair stays where it is, if it still has something to say there.
    renew() {
      data = null;
      if (place !== null) show(nearest(known(), place));
    },
  };
}
