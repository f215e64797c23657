// @ts-check
// A list of the scenario with its fields: entries are added and removed, and the fields are built anew.

import { el } from "app/shared/dom";
import { entryList } from "app/window/settings/step-list";
import { model } from "app/window/settings/model";

/**
 * @typedef {object} Kind
 * @property {string} path of the list
 * @property {string} what one entry is called
 * @property {(path: string, index: number) => (HTMLElement | false)[]} fields of an entry
 * @property {(list: any[]) => any} fresh a new entry
 * @property {number} most
 * @property {string} [id] of the button that adds
 */

/** @param {Kind} kind */
export function itemList({ path, what, fields, fresh, most, id }) {
  const add = el("button", { type: "button", id: id ?? `add-${path.replaceAll(".", "-")}`, onclick: () => change((all) => all.push(fresh(all))) }, `Add a ${what}`);
  /** @param {(list: any[]) => void} edit */
  const change = (edit) => model.restructure(path, () => edit(model.get(path)));
  /** @param {number} index */
  const row = (index) => {
    const remove = el("button", { type: "button", className: "quiet", "aria-label": `Remove ${what} ${index + 1}`, onclick: () => change((all) => all.splice(index, 1)) }, "Remove");
    return el("li", {}, fields(`${path}.${index}`, index), remove);
  };
  const list = entryList(path, { className: "items" }, row, (count) => {
    add.disabled = count >= most;
  });
  return el("div", {}, list, add);
}
