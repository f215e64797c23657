// @ts-check
// Formulas of the core on a page.

import { el } from "app/shared/dom";

// MathML comes from the core as markup. It holds letters and numbers of formulas, no text of the user.
/** @param {string} markup */
export function formulaOf(markup) {
  const parsed = new DOMParser().parseFromString(markup, "text/html").body.firstElementChild;
  return parsed ? document.importNode(parsed, true) : "";
}

// A formula on a line of its own. What may be wider than a phone scrolls by itself.
/**
 * @param {string} markup
 * @param {string} words
 */
export const formula = (markup, words) => el("div", { className: "formula", tabIndex: 0, role: "group", "aria-label": words }, formulaOf(markup));
