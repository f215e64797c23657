// @ts-check
// Every limit in words, in the order of the core: what was found, by how much it is met or not met, and the remedy.

import { threshold_of } from "app/shared/core";
import { el } from "app/shared/dom";
import { handbookLink, reveal } from "app/window/settings/fields";
import { parameter } from "app/shared/catalogue";
import { model } from "app/window/settings/model";
import { limitWords } from "app/shared/limits";
import { restate } from "app/shared/units";
import { toLimit } from "app/shared/ways";

/** @type {Map<Gatefrost.Limit, ReturnType<typeof row>>} */
const rows = new Map();

/**
 * @param {HTMLElement} root
 * @param {Gatefrost.Margin[]} margins
 * @param {string[]} sentences
 */
export function showMargins(root, margins, sentences) {
  const order = margins.map((margin) => margin.limit).join();
  if (root.dataset.order !== order) {
    rows.clear();
    for (const { limit } of margins) rows.set(limit, row(limit));
    root.replaceChildren(...Array.from(rows.values(), (parts) => parts.root));
    root.dataset.order = order;
  }
  margins.forEach((margin, place) => {
    const parts = rows.get(margin.limit);
    if (parts) fill(parts, margin, sentences[place]);
  });
}

/** @param {Gatefrost.Limit} limit */
function row(limit) {
  const path = threshold_of(limit) ?? "";
  const { title, source } = parameter(path);
  const parts = {
    label: el("h3", {}),
    state: el("span", { className: "state" }),
    sentence: el("p", {}),
    remedy: el("p", { className: "remedy" }),
    rests: el("p", { className: "small" }),
    where: el("button", { type: "button", className: "quiet small", title: `${title}. Source: ${source}.`, onclick: () => reveal(path) }, "Edit limit"),
    about: el("span", { className: "small" }),
    counts: el("input", { type: "checkbox", onchange: () => count(limit, parts.counts.checked) }),
  };
  const root = el(
    "li",
    { dataset: { limit } },
    el("div", { className: "head" }, parts.label, parts.state),
    parts.sentence,
    parts.remedy,
    parts.rests,
    el("div", { className: "row" }, el("label", { className: "counts small" }, parts.counts, " applies"), parts.where, parts.about),
  );
  return { ...parts, root };
}

/**
 * @param {ReturnType<typeof row>} parts
 * @param {Gatefrost.Margin} margin
 * @param {string} sentence
 */
function fill(parts, margin, sentence) {
  const holds = margin.g >= 0;
  parts.root.classList.toggle("out", !holds && !margin.ignored);
  parts.root.classList.toggle("ignored", margin.ignored);
  parts.root.dataset.g = String(margin.g);
  if (parts.label.textContent !== margin.label) parts.about.replaceChildren(handbookLink(toLimit(margin.limit), margin.label));
  parts.label.textContent = margin.label;
  parts.counts.checked = !margin.ignored;
  parts.counts.setAttribute("aria-label", `${margin.label} applies`);
  parts.where.setAttribute("aria-label", `Edit limit: ${margin.label}`);
  parts.state.textContent = margin.ignored ? "left out" : holds ? "met" : "not met";
  parts.sentence.textContent = sentence;
  parts.remedy.textContent = `What helps: ${restate(margin.remedy)}`;
  parts.rests.textContent = restsOn(margin.limit);
}

// What the threshold rests on, with its source, and whether the limit is newer than the first ones.
/** @param {Gatefrost.Limit} limit */
function restsOn(limit) {
  const { ground, why, since } = limitWords[limit];
  const newer = since > 1 ? ` New since version ${since} of the document.` : "";
  return `Rests on ${ground}: ${restate(why)}${newer}`;
}

// A limit that does not apply bounds no window, and the set point need not meet it.
/**
 * @param {Gatefrost.Limit} limit
 * @param {boolean} counts
 */
function count(limit, counts) {
  model.restructure("ignored", (scenario) => {
    const others = scenario.ignored.filter((other) => other !== limit);
    scenario.ignored = counts ? others : [...others, limit];
  });
}

export const broken = (/** @type {Gatefrost.Margin[]} */ margins) => margins.filter((margin) => margin.g < 0 && !margin.ignored);

// The limits by which a fill ends in a short shot.
const SHORT = ["short_shot", "switch_over"];

/**
 * What is not met at a set point, in words. A short shot comes first, with the limit that makes it one.
 * @param {Gatefrost.Report} report
 */
export function notMet({ fill, margins }) {
  if (fill.outcome !== "short_shot") return broken(margins).map(({ label }) => label);
  const causes = margins.filter(({ g, limit }) => g < 0 && SHORT.includes(limit)).map(({ label }) => label);
  const because = causes.length > 0 ? ` (${causes.join(", ")})` : "";
  const others = broken(margins).filter(({ limit }) => !SHORT.includes(limit));
  return [`the cavity does not fill${because}`, ...others.map(({ label }) => label)];
}

// The set point in one sentence, for the line under the window and for screen readers.
/** @param {Gatefrost.Report} report */
export function verdict(report) {
  const names = notMet(report);
  if (names.length === 0) return { inside: true, words: "Inside: every limit is met." };
  return { inside: false, words: `Outside: ${names.join(", ")}.` };
}
