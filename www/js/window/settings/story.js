// @ts-check
// The settings in the order of the work. A newcomer's settings are open, the others are folded.

import { new_flow_law, new_pvt_law } from "app/shared/core";
import { el } from "app/shared/dom";
import { flowLaws } from "app/shared/words";
import { COOLANT, coolantAid } from "app/window/settings/coolant";
import { doubts } from "app/window/settings/doubts";
import { familyField } from "app/window/settings/family";
import { choiceField, focusKept, numberField, switchField, textField } from "app/window/settings/fields";
import { holdSteps } from "app/window/settings/hold-steps";
import { parametersOf } from "app/shared/catalogue";
import { meltingPeaks } from "app/window/settings/melting-peaks";
import { model } from "app/window/settings/model";
import { passageList } from "app/window/settings/passages";
import { more } from "app/window/settings/more";
import { resultsOf, sizeNote } from "app/window/results/results";
import { ramSteps } from "app/window/settings/ram-steps";
import { startForm } from "app/window/settings/starts";

const ESSENTIAL = {
  feedstock: ["solids_loading", "critical_loading", "no_flow_temperature"],
  machine: ["max_pressure", "max_rate", "clamp_force"],
  setup: ["melt_temperature", "mould_temperature", "injection_time", "hold_pressure", "hold_time"],
};
// Shown with what comes after the mould.
const AFTER = ["sintered_density", "powder_loss"];

/** @type {import("app/window/settings/fields").Choices} */
const FLOW_LAWS = flowLaws.map(({ name, title }) => [name, title]);
/** @type {import("app/window/settings/fields").Choices} */
const LOADING_LAWS = [
  ["power", "Power form, (1 − φ/φc)^−m"],
  ["krieger_dougherty", "Krieger and Dougherty"],
  ["eilers", "Eilers"],
  ["chong", "Chong"],
  ["quemada", "Quemada"],
  ["mooney", "Mooney"],
];
/** @type {import("app/window/settings/fields").Choices} */
const LOADING_SCALINGS = [
  ["homogenised", "Homogenised: binder sheared faster than the mixture"],
  ["equal_stress", "At equal shear stress"],
  ["equal_rate", "At equal shear rate"],
];
/** @type {import("app/window/settings/fields").Choices} */
const PVT_LAWS = [
  ["linear", "Constant expansion and compressibility"],
  ["tait", "Tait, in two domains"],
];
// Used by one of the pvT laws only, or shown in another section.
const PVT_LINEAR = ["binder_expansion", "binder_compressibility"];
const LATENT = ["latent_heat", "solidus", "liquidus"];
/** @type {import("app/window/settings/fields").Choices} */
const CONDUCTIVITY_RULES = [
  ["lewis_nielsen", "Lewis and Nielsen"],
  ["maxwell_eucken", "Maxwell and Eucken"],
  ["bruggeman", "Bruggeman"],
  ["lichtenecker", "Lichtenecker"],
];

/**
 * @param {string} group
 * @param {string[]} names
 */
const fieldsOf = (group, names) => names.map((name) => numberField(`${group}.${name}`));

/**
 * @param {string} group
 * @param {string[]} shown
 */
const rest = (group, shown) =>
  parametersOf(group)
    .map((entry) => entry.field)
    .filter((name) => !shown.includes(name));

/**
 * @param {string} id
 * @param {string} title
 * @param {string | null} lead
 * @param {...(import("app/shared/dom").Child | readonly import("app/shared/dom").Child[])} children
 */
function step(id, title, lead, ...children) {
  const heading = el("h3", {}, title);
  return el("section", { className: "step", id: `step-${id}` }, heading, lead && el("p", { className: "lead" }, lead), ...children);
}

/**
 * @param {HTMLElement} root
 * @param {import("app/shared/core").Sheet} sheet
 */
export function buildStory(root, sheet) {
  root.append(startForm(), feedstock(), cavity(sheet), mould(), machine(), setup(), after(), thresholds(), resolution());
}

function feedstock() {
  const group = "feedstock";
  return step(
    "feedstock",
    "Feedstock",
    "How much powder goes into the binder, and how the mixture flows.",
    el("div", { className: "fields" }, textField("feedstock.name", "Name", { most: 120 }), familyField(), fieldsOf(group, ESSENTIAL.feedstock)),
    resultsOf("feedstock"),
    more("More: flow law", rebuilt("feedstock.flow_law", flowLaw)),
    more("More: pvT law", rebuilt("feedstock.pvt", pvtLaw)),
    more("More: latent heat of the binder", fieldsOf(group, LATENT), meltingPeaks()),
    more(
      "More: powder, binder and heat",
      choiceField("feedstock.loading_law", "Viscosity against loading", LOADING_LAWS),
      choiceField("feedstock.loading_scaling", "Flow law at another loading", LOADING_SCALINGS),
      choiceField("feedstock.conductivity_rule", "Conductivity of the mixture", CONDUCTIVITY_RULES),
      fieldsOf(group, rest(group, [...ESSENTIAL.feedstock, ...AFTER, ...PVT_LINEAR, ...LATENT])),
      textField("feedstock.provenance", "Source of the flow constants", { most: 400 }),
    ),
    doubts(),
  );
}

// Fields that follow a choice of law.
/**
 * @param {string} path
 * @param {() => HTMLElement[]} fields
 */
function rebuilt(path, fields) {
  const root = el("div", { className: "fields" });
  const build = () => focusKept(() => root.replaceChildren(...fields()));
  model.addEventListener("replaced", build);
  model.addEventListener("restructured", ({ detail }) => detail === path && build());
  build();
  return root;
}

function pvtLaw() {
  const path = "feedstock.pvt";
  const linear = model.get(path) === "linear";
  const choose = (/** @type {string} */ wanted) =>
    model.restructure(path, (scenario) => {
      scenario.feedstock.pvt = new_pvt_law(wanted);
    });
  return [
    choiceField(path, "pvT law of the binder", PVT_LAWS, { choose }),
    ...(linear ? fieldsOf("feedstock", PVT_LINEAR) : fieldsOf(`${path}.tait`, rest(`${path}.tait`, []))),
  ];
}

function flowLaw() {
  const path = "feedstock.flow_law";
  const [kind] = Object.keys(model.get(path));
  const choose = (/** @type {string} */ wanted) =>
    model.restructure(path, (scenario) => {
      scenario.feedstock.flow_law = new_flow_law(wanted);
    });
  return [
    choiceField(path, "Flow law", FLOW_LAWS, { choose }),
    ...fieldsOf(`${path}.${kind}`, rest(`${path}.${kind}`, [])),
  ];
}

/** @param {import("app/shared/core").Sheet} sheet */
function cavity(sheet) {
  return step(
    "cavity",
    "Cavity",
    "The flow path from the nozzle to the ends of flow. Passages that follow the same one are branches.",
    passageList(sheet),
    resultsOf("cavity"),
  );
}

function mould() {
  return step(
    "mould",
    "Mould",
    "How air leaves the mould. How heat leaves it stands with the mould temperature, below.",
    more("More: vents", fieldsOf("mould", rest("mould", ["water_flow", ...COOLANT]))),
  );
}

function machine() {
  return step(
    "machine",
    "Machine",
    null,
    el("div", { className: "fields" }, fieldsOf("machine", ESSENTIAL.machine)),
    more("More: shot, barrel and dead time", fieldsOf("machine", rest("machine", ESSENTIAL.machine))),
  );
}

function setup() {
  return step(
    "setup",
    "Set-up",
    "The set point: drag it in the window, or type it here.",
    el("div", { className: "fields" }, fieldsOf("setup", ESSENTIAL.setup)),
    coolantAid(),
    resultsOf("setup"),
    ramSteps(),
    holdSteps(),
    more("More: switch-over, mould contact", fieldsOf("setup", rest("setup", ESSENTIAL.setup))),
  );
}

function after() {
  return step(
    "after",
    "After the mould",
    "How much the part shrinks in the mould and in the furnace, and how much larger the cavity must be.",
    el("div", { className: "fields" }, fieldsOf("feedstock", AFTER)),
    resultsOf("after"),
    sizeNote,
  );
}

function thresholds() {
  return el(
    "details",
    { className: "step more", id: "step-limits" },
    el("summary", {}, "Limits"),
    el("div", { className: "fields" }, fieldsOf("limits", rest("limits", []))),
  );
}

function resolution() {
  return el(
    "details",
    { className: "step more", id: "step-model" },
    el("summary", {}, "Numerical grid"),
    el(
      "div",
      { className: "fields" },
      fieldsOf("model", rest("model", [])),
      switchField("model.viscous_heating", "Viscous heating", "Switch it off only to compare with closed forms."),
      switchField("model.side_walls", "Side walls of strips", "Switch them off only to compare with wide slits."),
      switchField("model.warming_steel", "Steel that warms", "Switch it off only to compare with walls of one temperature."),
    ),
  );
}
