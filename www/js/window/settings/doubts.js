// How sure the numbers of the feedstock and its contact with the mould are: those that may be off, each with its
// standard error, for the bands of the lines and for the yield. What was fitted keeps its correlation.

import { number_typed } from "app/shared/core";
import { el, numberInput, symbol } from "app/shared/dom";
import { doubtful, focusKept, idOf, register, reveal } from "app/window/settings/fields";
import { model, parameter, parametersOf } from "app/window/settings/model";
import { more } from "app/window/settings/more";
import { number, quantity, stepUnit } from "app/shared/numbers";
import { restate, shownUnit, toEdge, toShown } from "app/shared/units";
import { flowLaws } from "app/shared/words";

const PLACE = "feedstock.uncertainty";
// Constants that scale the viscosity at every rate when they move together, by the flow law.
const SCALES = Object.fromEntries(flowLaws.map(({ name, scales }) => [name, scales]));
const WHOLE = "Melt viscosity as a whole";
// It belongs to the set-up, and is known no better than the feedstock.
const CONTACT = "setup.contact_conductance";
// As many numbers at most go together in the core.
const MOST_CORRELATED = 5;
// Greatest standard error that is taken: as a share, as a difference of temperatures in K, and in per cent.
const MOST_SHARE = 1;
const MOST = { "°C": 50, "vol%": 10, "%": 10 };

const known = () => model.scenario.feedstock.uncertainty ?? { numbers: [], correlation: [] };
const law = () => Object.keys(model.scenario.feedstock.flow_law)[0];
const scale = () => SCALES[law()].map((field) => `feedstock.flow_law.${law()}.${field}`);
const correlationOf = ({ correlation }, i, j) => correlation?.[i]?.[j] ?? (i === j ? 1 : 0);
// A share is said where there is something to be a share of.
const hasShare = (path) => model.get(path) > 0 && !/%|°C/.test(parameter(path).unit);

// What is positive is off by no more than itself. Documents may have more.
function most(path, logarithmic) {
  if (logarithmic) return MOST_SHARE;
  const { unit, min, max } = parameter(path);
  const now = model.get(path);
  return MOST[unit] ?? (min >= 0 && now > 0 ? now : max - min);
}

const fieldOf = (index) => document.getElementById(idOf(`${PLACE}.numbers.${index}.standard_error`));

// Entries whose field holds what is no standard error, with what it holds.
const held = () =>
  [...model.refused.keys()]
    .filter((path) => path.startsWith(`${PLACE}.numbers.`))
    .map((path) => {
      const index = Number(path.split(".")[3]);
      return { path, index, text: fieldOf(index)?.value ?? "" };
    });

// Changes the list. What is refused stays where it is typed, and is judged anew; `moved` tells an entry's new place.
function rearrange(edit, moved = (index) => index) {
  const kept = held();
  model.restructure(PLACE, edit);
  for (const { index, text } of kept) {
    const field = fieldOf(moved(index));
    if (!field) continue;
    field.value = text;
    field.dispatchEvent(new Event("input"));
  }
}

// The rows as a reader sees them: each one number, or those that scale the viscosity together.
function rows() {
  const now = known();
  const places = scale().map((path) => now.numbers.findIndex((doubt) => doubt.path === path));
  const together = (i) =>
    now.numbers.every((_, j) => Math.abs(correlationOf(now, i, j) - (places.includes(j) ? 1 : 0)) < 1e-9);
  const alike = (i) => now.numbers[i].logarithmic && now.numbers[i].standard_error === now.numbers[places[0]].standard_error;
  const whole = places.every((i) => i >= 0 && together(i) && alike(i));
  const hidden = whole ? places.slice(1) : [];
  return now.numbers
    .map((_, index) => (whole && index === places[0] ? { whole, places } : { places: [index] }))
    .filter(({ places: [index] }) => !hidden.includes(index));
}

// What can be added: numbers of the laws that are chosen, and not in the list.
function offered() {
  const { numbers, correlation = [] } = known();
  const { pvt } = model.scenario.feedstock;
  const has = (path) => numbers.some((doubt) => doubt.path === path);
  const free = (group, without = []) =>
    parametersOf(group).filter(({ path }) => !has(path) && !without.includes(path));
  const single = scale().length === 1;
  const room = single || correlation.length + scale().length <= MOST_CORRELATED;
  const whole = room && !scale().some(has);
  const unused = pvt === "linear" ? [] : ["binder_expansion", "binder_compressibility"].map((field) => `feedstock.${field}`);
  return {
    whole,
    groups: [
      ["Mould", has(CONTACT) ? [] : [parameter(CONTACT)]],
      ["Flow law", free(`feedstock.flow_law.${law()}`, whole && single ? scale() : [])],
      ["Loading, powder, binder and heat", free("feedstock", unused)],
      ["pvT law", pvt === "linear" ? [] : free("feedstock.pvt.tait")],
    ],
  };
}

export function doubts() {
  const list = el("ul", { className: "doubts" });
  const choice = el("select", { id: "doubt-number" });
  let tellers = [];
  const box = more(
    "",
    el("p", { className: "small" }, "Give the numbers that are uncertain, each with its standard error: in two of three cases the true value lies no further away. The lines of the window then have bands, and the share of shots inside includes the uncertainty."),
    el("p", { className: "small" }, "In per cent the error is a factor: ±\u00a030\u00a0% means 0.74 to 1.35 times the number, ±\u00a0100\u00a0% means 0.37 to 2.7 times."),
    list,
    el(
      "div",
      { className: "add-doubt" },
      el("div", { className: "field wide" }, el("label", { htmlFor: "doubt-number" }, "Uncertain number"), choice),
      el("button", { type: "button", id: "add-doubt", onclick: () => add(choice.value) }, "Add"),
    ),
    el("p", { className: "small" }, `Usual values, from memory: viscosity ± 10 % from batch to batch, heat capacity ± 5 %, conductivity of the powder ± 15 to 30 %, a loading ± 0.5 vol%. The laboratory gives the standard errors of a fit, with their correlation. The contact between melt and mould is known least: ${parameter(CONTACT).source}.`),
  );
  const build = () => {
    const within = list.contains(document.activeElement);
    focusKept(() => {
      const shown = rows();
      const kept = held();
      tellers = [];
      list.replaceChildren(...shown.map((row) => item(row, tellers)));
      for (const { index, text } of kept) {
        const field = fieldOf(index);
        if (field) field.value = text;
      }
      box.querySelector("summary").textContent = `More: uncertain numbers (${shown.length || "none"})`;
      const { whole, groups } = offered();
      const option = ({ path, title, symbol: sign }) => el("option", { value: path }, `${title}, ${sign.replace("_", "")}`);
      choice.replaceChildren(
        ...(whole ? [el("option", { value: WHOLE }, WHOLE)] : []),
        ...groups.filter(([, free]) => free.length > 0).map(([label, free]) => el("optgroup", { label }, free.map(option))),
      );
    });
    // Where the field that was typed in is no more the keyboard goes on beside the list.
    if (within && !list.contains(document.activeElement)) document.getElementById("add-doubt").focus();
  };
  model.addEventListener("replaced", build);
  model.addEventListener("restructured", ({ detail }) => detail.startsWith("feedstock.") && build());
  model.addEventListener("changed", () => tellers.forEach((tell) => tell()));
  build();
  return box;
}

function item({ whole, places }, tellers) {
  const [index] = places;
  const { path, logarithmic } = known().numbers[index];
  const entry = parameter(path);
  const title = whole ? WHOLE : entry.title;
  const at = `${PLACE}.numbers.${index}.standard_error`;
  const id = idOf(at);
  const step = stepUnit(entry.unit);
  // Six digits tell a standard error. The field is left as it goes away, when its number is no more.
  const typed = (error) =>
    error === undefined ? "" : String(Number((logarithmic ? 100 * error : toShown(error, step)).toPrecision(6)));
  const show = (error) => {
    if (document.activeElement !== input) input.value = typed(error);
  };
  const accepted = () => {
    const top = most(path, logarithmic);
    return logarithmic ? `0 to ${100 * top} %` : `0 to ${number(top, 6)} ${step}`.trim();
  };
  const take = () => {
    const { value, message } = entered(input.value, entry, logarithmic);
    if (message) model.refuse(at, `Standard error of “${title}” ${message}; accepted is ${accepted()}`);
    else model.setAll(places.map((place) => [`${PLACE}.numbers.${place}.standard_error`, value]), false);
  };
  const input = numberInput({
    id,
    "aria-describedby": `${id}-error ${id}-range ${id}-note`,
    oninput: take,
    onblur: () => {
      if (!model.refused.has(at)) input.value = typed(model.get(at));
    },
  });
  const value = el("span", { className: "small" });
  const range = el("p", { className: "range", id: `${id}-range` });
  const unit = unitChoice(index, whole, title);
  const root = el(
    "div",
    { className: "field number doubt" },
    el("label", { htmlFor: id }, el("span", { className: "words" }, title), " ", !whole && symbol(entry.symbol), " ", value),
    el("span", { className: "entry" }, "±", input, unit.root),
    el("button", { type: "button", "aria-label": `Remove: ${title}`, onclick: () => remove(places) }, "Remove"),
    range,
    el("p", { className: "small", id: `${id}-note` }, note(index, whole)),
  );
  const tell = () => {
    const now = whole ? null : model.get(path);
    value.textContent = typeof now === "number" ? `of ${quantity(now, entry.unit, 6)}` : "";
    range.textContent = restate(accepted());
    unit.tell();
  };
  tellers.push(tell);
  return el("li", {}, register(at, root, input, show, tell));
}

// What was typed: a share, or a value in the catalogue's unit.
function entered(text, entry, share) {
  const doubt = doubtful(text);
  if (doubt) return { message: doubt };
  const typed = number_typed(text);
  const edge = share ? Number((typed / 100).toPrecision(12)) : toEdge(typed, stepUnit(entry.unit));
  if (edge >= 0 && edge <= most(entry.path, share) * (1 + 1e-6)) return { value: edge };
  if (text.trim() === "") return { message: "is empty" };
  if (Number.isNaN(typed)) return { message: `is “${text.trim().slice(0, 40)}”, which is not a number` };
  return { message: (share ? `is ${typed} %` : `is ${edge} ${stepUnit(entry.unit)}`).trim() };
}

// The number's own unit, or per cent of it.
function unitChoice(index, whole, title) {
  const { path, logarithmic } = known().numbers[index];
  const own = stepUnit(parameter(path).unit);
  const both = !whole && typeof model.get(path) === "number" && (logarithmic || hasShare(path));
  if (!both) {
    const root = el("span", { className: "unit" });
    return { root, tell: () => (root.textContent = logarithmic ? "%" : shownUnit(own)) };
  }
  const plainly = el("option", { value: "own" });
  const root = el(
    "select",
    { "aria-label": `Unit of the standard error: ${title}`, id: `${idOf(`${PLACE}.numbers.${index}`)}-unit`, onchange: () => recast(index) },
    el("option", { value: "share" }, "% of it"),
    plainly,
  );
  root.value = logarithmic ? "share" : "own";
  return { root, tell: () => (plainly.textContent = shownUnit(own) || "absolute") };
}

// The same standard error in the other way of saying it.
function recast(index) {
  rearrange(() => {
    const doubt = known().numbers[index];
    const size = Math.abs(model.get(doubt.path)) || 1;
    doubt.standard_error = Number((doubt.logarithmic ? doubt.standard_error * size : doubt.standard_error / size).toPrecision(10));
    doubt.logarithmic = !doubt.logarithmic;
  });
}

function note(index, whole) {
  const now = known();
  const { path } = now.numbers[index];
  if (whole) return scale().length > 1 ? ["Its constants ", ...listed(scale().map((part) => symbol(parameter(part).symbol))), " move together."] : [];
  if (model.get(path) === undefined) return ["Not used: it belongs to a law that is not selected."];
  const others = now.numbers.flatMap((other, j) => {
    const r = correlationOf(now, index, j);
    return j !== index && Math.abs(r) >= 0.005 ? [el("span", {}, `${number(r, 3).replace("-", "−")} with `, symbol(parameter(other.path).symbol))] : [];
  });
  return others.length > 0 ? ["Correlated: ", ...listed(others)] : [];
}

const listed = (parts) => parts.flatMap((part, i) => (i > 0 ? [", ", part] : [part]));

function add(wanted) {
  if (!wanted) return;
  const [wrong] = held();
  if (wrong) return reveal(wrong.path);
  const paths = wanted === WHOLE ? scale() : [wanted];
  const kept = known();
  const doubtsOf = paths.map((path) => ({ path, ...usual(path, wanted === WHOLE) }));
  let index = kept.numbers.length;
  model.restructure(PLACE, ({ feedstock }) => {
    const { numbers, correlation = [] } = kept;
    if (paths.length > 1) {
      // What goes together stands first.
      index = correlation.length;
      const side = [...correlation, ...paths];
      const wider = side.map((_, i) => side.map((_, j) => correlation[i]?.[j] ?? (i >= index && j >= index ? 1 : 0)));
      feedstock.uncertainty = { numbers: [...numbers.slice(0, index), ...doubtsOf, ...numbers.slice(index)], correlation: wider };
    } else {
      feedstock.uncertainty = { numbers: [...numbers, ...doubtsOf], correlation };
    }
  });
  const field = fieldOf(index);
  field?.focus();
  field?.select();
}

// What a number that is added begins with.
function usual(path, whole) {
  const entry = parameter(path);
  if (whole || hasShare(path)) return { standard_error: path === CONTACT ? 0.3 : 0.1, logarithmic: true };
  const step = { "°C": 2, "vol%": 0.5, "%": 0.5 }[entry.unit] ?? Number(((entry.max - entry.min) / 100).toPrecision(1));
  return { standard_error: step, logarithmic: false };
}

function remove(places) {
  const edit = ({ feedstock }) => {
    const { numbers, correlation = [] } = known();
    const stays = (_, index) => !places.includes(index);
    const left = numbers.filter(stays);
    const square = correlation.filter(stays).map((row) => row.filter(stays));
    // A single number goes together with none.
    if (left.length > 0) feedstock.uncertainty = { numbers: left, correlation: square.length > 1 ? square : [] };
    else delete feedstock.uncertainty;
  };
  const before = (index) => places.filter((place) => place < index).length;
  rearrange(edit, (index) => (places.includes(index) ? -1 : index - before(index)));
  document.getElementById("add-doubt")?.focus();
}
