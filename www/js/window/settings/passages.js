// @ts-check
// The flow path as a list: its passages in order, each unfolded on demand, with the drawing above.

import { new_passage } from "app/shared/core";
import { el, put } from "app/shared/dom";
import { units } from "app/shared/units";
import { focusKept } from "app/window/settings/fields";
import { model, touches } from "app/window/settings/model";
import { LIST, passageForm, shapeOf, sizesOf, titleOf } from "app/window/settings/passage";
import { Section } from "app/window/settings/section";
import { gateForm } from "app/window/settings/starts";
import { append, exchange, remove } from "app/window/settings/tree";

/** @typedef {Gatefrost.Passage} Passage */

const passagesNow = () => model.scenario.cavity.passages;

/** @param {import("app/shared/core").Sheet} sheet */
export const passageList = (sheet) => new PassageList(sheet).root;

class PassageList {
  #list = el("ol", { className: "passages" });
  // The passages that are unfolded. At first it is the gate, which a toolmaker changes first.
  /** @type {Set<Passage> | null} */
  #open = null;
  // The passages of which every field is shown.
  /** @type {WeakSet<Passage>} */
  #wide = new WeakSet();
  // The passages as last listed.
  /** @type {Passage[]} */
  #listed = [];

  /** @param {import("app/shared/core").Sheet} sheet */
  constructor(sheet) {
    const drawing = new Section(sheet, {
      words: (index) => `${index + 1}  ${passagesNow()[index].name}, ${sizesOf(passagesNow()[index])}`,
      open: (index) => this.#unfold(index),
    });
    // The passage with the focus is highlighted.
    this.#list.addEventListener("focusin", ({ target }) => {
      const index = [...this.#list.children].findIndex((item) => target instanceof Node && item.contains(target));
      if (index >= 0) drawing.choose(index);
    });
    model.addEventListener("replaced", ({ detail }) => this.#replace(detail.restored));
    model.addEventListener("restructured", ({ detail }) => detail.startsWith(LIST) && this.#build());
    model.addEventListener("changed", ({ detail }) => touches(detail, "cavity") && this.#retitle());
    units.addEventListener("changed", () => this.#retitle());
    this.#build();
    const add = el("button", { type: "button", id: "add-passage", onclick: () => this.#append() }, "Add a passage");
    this.root = el("div", { className: "passage-editor" }, drawing.root, this.#list, add, gateForm(LIST));
  }

  #opened() {
    this.#open ??= new Set(passagesNow().filter((passage) => passage.role === "gate").slice(0, 1));
    return this.#open;
  }

  #build() {
    const passages = passagesNow();
    this.#listed = passages;
    this.#opened();
    focusKept(() => this.#list.replaceChildren(...passages.map((passage, index) => this.#item(passage, index, passages.length))));
  }

  /**
   * After undo, unfolded passages stay unfolded.
   * @param {boolean} restored
   */
  #replace(restored) {
    const now = passagesNow();
    const stays = (/** @type {{ has(passage: Passage): boolean }} */ set) =>
      this.#listed.flatMap((passage, index) => (set.has(passage) && now[index] ? [now[index]] : []));
    const [open, wide] = [stays(this.#opened()), stays(this.#wide)];
    this.#open = restored ? new Set(open) : null;
    if (restored) for (const passage of wide) this.#wide.add(passage);
    this.#build();
  }

  /** @param {number} index */
  #unfold(index) {
    const details = this.#list.children[index]?.querySelector("details");
    if (!details) return;
    details.open = true;
    details.querySelector("summary")?.focus();
  }

  /**
   * @param {Passage} passage
   * @param {number} index
   * @param {number} count
   */
  #item(passage, index, count) {
    const { body, rest } = passageForm(passage, index, (wanted) => reshape(index, wanted));
    const open = this.#opened();
    rest.open ||= this.#wide.has(passage);
    rest.addEventListener("toggle", () => (rest.open ? this.#wide.add(passage) : this.#wide.delete(passage)));
    const details = el(
      "details",
      { open: open.has(passage), ontoggle: () => (details.open ? open.add(passage) : open.delete(passage)) },
      el("summary", {}, el("span", { className: "name" }), " ", el("span", { className: "sizes" })),
      body,
      rest,
      buttons(index, count),
    );
    const root = el("li", {}, details);
    retitle(root, passage, index);
    return root;
  }

  #retitle() {
    passagesNow().forEach((passage, index) => {
      const item = this.#list.children[index];
      if (item) retitle(item, passage, index);
    });
  }

  #append() {
    model.restructure(LIST, ({ cavity: { passages } }) => {
      const passage = new_passage("strip");
      const last = passages.at(-1)?.form;
      if (last && "strip" in last && "strip" in passage.form) {
        passage.form.strip.width = last.strip.width_end ?? last.strip.width;
        passage.form.strip.thickness = last.strip.thickness_end ?? last.strip.thickness;
      }
      append(passages, passage);
      this.#open?.add(passage);
    });
  }
}

/**
 * @param {number} index
 * @param {number} count
 */
function buttons(index, count) {
  const drop = () => model.restructure(LIST, ({ cavity: { passages } }) => remove(passages, index));
  return el(
    "div",
    { className: "row" },
    mover("Earlier", "towards the nozzle", index, -1, index === 0),
    mover("Later", "towards the end of flow", index, 1, index === count - 1),
    el("button", { type: "button", disabled: count === 1, "aria-label": `Remove passage ${index + 1}`, onclick: drop }, "Remove"),
  );
}

/**
 * @param {string} words
 * @param {string} where
 * @param {number} index
 * @param {number} by
 * @param {boolean} disabled
 */
function mover(words, where, index, by, disabled) {
  const move = () => model.restructure(LIST, ({ cavity: { passages } }) => exchange(passages, Math.min(index, index + by)));
  const label = `${words}: passage ${index + 1}, ${where}`;
  return el("button", { type: "button", disabled, "aria-label": label, onclick: move }, words);
}

/**
 * @param {Element} item
 * @param {Passage} passage
 * @param {number} index
 */
function retitle(item, passage, index) {
  const { name, about } = titleOf(passage, index);
  for (const [place, words] of [[".name", name], [".sizes", about]]) {
    const element = item.querySelector(`summary ${place}`);
    if (element) put(element, words);
  }
}

/**
 * A new shape keeps the sizes that it shares with the old one.
 * @param {number} index
 * @param {string} wanted
 */
function reshape(index, wanted) {
  model.restructure(`${LIST}.${index}`, ({ cavity: { passages } }) => {
    const passage = passages[index];
    /** @type {Record<string, Record<string, number | null>>} */
    const old = passage.form;
    /** @type {Record<string, Record<string, number | null>>} */
    const form = new_passage(wanted).form;
    const before = old[shapeOf(passage)];
    for (const name of Object.keys(form[wanted])) {
      if (name in before && before[name] !== null) form[wanted][name] = before[name];
    }
    passage.form = /** @type {Gatefrost.Form} */ (/** @type {unknown} */ (form));
  });
}
