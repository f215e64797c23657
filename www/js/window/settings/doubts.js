// @ts-check
// The list of uncertain numbers of the feedstock and its contact with the mould, each with its standard error. The
// bands of the lines and the yield are computed from it.

import { parameter } from "app/shared/catalogue";
import { el } from "app/shared/dom";
import { doubtRow, fieldOf } from "app/window/settings/doubt";
import { focusKept, reveal } from "app/window/settings/fields";
import { model } from "app/window/settings/model";
import { more } from "app/window/settings/more";
import { CONTACT, PLACE, WHOLE, add, drop, offered, recast, rows, scale } from "app/window/settings/uncertainty";

export const doubts = () => new Doubts().root;

class Doubts {
  #list = el("ul", { className: "doubts" });
  #choice = el("select", { id: "doubt-number" });
  #adder = el("button", { type: "button", id: "add-doubt", onclick: () => addNumber(this.#choice.value) }, "Add");
  // For each row, the function that updates it when another number has changed.
  /** @type {(() => void)[]} */
  #tellers = [];

  constructor() {
    this.root = more(
      "",
      el("p", { className: "small" }, "Give the numbers that are uncertain, each with its standard error: in two of three cases the true value lies no further away. The lines of the window then have bands, and the share of shots inside includes the uncertainty."),
      el("p", { className: "small" }, "In per cent the error is a factor: ±\u00a030\u00a0% means 0.74 to 1.35 times the number, ±\u00a0100\u00a0% means 0.37 to 2.7 times."),
      this.#list,
      el(
        "div",
        { className: "add-doubt" },
        el("div", { className: "field wide" }, el("label", { htmlFor: "doubt-number" }, "Uncertain number"), this.#choice),
        this.#adder,
      ),
      el("p", { className: "small" }, `Usual values, from memory: viscosity ± 10 % from batch to batch, heat capacity ± 5 %, conductivity of the powder ± 15 to 30 %, a loading ± 0.5 vol%. The laboratory gives the standard errors of a fit, with their correlation. The contact between melt and mould is known least: ${parameter(CONTACT).source}.`),
    );
    model.addEventListener("replaced", () => this.#build());
    model.addEventListener("restructured", ({ detail }) => detail.startsWith("feedstock.") && this.#build());
    model.addEventListener("changed", () => this.#tellers.forEach((tell) => tell()));
    this.#build();
  }

  #build() {
    const within = this.#list.contains(document.activeElement);
    focusKept(() => {
      const kept = held();
      const shown = rows().map((row) => doubtRow(row, { recast: recastAt, remove: (places) => this.#remove(places) }));
      this.#tellers = shown.map(({ tell }) => tell);
      this.#list.replaceChildren(...shown.map(({ root }) => root));
      for (const { index, text } of kept) {
        const field = fieldOf(index);
        if (field) field.value = text;
      }
      const summary = this.root.querySelector("summary");
      if (summary) summary.textContent = `More: uncertain numbers (${shown.length || "none"})`;
      this.#offer();
    });
    // If the field with the focus has been removed, the focus moves beside the list.
    if (within && !this.#list.contains(document.activeElement)) this.#adder.focus();
  }

  #offer() {
    const { whole, groups } = offered();
    const option = (/** @type {Gatefrost.Entry} */ { path, title, symbol }) => el("option", { value: path }, `${title}, ${symbol.replace("_", "")}`);
    this.#choice.replaceChildren(
      ...(whole ? [el("option", { value: WHOLE }, WHOLE)] : []),
      ...groups.filter(([, free]) => free.length > 0).map(([label, free]) => el("optgroup", { label }, free.map(option))),
    );
  }

  /** @param {number[]} places */
  #remove(places) {
    const before = (/** @type {number} */ index) => places.filter((place) => place < index).length;
    rearrange(({ feedstock }) => drop(feedstock, places), (index) => (places.includes(index) ? -1 : index - before(index)));
    this.#adder.focus();
  }
}

// Entries whose field holds a text that is not accepted, with that text.
function held() {
  const paths = [...model.refused.keys()].filter((path) => path.startsWith(`${PLACE}.numbers.`));
  return paths.map((path) => {
    const index = Number(path.split(".")[3]);
    return { path, index, text: fieldOf(index)?.value ?? "" };
  });
}

/**
 * Changes the list. A refused text stays in its field and is checked again. `moved` returns an entry's new place.
 * @param {(scenario: Gatefrost.Scenario) => void} edit
 * @param {(index: number) => number} [moved]
 */
function rearrange(edit, moved = (index) => index) {
  const kept = held();
  model.restructure(PLACE, edit);
  for (const { index, text } of kept) {
    const field = fieldOf(moved(index));
    if (!field) continue;
    field.value = text;
    field.dispatchEvent(new Event("input"));
  }
}

const recastAt = (/** @type {number} */ index) => rearrange(() => recast(index));

/** @param {string} wanted */
function addNumber(wanted) {
  if (!wanted) return;
  const [wrong] = held();
  if (wrong) {
    reveal(wrong.path);
    return;
  }
  const whole = wanted === WHOLE;
  const field = fieldOf(add(whole ? scale() : [wanted], whole));
  field?.focus();
  field?.select();
}
