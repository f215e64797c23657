// @ts-check
// A figure with its heading and a sentence, for the pages beside the window.

import { el } from "app/shared/dom";
import { exhibit } from "app/shared/exhibit";

/**
 * @param {import("app/shared/exhibit").Source} source
 * @param {string} name
 * @param {string} heading
 * @param {string} words
 * @param {{ tall?: boolean }} [more]
 */
export function figureOf(source, name, heading, words, { tall = false } = {}) {
  const shown = exhibit(source, name, heading, { title: () => heading, height: 520 });
  const root = el(
    "figure",
    { className: tall ? "tall" : "", dataset: { figure: name } },
    el("figcaption", {}, el("h3", {}, heading), el("p", { className: "lead" }, words)),
    shown.plot,
    shown.reading,
    shown.foot,
  );
  return { root, refresh: shown.refresh };
}
