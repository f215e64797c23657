// @ts-check
// The way through the tool, from route to plan, at the head of every page. Its links take the scenario along.

import { toAfter, toCalibration, toClassroom, toLaboratory, toPlan, toSheet, toWindow } from "app/shared/ways";

/** @type {Record<string, (fragment: string) => string>} */
const TO = { plan: toPlan, laboratory: toLaboratory, window: toWindow, calibration: toCalibration, after: toAfter, sheet: toSheet, classroom: () => toClassroom("") };

/** @param {() => string} fragment of the scenario that is shown */
export function buildThrough(fragment) {
  for (const way of /** @type {NodeListOf<HTMLAnchorElement>} */ (document.querySelectorAll("a[data-way]"))) {
    const take = () => {
      way.href = TO[way.dataset.way ?? ""](fragment());
    };
    for (const kind of ["pointerdown", "focus", "click"]) way.addEventListener(kind, take);
  }
}
