// @ts-check
// Numbers of the report, each shown once, by its path in the report.

import { byId, el, put, putAttribute, putHidden } from "app/shared/dom";
import { results } from "app/shared/results";
import { ExplainPlace, explainAgain } from "app/explain/place";
import { model, read } from "app/window/settings/model";
import { number, quantity } from "app/shared/numbers";

/** @typedef {PathOf<Gatefrost.Report>} ReportPath */

/** @type {{ path: ReportPath, words: string, unit: string, digits: number, output: HTMLOutputElement }[]} */
const outputs = [];

// The verdict is spoken after each change, and not every number.
// The numbers of a step, and the place below them in which one of them opens.
/** @param {string} step */
export function resultsOf(step) {
  const place = new ExplainPlace();
  const rows = results[step].map(([path, words, unit, digits]) => {
    const output = el("output", { dataset: { key: path }, "aria-live": "off" }, "–");
    outputs.push({ path, words, unit, digits, output });
    return el("div", { className: "result" }, el("dt", {}, words), el("dd", {}, place.number(path, output)));
  });
  const both = document.createDocumentFragment();
  both.append(el("dl", { className: "results" }, rows), place.root);
  return both;
}

// After a short shot there is no part, and so no times of hold and cooling.
/**
 * @param {Gatefrost.Report} report
 * @param {string} path
 * @param {string} unit
 */
const absent = (report, path, unit) => {
  if (report.hold === null && /^(hold|cool)\./.test(path)) return "none: short shot";
  return unit === "s" ? "never" : "none";
};

/** @param {Gatefrost.Report} report */
export function showResults(report) {
  for (const { path, words, unit, digits, output } of outputs) {
    const value = read(report, path);
    const shown = value === null || value === undefined ? absent(report, path, unit) : quantity(value, unit, digits);
    putAttribute(output, "data-value", String(value ?? ""));
    if (output.textContent === shown) continue;
    output.textContent = shown;
    output.parentElement?.setAttribute("aria-label", `${words}: ${shown}. Explain`);
  }
  explainAgain();
  known = report.after.oversize_factor ?? 0;
  put(sizeNote, sizeWords(report.after));
  putHidden(sizeNote, sizeNote.textContent === "");
}

let known = 0;
// Cavity over sintered part, as the last report has it; 0 where it is not known.
export const oversize = () => known;

// Remarks on the size of the cavity.
export const sizeNote = el("p", { id: "size-note" });

/** @param {Gatefrost.AfterReport} after */
export function sizeWords({ no_size: reason, parts, limits_not_met: missed }) {
  if (reason) return `The size of the cavity cannot be computed. ${reason}`;
  const each = parts.map(({ name, oversize_factor: factor }) => `${name} ${number(factor, 6)}`);
  return [
    each.length > 0 && `Oversize factor of each part: ${each.join(", ")}.`,
    missed.length > 0 && `Limits that are not met here: ${missed.join(", ")}. The size is that of the part as it comes out nevertheless.`,
  ].filter(Boolean).join(" ");
}

// Says at the head of the page where the flow constants come from.
export function showProvenance() {
  const { provenance } = model.scenario.feedstock;
  const note = byId("provenance");
  const words = provenance ? `Flow constants: ${provenance}` : "";
  put(note, words);
  putAttribute(note, "title", words);
}
