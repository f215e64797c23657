// Another scenario beside the present one: pinned, laid over its window, and compared with it.

import { differences, read_json } from "app/shared/core";
import { byId, el } from "app/shared/dom";
import { keep, recall } from "app/shared/keep";
import { model } from "app/window/settings/model";
import { dismiss, inWords, notice, reasons } from "app/shared/notices";
import { number, quantity, signed } from "app/shared/numbers";

const PLACE = "gatefrost.pinned";
const MOST_CHARACTERS = 1 << 20;
const MOST_ROWS = 60;
const storage = () => sessionStorage;

let pinned = null;
// Why the pinned scenario cannot be shown in the present plane.
let refused = [];

// The pinned scenario in the present one's plane, as text; null where nothing is pinned.
export const besideText = () => (pinned ? JSON.stringify({ ...pinned, name: pinnedName(), window: model.scenario.window }) : null);

// Told apart from the present one where only a number differs.
const pinnedName = () => (pinned.name === model.scenario.name ? `${pinned.name.slice(0, 110)} (pinned)` : pinned.name);

export function buildBeside(sheet, { ask, redraw }) {
  const said = byId("pin-said");
  const table = byId("beside");
  let margins = [];

  const change = (scenario) => {
    pinned = scenario;
    refused = [];
    sheet.set_beside(undefined);
    keep(storage, PLACE, scenario && JSON.stringify(scenario));
    byId("unpin").hidden = !scenario;
    said.textContent = scenario ? `Pinned: ${scenario.name}. What you change from now on is compared with it.` : "Nothing is pinned.";
    show();
    redraw();
    ask();
  };
  byId("pin").addEventListener("click", () => {
    const problems = model.problems();
    dismiss("pin");
    if (problems.length > 0) notice("pin", "The scenario can be pinned when these are corrected:", problems.map(inWords));
    else change(structuredClone(model.scenario));
  });
  byId("unpin").addEventListener("click", () => {
    change(null);
    byId("pin").focus();
  });

  function show() {
    table.hidden = !pinned;
    if (!pinned) return table.replaceChildren();
    const compared = sheet.compared();
    const why = refused.length > 0 ? [el("p", { className: "error" }, `${pinned.name} cannot be shown in this plane:`), el("ul", {}, refused.map((words) => el("li", {}, words)))] : [];
    const waiting = !compared && refused.length === 0 && el("p", { className: "small" }, "Its window is computed when you pause.");
    table.replaceChildren(...[...why, waiting, compared && windows(compared, margins), changes()].filter(Boolean));
  }

  restore(change);
  return {
    // The answer of the core: the pinned window, or what is wrong with it in this plane.
    take({ bytes, problems }) {
      refused = (problems ?? []).map(inWords);
      sheet.set_beside(problems ? undefined : bytes);
      show();
      redraw();
    },
    // The present scenario has a report.
    report(report) {
      margins = report.margins;
      show();
    },
    show,
  };
}

const worst = (margins) => margins.filter((m) => !m.ignored).toSorted((a, b) => a.g - b.g);

function row(title, here, there) {
  return el(
    "tr",
    {},
    el("th", { scope: "row" }, title),
    el("td", { dataset: { title: "here" } }, here),
    el("td", { dataset: { title: "pinned" } }, there),
  );
}

function tableOf(caption, rows) {
  const heads = ["", "here", "pinned"].map((words) => (words ? el("th", { scope: "col" }, words) : el("td", {})));
  return el("table", { className: "readings" }, el("caption", {}, caption), el("thead", {}, el("tr", {}, heads)), el("tbody", {}, rows));
}

function windows({ here, there, margins }, own) {
  const share = ({ usable_share: usable }) => `${number(100 * usable, 3)} % of the plane`;
  const bounds = ({ usable_share: usable, bounded_by: by }) => by.join(", ") || (usable > 0 ? "none" : "nothing is usable");
  const of = (list, limit) => list.find((m) => m.limit === limit);
  const shown = (m) => (m ? `${signed(m.g, 2)} (${quantity(m.value, m.unit, 3)})` : "absent");
  // By the worse of the two.
  const limits = worst([...own, ...margins]).map((m) => m.limit);
  const rows = [...new Set(limits)].map((limit) => {
    const { label } = of(own, limit) ?? of(margins, limit);
    return row(label, shown(of(own, limit)), shown(of(margins, limit)));
  });
  return el(
    "div",
    {},
    el("p", { className: "small" }, "The long-dashed double line bounds its usable region. The open square is its set point."),
    tableOf(`Compared with ${pinned.name}, pinned`, [row("Usable share", share(here), share(there)), row("Bounded by", bounds(here), bounds(there))]),
    el("details", { className: "more", id: "beside-margins" }, el("summary", {}, "Margins at both set points, the worst first"), tableOf("Margin (value found)", rows)),
  );
}

function changes() {
  if (model.problems().length > 0) return null;
  const list = differences(model.text(), JSON.stringify(pinned));
  if (list.length === 0) return el("p", {}, "The pinned scenario is the same in every number.");
  const value = (v, unit) => (typeof v === "number" ? quantity(v, unit, 5) : typeof v === "boolean" ? (v ? "yes" : "no") : (v ?? "none").replaceAll("_", " "));
  const rows = list.slice(0, MOST_ROWS).map(({ title, unit, here, there }) => row(title, value(here, unit), value(there, unit)));
  return el(
    "details",
    { className: "more", id: "beside-differences", open: list.length <= 8 },
    el("summary", {}, `What differs: ${list.length === 1 ? "one entry" : `${list.length} entries`}`),
    tableOf("This and the pinned scenario", rows),
    list.length > MOST_ROWS && el("p", {}, `and ${list.length - MOST_ROWS} more`),
  );
}

// What lies in the storage is read as a file is.
function restore(change) {
  const text = recall(storage, PLACE);
  if (text === null) return;
  try {
    if (text.length > MOST_CHARACTERS) throw new Error("It is too long for a scenario.");
    change(read_json(text));
  } catch (error) {
    keep(storage, PLACE, null);
    notice("pin", "The pinned scenario could not be read. Nothing is pinned.", reasons(error));
  }
}
