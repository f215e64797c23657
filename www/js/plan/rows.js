// @ts-check
// Tables of rows: what it is, what it is here, and what it is compared with. Where a result is behind the value, it opens.

import { el } from "app/shared/dom";
import { restate } from "app/shared/units";

// Whether a row is met, in words; nothing where there is nothing to meet.
/** @param {Gatefrost.Row} row */
const said = ({ met }) => (met === null ? "" : met ? "met" : "not met");

/**
 * A table with its caption, and with a column that says what is met if any row is judged.
 * @param {string} caption
 * @param {string[]} heads
 * @param {Gatefrost.Row[]} rows
 * @param {import("app/explain/place").ExplainPlace} [place] where values open
 */
export function rowsTable(caption, heads, rows, place) {
  const judged = rows.some((row) => row.met !== null);
  const here = (/** @type {Gatefrost.Row} */ { explains, here }) => (place && explains ? place.number(explains, restate(here)) : here);
  const cells = rows.map((row) => [row.what, here(row), row.against, ...(judged ? [said(row)] : [])]);
  return table(caption, judged ? [...heads, "Met"] : heads, cells, el("caption", {}, caption));
}

/**
 * The same for the sheet: its heading stands above it, and only what is not met is said.
 * @param {string} heading
 * @param {string[]} heads
 * @param {Gatefrost.Row[]} rows
 */
export function sheetTable(heading, heads, rows) {
  const cells = rows.map((row) => [row.what, row.met === false ? `${row.here} (not met)` : row.here, row.against]);
  return table(heading, heads, cells, false);
}

/**
 * @param {string} label
 * @param {string[]} heads
 * @param {(string | Node)[][]} rows
 * @param {HTMLElement | false} caption
 */
function table(label, heads, rows, caption) {
  const told = (/** @type {string | Node} */ cell) => (typeof cell === "string" ? restate(cell) : cell);
  const row = (/** @type {(string | Node)[]} */ [what, ...cells]) => el("tr", {}, el("th", { scope: "row" }, told(what)), cells.map((cell) => el("td", {}, told(cell))));
  return el(
    "div",
    { className: "scroll", tabIndex: 0, role: "region", "aria-label": label },
    el(
      "table",
      { className: "reasons" },
      caption,
      el("thead", {}, el("tr", {}, heads.map((head) => (head ? el("th", { scope: "col" }, head) : el("td", {}))))),
      el("tbody", {}, rows.map(row)),
    ),
  );
}
