// @ts-check
// The way back to a scenario that was replaced by another.

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
