// @ts-check
// Lists of the scenario with their fields, built anew when entries are added or removed; and a list of steps, folded away:
// some numbers each, a button that removes the step, and one that adds another.

import { el } from "app/shared/dom";
import { focusKept, numberField } from "app/window/settings/fields";
import { model } from "app/window/settings/model";

/**
 * @typedef {object} Steps
 * @property {string} list path of the list in the scenario
 * @property {string[]} numbers names of a step's numbers
 * @property {string} called what a step is called
 * @property {number} [first] number of the first step
 * @property {number} [most] most steps
 * @property {string} [lead] what is said before the list
 * @property {(count: number) => string} summary what is said while it is folded
 * @property {{ id: string, words: (count: number) => string }} add the button that adds a step
 * @property {(setup: Gatefrost.Setup) => void} grow adds a step
 * @property {(setup: Gatefrost.Setup, index: number) => void} shrink removes a step
 */

/**
 * The list at a path: `row(index)` makes an entry, `told(count)` hears how many there are.
 * @param {string} path
 * @param {{ className: string, start?: number }} looks
 * @param {(index: number) => HTMLElement} row
 * @param {(count: number) => void} told
 */
export function entryList(path, looks, row, told) {
  const list = el("ol", looks);
  const build = () =>
    focusKept(() => {
      const count = model.get(path).length;
      list.replaceChildren(...Array.from({ length: count }, (_, index) => row(index)));
      told(count);
    });
  model.addEventListener("replaced", build);
  model.addEventListener("restructured", ({ detail }) => detail === path && build());
  build();
  return list;
}

/** @param {Steps} steps */
export function stepList(steps) {
  const { list: path, first = 1, most = Infinity, lead, add } = steps;
  const summary = el("summary");
  const grow = () => model.restructure(path, ({ setup }) => steps.grow(setup));
  const button = el("button", { type: "button", id: add.id, onclick: grow });
  const list = entryList(path, { className: "hold-steps", start: first }, (index) => row(steps, index, first), (count) => {
    summary.textContent = steps.summary(count);
    button.textContent = add.words(count);
    button.disabled = count >= most;
  });
  const said = lead ? [el("p", { className: "lead" }, lead)] : [];
  return el("details", { className: "more" }, summary, ...said, list, button);
}

/**
 * @param {Steps} steps
 * @param {number} index
 * @param {number} first
 */
function row({ list, numbers, called, shrink }, index, first) {
  const remove = () => model.restructure(list, ({ setup }) => shrink(setup, index));
  return el(
    "li",
    {},
    el("div", { className: "fields" }, numbers.map((name) => numberField(`${list}.${index}.${name}`))),
    el("button", { type: "button", "aria-label": `Remove ${called} ${index + first}`, onclick: remove }, "Remove"),
  );
}
