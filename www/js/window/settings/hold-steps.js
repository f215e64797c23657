// @ts-check
// Further steps of the hold, after the first: a pressure and a time each.

import { el } from "app/shared/dom";
import { focusKept, numberField } from "app/window/settings/fields";
import { parameter } from "app/shared/catalogue";
import { model } from "app/window/settings/model";

const LIST = "setup.further_hold";

export function holdSteps() {
  const list = el("ol", { className: "hold-steps", start: 2 });
  const summary = el("summary");
  const build = () =>
    focusKept(() => {
      const steps = model.get(LIST);
      list.replaceChildren(...steps.map((/** @type {unknown} */ _, /** @type {number} */ index) => row(index)));
      summary.textContent = `More: further hold steps (${steps.length || "none"})`;
    });
  model.addEventListener("replaced", build);
  model.addEventListener("restructured", ({ detail }) => detail === LIST && build());
  build();
  const add = el("button", { type: "button", id: "add-hold-step", onclick: addStep }, "Add a hold step");
  return el("details", { className: "more" }, summary, list, add);
}

/** @param {number} index */
function row(index) {
  const path = `${LIST}.${index}`;
  const remove = () => model.restructure(LIST, ({ setup }) => setup.further_hold.splice(index, 1));
  return el(
    "li",
    {},
    el("div", { className: "fields" }, numberField(`${path}.pressure`), numberField(`${path}.time`)),
    el("button", { type: "button", "aria-label": `Remove hold step ${index + 2}`, onclick: remove }, "Remove"),
  );
}

// A new step has half the pressure of the step before.
function addStep() {
  model.restructure(LIST, ({ setup }) => {
    const before = setup.further_hold.at(-1)?.pressure ?? setup.hold_pressure;
    const time = parameter(`${LIST}.0.time`).default ?? 0;
    setup.further_hold.push({ pressure: Number((before / 2).toPrecision(2)), time });
  });
}
