// @ts-check
// The stations before the sheet: fields of the scenario left, what comes of them right.

import { itemList } from "app/after/lists";
import { sizeAndTolerance } from "app/after/tolerance";
import { ExplainPlace } from "app/explain/place";
import { rowsTable } from "app/plan/rows";
import { torque } from "app/plan/torque";
import { machine_sizes } from "app/shared/core";
import { byId, el } from "app/shared/dom";
import { figureOf } from "app/shared/figure";
import { number } from "app/shared/numbers";
import { list, tableOf } from "app/shared/tables";
import { restate } from "app/shared/units";
import { numberField, textField } from "app/window/settings/fields";
import { model } from "app/window/settings/model";
import { more } from "app/window/settings/more";

const plan = (/** @type {string[]} */ ...names) => names.map((name) => numberField(`plan.${name}`, { empty: "not stated" }));
const fields = (/** @type {string[]} */ ...names) => el("div", { className: "fields" }, plan(...names));
const WAITING = "The moulding is being computed, or cannot be: the window says why.";
const HEADS = ["", "Here", "Usual, allowed or needed"];

/** @typedef {{ show(plan: Gatefrost.WholePlan): void }} Station */

/**
 * @param {import("app/shared/exhibit").Source} sheet
 * @returns {Station}
 */
export function route(sheet) {
  const figure = figureOf(sheet, "compact", "Pressure along the compact", "Friction at the die wall takes up the pressure of the punch. Where less pressure is left, the compact is less dense and shrinks more.", { tall: true });
  const tables = el("div", {});
  byId("route-ins").append(
    el("p", { className: "lead" }, "What is asked of the part. Material, walls and runners are set under Moulding."),
    itemList({ path: "sizes.dimensions", what: "dimension", most: 24, id: "add-dimension", fields: dimension, fresh: (all) => ({ name: `dimension ${all.length + 1}`, size: 20, tolerance: 0.1, cavity: null, flow: "across", stands: "horizontal" }) }),
    fields("pieces", "undercuts"),
    el("h3", {}, "If it were pressed"),
    fields("pressed_height", "pressed_width"),
    more("More: friction and density in the die", plan("wall_friction", "pressed_density", "density_slope")),
  );
  const place = new ExplainPlace();
  byId("route-outs").append(tables, place.root, figure.root);
  return {
    show({ route: { routes, compact } }) {
      place.refill(
        tables,
        ...routes.map(({ name, shape, pieces, tolerance, reasons }) =>
          rowsTable(`${name}: ${shape}; ${pieces}; ${tolerance} (from memory)`, ["Reason", "This part", "Usual"], reasons, place),
        ),
      );
      figure.root.hidden = !compact;
      if (compact) figure.refresh();
    },
  };
}

/** @param {string} path */
const dimension = (path) => [
  textField(`${path}.name`, "Name", { most: 60 }),
  el("div", { className: "fields" }, ...sizeAndTolerance(path)),
];

/** @returns {Station} */
export function machine() {
  const outs = el("div", {});
  const sizes = machine_sizes();
  const choice = el(
    "select",
    { id: "machine-size" },
    el("option", { value: "" }, "a size to begin with"),
    sizes.map(({ name }, index) => el("option", { value: String(index) }, name)),
  );
  choice.addEventListener("change", () => {
    const size = sizes[Number(choice.value)];
    if (choice.value !== "" && size) model.replace(withMachine(size));
    choice.value = "";
  });
  byId("machine-ins").append(
    el("div", { className: "field" }, el("label", { htmlFor: "machine-size" }, "Generic sizes, of no maker"), choice),
    el("div", { className: "fields" }, ["max_pressure", "clamp_force", "shot_volume", "max_rate", "dosing_rate"].map((name) => numberField(`machine.${name}`))),
    fields("screw_diameter", "screw_length"),
    more("More: cushion and reserves", plan("cushion"), numberField("machine.barrel_shots"), numberField("machine.idle_time"), numberField("limits.clamp_use"), numberField("limits.pressure_use")),
  );
  const place = new ExplainPlace();
  byId("machine-outs").append(outs, place.root);
  return {
    show({ machine: found }) {
      if (!found) return outs.replaceChildren(el("p", { className: "said-so" }, WAITING));
      const enough = found.enough.length > 0 ? `Generic sizes that meet clamp, shot, rate and pressure: ${found.enough.join("; ")}.` : "No generic size of the list meets clamp, shot, rate and pressure together.";
      place.refill(outs, el("p", {}, restate(found.kind)), rowsTable("What the cycle asks", HEADS, found.demands, place), el("p", { className: "small" }, enough));
    },
  };
}

/** @param {Gatefrost.MachineSize} size */
function withMachine(size) {
  const scenario = structuredClone(model.scenario);
  Object.assign(scenario.machine, { max_pressure: size.pressure_mpa, clamp_force: size.clamp_kn, shot_volume: size.shot_cm3, max_rate: size.rate_cm3_s, dosing_rate: size.plasticising_cm3_s });
  Object.assign(scenario.plan, { screw_diameter: size.diameter_mm, screw_length: size.screw_length });
  return scenario;
}

/** @returns {Station} */
export function mould() {
  const outs = el("div", {});
  byId("mould-ins").append(
    el("div", { className: "fields" }, ["coolant_temperature", "water_flow"].map((name) => numberField(`mould.${name}`, { empty: "not stated" })), numberField("setup.mould_temperature")),
    more("More: drillings and vents", ["circuits", "drilling_bore", "drilling_pitch", "drilling_depth", "drilling_length", "vent_width", "vent_depth", "vent_land"].map((name) => numberField(`mould.${name}`))),
    el("h3", {}, "Cores and ejection"),
    fields("core_radius", "core_length", "draft", "pins", "pin_diameter"),
    more("More: the green part", plan("core_wall", "cores", "contraction", "green_modulus", "ejection_friction", "green_strength")),
  );
  const place = new ExplainPlace();
  byId("mould-outs").append(outs, place.root);
  return {
    show({ mould: found }) {
      if (!found) return outs.replaceChildren(el("p", { className: "said-so" }, WAITING));
      /** @type {[string, Gatefrost.Row[]][]} */
      const all = [["Coolant and steel", found.cooling], ["Vents", found.vents], ["Cores and pins", found.ejection], ["Hot sprue", found.hot_sprue]];
      place.refill(outs, ...all.filter(([, rows]) => rows.length > 0).map(([caption, rows]) => rowsTable(caption, HEADS, rows, place)), list(found.left_out.map(restate)));
    },
  };
}

/** @returns {Station} */
export function mixing() {
  const settled = torque();
  const outs = el("div", {});
  byId("mixing-ins").append(
    el("p", { className: "lead" }, "The parts of the binder are set under Sizes, furnace."),
    fields("mixer_volume", "mixer_fill", "mixing_temperature", "mixing_time", "regrind", "torque_change"),
    settled.ins,
  );
  byId("mixing-outs").append(outs, settled.outs);
  return {
    show({ mixing: found }) {
      if (!found) return outs.replaceChildren(el("p", { className: "said-so" }, WAITING));
      const grams = (/** @type {number | null} */ mass) => (mass === null ? "–" : number(mass, 5));
      const batch = tableOf("The batch", [{ words: "Component" }, "% by mass", "Batch, g", "Fresh, g"], found.components.map((part) => [part.name, number(part.mass_percent, 4), grams(part.batch_g), grams(part.fresh_g)]));
      outs.replaceChildren(batch, rowsTable("Mixer and mixing", HEADS, found.rows), el("h3", {}, "Order of the work"), list(found.order.map(restate)), list(found.left_out));
    },
  };
}

/**
 * @param {import("app/shared/exhibit").Source} sheet
 * @returns {Station}
 */
export function cost(sheet) {
  const figure = figureOf(sheet, "cost", "Cost by cause", "For one good part, in your own currency.");
  const outs = el("div", {});
  byId("cost-ins").append(
    el("p", { className: "lead" }, "Your own prices. A price that is left out is not counted."),
    fields("feedstock_price", "machine_price", "furnace_price", "furnace_load", "finishing_price", "mould_price", "good_share", "hours"),
    el("h3", {}, "The other route"),
    fields("other_price", "other_tool"),
  );
  const place = new ExplainPlace();
  byId("cost-outs").append(outs, place.root, figure.root);
  return {
    show({ cost: found }) {
      const each = found.each === null ? "Nothing is counted yet." : `A good part costs ${number(found.each, 4)}, as far as it is counted.`;
      const changes = found.changes.map(({ what, each: by, remark }) => [what, `${by > 0 ? "+" : ""}${number(by, 3)}`, restate(remark)]);
      place.refill(
        outs,
        el("p", { className: "said-so", id: "cost-said" }, each),
        list(found.left_out, { id: "cost-left-out" }),
        rowsTable("Rates", HEADS, found.rates, place),
        el("p", {}, found.break_even),
        ...(changes.length > 0 ? [tableOf("What changes would do to the cost of a part", [{ words: "Change" }, "Cost", { words: "With it" }], changes)] : []),
      );
      figure.root.hidden = found.each === null;
      if (found.each !== null) figure.refresh();
    },
  };
}
