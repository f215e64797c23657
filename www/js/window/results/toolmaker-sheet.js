// @ts-check
// The content of the toolmaker's sheet.

import { el } from "app/shared/dom";
import { quantity } from "app/shared/numbers";
import { unitsInUse } from "app/shared/units";
import { windowOptions } from "app/window/canvas";
import { notMet } from "app/window/results/margins";
import { sizeWords } from "app/window/results/results";
import { code } from "app/window/results/toolmaker-code";
import { list, machine, setPoint, tool } from "app/window/results/toolmaker-lists";
import { margins, passages } from "app/window/results/toolmaker-tables";
import { afterTheMould, signed, sizes, unchanged } from "app/window/results/toolmaker-part";
import { model } from "app/window/settings/model";
import { shareWords } from "app/window/share";

export { cutFor } from "app/window/results/toolmaker-part";

// Characters of the notes that fit beside the code.
const MOST_NOTES = 360;
// Height of the figures.
const HEIGHT = 200;

/** @typedef {{ report: Gatefrost.Report, windowLine: Gatefrost.WindowLine | null }} Computed */

/**
 * @param {import("app/shared/core").Sheet} sheet
 * @param {Computed} computed
 * @param {string} base address for the code
 * @param {string} revision
 * @param {import("app/window/results/toolmaker-part").Cut} cut
 */
export function sheetParts(sheet, { report, windowLine }, base, revision, cut) {
  const scenario = model.scenario;
  const notes = scenario.notes.length > MOST_NOTES ? `${scenario.notes.slice(0, MOST_NOTES)}…` : scenario.notes;
  return [
    el(
      "header",
      {},
      el(
        "div",
        {},
        el("h2", { id: "sheet-name" }, scenario.name),
        el("p", {}, `Toolmaker’s sheet, ${new Date().toLocaleDateString(undefined, { dateStyle: "long" })}`),
        el("p", {}, `${scenario.feedstock.name}, ${quantity(scenario.feedstock.solids_loading, "vol%", 4)} powder. ${provenance(scenario)}`),
        notes && el("p", { className: "sheet-notes" }, notes),
      ),
      code(base),
    ),
    el("div", { className: "sheet-figures" }, figure(sheet, report, windowLine), section(sheet), detail(cut.gate, report)),
    el("div", { className: "sheet-lists" }, list("Set point", setPoint(scenario, report)), list("Tool", tool(scenario, report), sizeWords(report.after)), list("Machine and cycle", machine(scenario, report))),
    el("div", { className: "sheet-margins" }, sizes(cut), passages(report)),
    margins(report),
    unchanged(),
    afterTheMould(scenario),
    signed(revision),
    cautions(),
  ].filter((part) => part !== null);
}

const provenance = (/** @type {Gatefrost.Scenario} */ { feedstock }) => (feedstock.provenance ? `Flow constants: ${feedstock.provenance}.` : "");

/**
 * @param {import("app/shared/core").Sheet} sheet
 * @param {Gatefrost.Report} report
 * @param {Gatefrost.WindowLine | null} windowLine
 */
function figure(sheet, report, windowLine) {
  const svg = sheet.svg("window", 420, HEIGHT, { print: true, units: unitsInUse(), ...windowOptions() });
  const image = el("img", { src: `data:image/svg+xml,${encodeURIComponent(svg)}`, alt: "The window with its limit lines and the set point" });
  const missed = notMet(report);
  const where = missed.length > 0 ? `The set point is OUTSIDE the window: ${missed.join(", ")}.` : "The set point is inside: every limit is met.";
  return el("figure", {}, image, el("figcaption", {}, el("strong", {}, where), " ", shareWords(windowLine), " The small strokes are on the side where a limit is not met."));
}

// The cavity in section along the flow, with its thickness enlarged where that is said.
/** @param {import("app/shared/core").Sheet} sheet */
function section(sheet) {
  const svg = sheet.svg("cavity", 420, HEIGHT, { print: true, units: unitsInUse() });
  const image = el("img", { src: `data:image/svg+xml,${encodeURIComponent(svg)}`, alt: "The cavity in section along the flow" });
  return el("figure", {}, image, el("figcaption", {}, "The cavity in section along the flow, from the nozzle. The sizes stand below."));
}

// The gate with its dimension lines.
/**
 * @param {string | undefined} svg
 * @param {Gatefrost.Report} report
 */
function detail(svg, { cavity }) {
  const gates = cavity.passages.filter(({ role }) => role === "gate");
  if (!svg || gates.length === 0) return null;
  const image = el("img", { id: "sheet-gate", src: `data:image/svg+xml,${encodeURIComponent(svg)}`, alt: "The gate in section along the flow and across it, with its sizes" });
  const which = gates.length > 1 ? "The first gate" : "The gate";
  return el("figure", {}, image, el("figcaption", {}, `${which} along the flow, and below across it.`));
}

function cautions() {
  const words = [...document.querySelectorAll("#cautions li")].map((item) => item.textContent);
  return el("footer", {}, el("h3", {}, "Cautions"), el("p", {}, words.join(" ")));
}
