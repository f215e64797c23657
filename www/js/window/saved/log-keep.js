// @ts-check
// The trial log of this tab. A link carries only how many shots the log has, so the log is stored beside the link of its
// scenario, for the way to another page and for a reload.

import { problems_of } from "app/shared/core";
import { keep, recall } from "app/shared/keep";

const PLACE = "gatefrost.log";
const storage = () => sessionStorage;

// Stores the log of a scenario under its link. Without a log nothing is stored.
/**
 * @param {string} link
 * @param {Gatefrost.Scenario} scenario
 */
export function keepLog(link, { shots }) {
  if (shots.length > 0) keep(storage, PLACE, JSON.stringify({ link, shots }));
}

// Puts the log back that belongs to a link; returns whether the scenario has its log. Storage may hold anything: only a log
// that is valid is taken.
/**
 * @param {string} link
 * @param {Gatefrost.Scenario} scenario
 */
export function withLog(link, scenario) {
  if (scenario.trials.logged === 0 || scenario.shots.length > 0) return true;
  try {
    const kept = JSON.parse(recall(storage, PLACE) ?? "null");
    if (kept?.link !== link || !Array.isArray(kept.shots) || problems_of(JSON.stringify({ ...scenario, shots: kept.shots })).length > 0) return false;
    scenario.shots = kept.shots;
    return true;
  } catch {
    return false;
  }
}
