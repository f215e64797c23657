// @ts-check
// Readings of the mixer's torque, and when it has settled.

import { TableBox, clearedWords } from "app/readings/table-box";
import { loadReadings } from "app/shared/core";
import { el } from "app/shared/dom";
import { number, quantity } from "app/shared/numbers";
import { list, tableOf } from "app/shared/tables";
import { model } from "app/window/settings/model";

const FORM = [
  "One header line, then one line for each reading, in the order of time: time [min] and torque [N·m].",
  "Other units stand in brackets in the header: s, h, N·cm, mN·m. Separated by commas, semicolons or tabs. # begins a comment.",
];

// Invented: three portions of powder, then a torque that falls to 6.5 N·m with a time constant of 4 min.
// Numbers are written by the core, which is not loaded yet when this script is.
const example = () =>
  ["time [min],torque [N·m]", "0.5,2.1", "1,6.4", "2,4.1", "3,9.2", "4,6.3", "5,14.8"]
    .concat(Array.from({ length: 56 }, (_, i) => `${number(6 + i / 2, 4)},${number(6.5 + 7 * Math.exp(-i / 8), 4)}`))
    .join("\n");

const CLEARED = clearedWords("Not judged");

// The table of readings, and what they tell.
export function torque() {
  const said = el("p", { className: "said-so", role: "status", id: "torque-said" });
  const told = el("div", {});
  const say = (/** @type {string} */ words) => {
    said.textContent = words;
    told.replaceChildren();
  };
  let share = 0;
  const box = new TableBox("torque-text", "Torque of a batch against time", {
    load: loadReadings,
    form: FORM,
    example: example(),
    exampleWords: "The worked example is invented: three portions of powder, then a torque that settles.",
    job: (text) => {
      share = model.scenario.plan.torque_change;
      return { call: "settle", args: { text, share: share / 100 } };
    },
    take: (/** @type {Gatefrost.Settled} */ found) => {
      say(found.words);
      told.replaceChildren(tableOf("Torque of the batch", [{ words: "Number" }, "Value"], rows(found)), list([...found.notes, ...found.remarks]));
    },
    cleared: (why) => say(CLEARED[why]),
    working: say,
  });
  // Another share judges the same readings again.
  model.addEventListener("changed", () => model.problems().length > 0 || model.scenario.plan.torque_change === share || share === 0 || box.again());
  return { ins: el("div", {}, el("h3", {}, "End of mixing"), box.root), outs: el("div", {}, said, told) };
}

/**
 * @param {Gatefrost.Settled} found
 * @returns {string[][]}
 */
const rows = ({ end_min: end, level_nm: level, scatter_nm: scatter, last_change_percent: change, change_error_percent: error }) => [
  ["Mixing has ended after", end === null ? "not yet" : quantity(end, "min", 3)],
  ["Torque from then on, mean", level === null ? "–" : quantity(level, "N·m", 3)],
  ["Its standard deviation", scatter === null ? "–" : quantity(scatter, "N·m", 2)],
  ["Change in the last minute", quantity(change, "%", 2)],
  ["Standard error of that change", error === null ? "–" : quantity(error, "%", 2)],
];
