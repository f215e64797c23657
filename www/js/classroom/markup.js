// @ts-check
// Formulas of the core.

import { el } from "app/shared/dom";

// MathML comes from the core as markup. It holds letters and numbers of formulas, no text of the user.
/** @param {string} markup */
export function formulaOf(markup) {
  const parsed = new DOMParser().parseFromString(markup, "text/html").body.firstElementChild;
  return parsed ? document.importNode(parsed, true) : "";
}

// A line of a solution with the numbers put in. What may be wider than a phone scrolls by itself.
/** @param {Gatefrost.ShownLine} line */
export const lineOf = (line) => [
  el("p", { className: "small" }, line.words),
  el("div", { className: "formula", tabIndex: 0, role: "group", "aria-label": line.text }, formulaOf(line.mathml)),
  el("div", { className: "formula", tabIndex: 0, role: "group", "aria-label": line.text_with_numbers }, formulaOf(line.with_numbers)),
];

// The data of a task as a list.
/** @param {Gatefrost.Given[]} given */
export const dataOf = (given) =>
  el("dl", { className: "data" }, given.flatMap(({ mathml, words, value }) => [el("dt", {}, formulaOf(mathml), `, ${words}`), el("dd", {}, value)]));

// The readings of a task as a table.
/** @param {Gatefrost.ShownTable | null} table */
export const readingsOf = (table) =>
  table &&
  el(
    "div",
    { className: "scroll", tabIndex: 0, role: "region", "aria-label": "Readings" },
    el(
      "table",
      {},
      el("thead", {}, el("tr", {}, table.heads.map((head) => el("th", { scope: "col" }, head)))),
      el("tbody", {}, table.rows.map((row) => el("tr", {}, row.map((cell) => el("td", {}, cell))))),
    ),
  );

// Solutions without the lines that an earlier one has shown.
/** @param {Gatefrost.ShownSolution[]} parts */
export function onlyNew(parts) {
  const shown = new Set();
  const fresh = (/** @type {Gatefrost.ShownLine} */ { text, text_with_numbers: numbers }) => {
    const known = shown.has(text + numbers);
    shown.add(text + numbers);
    return !known;
  };
  return parts.map((part) => ({ ...part, lines: part.lines.filter(fresh) }));
}
