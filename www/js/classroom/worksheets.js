// @ts-check
// Worksheets to print: a sheet for each student with the exercises, with or without solutions.

import { chartOf } from "app/classroom/chart";
import { dataOf, lineOf, onlyNew, readingsOf } from "app/classroom/markup";
import { say } from "app/classroom/say";
import { exercise_list, solutions, task } from "app/shared/core";
import { byId, el } from "app/shared/dom";
import { formulaOf } from "app/shared/formulas";
import { notice } from "app/shared/notices";

// Tasks on paper at once. More take the browser's print view too long.
const MOST = 600;

/**
 * @param {string[]} students
 * @param {string[]} chosen names of exercises; none for all
 * @param {boolean} solved
 */
export function printWorksheets(students, chosen, solved) {
  const names = chosen.length > 0 ? chosen : exercise_list().map(({ name }) => name);
  if (students.length * names.length > MOST) {
    notice("desk", say("sheets-many", { count: students.length * names.length, most: MOST }));
    return;
  }
  const place = byId("worksheets", "section");
  place.replaceChildren(...students.map((id) => el("article", {}, el("h2", {}, say("sheets-id", { id })), names.map((name) => sheetOf(name, id, solved)))));
  place.hidden = false;
  document.documentElement.dataset.sheets = "true";
  addEventListener("afterprint", () => {
    place.hidden = true;
    place.replaceChildren();
    delete document.documentElement.dataset.sheets;
  }, { once: true });
  print();
}

/**
 * @param {string} name
 * @param {string} id
 * @param {boolean} solved
 */
function sheetOf(name, id, solved) {
  const shown = task({ exercise: name, id });
  const asked = shown.asked.map(({ mathml, words, unit }) => el("li", {}, formulaOf(mathml), `, ${words}`, unit && ` [${unit}]`, !solved && el("span", { className: "blank" })));
  return el(
    "section",
    { className: "sheet-task" },
    el("h3", {}, shown.listed.title),
    el("p", {}, shown.task),
    dataOf(shown.given),
    readingsOf(shown.table),
    shown.figure && chartOf(shown.figure, { paper: true }),
    el("p", {}, say("sheets-asked")),
    el("ul", {}, asked),
    solved && el("div", {}, onlyNew(solutions({ exercise: name, id })).flatMap(({ lines }) => lines.flatMap(lineOf)), shown.solved_figure && chartOf(shown.solved_figure, { paper: true })),
  );
}
