// @ts-check
// One passage of the flow path: its form, and its line in the list.

import { parametersOf } from "app/shared/catalogue";
import { el } from "app/shared/dom";
import { short } from "app/shared/numbers";
import { shownUnit, toShown } from "app/shared/units";
import { choiceField, numberField, textField } from "app/window/settings/fields";
import { model } from "app/window/settings/model";
import { more } from "app/window/settings/more";
import { feederOf, isEnd, isReferredTo, partnerOf, rename } from "app/window/settings/tree";

/** @typedef {Gatefrost.Passage} Passage */
/** @typedef {import("app/window/settings/fields").Choices} Choices */

export const LIST = "cavity.passages";
const passagesNow = () => model.scenario.cavity.passages;

/** @type {Choices} */
const ROLES = [
  ["sprue", "Sprue"],
  ["runner", "Runner"],
  ["gate", "Gate"],
  ["part", "Part"],
];
/** @type {Choices} */
const LIES = [
  ["", "By its role"],
  ["across", "Flow across the opening direction"],
  ["along", "Flow along the opening direction, or up a slope"],
];
/** @type {Choices} */
const SHAPES = [
  ["tube", "Tube"],
  ["strip", "Strip"],
  ["disc", "Disc"],
];

/**
 * The fields of a passage: those that are required, and the optional ones.
 * @param {Passage} passage
 * @param {number} index
 * @param {(wanted: string) => void} reshape gives it another shape
 */
export function passageForm(passage, index, reshape) {
  const path = `${LIST}.${index}`;
  const shape = shapeOf(passage);
  const sizes = parametersOf(`${path}.form.${shape}`);
  const field = (/** @type {Gatefrost.Entry} */ entry) => numberField(`${path}.form.${shape}.${entry.field}`);
  const needed = sizes.filter((entry) => entry.default !== null);
  const body = el("div", { className: "fields" }, needed.map(field));
  const rest = more(
    "More: taper, copies, name and position",
    sizes.filter((entry) => !needed.includes(entry)).map(field),
    numberField(`${path}.copies`),
    textField(`${path}.name`, "Name", { most: 60, take: (name) => takeName(path, index, name) }),
    choiceField(`${path}.lies`, "Flow in the mould", LIES, {
      choose: (wanted) => model.set(`${path}.lies`, wanted || null),
    }),
    numberField(`${path}.wall_angle`, { empty: "by the flow" }),
    numberField(`${path}.projected_area`, { empty: "by its sizes" }),
    el(
      "div",
      { className: "pair" },
      choiceField(`${path}.role`, "Role", ROLES),
      choiceField(`${path}.form`, "Shape", SHAPES, { choose: reshape }),
    ),
    index > 0 && place(path, index),
  );
  return { body, rest };
}

/**
 * Its place in the tree: the passage that it follows, and the passage whose end meets its own.
 * @param {string} path
 * @param {number} index
 */
function place(path, index) {
  const choose = (/** @type {"after" | "meets"} */ field) => (/** @type {string} */ wanted) =>
    model.restructure(LIST, ({ cavity: { passages } }) => {
      passages[index][field] = wanted || null;
    });
  return el(
    "div",
    { className: "pair" },
    choiceField(`${path}.after`, "Passage it follows", () => followed(index), { choose: choose("after") }),
    choiceField(`${path}.meets`, "Passage whose end it meets", () => met(index), { choose: choose("meets") }),
  );
}

/**
 * The names to choose from, including the present choice.
 * @param {string | null | undefined} now
 * @param {string[]} names
 * @returns {[string, string][]}
 */
function others(now, names) {
  const known = [...new Set(names)];
  return (now && !known.includes(now) ? [...known, now] : known).map((name) => [name, name]);
}

/**
 * @param {number} index
 * @returns {Choices}
 */
function followed(index) {
  const earlier = passagesNow().slice(0, index).map(({ name }) => name);
  const before = earlier.at(-1);
  return [["", `the one before it, ${before}`], ...others(passagesNow()[index]?.after, earlier.filter((name) => name !== before))];
}

/**
 * @param {number} index
 * @returns {Choices}
 */
function met(index) {
  const passages = passagesNow();
  const alone = (/** @type {string} */ name) => passages.filter((p) => p.name === name).length === 1;
  const ends = passages.filter(({ name }, i) => i !== index && alone(name) && isEnd(passages, i));
  const partner = partnerOf(passages, index);
  const none = partner && !passages[index].meets ? `${partner.name}, set there` : "none";
  return [["", none], ...others(passages[index]?.meets, isEnd(passages, index) ? ends.map(({ name }) => name) : [])];
}

/**
 * Renames a passage with every reference to it. A name that is referred to must be unique.
 * @param {string} path
 * @param {number} index
 * @param {string} name
 */
function takeName(path, index, name) {
  const passages = passagesNow();
  const passage = passages[index];
  const taken = passages.some((other) => other !== passage && other.name === name);
  if (taken && isReferredTo(passages, passage)) {
    model.refuse(`${path}.name`, `“${name}” is the name of another passage; a passage that others follow or meet needs a name of its own`);
    return;
  }
  rename(passages, passage, name);
  model.set(`${path}.name`, name);
}

/**
 * Name, sizes and place in the tree, for the line of a passage in the list.
 * @param {Passage} passage
 * @param {number} index
 */
export function titleOf(passage, index) {
  const passages = passagesNow();
  const feeder = feederOf(passages, index);
  const partner = partnerOf(passages, index);
  const where = [
    index > 0 && feeder >= 0 && feeder !== index - 1 && `after ${passages[feeder].name}`,
    partner && `meets ${partner.name}`,
  ].filter(Boolean);
  return { name: passage.name || passage.role, about: [sizesOf(passage), ...where].join(", ") };
}

export const shapeOf = (/** @type {Passage} */ passage) => Object.keys(passage.form)[0];

const mm = (/** @type {number} */ value) => short(Number(toShown(value, "mm").toPrecision(4)));

/**
 * @param {number} a
 * @param {number | null | undefined} b
 */
const taper = (a, b) => (b === null || b === undefined || b === a ? mm(a) : `${mm(a)}–${mm(b)}`);

/**
 * The sizes in one line, in the notation of a technical drawing.
 * @param {Passage} passage
 */
export function sizesOf({ form, copies }) {
  const unit = shownUnit("mm");
  const times = copies > 1 ? `${copies} × ` : "";
  if ("tube" in form) {
    const { diameter, diameter_end, length } = form.tube;
    return `${times}⌀ ${taper(diameter, diameter_end)} × ${mm(length)} ${unit}`;
  }
  if ("strip" in form) {
    const { thickness, thickness_end, width, width_end, length } = form.strip;
    return `${times}${taper(thickness, thickness_end)} × ${taper(width, width_end)} × ${mm(length)} ${unit}`;
  }
  const { inner_radius, outer_radius, thickness, thickness_end, angle } = form.disc;
  const sector = angle < 360 ? `, ${short(angle)}°` : "";
  return `${times}R ${mm(inner_radius)}–${mm(outer_radius)} × ${taper(thickness, thickness_end)} ${unit}${sector}`;
}
