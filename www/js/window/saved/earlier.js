// @ts-check
// What is said of a scenario that was made with an earlier version of the document.

import { dismiss, inWords, notice } from "app/shared/notices";
import { limitWords } from "app/shared/limits";

/** @param {Gatefrost.Earlier | null | undefined} earlier */
export function madeEarlier(earlier) {
  dismiss("earlier");
  if (!earlier) return;
  const newer = Object.values(limitWords).filter(({ since }) => since > earlier.version);
  const named = newer.length > 0 ? [`New limits apply too: ${newer.map(({ label }) => label).join(", ")}.`] : [];
  notice("earlier", "This scenario was made with an earlier model. Its inputs are the same; results may differ.", [...earlier.dropped.map(inWords), ...named]);
}
