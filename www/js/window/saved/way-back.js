// @ts-check
// The way back to the scenario that another one has taken the place of.

import { dismiss, notice } from "app/shared/notices";
import { model } from "app/window/settings/model";

/** @param {string} title */
export function offerWayBack(title) {
  const before = structuredClone(model.scenario);
  const act = () => {
    dismiss("file");
    model.replace(before);
  };
  notice("file", title, [], { words: `Back to “${before.name}”`, act });
}
