// @ts-check
// What is said of a scenario that was made with an earlier version of the document.

import { dismiss, inWords, notice } from "app/shared/notices";
import { limitWords } from "app/shared/limits";

// The version of the document that the open scenario was made with, if it is not that of today.
let madeWith = Infinity;

// Whether something that began in a version is new to the open scenario.
export const isNew = (/** @type {number} */ since) => since > madeWith;

/** @param {Gatefrost.Earlier | null | undefined} earlier */
export function madeEarlier(earlier) {
  madeWith = earlier?.version ?? Infinity;
  dismiss("earlier");
  if (!earlier) return;
  const newer = Object.values(limitWords).filter(({ since }) => isNew(since));
  const named = newer.length > 0 ? [`New limits apply too: ${newer.map(({ label }) => label).join(", ")}.`] : [];
  notice("earlier", "This scenario was made with an earlier model. Its inputs are the same; results may differ.", [...earlier.dropped.map(inWords), ...named]);
}
