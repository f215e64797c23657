// @ts-check
// Offers the scenario of the last visit if the page opens without a scenario in its address.

import { demos, read_json } from "app/shared/core";
import { whenQuiet } from "app/shared/dom";
import { keep, recall } from "app/shared/keep";
import { dismiss, notice } from "app/shared/notices";
import { demoScenario } from "app/window/saved/link";
import { model } from "app/window/settings/model";

const PLACE = "gatefrost.last";
const storage = () => localStorage;

export function offerLast() {
  const text = recall(storage, PLACE);
  const write = () => {
    if (model.problems().length === 0) keep(storage, PLACE, model.text());
  };
  model.addEventListener("changed", whenQuiet(600, write));
  addEventListener("pagehide", write);
  if (location.hash.length > 1 || text === null) return;
  try {
    const scenario = read_json(text);
    const plain = JSON.stringify(scenario);
    if (demos().some(({ name }) => JSON.stringify(demoScenario(name)) === plain)) return;
    const act = () => {
      dismiss("last");
      model.replace(scenario);
    };
    notice("last", "You worked on another scenario here last time.", [], { words: `Open “${scenario.name}”`, act });
  } catch {
    keep(storage, PLACE, null);
  }
}
