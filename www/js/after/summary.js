// @ts-check
// The plan in a few numbers, at the head of the page.

import { el, byId } from "app/shared/dom";
import { number, quantity } from "app/shared/numbers";

/**
 * @param {Gatefrost.Plan} plan
 * @param {{ busy: boolean }} mould
 */
export function showSummary(plan, { busy }) {
  const sizes = plan.sizes;
  const waiting = busy ? "computing…" : "none: see the window";
  /** @type {[string, string, string][]} */
  const rows = [
    ["oversize", "Oversize factor (cavity over sintered part)", sizes ? number(sizes.oversize_factor, 6) : waiting],
    ["scatter", "Scatter of a length, one standard deviation", sizes ? quantity(sizes.scatter_percent, "%", 3) : waiting],
    ["hours", "Debinding, all steps (estimate, 95 % band)", banded(plan.debinding_hours)],
    ["density", "Sintered density (of the solid’s)", quantity(plan.sintered_density_percent, "%", 3)],
  ];
  byId("summary-list").replaceChildren(
    ...rows.map(([key, words, value]) =>
      el("div", { className: "result" }, el("dt", {}, words), el("dd", {}, el("output", { dataset: { key } }, value))),
    ),
  );
}

/** @param {Gatefrost.Banded | null} hours */
export function banded(hours) {
  if (!hours) return "not complete";
  return `${number(hours.value, 3)} h (${number(hours.low, 2)} to ${number(hours.high, 2)} h)`;
}
