// @ts-check
// Data and solutions of a task.

import { say } from "app/classroom/say";
import { el } from "app/shared/dom";
import { formula, formulaOf } from "app/shared/formulas";
import { tableOf } from "app/shared/tables";

// A line of a solution: its formula, and the same with the numbers put in.
/** @param {Gatefrost.ShownLine} line */
export const lineOf = (line) => [
  el("p", { className: "small" }, line.words),
  formula(line.mathml, line.text),
  formula(line.with_numbers, line.text_with_numbers),
];

// The data of a task as a list.
/** @param {Gatefrost.Given[]} given */
export const dataOf = (given) =>
  el("dl", { className: "data" }, given.flatMap(({ mathml, words, value }) => [el("dt", {}, formulaOf(mathml), `, ${words}`), el("dd", {}, value)]));

// The readings of a task as a table.
/** @param {Gatefrost.ShownTable | null} table */
export const readingsOf = (table) => table && tableOf(say("exercise-readings"), table.heads, table.rows);

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
