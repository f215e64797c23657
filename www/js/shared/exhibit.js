// @ts-check
// A figure with its picture, cross-hair, table and files. `source` draws it: the sheet of the window's page, or the
// laboratory.

import { download, el, fileName } from "app/shared/dom";
import { dismiss, notice } from "app/shared/notices";
import { number } from "app/shared/numbers";
import { Picture, style } from "app/shared/picture";
import { ReadOut } from "app/shared/readout";

// Size of a file's figure in CSS pixels, and device pixels to each in a PNG.
const WIDTH = 900;
const SCALE = 3;

/**
 * @typedef {object} Source
 * @property {(canvas: HTMLCanvasElement, figure: string, options: Partial<Gatefrost.Options>) => Gatefrost.Layout} draw
 * @property {(figure: string, width: number, height: number, options: Partial<Gatefrost.Options>) => string} svg
 * @property {(figure: string, options: Partial<Gatefrost.Options>) => Gatefrost.DataTable} table
 * @property {(figure: string, options: Partial<Gatefrost.Options>) => string} csv
 */
/**
 * @typedef {object} Belongings
 * @property {() => Partial<Gatefrost.Options>} [options] what the figure needs beside its data
 * @property {() => string} title what its files are called
 * @property {number} [height]
 */

/**
 * @param {Source} source
 * @param {string} name
 * @param {string} heading
 * @param {Belongings} belongings
 */
export function exhibit(source, name, heading, { options = () => ({}), title, height }) {
  const reading = el("p", { className: "reading", role: "status" });
  const canvas = el("canvas", {
    id: `figure-${name}`,
    tabIndex: 0,
    role: "application",
    "aria-roledescription": "figure",
    "aria-label": `${heading}. Left and right arrow keys read its values; all of them are in the table below.`,
  });
  const picture = new Picture(canvas, source, name, { options, painted: () => hair.put() });
  const read = () => source.table(name, options());
  const hair = new ReadOut(picture, read, (text) => {
    reading.textContent = text;
  });
  const below = foot(source, name, heading, { options, title, height });
  return {
    picture,
    plot: hair.root,
    reading,
    foot: el("div", { className: "foot" }, below.nodes),
    refresh() {
      picture.refresh();
      hair.renew();
      below.fill();
    },
  };
}

// Files and table of a figure, wherever its picture is.
/**
 * @param {Source} source
 * @param {string} name
 * @param {string} heading
 * @param {Belongings} belongings
 */
export function foot(source, name, heading, { options = () => ({}), title, height = 480 }) {
  const drawn = () => ({ ...style(1), dark: false, title: true, ...options() });
  const files = {
    svg: () => source.svg(name, WIDTH, height, drawn()),
    png: () => png(source, name, height, drawn()),
    csv: () => source.csv(name, drawn()),
  };
  return footOf(heading, title, files, () => source.table(name, { ...style(1), ...options() }));
}

// The same by what makes each file and the table.
/**
 * @param {string} heading
 * @param {() => string} title what the files are called
 * @param {Record<"svg" | "png" | "csv", () => BlobPart | Promise<BlobPart>>} files
 * @param {() => Gatefrost.DataTable} data
 */
export function footOf(heading, title, files, data) {
  /**
   * @param {string} ending
   * @param {string} type
   * @param {() => BlobPart | Promise<BlobPart>} content
   */
  const save = (ending, type, content) => async () => {
    try {
      download(fileName(title(), ending), type, await content());
      dismiss("figure");
    } catch (error) {
      notice("figure", `${heading}: no file could be made.`, [String(error)]);
    }
  };
  /** @type {[string, () => Promise<void>][]} */
  const kinds = [
    ["SVG", save(".svg", "image/svg+xml", files.svg)],
    ["PNG", save(".png", "image/png", files.png)],
    ["CSV", save(".csv", "text/csv", files.csv)],
  ];
  const buttons = kinds.map(([words, onclick]) =>
    el("button", { type: "button", className: "quiet", "aria-label": `${heading} as ${words}`, onclick }, words),
  );

  // Filled only while it is open, because a table of hundreds of rows would slow down a drag.
  const table = el("table");
  const details = el(
    "details",
    { className: "data", ontoggle: () => fill() },
    el("summary", {}, "Data as a table"),
    el("div", { className: "scroll", tabIndex: 0, role: "region", "aria-label": `Data: ${heading}` }, table),
  );
  const fill = () => {
    if (!details.open) return;
    try {
      show(table, data());
    } catch (error) {
      table.replaceChildren(el("caption", {}, `No data: ${error}`));
    }
  };
  return { nodes: [el("div", { className: "row files" }, buttons), details], fill };
}

// The same picture by the same function, with three device pixels for each CSS pixel.
/**
 * @param {Source} source
 * @param {string} name
 * @param {number} height
 * @param {Partial<Gatefrost.Options>} options
 * @returns {Promise<Blob>}
 */
function png(source, name, height, options) {
  const canvas = el("canvas", { width: WIDTH * SCALE, height: height * SCALE });
  source.draw(canvas, name, { ...options, scale: SCALE });
  return new Promise((done, fail) =>
    canvas.toBlob((blob) => (blob ? done(blob) : fail(new Error("this browser could not write the picture"))), "image/png"),
  );
}

// Fills a table.
/**
 * @param {HTMLTableElement} table
 * @param {Gatefrost.DataTable} data
 */
export function show(table, { caption, columns, rows }) {
  const cell = (/** @type {Gatefrost.DataCell} */ value) => (typeof value === "number" ? number(value, 5) : (value ?? ""));
  table.replaceChildren(
    el("caption", {}, caption),
    el("thead", {}, el("tr", {}, columns.map(({ title, unit }) => el("th", { scope: "col" }, unit ? `${title}, ${unit}` : title)))),
    el("tbody", {}, rows.map((row) => el("tr", {}, row.map((value) => el("td", {}, cell(value)))))),
  );
}
