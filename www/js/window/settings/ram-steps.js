// @ts-check
// Steps of the ram speed: a share of the volume and a speed each. Without steps there is one speed.

import { el } from "app/shared/dom";
import { focusKept, numberField } from "app/window/settings/fields";
import { model } from "app/window/settings/model";

const LIST = "setup.ram";
const MOST = 5;
// Slow through the gate, fast, slow at the end: common practice.
const USUAL = [
  { share: 10, speed: 40 },
  { share: 80, speed: 100 },
  { share: 10, speed: 40 },
];

export function ramSteps() {
  const list = el("ol", { className: "hold-steps" });
  const summary = el("summary");
  const add = el("button", { type: "button", id: "add-ram-step", onclick: addStep });
  const build = () =>
    focusKept(() => {
      const steps = model.get(LIST);
      list.replaceChildren(...steps.map((/** @type {unknown} */ _, /** @type {number} */ index) => row(index)));
      summary.textContent = `More: ram speed (${steps.length ? `${steps.length} steps` : "one speed"})`;
      add.textContent = steps.length ? "Add a speed step" : "Set the speed in steps";
      add.disabled = steps.length >= MOST;
    });
  model.addEventListener("replaced", build);
  model.addEventListener("restructured", ({ detail }) => detail === LIST && build());
  build();
  const lead = el(
    "p",
    { className: "lead" },
    "The injection time stays what is set; the steps share it out. Only the ratios of the speeds are used. The shares of volume add up to 100 %.",
  );
  return el("details", { className: "more" }, summary, lead, list, add);
}

/** @param {number} index */
function row(index) {
  const path = `${LIST}.${index}`;
  const remove = () =>
    model.restructure(LIST, ({ setup }) => {
      const [gone] = setup.ram.splice(index, 1);
      // Its volume goes to its neighbour, so that the shares still add up.
      const beside = setup.ram[Math.max(index - 1, 0)];
      if (gone && beside) beside.share = sum(beside.share, gone.share);
    });
  return el(
    "li",
    {},
    el("div", { className: "fields" }, numberField(`${path}.share`), numberField(`${path}.speed`)),
    el("button", { type: "button", "aria-label": `Remove speed step ${index + 1}`, onclick: remove }, "Remove"),
  );
}

// A further step takes half of the last one's volume.
function addStep() {
  model.restructure(LIST, ({ setup }) => {
    const last = setup.ram.at(-1);
    if (!last) {
      setup.ram.push(...USUAL.map((step) => ({ ...step })));
      return;
    }
    const half = Number((last.share / 2).toPrecision(3));
    last.share = sum(last.share, -half);
    setup.ram.push({ share: half, speed: last.speed });
  });
}

/**
 * @param {number} a
 * @param {number} b
 */
const sum = (a, b) => Number((a + b).toPrecision(6));
