// @ts-check
// A class at a glance: points by student and exercise, what often went wrong, and lines that could not be read.

import { counted, say } from "app/classroom/say";
import { download, el } from "app/shared/dom";
import { list, tableOf } from "app/shared/tables";

/**
 * @param {HTMLElement} place
 * @param {Gatefrost.Class} judged
 * @param {() => string} csv the same as a table to download
 * @param {{ name: string, title: string }[]} all the exercises
 */
export function showClass(place, { rows, common, bad }, csv, all) {
  const used = all.filter(({ name }) => rows.some((row) => row.exercise === name));
  const students = [...new Set(rows.map(({ id }) => id))];
  /** @param {Gatefrost.Row | undefined} row */
  const told = (row) => row && `${row.points}${row.solved ? ` (${say("class-solution")})` : row.hints > 0 ? ` (${counted("class-hints", row.hints)})` : ""}`;
  const cells = students.map((id) => [id, ...used.map(({ name }) => told(rows.find((row) => row.id === id && row.exercise === name)))]);
  const title = (/** @type {string} */ wanted) => all.find(({ name }) => name === wanted)?.title ?? wanted;
  const parts = [];
  if (rows.length > 0) {
    parts.push(
      tableOf(say("class-caption"), [{ words: say("class-student") }, ...used.map((one) => one.title)], cells),
      el("p", { className: "row" }, el("button", { type: "button", onclick: () => download("class.csv", "text/csv", csv()) }, say("class-download"))),
    );
  }
  if (common.length > 0) {
    parts.push(tableOf(say("class-common"), [{ words: say("class-exercise") }, { words: say("class-said") }, say("class-students")], common.map(({ exercise, feedback, students: count }) => [title(exercise), feedback, count])));
  }
  if (bad.length > 0) parts.push(el("h4", {}, say("class-bad")), list(bad.map(([line, words]) => say("class-bad-line", { line, words }))));
  place.replaceChildren(...parts);
}
