// @ts-check
// The states to undo to, kept in this tab while the laboratory or the page after the mould is visited.

import { problems_of } from "app/shared/core";
import { keep, recall } from "app/shared/keep";

const storage = () => sessionStorage;

/**
 * The history that was kept, once. Storage may hold anything: only states that can be read are taken.
 * @param {string} place
 * @returns {{ past: string[], present: string[], future: string[] }}
 */
export function revived(place) {
  const text = recall(storage, place);
  keep(storage, place, null);
  try {
    const { past, present, future } = JSON.parse(text ?? "null");
    return { past: states(past), present: states([present]), future: states(future) };
  } catch {
    return { past: [], present: [], future: [] };
  }
}

/** @param {unknown[]} list */
const states = (list) => list.flatMap((state) => readable(state));

/** @param {unknown} state */
function readable(state) {
  try {
    return typeof state === "string" && problems_of(state).length === 0 ? [state] : [];
  } catch {
    return [];
  }
}
