// What hold and cooling bring, gate by gate and end by end, and why a gate freezes when it does.

import { el } from "app/shared/dom";
import { read } from "app/window/settings/model";
import { quantity } from "app/shared/numbers";
import { resultsOf } from "app/window/results/results";

const DEGREES = ["°C", 4];
const SECONDS = ["s", 3];
const PRESSURE = ["MPa", 3, "none"];

// Headings with the path below each row's own, unit, digits and the word for what is absent ("never" where none is
// given); the first column is the row's name.
const GATES = [
  ["Gate", "name"],
  ["frozen after", "freeze_s", SECONDS],
  ["centre at no-flow after", "centre_freeze_s", SECONDS],
  ["by hand, mean", "hand_mean_s", SECONDS],
  ["by hand, centre", "hand_centre_s", SECONDS],
];
const CAUSES = [
  ["Gate", "name"],
  ["as computed", "freeze_s", SECONDS],
  ["without creeping melt", "without_creep_s", SECONDS],
  ["nor latent heat", "without_latent_s", SECONDS],
  ["and with perfect contact", "perfect_contact_s", SECONDS],
  ["by hand, mean", "hand_mean_s", SECONDS],
];
const ENDS = [
  ["End of flow", "name"],
  ["sealed by", "gate"],
  ["after", "sealed_after_s", SECONDS],
  ["pressure then", "sealed_pressure_mpa", PRESSURE],
  ["shrinkage by volume", "shrinkage_percent", ["%", 3]],
];
const WELDS = [
  ["Weld line in", "passage"],
  ["from its beginning", "from_start_mm", ["mm", 3]],
  ["fronts met after", "time_s", SECONDS],
  ["one front", "front_temperatures_c.0", DEGREES],
  ["the other", "front_temperatures_c.1", DEGREES],
  ["greatest pressure, holding", "pressure_mpa", PRESSURE],
  ["pressure when it set", "pressure_when_set_mpa", PRESSURE],
];

const REASONS = [
  ["Creeping melt", "As the cavity cools and shrinks, hot melt creeps in through the gate and keeps it warm. The hand formula knows no flow."],
  ["Latent heat", "The binder gives up heat as it sets, and that has to leave through the wall too. The hand formula knows only the heat capacity."],
  ["Wall contact", "Between melt and steel lies a resistance, the contact conductance. The hand formula takes the wall’s temperature for the melt’s."],
  ["What is left", "The formula begins with a gate at melt temperature throughout and ends when its mean is at the no-flow temperature. The computed gate has a cold skin from the fill, or heat from shear, and counts as frozen when it lets through a thousandth of what it did at the end of filling."],
];

const tables = {};

function table(name, title, columns, note) {
  const body = el("tbody");
  const grid = el(
    "table",
    { className: "readings" },
    el("caption", {}, title),
    el("thead", {}, el("tr", {}, columns.map(([words]) => el("th", { scope: "col" }, words)))),
    body,
  );
  const box = el("div", { className: "scroll", tabIndex: 0, role: "region", "aria-label": title }, grid);
  const root = el("div", { className: "finding", id: `finding-${name}` }, box, note);
  tables[name] = { root, body, columns };
  return root;
}

function fill(name, path, rows) {
  const { body, columns } = tables[name];
  const cell = (row, index) => ([title, field, as], column) => {
    const value = read(row, field);
    const key = `${path}.${index}.${field}`;
    if (column === 0) return el("th", { scope: "row" }, value);
    if (!as) return el("td", { dataset: { title } }, value);
    const [unit, digits, none = "never"] = as;
    const words = typeof value === "number" ? quantity(value, unit, digits) : none;
    return el("td", { dataset: { key, value: value ?? "", title } }, words);
  };
  body.replaceChildren(...rows.map((row, index) => el("tr", {}, columns.map(cell(row, index)))));
}

const order = el("p", { id: "fill-order" });
const governed = el("p", { id: "governed-by" });

export function buildFindings(root) {
  const reasons = REASONS.map(([words, why]) => [el("dt", {}, words), el("dd", {}, why)]);
  root.append(
    el("div", { className: "finding" }, resultsOf("hold"), order, governed),
    table("gates", "Gate freeze, from the end of filling", GATES),
    table(
      "causes",
      "Why it is not the hand formula’s time: one cause after the other taken away",
      CAUSES,
      el("details", { className: "more" }, el("summary", {}, "What each step leaves out"), el("dl", { className: "reasons" }, reasons.flat())),
    ),
    table("ends", "Where the parts are sealed, the one that shrinks most first", ENDS),
    table("welds", "Weld lines", WELDS),
  );
}

export function showFindings({ fill: { paths, weld_lines: welds }, hold, cool }) {
  fill("gates", "hold.gates", hold?.gates ?? []);
  fill("ends", "hold.ends", hold?.ends ?? []);
  fill("welds", "fill.weld_lines", welds);
  for (const name of ["gates", "causes", "ends"]) tables[name].root.hidden = !hold;
  tables.welds.root.hidden = welds.length === 0;
  const [first, last] = [paths.at(-1), paths[0]];
  const full = (path) => `${path.end} (${quantity(path.filled_after_s, ...SECONDS)})`;
  const known = paths.length > 1 && paths.every((path) => typeof path.filled_after_s === "number");
  order.textContent = known ? `First branch full: ${full(first)}; last: ${full(last)}.` : "";
  order.hidden = !known;
  const noCycle = `There is no cycle: ${hold ? "the part never cools enough" : "the cavity does not fill"}.`;
  governed.textContent = cool.governed_by ? `The cycle is governed by ${cool.governed_by}.` : noCycle;
}

// The study of another report is to come.
export const awaitStudy = () => tables.causes.root.classList.add("waiting");

export function showStudy(gates) {
  fill("causes", "study.gates", gates);
  tables.causes.root.classList.remove("waiting");
}
