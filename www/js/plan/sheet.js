// @ts-check
// The plan on one page, to print and to work by.

import { sheetTable } from "app/plan/rows";
import { byId, el, whenQuiet } from "app/shared/dom";
import { list } from "app/shared/tables";
import { restate } from "app/shared/units";
import { code } from "app/window/results/toolmaker-code";

// The link as a code. It is drawn once nothing has changed for a while.
const place = el("div", {});
const drawCode = whenQuiet(400, () => place.replaceChildren(code(location.href)));

/** @param {Gatefrost.WholePlan} plan */
export function showSheet({ sheet }) {
  const cautions = sheet.parts[sheet.parts.length - 1];
  byId("cautions-list", "ul").replaceChildren(...cautions.notes.map((words) => el("li", {}, words)));
  const open = sheet.open.length > 0 ? [el("div", { className: "open" }, el("h3", {}, "To settle before anybody works by this"), list(sheet.open.map(restate)))] : [];
  byId("plan-sheet", "article").replaceChildren(
    el("div", { className: "plan-head" }, el("div", {}, el("h3", { id: "plan-name" }, `Plan: ${sheet.name}`), el("p", { className: "small" }, "Made with Gatefrost. A model of a part that has not been made; read the cautions.")), place),
    ...open,
    ...sheet.parts.map(part),
  );
  drawCode();
}

/** @param {Gatefrost.SheetPart} part */
function part({ name, heads, rows, notes }) {
  return el("section", {}, el("h3", {}, name), rows.length > 0 && sheetTable(name, heads, rows), list(notes.map(restate)));
}
