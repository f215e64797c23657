// Figures of the laboratory, each with its data as a table and as files.

import { download, el, fileName } from "app/dom";
import { dismiss, notice } from "app/notices";
import { number } from "app/numbers";
import { Picture, style } from "app/picture";

export function labFigure(laboratory, name, heading, words, { tall = false } = {}) {
  const canvas = el("canvas", { id: `figure-${name}`, role: "img", "aria-label": `${heading}. The data are in the table below.` });
  const reading = el("p", { className: "reading" });
  const picture = new Picture(canvas, laboratory, name, {
    read: (text) => {
      reading.textContent = text;
    },
  });
  const table = el("table");
  const fill = () => {
    if (details.open) show(table, () => laboratory.table(name));
  };
  const details = el(
    "details",
    { className: "data", ontoggle: fill },
    el("summary", {}, "Data as a table"),
    el("div", { className: "scroll", tabIndex: 0, role: "region", "aria-label": `Data: ${heading}` }, table),
  );
  const root = el(
    "figure",
    { className: tall ? "tall" : "", dataset: { figure: name } },
    el("figcaption", {}, el("h3", {}, heading), el("p", { className: "lead" }, words)),
    canvas,
    reading,
    el("div", { className: "foot" }, el("div", { className: "row files" }, files(laboratory, name, heading)), details),
  );
  return {
    root,
    refresh() {
      picture.refresh();
      fill();
    },
  };
}

function files(laboratory, name, heading) {
  const options = () => ({ ...style(1), dark: false, title: true });
  const save = (ending, type, text) => () => {
    try {
      download(fileName(heading, ending), type, text());
      dismiss("figure");
    } catch (error) {
      notice("figure", `${heading}: no file could be made.`, [String(error)]);
    }
  };
  return [
    ["SVG", save(".svg", "image/svg+xml", () => laboratory.svg(name, 900, 520, options()))],
    ["CSV", save(".csv", "text/csv", () => laboratory.csv(name))],
  ].map(([words, onclick]) =>
    el("button", { type: "button", className: "quiet", "aria-label": `${heading} as ${words}`, onclick }, words),
  );
}

function show(table, read) {
  let data = null;
  try {
    data = read();
  } catch (error) {
    table.replaceChildren(el("caption", {}, `No data: ${error}`));
    return;
  }
  const cell = (value) => (typeof value === "number" ? number(value, 5) : (value ?? ""));
  table.replaceChildren(
    el("caption", {}, data.caption),
    el("thead", {}, el("tr", {}, data.columns.map(({ title, unit }) => el("th", { scope: "col" }, unit ? `${title}, ${unit}` : title)))),
    el("tbody", {}, data.rows.map((row) => el("tr", {}, row.map((value) => el("td", {}, cell(value)))))),
  );
}
