// @ts-check
// A figure of the classroom with its table. The plot crate draws it.

import { say } from "app/classroom/say";
import { Board, told } from "app/shared/core";
import { el } from "app/shared/dom";
import { tableOf } from "app/shared/tables";

const WIDEST = 640;
const NARROWEST = 280;
const SHAPE = 0.62;
const dark = matchMedia("(prefers-color-scheme: dark)");

/** @type {Set<() => void>} */
const drawings = new Set();
dark.addEventListener("change", () => {
  for (const draw of drawings) draw();
});

/**
 * @param {Board} board
 * @param {number} width
 * @param {boolean} paper
 */
const picture = (board, width, paper) => `data:image/svg+xml,${encodeURIComponent(board.svg("", width, Math.round(SHAPE * width), { dark: dark.matches && !paper, print: paper }))}`;

/**
 * @param {Gatefrost.Chart} chart
 * @param {{ paper?: boolean }} [more] whether it is for a worksheet, which has no table
 */
export function chartOf(chart, { paper = false } = {}) {
  const board = new Board(chart);
  const image = el("img", { alt: paper ? chart.caption : say("figure-label", { caption: chart.caption }) });
  const root = el("figure", { className: "chart" }, el("figcaption", {}, chart.caption), image);
  if (paper) {
    image.src = picture(board, WIDEST, true);
    return root;
  }
  const { columns, rows } = board.table("", {});
  const cell = (/** @type {Gatefrost.DataCell} */ value) => (typeof value === "number" ? told(value, "") : value);
  const heads = columns.map(({ title, unit }) => (unit ? `${title}, ${unit}` : title));
  root.append(el("details", { className: "data" }, el("summary", {}, say("figure-data")), tableOf(chart.caption, heads, rows.map((row) => row.map(cell)))));
  const draw = () => {
    if (!root.isConnected) {
      drawings.delete(draw);
      seen.disconnect();
      board.free();
      return;
    }
    image.src = picture(board, Math.round(Math.max(NARROWEST, Math.min(WIDEST, root.clientWidth))), false);
  };
  // Its first size, and each new one.
  const seen = new ResizeObserver(draw);
  seen.observe(root);
  drawings.add(draw);
  return root;
}
