// @ts-check
// The plan in a few numbers, at the head of the page.

import { ExplainPlace } from "app/explain/place";
import { el, byId } from "app/shared/dom";
import { number, quantity } from "app/shared/numbers";

// Where the numbers open.
/** @type {ExplainPlace | null} */
let opened = null;

function placeBelow() {
  const place = new ExplainPlace();
  byId("summary-list").after(place.root);
  return place;
}

/**
 * @param {Gatefrost.Plan} plan
 * @param {{ busy: boolean }} mould
 */
export function showSummary(plan, { busy }) {
  const sizes = plan.sizes;
  const waiting = busy ? "computing…" : "none: see the window";
  const place = (opened ??= placeBelow());
  /** @type {[string, string, string, string][]} */
  const rows = [
    ["oversize", "plan.sizes.oversize_factor", "Oversize factor (cavity over sintered part)", sizes ? number(sizes.oversize_factor, 6) : waiting],
    ["scatter", "plan.sizes.scatter_percent", "Scatter of a length, one standard deviation", sizes ? quantity(sizes.scatter_percent, "%", 3) : waiting],
    ["hours", "plan.debinding_hours.value", "Debinding, all steps (estimate, 95 % band)", banded(plan.debinding_hours, plan.draft)],
    ["density", "plan.sintered_density_percent", "Sintered density (of the solid’s)", quantity(plan.sintered_density_percent, "%", 3)],
  ];
  place.refill(
    byId("summary-list"),
    ...rows.map(([key, path, words, value]) =>
      el("div", { className: "result" }, el("dt", {}, words), el("dd", {}, place.number(path, el("output", { dataset: { key }, "aria-live": "off" }, value)))),
    ),
  );
}

/**
 * @param {Gatefrost.Banded | null} hours
 * @param {boolean} draft whether the band is still being computed
 */
export function banded(hours, draft) {
  if (!hours) return "not complete";
  if (draft) return `${number(hours.value, 3)} h (band: computing…)`;
  return `${number(hours.value, 3)} h (${number(hours.low, 2)} to ${number(hours.high, 2)} h)`;
}
