// @ts-check
// Lists and tables of results, and the button that restores what an example has replaced.

import { el } from "app/shared/dom";

/**
 * @param {string[]} lines
 * @param {Record<string, any>} [attributes]
 */
export const list = (lines, attributes = {}) =>
  el("ul", { className: "list", ...attributes }, lines.map((line) => el("li", {}, line)));

// On a narrow screen the numbers of hidden columns are shown below a word of the visible ones.
export const under = (/** @type {string} */ words, /** @type {string} */ below) => el("span", {}, words, el("span", { className: "under" }, below));

// A table with its caption; `heads` are texts, or {words} for columns of text.
// `className`: "stacked" hides the columns from the fourth on where the screen is narrow.
/**
 * @param {string} caption
 * @param {(string | { words: string })[]} heads
 * @param {import("app/shared/dom").Child[][]} rows
 * @param {string} [className]
 */
export function tableOf(caption, heads, rows, className = "") {
  const wordy = heads.map((head) => typeof head === "object");
  /**
   * @param {"th" | "td"} tag
   * @param {import("app/shared/dom").Child} value
   * @param {number} i
   * @param {Record<string, any>} more
   */
  const cell = (tag, value, i, more) => el(tag, { className: wordy[i] ? "words" : "", ...more }, value ?? "–");
  return el(
    "div",
    { className: "scroll", tabIndex: 0, role: "region", "aria-label": caption },
    el(
      "table",
      { className },
      el("caption", {}, caption),
      el("thead", {}, el("tr", {}, heads.map((head, i) => cell("th", typeof head === "object" ? head.words : head, i, { scope: "col" })))),
      el("tbody", {}, rows.map((row) => el("tr", {}, row.map((value, i) => cell("td", value, i, {}))))),
    ),
  );
}

// A button that restores what a worked example has replaced.
/** @param {string} words */
export function wayBack(words) {
  /** @type {(() => void) | null} */
  let before = null;
  const button = el("button", { type: "button", hidden: true, onclick: () => {
    button.hidden = true;
    before?.();
  } }, words);
  return {
    button,
    offer(/** @type {() => void} */ restore) {
      before = restore;
      button.hidden = false;
    },
  };
}
