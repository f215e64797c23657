// @ts-check
// The way back to a scenario that was replaced by another.

import { dismiss, notice } from "app/shared/notices";
import { model } from "app/window/settings/model";

/**
 * @param {string} title
 * @param {string} [without] words of a button that opens `pure` instead of what is open
 * @param {Gatefrost.Scenario} [pure]
 */
export function offerWayBack(title, without, pure) {
  const before = structuredClone(model.scenario);
  const to = (/** @type {string} */ words, /** @type {Gatefrost.Scenario} */ scenario) => ({
    words,
    act: () => {
      dismiss("file");
      model.replace(scenario);
    },
  });
  notice("file", title, [], [to(`Back to “${before.name}”`, before), ...(without && pure ? [to(without, pure)] : [])]);
}
