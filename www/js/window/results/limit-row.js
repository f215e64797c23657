// @ts-check
// One row of the limits: a line with its margin, and on opening what it means and what helps.

import { parameter } from "app/shared/catalogue";
import { threshold_of } from "app/shared/core";
import { byId, el, put, putAttribute } from "app/shared/dom";
import { limitWords } from "app/shared/limits";
import { number } from "app/shared/numbers";
import { restate, shownUnit, toShown } from "app/shared/units";
import { toLimit } from "app/shared/ways";
import { lit } from "app/window/lit";
import { handbookLink, reveal } from "app/window/settings/fields";
import { isNew } from "app/window/saved/earlier";
import { model } from "app/window/settings/model";

/** @typedef {ReturnType<typeof limitRow>} Row */

/** @param {Gatefrost.Limit} limit */
export function limitRow(limit) {
  const parts = { ...line(), ...details(limit) };
  const box = el(
    "details",
    { className: "limit", ontoggle: () => (box.open ? lit.open(limit) : lit.close(limit)) },
    el("summary", {}, parts.label, parts.state, parts.value, parts.allowed, parts.bar),
    el("div", { className: "told" }, parts.sentence, parts.remedy, parts.rests, parts.lineless, parts.ways),
  );
  const root = el("li", { dataset: { limit } }, box);
  const point = () => lit.point(limit);
  const leave = () => lit.point(null);
  // A finger does not hover: its press opens the row.
  root.addEventListener("pointerenter", (event) => event.pointerType === "mouse" && point());
  root.addEventListener("pointerleave", leave);
  root.addEventListener("focusin", (event) => event.target instanceof Element && event.target.matches(":focus-visible") && point());
  root.addEventListener("focusout", leave);
  return { ...parts, box, root };
}

// The parts of the line that is always seen.
function line() {
  return {
    label: el("h3", {}),
    bar: el("span", { className: "bar" }),
    state: el("span", { className: "state" }),
    value: el("span", { className: "value" }),
    allowed: el("span", { className: "allowed" }),
  };
}

// The parts that appear on opening.
/** @param {Gatefrost.Limit} limit */
function details(limit) {
  const path = threshold_of(limit) ?? "";
  const { title, source } = parameter(path);
  const { label } = limitWords[limit];
  const counts = el("input", { type: "checkbox", "aria-label": `${label} applies`, onchange: () => count(limit, counts.checked) });
  // A number of another page has no source here, and is edited there.
  const edit = () => (source ? reveal(path) : byId("to-after").click());
  const where = el(
    "button",
    { type: "button", className: "quiet small", title: source ? `${title}. Source: ${source}.` : `${title}, on the page “After the mould”.`, "aria-label": `Edit limit: ${label}`, onclick: edit },
    "Edit limit",
  );
  const about = el("span", { className: "small" }, handbookLink(toLimit(limit), label));
  return {
    counts,
    sentence: el("p", {}),
    remedy: el("p", { className: "remedy" }),
    rests: el("p", { className: "small" }),
    lineless: el("p", { className: "small", hidden: true }, "It has no line in this plane."),
    ways: el("div", { className: "row" }, el("label", { className: "counts small" }, counts, " applies"), where, about),
  };
}

/**
 * The line of a row. Only what has changed is written: the rows are filled in every frame of a drag.
 * @param {Row} row
 * @param {Gatefrost.Margin} margin
 */
export function fillRow(row, margin) {
  const { g, ignored, unit } = margin;
  const holds = g >= 0;
  row.root.classList.toggle("out", !holds && !ignored);
  row.root.classList.toggle("ignored", ignored);
  putAttribute(row.root, "data-g", String(g));
  row.counts.checked = !ignored;
  // Half of its length stands for a value that is half of what is allowed, or for twice what is needed. A thousandth of
  // it is less than can be seen.
  const share = (ignored ? 0 : Math.sign(g) * (1 - Math.exp(-Math.abs(g)))).toFixed(3);
  if (row.bar.style.getPropertyValue("--share") !== share) row.bar.style.setProperty("--share", share);
  const told = (/** @type {number} */ value) => number(toShown(value, unit), 3);
  put(row.label, margin.label);
  put(row.state, ignored ? "left out" : holds ? "met" : "not met");
  put(row.value, `${margin.beyond_reckoning ? ">" : ""}${told(margin.value)}`);
  put(row.allowed, `${margin.at_least ? "≥" : "≤"} ${told(margin.threshold)} ${shownUnit(unit)}`.trim());
}

/**
 * What a row tells on opening.
 * @param {Row} row
 * @param {Gatefrost.Margin} margin
 * @param {string} sentence
 */
export function fillDetails(row, margin, sentence) {
  put(row.sentence, sentence);
  put(row.remedy, `What helps: ${restate(margin.remedy)}`);
  put(row.rests, restsOn(margin.limit));
}

// What the threshold rests on, with its source, and whether the limit is newer than the open scenario.
/** @param {Gatefrost.Limit} limit */
function restsOn(limit) {
  const { ground, why, since } = limitWords[limit];
  const newer = isNew(since) ? ` New since version ${since} of the document.` : "";
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
