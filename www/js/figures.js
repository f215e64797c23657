// The figures below the window, each with its data as a table and as files.

import { byId, download, el, fileName } from "app/dom";
import { model } from "app/model";
import { dismiss, notice } from "app/notices";
import { number } from "app/numbers";
import { Picture, style } from "app/picture";
import { Scrubber } from "app/scrubber";
import { units } from "app/units";
import { windowOptions } from "app/window";

// Name in the core, heading, whether it rests on the flow constants, what to look for.
const FIGURES = [
  ["cavity", "Cavity and melt front", true, "Unrolled along the flow; each branch hangs from its junction. A dashed line ties ends that meet, a double line is their weld."],
  ["path", "Along the way", true, "Temperature, frozen layer and pressure from the nozzle to an end of flow."],
  ["pressures", "Pressures while filling", true, "What the nozzle and the gate see as the cavity fills."],
  ["trace", "Pressures over the cycle", true, "Nozzle, behind the gate, end of flow: from the first melt to the cold part."],
  ["hold", "Hold and gate freeze", true, "Once the gate is frozen, further hold changes nothing."],
  ["mass", "Part mass against hold time", true, "The gate seal as it is found at the machine: weigh parts held for longer and longer until the mass stays."],
  ["cycle", "The cycle", false, "Where the seconds go, and what they wait for."],
  ["viscosity", "Viscosity against shear rate", true, "At the temperatures in play, with this part’s own shear rates marked."],
];
// Those that show one moment of the cycle, and those that wait for more than the report.
const SCRUBBED = ["cavity", "path"];
const LATER = { moments: [...SCRUBBED, "trace"], study: ["mass"] };

export class Figures {
  #pictures = new Map();
  #tables = new Map();
  #scrubber;
  #way = null;

  constructor(root, sheet) {
    this.#scrubber = new Scrubber(() => this.#show(SCRUBBED));
    const [scrubbed, others] = [FIGURES.slice(0, SCRUBBED.length), FIGURES.slice(SCRUBBED.length)];
    const choice = this.#wayChoice();
    root.append(
      el(
        "div",
        { id: "moment" },
        this.#scrubber.root,
        scrubbed.map((figure) => this.#figure(sheet, figure, figure[0] === "path" && choice)),
      ),
      ...others.map((figure) => this.#figure(sheet, figure)),
    );
    byId("window-foot").append(...this.#foot(sheet, "window", "Window"));
    units.addEventListener("changed", () => this.#tables.forEach((fill) => fill()));
  }

  // A report is there. What waits for more stays as it is, dimmed, once it has been drawn.
  refresh(report) {
    this.#fitTo(report);
    const later = new Set(Object.values(LATER).flat());
    const first = (name) => SCRUBBED.includes(name) && !this.#scrubber.known;
    this.#show([...this.#pictures.keys()].filter((name) => !later.has(name) || first(name)));
    for (const name of later) this.#wait(name, true);
    this.#scrubber.wait();
  }

  // The window's picture is its own; its data are here.
  windowDrawn() {
    this.#show(["window"]);
  }

  setMoments(lines) {
    this.#scrubber.take(lines);
    this.#arrived(LATER.moments);
  }

  setStudy() {
    this.#arrived(LATER.study);
  }

  // What was to come will not.
  giveUp() {
    for (const name of Object.values(LATER).flat()) this.#wait(name, false);
  }

  #arrived(names) {
    for (const name of names) this.#wait(name, false);
    this.#show(names);
  }

  #wait(name, waiting) {
    this.#pictures.get(name).canvas.closest("figure").classList.toggle("waiting", waiting);
  }

  #show(names) {
    for (const name of names) {
      this.#pictures.get(name)?.refresh();
      this.#tables.get(name)?.();
    }
  }

  // A tree needs a row for each branch, and a choice of the way to look along.
  #fitTo({ fill, hold }) {
    const rows = Math.max(fill.paths.length, hold.ends.length);
    document.documentElement.style.setProperty("--rows", Math.min(rows, 12));
    const { root, select } = this.#way;
    root.hidden = fill.paths.length < 2;
    const wanted = select.value;
    const known = fill.paths.map(({ end, index }) => [String(index), end]);
    select.replaceChildren(el("option", { value: "" }, "the last to fill"), ...known.map(([value, end]) => el("option", { value }, end)));
    select.value = known.some(([value]) => value === wanted) ? wanted : "";
  }

  #wayChoice() {
    const select = el("select", { id: "way", onchange: () => this.#show(["path"]) });
    const root = el("label", { className: "way-to", hidden: true }, "Way to ", select);
    this.#way = { root, select };
    return root;
  }

  #options(name) {
    if (name === "window") return windowOptions();
    if (!SCRUBBED.includes(name)) return {};
    const end = this.#way.select.value;
    return { moment: this.#scrubber.index, ...(end && { end: Number(end) }) };
  }

  #figure(sheet, [name, heading, rests, words], more) {
    const canvas = el("canvas", { id: `figure-${name}`, role: "img", "aria-label": `${heading}. The data are in the table below.` });
    const reading = el("p", { className: "reading" });
    const picture = new Picture(canvas, sheet, name, {
      options: () => this.#options(name),
      read: (text) => {
        reading.textContent = text;
      },
    });
    this.#pictures.set(name, picture);
    const mark = rests ? el("span", { className: "provenance" }) : null;
    return el(
      "figure",
      { dataset: { figure: name } },
      el("figcaption", {}, el("h3", {}, heading, " ", mark), el("p", { className: "lead" }, words)),
      more,
      canvas,
      reading,
      el("div", { className: "foot" }, this.#foot(sheet, name, heading)),
    );
  }

  #foot(sheet, name, heading) {
    return [el("div", { className: "row files" }, this.#files(sheet, name, heading)), this.#table(sheet, name, heading)];
  }

  #files(sheet, name, heading) {
    const options = () => ({ ...style(1), dark: false, title: true, ...this.#options(name) });
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
        show(table, sheet.table(name, this.#options(name)));
      } catch (error) {
        table.replaceChildren(el("caption", {}, `No data: ${error}`));
      }
    };
    details.addEventListener("toggle", fill);
    this.#tables.set(name, fill);
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
