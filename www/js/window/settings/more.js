// @ts-check
// Sections that are folded for a beginner. One button opens all of them.

import { byId, el } from "app/shared/dom";
import { keep, recall } from "app/shared/keep";

const PLACE = "gatefrost.every";
const storage = () => localStorage;
let every = recall(storage, PLACE) === "true";

/**
 * @param {string} words
 * @param {...(import("app/shared/dom").Child | readonly import("app/shared/dom").Child[])} children
 */
export const more = (words, ...children) =>
  el("details", { className: "more", open: every }, el("summary", {}, words), el("div", { className: "fields" }, ...children));

// The button that opens or folds every section below `root`.
/** @param {HTMLElement} root */
export function buildEvery(root) {
  const button = byId("every-input");
  const show = () => button.setAttribute("aria-pressed", String(every));
  button.addEventListener("click", () => {
    every = !every;
    keep(storage, PLACE, every ? "true" : null);
    // Folding the sections leaves the passages unchanged.
    for (const box of root.querySelectorAll("details")) {
      if (box.classList.contains("about")) continue;
      if (every || box.classList.contains("more")) box.open = every;
    }
    show();
  });
  show();
}
