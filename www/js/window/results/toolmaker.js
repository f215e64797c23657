// The toolmaker's sheet: what a tool is cut and a first shot is set by, on one page to print.

import { link_of, qr_code } from "app/shared/core";
import { byId, el } from "app/shared/dom";
import { keep, recall } from "app/shared/keep";
import { notMet } from "app/window/results/margins";
import { model, parameter } from "app/window/settings/model";
import { dismiss, inWords, notice } from "app/shared/notices";
import { difference, number, quantity } from "app/shared/numbers";
import { sizeWords } from "app/window/results/results";
import { units, unitsInUse } from "app/shared/units";
import { windowOptions } from "app/window/canvas";

const BASE = "gatefrost.address";
const PAPER = "gatefrost.paper";
const PAPERS = [
  ["a4", "A4"],
  ["letter", "Letter"],
];
// What a code on paper can hold, and what of the notes has room beside it.
const MOST_NOTES = 360;
const MOST_IN_CODE = 1100;
// Rows of passages that have room.
const MOST_PASSAGES = 9;
const storage = () => localStorage;

// `current()` gives {report, windowLine}, or null while nothing has been computed.
export function buildToolmaker(sheet, current) {
  const root = byId("toolmaker");
  const body = document.body;
  const hosted = /^https?:$/.test(location.protocol);
  const base = el("input", {
    type: "url",
    id: "sheet-address",
    placeholder: "https://… address of this page",
    value: recall(storage, BASE) ?? (hosted ? location.href.split("#")[0] : ""),
    oninput: () => {
      keep(storage, BASE, base.value.trim() || null);
      draw();
    },
  });
  const paper = el(
    "select",
    {
      id: "sheet-paper",
      onchange: () => {
        keep(storage, PAPER, paper.value);
        draw();
      },
    },
    PAPERS.map(([value, words]) => el("option", { value }, words)),
  );
  paper.value = PAPERS.some(([value]) => value === recall(storage, PAPER)) ? recall(storage, PAPER) : "a4";
  const page = el("article", { id: "sheet-page", "aria-labelledby": "sheet-name" });
  const back = el("button", { type: "button", id: "sheet-back", onclick: close }, "Back to the window");
  root.append(
    el(
      "div",
      { className: "sheet-tools" },
      back,
      el("button", { type: "button", id: "sheet-print", onclick: () => print() }, "Print"),
      el("label", {}, "Paper ", paper),
      el("label", { className: "sheet-address" }, "Address for the code ", base),
    ),
    page,
  );
  let shown = false;

  byId("to-sheet").addEventListener("click", () => {
    const problems = model.problems();
    const now = current();
    dismiss("sheet");
    if (problems.length > 0 || !now) {
      notice("sheet", "The sheet can be made when the scenario has been computed.", problems.map(inWords));
      return;
    }
    shown = true;
    body.classList.add("on-paper");
    root.hidden = false;
    draw();
    scrollTo(0, 0);
    back.focus();
  });
  addEventListener("keydown", (event) => event.key === "Escape" && shown && close());
  units.addEventListener("changed", () => shown && draw());

  function close() {
    shown = false;
    body.classList.remove("on-paper");
    root.hidden = true;
    byId("to-sheet").focus();
  }

  // A sheet is only ever made of what has been computed of the present scenario.
  function draw() {
    const now = current();
    if (!now) return;
    page.className = paper.value;
    page.replaceChildren(...parts(sheet, now, base.value.trim()));
  }

  // A finer window, or another scenario opened by its address, has arrived.
  return { refresh: () => shown && draw() };
}

function parts(sheet, { report, windowLine }, base) {
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
    figure(sheet, report, windowLine),
    el("div", { className: "sheet-lists" }, list("Set point", setPoint(scenario, report)), list("Tool", tool(scenario, report), sizeWords(report.after)), list("Machine and cycle", machine(scenario, report))),
    passages(report),
    margins(report),
    cautions(),
  ].filter(Boolean);
}

const provenance = ({ feedstock }) => (feedstock.provenance ? `Flow constants: ${feedstock.provenance}.` : "");

function figure(sheet, report, windowLine) {
  const height = scenarioIsLong(report) ? 260 : 330;
  const svg = sheet.svg("window", 760, height, { print: true, units: unitsInUse(), ...windowOptions() });
  const image = el("img", { src: `data:image/svg+xml,${encodeURIComponent(svg)}`, alt: "The window with its limit lines and the set point" });
  const missed = notMet(report);
  const where = missed.length > 0 ? `The set point is OUTSIDE the window: ${missed.join(", ")}.` : "The set point is inside: every limit is met.";
  const share = windowLine && `Usable: ${number(100 * windowLine.usable_share, 3)} % of this plane${windowLine.bounded_by.length > 0 ? `, bounded by ${windowLine.bounded_by.join(", ")}` : ""}.`;
  return el("figure", {}, image, el("figcaption", {}, el("strong", {}, where), " ", share, " The small strokes are on the side where a limit is not met."));
}

// Whether what else stands on the sheet needs the room.
const scenarioIsLong = ({ cavity }) => cavity.passages.length > 9 || model.scenario.setup.further_hold.length > 2;

function list(title, rows, note) {
  const known = rows.filter(([, value]) => value !== null);
  const pairs = known.flatMap(([words, value]) => [el("dt", {}, words), el("dd", {}, value)]);
  return el("section", {}, el("h3", {}, title), el("dl", {}, pairs), note && el("p", {}, note));
}

const set = (path) => {
  const { title, unit } = parameter(path);
  const value = model.get(path);
  return [title, typeof value === "number" ? quantity(value, unit, 4) : null];
};

function setPoint({ setup }, { fill }) {
  const steps = setup.further_hold.map(({ pressure, time }, i) => [`Hold step ${i + 2}`, `${quantity(pressure, "MPa")} for ${quantity(time, "s")}`]);
  return [
    set("setup.melt_temperature"),
    set("setup.mould_temperature"),
    set("setup.injection_time"),
    ["Set injection rate", quantity(fill.rate_cm3_s, "cm³/s")],
    set("setup.switch_over"),
    set("setup.hold_pressure"),
    set("setup.hold_time"),
    ...steps,
    set("setup.cooling_time"),
  ];
}

const inLength = (percent, digits) => (percent === null ? "none" : `${number(percent, digits)} %`);
// What stands in place of what only a whole part has.
const SHORT = "none: short shot";

function tool({ mould }, { cavity, hold, after, fill }) {
  const [width, depth, land] = ["vent_width", "vent_depth", "vent_land"].map((name) => quantity(mould[name], "mm"));
  return [
    ["Oversize factor", after.oversize_factor === null ? "none" : number(after.oversize_factor, 6)],
    ["Linear shrinkage in the mould", inLength(after.moulding_shrinkage_percent, 3)],
    ["Linear shrinkage in the furnace", inLength(after.sintering_shrinkage_percent, 4)],
    ["Gate freeze", hold ? (hold.gate_freeze_s === null ? "never" : quantity(hold.gate_freeze_s, "s")) : SHORT],
    ["Vents", `${width} × ${depth}`],
    ["Vent land", land],
    ["Weld lines", fill.weld_lines.length === 0 ? "none" : fill.weld_lines.map((w) => w.passage).join(", ")],
    ["Thickest section", quantity(cavity.thickest_mm, "mm")],
    ["Projected area", quantity(cavity.projected_area_cm2, "cm²")],
  ];
}

function machine({ machine: m, mould }, { fill, hold, cool, cavity, margins }) {
  const force = Math.max(fill.opening_force_kn, hold?.opening_force_kn ?? 0);
  const water = margins.find(({ limit }) => limit === "cooling_water");
  return [
    ["Nozzle pressure", `${quantity(fill.nozzle_pressure_mpa, "MPa")} of ${quantity(m.max_pressure, "MPa")}`],
    ["Opening force", `${quantity(force, "kN")}; clamp ${quantity(m.clamp_force, "kN")}`],
    ["Shot", `${quantity(cavity.volume_cm3, "cm³")} of ${quantity(m.shot_volume, "cm³")}`],
    ["Mass of the parts", hold ? quantity(hold.part_mass_g, "g", 4) : SHORT],
    ["Cycle time", cool.cycle_s === null ? (hold ? "none" : SHORT) : quantity(cool.cycle_s, "s")],
    ["Heat to the cooling water", cool.heat_w === null ? "not known" : quantity(cool.heat_w, "W")],
    ["Cooling water", quantity(mould.water_flow, parameter("mould.water_flow").unit)],
    ["Rise of the cooling water", water ? quantity(water.value, water.unit, 2) : null],
  ];
}

// Everything that melt flows through before the part: what the toolmaker cuts beside it.
function passages({ cavity }) {
  const size = ({ shape, thickness_mm: t, width_mm: w }) => {
    const span = ([a, b]) => (Math.abs(a - b) < 1e-9 ? quantity(a, "mm") : `${quantity(a, "mm")} to ${quantity(b, "mm")}`);
    if (shape === "tube") return `⌀ ${span(t)}`;
    return shape === "strip" ? `${span(t)} thick, ${span(w)} wide` : `${span(t)} thick`;
  };
  // Those that are cut alike stand in one row.
  const alike = new Map();
  for (const p of cavity.passages.filter(({ role }) => role !== "part")) {
    const key = [p.role, size(p), quantity(p.length_mm, "mm")].join("|");
    alike.set(key, [...(alike.get(key) ?? []), p]);
  }
  const row = ([p, ...others]) => {
    const count = [p, ...others].reduce((sum, { copies }) => sum + copies, 0);
    const names = others.length > 1 ? `${p.name} to ${others.at(-1).name}` : [p, ...others].map(({ name }) => name).join(", ");
    const words = count > 1 ? `${names} (${count} ×)` : names;
    return el("tr", {}, el("th", { scope: "row" }, words), el("td", {}, p.role), el("td", {}, size(p)), el("td", {}, quantity(p.length_mm, "mm")));
  };
  const groups = [...alike.values()];
  if (groups.length === 0) return null;
  const left = groups.slice(MOST_PASSAGES).flat();
  return table("Gates and runners", ["Passage", "Role", "Section", "Length"], groups.slice(0, MOST_PASSAGES).map(row), left.length > 0 ? `and ${left.length} more: open the link` : null);
}

function margins({ margins: all }) {
  const row = (m) =>
    el(
      "tr",
      {},
      el("th", { scope: "row" }, m.label),
      el("td", {}, quantity(m.value, m.unit)),
      el("td", {}, `${m.at_least ? "≥" : "≤"} ${quantity(m.threshold, m.unit)}`),
      el("td", {}, m.ignored ? "left out" : `${m.g >= 0 ? "" : "NOT MET by "}${difference(Math.abs(m.value - m.threshold), m.unit, 3).slice(1)}`),
    );
  const half = Math.ceil(all.length / 2);
  const columns = [all.slice(0, half), all.slice(half)];
  return el("div", { className: "sheet-margins" }, columns.map((list, i) => table(i === 0 ? "Limits at the set point" : "\u00a0", ["Limit", "Found", "Allowed", "To spare"], list.map(row))));
}

function table(title, heads, rows, note) {
  return el(
    "section",
    {},
    el("h3", {}, title),
    el("table", {}, el("thead", {}, el("tr", {}, heads.map((words) => el("th", { scope: "col" }, words)))), el("tbody", {}, rows)),
    note && el("p", {}, note),
  );
}

function cautions() {
  const words = [...document.querySelectorAll("#cautions li")].map((item) => item.textContent);
  return el("footer", {}, el("h3", {}, "Cautions"), el("p", {}, words.join(" ")));
}

// The link as a code for a phone. Opened from a file, the page has no address that a phone could open.
function code(base) {
  const hosted = /^https?:\/\/\S+$/.test(base);
  const held = (scenario) => {
    const fragment = link_of(JSON.stringify(scenario));
    const address = hosted ? `${base.split("#")[0]}#${fragment}` : fragment;
    return { address, found: address.length > MOST_IN_CODE ? null : qr_code(address) };
  };
  // A phone cannot read a code that is too fine; long notes are what it can do without.
  const whole = held(model.scenario);
  const { address, found } = whole.found ? whole : held({ ...model.scenario, notes: "" });
  if (!found) return el("p", { className: "sheet-code" }, "The link is too long for a code: send the link instead.");
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  // A quiet zone of four modules, as the standard asks.
  const side = found.size + 8;
  svg.setAttribute("viewBox", `-4 -4 ${side} ${side}`);
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", "Code that holds the link to this scenario");
  path.setAttribute("d", found.path);
  svg.append(path);
  svg.dataset.holds = address;
  found.free();
  const without = whole.found ? "" : " Without the notes.";
  const words = hosted ? `This scenario, to open on a phone.${without}` : `This scenario. Paste the text under “Saved”, “Open the link”, in any copy of the page.${without}`;
  return el("figure", { className: "sheet-code" }, svg, el("figcaption", {}, words));
}
