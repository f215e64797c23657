// @ts-check
// A table of readings with its fit: pasted, dropped or opened, fitted in a worker, and put into the scenario on a press.

import { list, tableOf } from "app/shared/tables";
import { TableBox, clearedWords } from "app/readings/table-box";
import { el } from "app/shared/dom";
import { number } from "app/shared/numbers";
import { restate } from "app/shared/units";
import { model } from "app/window/settings/model";

const CLEARED = clearedWords("Not fitted");

/**
 * @typedef {object} Trial
 * @property {string} id
 * @property {string} title
 * @property {"fit_losses" | "fit_shrinkage" | "fit_densities"} call
 * @property {string[]} form
 * @property {string} example
 * @property {string} words of the example
 * @property {(fit: any) => [string, string, string][]} numbers what was fitted: words, value, band
 * @property {string} use words of the button
 * @property {HTMLElement} [ahead] fields that the fit needs, which send the event "change"
 * @property {() => object} [args] what they say, as further arguments of the call
 */

/**
 * @param {import("app/after/start").Bench} bench
 * @param {Trial} trial
 */
export function trial({ spawn }, { id, title, call, form, example, words, numbers, use, ahead, args }) {
  const said = el("p", { className: "said-so", role: "status", "aria-live": "polite", id: `${id}-said` });
  const told = el("div", {});
  /** @type {Gatefrost.Scenario | null} */
  let fitted = null;
  const take = el("button", { type: "button", id: `${id}-use`, hidden: true, onclick: () => fitted && model.replace(fitted) }, use);
  const nothing = (/** @type {string} */ why) => {
    fitted = null;
    take.hidden = true;
    told.replaceChildren();
    said.textContent = why;
  };
  const box = new TableBox(`${id}-text`, title, {
    load: async () => spawn,
    form,
    example,
    exampleWords: words,
    job: (text) => ({ call, args: { scenario: model.text(), text, ...args?.() } }),
    take: ({ table, fit, scenario }) => {
      fitted = scenario;
      take.hidden = false;
      said.textContent = `Fitted. Nothing is changed until you press “${use}”.`;
      const heads = [{ words: "Number" }, "Value", "95 % band"];
      told.replaceChildren(tableOf("What was fitted", heads, numbers(fit)), list([...table.notes, ...fit.remarks].map(restate)));
    },
    cleared: (why) => nothing(CLEARED[why]),
    working: (words) => {
      said.textContent = words;
    },
  });
  box.again();
  ahead?.addEventListener("change", () => box.again());
  return el("details", { className: "more", id }, el("summary", {}, title), ahead, box.root, said, el("div", { className: "row" }, take), told);
}

/**
 * A number with half the width of its band.
 * @param {{ value: number, half_width: number | null } | null} told
 * @param {number} digits
 * @param {string} unit
 * @returns {[string, string]}
 */
export function withBand(told, digits, unit) {
  if (!told) return ["not told", ""];
  const value = `${number(told.value, digits)}${unit && ` ${unit}`}`;
  return [value, told.half_width === null ? "too few readings" : `± ${number(told.half_width, 2)}`];
}
