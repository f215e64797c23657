// @ts-check
// A class at a glance: points by student and exercise, what often went wrong, and lines that could not be read.

import { counted, say } from "app/classroom/say";
import { exercise_list } from "app/shared/core";
import { download, el } from "app/shared/dom";
import { list, tableOf } from "app/shared/tables";

/**
 * @param {HTMLElement} place
 * @param {import("app/shared/core").Desk} desk
 */
export function showClass(place, desk) {
  const { rows, common, bad } = desk.class();
  const all = exercise_list();
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
      el("p", { className: "row" }, el("button", { type: "button", onclick: () => download("class.csv", "text/csv", desk.csv()) }, say("class-download"))),
    );
  }
  if (common.length > 0) {
    parts.push(tableOf(say("class-common"), [{ words: say("class-exercise") }, { words: say("class-said") }, say("class-students")], common.map(({ exercise, feedback, students: count }) => [title(exercise), feedback, count])));
  }
  if (bad.length > 0) parts.push(el("h4", {}, say("class-bad")), list(bad.map(([line, words]) => say("class-bad-line", { line, words }))));
  place.replaceChildren(...parts);
}
