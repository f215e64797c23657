// @ts-check
// Station 1: the named dimensions, the cavity for each, the scatter by cause, and the weights to check.

import { itemList } from "app/after/lists";
import { sizeAndTolerance } from "app/after/tolerance";
import { trial, withBand } from "app/after/trial";
import { ExplainPlace } from "app/explain/place";
import { tableOf } from "app/shared/tables";
import { figureOf } from "app/shared/figure";
import { byId, download, el, fileName } from "app/shared/dom";
import { number, quantity } from "app/shared/numbers";
import { shownUnit, toShown } from "app/shared/units";
import { choiceField, numberField, textField } from "app/window/settings/fields";
import { model } from "app/window/settings/model";
import { more } from "app/window/settings/more";

/** @type {import("app/window/settings/fields").Choices} */
const FLOWS = [["across", "across the flow"], ["along", "along the flow"]];
/** @type {import("app/window/settings/fields").Choices} */
const STANDS = [["horizontal", "lying"], ["vertical", "upright"]];

// The columns in their order, each with its unit; null for words. The cavity stands second: a narrow screen shows it without a
// swipe.
/** @type {[string, string | null, (d: Gatefrost.DimensionPlan) => string | number][]} */
const COLUMNS = [
  ["Dimension", null, (d) => d.name],
  ["Cavity", "mm", (d) => d.cavity_mm],
  ["Final", "mm", (d) => d.nominal_mm],
  ["Tolerance ±", "mm", (d) => d.tolerance_mm],
  ["Green", "mm", (d) => d.green_mm],
  ["Mean", "mm", (d) => d.mean_mm],
  ["Scatter", "mm", (d) => d.scatter_mm],
  ["Cp", "", (d) => d.cp],
  ["Cpk", "", (d) => d.cpk],
  ["Tolerance held", null, (d) => (d.capable ? "yes" : "no")],
];

export class Sizes {
  #figure;
  #table = el("div", {});
  #words = el("div", {});
  #csv = el("button", { type: "button", className: "quiet", id: "sizes-csv", onclick: () => this.#save() }, "Table as CSV");
  #place = new ExplainPlace();
  #none = el("p", { className: "said-so", role: "status" });
  #outs = byId("sizes-outs");
  /** @type {Gatefrost.SizePlan | null} */
  #sizes = null;

  /** @param {import("app/after/start").Bench} bench */
  constructor(bench) {
    this.#figure = figureOf(bench.sheet, "budget", "Scatter of a length by cause", "What the machine, the mixing and the furnace scatter, as a share of a length. Squares add up.");
    const list = itemList({ path: "sizes.dimensions", what: "dimension", most: 24, id: "add-dimension", fields: dimensionFields, fresh: (all) => ({ name: `dimension ${all.length + 1}`, size: 20, tolerance: 0.1, cavity: null, flow: "across", stands: "horizontal" }) });
    byId("sizes-ins").append(
      el("p", { className: "lead" }, "Name the dimensions that the drawing tolerances."),
      list,
      el("div", { className: "fields" }, numberField("sizes.capability")),
      more("More: directions and scatter", numberField("sizes.along_factor"), numberField("sizes.vertical_factor"), numberField("sizes.measured_filled", { empty: "by the hold" }), numberField("sizes.density_scatter"), numberField("sizes.measuring_scatter"), numberField("scatter.solids_loading"), numberField("feedstock.powder_loss")),
      measured(bench),
    );
    this.#outs.append(this.#none, this.#table, this.#place.root, el("div", { className: "row" }, this.#csv), this.#words, this.#figure.root);
  }

  /**
   * @param {Gatefrost.Plan} plan
   * @param {{ busy: boolean }} mould
   */
  show({ sizes }, { busy }) {
    this.#sizes = sizes;
    const has = sizes !== null;
    // While the mould is computed the earlier sizes keep their room but are not seen: they belong to another scenario.
    this.#outs.classList.toggle("waiting", busy);
    this.#none.textContent = busy ? "Computing the mould…" : "No size: no part of a known size comes out of the mould. The window says why.";
    this.#none.hidden = has;
    if (busy) return;
    this.#figure.root.hidden = !has;
    this.#csv.hidden = !sizes?.dimensions.length;
    const place = this.#place;
    place.refill(this.#table, ...(sizes?.dimensions.length ? [tableOf("Cavity, green and sintered size of each dimension", heads(", "), sizes.dimensions.map((d, i) => row(d, i, place)))] : []));
    place.refill(this.#words, ...(sizes ? words(sizes, place) : []));
    if (has) this.#figure.refresh();
  }

  #save() {
    const rows = this.#sizes?.dimensions.map(cells) ?? [];
    const text = [heads(" [", "]").map((head) => (typeof head === "object" ? head.words : head)), ...rows].map((row) => row.map(quoted).join(",")).join("\r\n");
    download(fileName(`${model.scenario.name} sizes`, ".csv"), "text/csv", `${text}\r\n`);
  }
}

// The heads of the columns, with the units that the reader has chosen.
/**
 * @param {string} before the unit
 * @param {string} [behind]
 */
const heads = (before, behind = "") =>
  COLUMNS.map(([words, unit]) => (unit === null ? { words } : unit ? `${words}${before}${shownUnit(unit)}${behind}` : words));

/** @param {string | number} cell */
function quoted(cell) {
  const text = String(cell);
  const safe = /^[=+\-@]/.test(text) && typeof cell === "string" ? `'${text}` : text;
  return /[",\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

/**
 * @param {string} path
 * @returns {HTMLElement[]}
 */
function dimensionFields(path) {
  return [
    textField(`${path}.name`, "Name", { most: 60 }),
    el("div", { className: "fields" }, ...sizeAndTolerance(path), numberField(`${path}.cavity`, { empty: "to be cut" })),
    el("div", { className: "pair" }, choiceField(`${path}.flow`, "In the mould", FLOWS), choiceField(`${path}.stands`, "In the furnace", STANDS)),
  ];
}

/** @param {Gatefrost.DimensionPlan} d */
const cells = (d) => COLUMNS.map(([, unit, of]) => toShown(of(d), unit ?? ""));

/**
 * @param {Gatefrost.DimensionPlan} d
 * @param {number} index
 * @param {ExplainPlace} place
 */
function row(d, index, place) {
  const [, cavity, final, tolerance, green, mean, scatter, cp, cpk, held] = cells(d);
  const to = (/** @type {unknown} */ value, digits = 5) => number(/** @type {number} */ (value), digits);
  const opens = (/** @type {string} */ name, /** @type {string} */ shown) => place.number(`plan.sizes.dimensions.${index}.${name}`, shown);
  const open = `${d.open_by_mm >= 0 ? "open" : "close"} by ${to(toShown(Math.abs(d.open_by_mm), "mm"), 2)}`;
  const cut = d.cut ? [" (cut; ", opens("open_by_mm", open), ")"] : [];
  return [
    d.name,
    el("span", {}, opens("cavity_mm", to(cavity)), cut),
    to(final),
    to(tolerance, 3),
    opens("green_mm", to(green)),
    opens("mean_mm", to(mean)),
    opens("scatter_mm", to(scatter, 2)),
    opens("cp", to(cp, 3)),
    opens("cpk", to(cpk, 3)),
    String(held),
  ];
}

/**
 * @param {Gatefrost.SizePlan} sizes
 * @param {ExplainPlace} place
 */
function words({ weights, weights_of_one: one, parts, spread_inside_percent: spread, loading_room: room }, place) {
  const opens = (/** @type {string} */ name, /** @type {string} */ shown) => place.number(`plan.sizes.${name}`, shown);
  const told = (/** @type {string} */ name, /** @type {Gatefrost.Weights} */ w) => {
    const of = (/** @type {keyof Gatefrost.Weights} */ which) => opens(`${name}.${which}`, quantity(w[which], "g", 4));
    return ["green ", of("green_g"), ", brown ", of("brown_g"), ", sintered ", of("sintered_g")];
  };
  const shot = parts > 1 ? [` The ${parts} parts of one shot: `, ...told("weights", weights), "."] : [];
  /** @type {(Node | string)[][]} */
  const all = [
    ["Weights to check in the shop. One part: ", ...told("weights_of_one", one), ".", ...shot, " Brown is debound: after all steps of debinding."],
    ["Ends that are packed differently make a difference of ", opens("spread_inside_percent", `${number(spread, 2)} %`), " of a length inside one part. It shows as distortion."],
  ];
  if (room) all.push(roomWords(room, opens));
  return all.map((line) => el("p", { className: "small" }, line));
}

/**
 * @param {Gatefrost.LoadingRoom} room
 * @param {(name: string, shown: string) => HTMLElement} opens
 * @returns {(Node | string)[]}
 */
function roomWords(room, opens) {
  switch (room.kind) {
    case "up_to":
      return [`“${room.dimension}” decides how much the loading may scatter: `, opens("loading_room.vol_percent", `${number(room.vol_percent, 2)} vol%`), ", with everything else as it is."];
    case "others_too_much":
      return [`“${room.dimension}” would not reach the wanted Cpk without any scatter of the loading: the other causes scatter too much.`];
    case "mean_outside":
      return [`The mean of “${room.dimension}” lies outside its tolerance. Less scatter does not help; change the cavity.`];
    default:
      return ["The loading is set to scatter by 0 vol%. How much it may scatter is not computed."];
  }
}

/** @param {import("app/after/start").Bench} bench */
function measured(bench) {
  return trial(bench, {
    id: "measured",
    title: "Fit measured parts",
    call: "fit_shrinkage",
    form: bench.forms.sizes,
    example: bench.forms.sizes_example,
    words: "The worked example is invented.",
    use: "Use these values",
    numbers: (/** @type {Gatefrost.ShrinkageFit} */ fit) => [
      ["Cavity over sintered part", ...withBand(fit.oversize_factor, 6, "")],
      ["Cavity filled by the cold green part", ...withBand(fit.filled_percent, 4, "%")],
      ["Sintered density", ...withBand(fit.density_percent, 4, "%")],
      ["Factor along the flow", ...withBand(fit.along_factor, 5, "")],
      ["Factor of an upright dimension", ...withBand(fit.vertical_factor, 5, "")],
      ["Scatter of a length", `${number(fit.scatter_percent, 2)} %`, ""],
      ...fit.next.map((cut) => /** @type {[string, string, string]} */ ([`Cut next: ${cut.name}`, quantity(cut.cavity_mm, "mm", 5), cut.open_by_mm === null ? "" : `${cut.open_by_mm >= 0 ? "open" : "close"} by ${quantity(Math.abs(cut.open_by_mm), "mm", 2)}`])),
    ],
  });
}
