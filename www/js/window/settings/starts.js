// @ts-check
// Parts of usual forms to begin with, and usual forms of the gate. Sizes and ratios are the core's.

import { complaint, el, numberInput, symbol } from "app/shared/dom";
import { entered, plain } from "app/window/settings/fields";
import { parameter } from "app/shared/catalogue";
import { oversize } from "app/window/results/results";
import { model } from "app/window/settings/model";
import { inWords } from "app/shared/notices";
import { quantity } from "app/shared/numbers";
import { restate, shownUnit, units } from "app/shared/units";
import { inTurn } from "app/window/studies";
import { usual } from "app/window/settings/usual";
import { untilAnswered } from "app/window/working";

/**
 * @template {{ name: string }} Entry
 * @param {Entry[]} list
 * @param {(entry: Entry) => string} words
 */
const options = (list, words) => list.map((entry) => el("option", { value: entry.name }, words(entry)));
const capital = (/** @type {string} */ text) => text[0].toUpperCase() + text.slice(1);

// A line that says what was changed, with a button to undo it.
/** @param {string} id */
export function outcome(id) {
  const words = el("span", {});
  const back = el("button", { type: "button", className: "quiet", hidden: true }, "Undo");
  const root = el("p", { className: "small", id, role: "status" }, words, " ", back);
  let own = false;
  /** @type {Gatefrost.Scenario | null} */
  let before = null;
  let after = "";
  const clear = () => {
    words.textContent = "";
    back.hidden = true;
  };
  back.addEventListener("click", () => {
    if (before) model.replace(before);
    words.textContent = "Undone.";
  });
  // After another change this button would undo that one too. Then only the general undo remains. Another plane is no change.
  model.addEventListener("changed", () => own || back.hidden || model.bare() === after || clear());
  const say = (/** @type {string} */ text, /** @type {boolean} */ wrong) => {
    words.classList.toggle("error", wrong);
    words.textContent = text;
    root.scrollIntoView({ block: "nearest" });
  };
  // Has a scenario made from the present one. `take` puts it in place and returns the message. Instead of a scenario that
  // cannot be made, the reasons are told.
  /**
   * @param {{ call: string, args: Record<string, any> }} job
   * @param {(made: Gatefrost.Scenario) => string} take
   */
  const attempt = async (job, take) => {
    const asked = model.text();
    const { value, problems, failure } = await untilAnswered(inTurn({ ...job, args: { ...job.args, scenario: asked } }));
    if (!value) {
      clear();
      say(problems ? problems.map((problem) => `${inWords(problem)}.`).join(" ") : (failure ?? ""), true);
    } else if (model.text() !== asked) {
      clear();
      say("The scenario was changed in the meantime: press again.", true);
    } else {
      const was = structuredClone(model.scenario);
      own = true;
      try {
        say(take(value), false);
      } finally {
        own = false;
      }
      [before, after] = [was, model.bare()];
      back.hidden = false;
    }
  };
  return { root, attempt };
}

/**
 * @param {string} id
 * @param {Gatefrost.GateWords[]} gates
 * @param {HTMLOptionElement[]} [first]
 */
function gateChoice(id, gates, first = []) {
  const words = el("p", { className: "small" });
  const select = el("select", { id }, first, options(gates, ({ title }) => capital(title)));
  const show = () => {
    const gate = gates.find(({ name }) => name === select.value);
    words.textContent = gate ? restate(`${gate.words} Sizes: ${gate.source}.`) : "";
  };
  select.addEventListener("change", show);
  return { select, words, show };
}

const labelled = (/** @type {string} */ words, /** @type {HTMLElement} */ input) => el("div", { className: "field wide" }, el("label", { htmlFor: input.id }, words), input);

// A field for one size of the part. It belongs to no number of the scenario until the part is made.
/**
 * @param {Gatefrost.Size} size
 * @param {number} index
 */
function sizeField(size, index) {
  const entry = parameter(size.like);
  const id = `start-size-${index}`;
  const input = numberInput({
    id,
    value: plain(size.default, entry.unit),
    "aria-describedby": `${id}-error ${id}-range`,
    oninput: () => read(),
  });
  const { error, fail } = complaint(id, input);
  const read = () => {
    const { value, message } = entered(size.like, input.value);
    fail(message && restate(message.replace(entry.title, size.title)));
    return message ? null : (value ?? null);
  };
  const root = el(
    "div",
    { className: "field number" },
    el("label", { htmlFor: id }, el("span", { className: "words" }, size.title), " ", symbol(entry.symbol)),
    el("span", { className: "entry" }, input, el("span", { className: "unit" }, shownUnit(entry.unit))),
    el("p", { className: "range", id: `${id}-range` }, restate(entry.range)),
    error,
  );
  return { root, read, input };
}

/**
 * What was put in place, in a sentence or two.
 * @param {string} called
 * @param {Gatefrost.Scenario} made
 * @param {boolean} suited
 */
function placed(called, { setup, machine }, suited) {
  const held = setup.further_hold.reduce((sum, { time }) => sum + time, setup.hold_time);
  const times = [
    `an injection time of ${quantity(setup.injection_time, "s", 3)}`,
    `a hold of ${quantity(held, "s", 3)}`,
    ...(setup.cooling_time === null ? [] : [`a cooling time of ${quantity(setup.cooling_time, "s", 3)}`]),
  ];
  const placed = `${called} is in place, with ${times.slice(0, -1).join(", ")} and ${times.at(-1)}.`;
  if (!suited) return placed;
  return `${placed} The machine: greatest shot ${quantity(machine.shot_volume, "cm³", 3)}, clamp ${quantity(machine.clamp_force, "kN", 3)}.`;
}

// Numbers of cavities that a balanced runner can feed; the core checks them.
const CAVITIES = [1, 2, 4, 8];

// Replaces the cavity by a part of a usual form, so many times.
export function startForm() {
  const part = el("select", { id: "start-part" }, options(usual.parts, ({ title }) => title));
  const words = el("p", { className: "small" });
  const sizes = el("div", { className: "fields" });
  const sintered = el("select", { id: "start-of" }, el("option", { value: "cavity" }, "the cavity"), el("option", { value: "sintered" }, "the sintered part, as on a drawing"));
  const gate = gateChoice("start-gate", usual.gates);
  const cavities = el("select", { id: "start-cavities" }, CAVITIES.map((n) => el("option", { value: String(n) }, n > 1 ? `${n} on a balanced runner` : "1")));
  const machine = el("input", { type: "checkbox", id: "start-machine", checked: true });
  const done = outcome("start-said");
  /** @type {ReturnType<typeof sizeField>[]} */
  let fields = [];
  const chosen = () => usual.parts.find(({ name }) => name === part.value) ?? usual.parts[0];
  const offer = () => {
    const start = chosen();
    words.textContent = start.words;
    fields = start.sizes.map(sizeField);
    sizes.replaceChildren(...fields.map(({ root }) => root));
    gate.select.value = start.gate;
    gate.show();
  };
  const make = () => {
    const given = fields.map(({ read }) => read());
    const wrong = given.indexOf(null);
    if (wrong >= 0) {
      fields[wrong].input.focus();
      return;
    }
    const { title, name, words: notes } = chosen();
    const count = Number(cavities.value);
    const suited = machine.checked;
    const over = sintered.value === "sintered" ? oversize() || null : 1;
    const args = { part: name, sizes: given.map(Number), over, gate: gate.select.value, usual: suited, cavities: count };
    done.attempt({ call: "shaped", args }, (made) => {
      const called = count > 1 ? `${title} with ${count} cavities` : title;
      model.replace({ ...made, name: called, notes });
      return placed(called, made, suited);
    });
  };
  part.addEventListener("change", offer);
  units.addEventListener("changed", offer);
  offer();
  return el(
    "details",
    { className: "more", id: "start-box" },
    el("summary", {}, "Begin with a part"),
    labelled("Part", part),
    words,
    labelled("The sizes are those of", sintered),
    sizes,
    labelled("Gate", gate.select),
    gate.words,
    labelled("Cavities", cavities),
    el("label", { className: "switch" }, machine, " also set a machine, vents, water and a set-up that go with it"),
    el("button", { type: "button", id: "start-make", onclick: make }, "Replace the cavity"),
    done.root,
  );
}

// Gives the present gates another form, with sizes from the walls behind them.
/** @param {string} list */
export function gateForm(list) {
  const gate = gateChoice("gate-form", usual.gates, [el("option", { value: "" }, "as it is")]);
  const done = outcome("gate-said");
  const take = () => {
    if (!gate.select.value) return;
    const args = { part: "", sizes: [], over: 1, gate: gate.select.value, usual: false, cavities: 1 };
    done.attempt({ call: "shaped", args }, ({ cavity: { passages } }) => {
      model.restructure(list, ({ cavity }) => {
        // The passages keep their identity, so that unfolded ones stay unfolded.
        if (passages.length === cavity.passages.length) passages.forEach((p, i) => Object.assign(cavity.passages[i], p));
        else cavity.passages = passages;
      });
      const gates = passages.filter(({ role }) => role === "gate");
      return `${capital(gates.map(({ name }) => name).join(", "))}: sized from the wall behind.`;
    });
  };
  return el(
    "details",
    { className: "more", id: "gate-box" },
    el("summary", {}, "Gates"),
    labelled("Form", gate.select),
    gate.words,
    el("button", { type: "button", id: "gate-take", onclick: take }, "Replace the gate"),
    done.root,
  );
}
