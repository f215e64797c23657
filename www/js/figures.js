// The figures below the window, each with its data as a table and as files.

import { byId, download, el, fileName } from "app/dom";
import { model } from "app/model";
import { dismiss, notice } from "app/notices";
import { number } from "app/numbers";
import { Picture, style } from "app/picture";

// Name in the core, heading, whether it rests on the flow constants, what to look for.
const FIGURES = [
  ["cavity", "Cavity and melt front", true, "Unrolled along the flow. Slide to follow the front."],
  ["viscosity", "Viscosity against shear rate", true, "At the temperatures in play, with this part’s own shear rates marked."],
  ["pressures", "Pressures while filling", true, "What the nozzle and the gate see as the cavity fills."],
  ["path", "Along the path at the end of filling", true, "Temperature and frozen layer from the nozzle to the end of flow."],
  ["hold", "Hold and gate freeze", true, "Once the gate is frozen, further hold changes nothing."],
  ["cycle", "The cycle", false, "Where the seconds go."],
];

export class Figures {
  #pictures = [];
  #tables = [];

  constructor(root, sheet) {
    for (const figure of FIGURES) root.append(this.#figure(sheet, figure));
    byId("window-foot").append(...this.#foot(sheet, "window", "Window"));
  }

  refresh() {
    for (const picture of this.#pictures) picture.refresh();
    for (const fill of this.#tables) fill();
  }

  #figure(sheet, [name, heading, rests, words]) {
    const canvas = el("canvas", { id: `figure-${name}`, role: "img", "aria-label": `${heading}. The data are in the table below.` });
    const reading = el("p", { className: "reading" });
    const scrub = name === "cavity" ? scrubber(() => picture.refresh()) : null;
    const picture = new Picture(canvas, sheet, name, {
      options: () => (scrub ? { progress: scrub.progress() } : {}),
      read: (text) => {
        reading.textContent = text;
      },
    });
    this.#pictures.push(picture);
    const mark = rests ? el("span", { className: "provenance" }) : null;
    return el(
      "figure",
      { dataset: { figure: name } },
      el("figcaption", {}, el("h3", {}, heading, " ", mark), el("p", { className: "lead" }, words)),
      canvas,
      scrub?.root,
      reading,
      el("div", { className: "foot" }, this.#foot(sheet, name, heading)),
    );
  }

  #foot(sheet, name, heading) {
    return [el("div", { className: "row files" }, this.#files(sheet, name, heading)), this.#table(sheet, name, heading)];
  }

  #files(sheet, name, heading) {
    const options = () => ({ ...style(1), dark: false, title: true });
    const title = (ending) => fileName(`${model.scenario.name} ${heading}`, ending);
    const save = (ending, type, text) => () => {
      try {
        download(title(ending), type, text());
        dismiss("figure");
      } catch (error) {
        notice("figure", `${heading}: no file could be made.`, [String(error)]);
      }
    };
    return [
      ["SVG", save(".svg", "image/svg+xml", () => sheet.svg(name, 900, name === "window" ? 640 : 480, options()))],
      ["CSV", save(".csv", "text/csv", () => sheet.csv(name, options()))],
    ].map(([words, onclick]) =>
      el("button", { type: "button", className: "quiet", "aria-label": `${heading} as ${words}`, onclick }, words),
    );
  }

  // Filled only while it is open: a table of hundreds of rows has no business in a drag.
  #table(sheet, name, heading) {
    const table = el("table");
    const details = el(
      "details",
      { className: "data" },
      el("summary", {}, "Data as a table"),
      el("div", { className: "scroll", tabIndex: 0, role: "region", "aria-label": `Data: ${heading}` }, table),
    );
    const fill = () => {
      if (!details.open) return;
      try {
        show(table, sheet.table(name, {}));
      } catch (error) {
        table.replaceChildren(el("caption", {}, `No data: ${error}`));
      }
    };
    details.addEventListener("toggle", fill);
    this.#tables.push(fill);
    return details;
  }
}

function show(table, { caption, columns, rows }) {
  const cell = (value) => (typeof value === "number" ? number(value, 5) : (value ?? ""));
  table.replaceChildren(
    el("caption", {}, caption),
    el("thead", {}, el("tr", {}, columns.map(({ title, unit }) => el("th", { scope: "col" }, unit ? `${title}, ${unit}` : title)))),
    el("tbody", {}, rows.map((row) => el("tr", {}, row.map((value) => el("td", {}, cell(value)))))),
  );
}

// How far the fill has come, as a slider; at its end the cavity is as full as it gets.
function scrubber(moved) {
  const input = el("input", { type: "range", id: "front-time", min: "0", max: "100", step: "1", value: "100", oninput: moved });
  const root = el("label", { className: "scrub" }, "Time of the fill ", input);
  return { root, progress: () => Number(input.value) / 100 };
}
