// The flow path, passage by passage: sizes, shape, role, number and order.

import { new_passage } from "app/shared/core";
import { el } from "app/shared/dom";
import { choiceField, focusKept, numberField, textField } from "app/window/settings/fields";
import { model, parametersOf } from "app/window/settings/model";
import { short } from "app/shared/numbers";
import { shownUnit, toShown, units } from "app/shared/units";
import { more } from "app/window/settings/more";
import { section } from "app/window/settings/section";
import { gateForm } from "app/window/settings/starts";
import { append, exchange, feederOf, isEnd, isReferredTo, partnerOf, remove, rename } from "app/window/settings/tree";

const ROLES = [
  ["sprue", "Sprue"],
  ["runner", "Runner"],
  ["gate", "Gate"],
  ["part", "Part"],
];
const LIES = [
  ["", "By its role"],
  ["across", "Flow across the opening direction"],
  ["along", "Flow along the opening direction, or up a slope"],
];
const SHAPES = [
  ["tube", "Tube"],
  ["strip", "Strip"],
  ["disc", "Disc"],
];
const LIST = "cavity.passages";

// Which passages are unfolded; the gate is what a toolmaker changes first.
let open = null;
// Those of which everything is.
const wide = new WeakSet();
// The passages as they were last listed.
let listed = [];

export function passageList(sheet) {
  const list = el("ol", { className: "passages" });
  const drawing = section(sheet, {
    words: (index) => {
      const passage = model.scenario.cavity.passages[index];
      return `${index + 1}  ${passage.name}, ${sizes(passage)}`;
    },
    open: (index) => {
      const details = list.children[index]?.querySelector("details");
      if (!details) return;
      details.open = true;
      details.querySelector("summary").focus();
    },
  });
  // The passage that the keyboard is in is the one that is picked out.
  list.addEventListener("focusin", ({ target }) => {
    const index = [...list.children].findIndex((item) => item.contains(target));
    if (index >= 0) drawing.choose(index);
  });
  const build = () => {
    const { passages } = model.scenario.cavity;
    listed = passages;
    open ??= new Set(passages.filter((passage) => passage.role === "gate").slice(0, 1));
    focusKept(() => list.replaceChildren(...passages.map((passage, index) => item(passage, index, passages.length))));
  };
  model.addEventListener("replaced", ({ detail }) => {
    // What was unfolded stays so where a change is taken back.
    const places = listed.flatMap((passage, index) => (open.has(passage) ? [index] : []));
    const wider = listed.flatMap((passage, index) => (wide.has(passage) ? [index] : []));
    const now = model.scenario.cavity.passages;
    open = detail.restored ? new Set(places.map((index) => now[index])) : null;
    if (detail.restored) for (const index of wider) if (now[index]) wide.add(now[index]);
    build();
  });
  model.addEventListener("restructured", ({ detail }) => detail.startsWith(LIST) && build());
  for (const source of [model, units]) source.addEventListener("changed", () => retitle(list));
  build();
  const add = el("button", { type: "button", id: "add-passage", onclick: addPassage }, "Add a passage");
  return el("div", { className: "passage-editor" }, drawing.root, list, add, gateForm(LIST));
}

function item(passage, index, count) {
  const path = `${LIST}.${index}`;
  const shape = shapeOf(passage);
  const sizes = parametersOf(`${path}.form.${shape}`);
  const field = (entry) => numberField(`${path}.form.${shape}.${entry.field}`);
  // What has to be said, and what may be.
  const needed = sizes.filter((entry) => entry.default !== null);
  const body = el(
    "div",
    { className: "fields" },
    needed.map(field),
  );
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
      choiceField(`${path}.form`, "Shape", SHAPES, { choose: (wanted) => reshape(index, wanted) }),
    ),
    index > 0 && place(path, index),
  );
  rest.open ||= wide.has(passage);
  rest.addEventListener("toggle", () => (rest.open ? wide.add(passage) : wide.delete(passage)));
  const details = el(
    "details",
    {
      open: open.has(passage),
      ontoggle: () => (details.open ? open.add(passage) : open.delete(passage)),
    },
    el("summary", {}, el("span", { className: "name" }), " ", el("span", { className: "sizes" })),
    body,
    rest,
    el(
      "div",
      { className: "row" },
      mover("Earlier", "towards the nozzle", index, -1, index === 0),
      mover("Later", "towards the end of flow", index, 1, index === count - 1),
      el(
        "button",
        {
          type: "button",
          disabled: count === 1,
          "aria-label": `Remove passage ${index + 1}`,
          onclick: () => model.restructure(LIST, ({ cavity: { passages } }) => remove(passages, index)),
        },
        "Remove",
      ),
    ),
  );
  const root = el("li", {}, details);
  title(root, passage, index);
  return root;
}

// Where it stands in the tree: which passage it follows, and whose end its own meets.
function place(path, index) {
  const list = () => model.scenario.cavity.passages;
  const choose = (field) => (wanted) =>
    model.restructure(LIST, ({ cavity: { passages } }) => {
      passages[index][field] = wanted || null;
    });
  const others = (field, names) => {
    const now = list()[index]?.[field];
    const known = [...new Set(names)];
    return (now && !known.includes(now) ? [...known, now] : known).map((name) => [name, name]);
  };
  const follows = () => {
    const earlier = list().slice(0, index).map(({ name }) => name);
    const before = earlier.at(-1);
    return [["", `the one before it, ${before}`], ...others("after", earlier.filter((name) => name !== before))];
  };
  const meets = () => {
    const passages = list();
    const alone = (name) => passages.filter((p) => p.name === name).length === 1;
    const ends = passages.filter(({ name }, i) => i !== index && alone(name) && isEnd(passages, i));
    const partner = partnerOf(passages, index);
    const none = partner && !passages[index].meets ? `${partner.name}, set there` : "none";
    return [["", none], ...others("meets", isEnd(passages, index) ? ends.map(({ name }) => name) : [])];
  };
  return el(
    "div",
    { className: "pair" },
    choiceField(`${path}.after`, "Passage it follows", follows, { choose: choose("after") }),
    choiceField(`${path}.meets`, "Passage whose end it meets", meets, { choose: choose("meets") }),
  );
}

// A passage that others refer to takes its references along, and must be alone in its name.
function takeName(path, index, name) {
  const { passages } = model.scenario.cavity;
  const passage = passages[index];
  const taken = passages.some((other) => other !== passage && other.name === name);
  if (taken && isReferredTo(passages, passage)) {
    model.refuse(`${path}.name`, `“${name}” is the name of another passage; a passage that others follow or meet needs a name of its own`);
    return;
  }
  rename(passages, passage, name);
  model.set(`${path}.name`, name);
}

function mover(words, where, index, by, disabled) {
  const move = () =>
    model.restructure(LIST, ({ cavity: { passages } }) => exchange(passages, Math.min(index, index + by)));
  const label = `${words}: passage ${index + 1}, ${where}`;
  return el("button", { type: "button", disabled, "aria-label": label, onclick: move }, words);
}

function retitle(list) {
  model.scenario.cavity.passages.forEach((passage, index) => {
    if (list.children[index]) title(list.children[index], passage, index);
  });
}

function title(root, passage, index) {
  const { passages } = model.scenario.cavity;
  const feeder = feederOf(passages, index);
  const partner = partnerOf(passages, index);
  const where = [
    index > 0 && feeder >= 0 && feeder !== index - 1 && `after ${passages[feeder].name}`,
    partner && `meets ${partner.name}`,
  ].filter(Boolean);
  const summary = root.querySelector("summary");
  summary.querySelector(".name").textContent = passage.name || passage.role;
  summary.querySelector(".sizes").textContent = [sizes(passage), ...where].join(", ");
}

const shapeOf = (passage) => Object.keys(passage.form)[0];

// The sizes in a line, in the notation of a drawing.
function sizes(passage) {
  const shape = shapeOf(passage);
  const s = passage.form[shape];
  const mm = (value) => short(Number(toShown(value, "mm").toPrecision(4)));
  const taper = (a, b) => (b === null || b === undefined || b === a ? mm(a) : `${mm(a)}–${mm(b)}`);
  const unit = shownUnit("mm");
  const times = passage.copies > 1 ? `${passage.copies} × ` : "";
  if (shape === "tube") return `${times}⌀ ${taper(s.diameter, s.diameter_end)} × ${mm(s.length)} ${unit}`;
  if (shape === "strip") {
    return `${times}${taper(s.thickness, s.thickness_end)} × ${taper(s.width, s.width_end)} × ${mm(s.length)} ${unit}`;
  }
  const sector = s.angle < 360 ? `, ${short(s.angle)}°` : "";
  return `${times}R ${mm(s.inner_radius)}–${mm(s.outer_radius)} × ${taper(s.thickness, s.thickness_end)} ${unit}${sector}`;
}

// Another shape keeps what it has in common with the old one.
function reshape(index, wanted) {
  const path = `${LIST}.${index}`;
  model.restructure(path, ({ cavity: { passages } }) => {
    const passage = passages[index];
    const [old] = Object.values(passage.form);
    const { form } = new_passage(wanted);
    for (const name of Object.keys(form[wanted])) {
      if (name in old && old[name] !== null) form[wanted][name] = old[name];
    }
    passage.form = form;
  });
}

function addPassage() {
  model.restructure(LIST, ({ cavity: { passages } }) => {
    const passage = new_passage("strip");
    const last = passages.at(-1)?.form.strip;
    if (last) {
      passage.form.strip.width = last.width_end ?? last.width;
      passage.form.strip.thickness = last.thickness_end ?? last.thickness;
    }
    append(passages, passage);
    open?.add(passage);
  });
}
