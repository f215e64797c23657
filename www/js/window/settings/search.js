// @ts-check
// A search over all inputs and limits: a match opens the sections that hide it, and gets the keyboard.

import { found } from "app/shared/catalogue";
import { byId, el, symbol } from "app/shared/dom";
import { listedLimits, openLimit } from "app/window/results/margins";
import { lit } from "app/window/lit";
import { present, reveal } from "app/window/settings/fields";
import { model } from "app/window/settings/model";

const MOST = 10;
// What else people call a setting, by the end of its path.
/** @type {Record<string, string>} */
const ALSO = {
  wall_angle: "draft",
  clamp_force: "closing force, tonnage",
  hold_pressure: "packing pressure",
  hold_time: "packing time",
  injection_time: "fill time, speed",
  mould_temperature: "tool temperature",
  no_flow_temperature: "solidification, freezing",
  contact_conductance: "heat transfer coefficient",
  solids_loading: "volume fraction of powder",
};

/**
 * What can be found. Its words are searched in this order: symbol, title and what else it is called, place, anything else.
 * @typedef {{ title: string, symbol: string, also: string, where: string, more: string, open: () => void }} Input
 */

// The size of a gate that everybody asks for has the name of any passage's there.
/** @param {string} path */
function ofGate(path) {
  const [list, passages, place, , , size] = path.split(".");
  const gate = list === "cavity" && passages === "passages" && model.scenario.cavity.passages[Number(place)]?.role === "gate";
  return gate && size === "thickness" ? "gate depth, gate thickness, gate height" : "";
}

export const buildSearch = () => void new Search();

class Search {
  #field = byId("search", "input");
  #list = byId("search-list", "ul");
  #said = byId("search-said");
  /** @type {Input[]} */
  #matches = [];
  #at = -1;

  constructor() {
    const field = this.#field;
    field.addEventListener("input", () => this.#look());
    field.addEventListener("focus", () => this.#look());
    field.addEventListener("blur", () => this.#close());
    field.addEventListener("keydown", (event) => this.#press(event));
    // The field keeps the keyboard until the press is over.
    this.#list.addEventListener("pointerdown", (event) => event.preventDefault());
    this.#list.addEventListener("click", (event) => {
      const option = event.target instanceof Element && event.target.closest("[role=option]");
      if (option) this.#open([...this.#list.children].indexOf(option));
    });
    // It may have been typed in while this was loading.
    this.#look();
  }

  #look() {
    const query = plain(this.#field.value);
    if (query === "") {
      this.#close();
      return;
    }
    const all = matching(query);
    this.#matches = all.slice(0, MOST);
    this.#list.replaceChildren(...this.#matches.map(option));
    this.#list.hidden = all.length === 0;
    this.#field.setAttribute("aria-expanded", String(all.length > 0));
    this.#said.textContent = told(all.length);
    this.#mark(all.length > 0 ? 0 : -1);
  }

  #close() {
    this.#matches = [];
    this.#list.hidden = true;
    this.#field.setAttribute("aria-expanded", "false");
    this.#said.textContent = "";
    this.#mark(-1);
  }

  /** @param {number} place */
  #mark(place) {
    this.#at = place;
    [...this.#list.children].forEach((row, i) => row.setAttribute("aria-selected", String(i === place)));
    const row = this.#list.children[place];
    if (row) {
      this.#field.setAttribute("aria-activedescendant", row.id);
      row.scrollIntoView({ block: "nearest" });
    } else this.#field.removeAttribute("aria-activedescendant");
  }

  /** @param {KeyboardEvent} event */
  #press(event) {
    const count = this.#matches.length;
    if (event.key === "Escape") this.#close();
    else if (event.key === "ArrowDown" && count > 0) this.#mark((this.#at + 1) % count);
    else if (event.key === "ArrowUp" && count > 0) this.#mark((this.#at - 1 + count) % count);
    else if (event.key === "Enter" && this.#at >= 0) this.#open(this.#at);
    else return;
    event.preventDefault();
  }

  /** @param {number} place */
  #open(place) {
    const match = this.#matches[place];
    this.#close();
    this.#field.value = "";
    match?.open();
  }
}

/** @param {number} count */
function told(count) {
  if (count === 0) return "Nothing is called that.";
  const many = count === 1 ? "1 match" : `${count} matches`;
  return count > MOST ? `${many}, the first ${MOST} are listed.` : `${many}.`;
}

/**
 * @param {Input} input
 * @param {number} place
 */
function option({ title, symbol: sign, where }, place) {
  return el(
    "li",
    { id: `search-${place}`, role: "option" },
    el("span", {}, title, sign && " ", sign && symbol(sign)),
    " ",
    el("span", { className: "small" }, where),
  );
}

/** @param {string} text */
const plain = (text) => text.normalize("NFKC").toLowerCase().replaceAll("_", "").replaceAll("mold", "mould").trim();

/** @returns {Input[]} */
function inputs() {
  const fields = present().map(([path, { root, input }]) => {
    const entry = found(path);
    const title = entry?.title ?? root.querySelector("label")?.textContent?.trim() ?? path;
    const choices = input instanceof HTMLSelectElement && !path.startsWith("cavity.") ? [...input.options].map(({ text }) => text) : [];
    const also = ALSO[path.split(".").at(-1) ?? ""] ?? ofGate(path);
    const more = [path.replace(/[._]/g, " "), entry?.help ?? "", ...choices].join(" ");
    return { title, symbol: entry?.symbol ?? "", also, where: placeOf(root), more, open: () => reveal(path) };
  });
  const limits = listedLimits().map(({ limit, label }) => ({
    title: label,
    symbol: "",
    also: "",
    where: "The limits",
    more: limit.replaceAll("_", " "),
    open: () => {
      openLimit(limit, { focus: true });
      lit.open(limit);
    },
  }));
  return [...fields, ...limits];
}

// The headings above a field, from the outermost.
/** @param {HTMLElement} root */
function placeOf(root) {
  const names = [];
  for (let box = root.parentElement?.closest("details, .step"); box; box = box.parentElement?.closest("details, .step")) {
    const heading = box.querySelector(":scope > summary > .name") ?? box.querySelector(":scope > summary, :scope > h3");
    const words = heading?.textContent?.replace(/^More: /, "").trim();
    if (words) names.unshift(words);
  }
  return names.join(" › ") || "Head of the page";
}

// All inputs that hold every word of the query, the best first.
/** @param {string} query */
function matching(query) {
  const words = query.split(/\s+/);
  const ranked = inputs().flatMap((input) => {
    const [title, sign, also, where, more] = [input.title, input.symbol, input.also, input.where, input.more].map(plain);
    const whole = `${title} ${sign} ${also} ${where} ${more}`;
    if (!words.every((word) => whole.includes(word))) return [];
    const near = `${title} ${where}`;
    const rank = sign === query ? 0 : title.startsWith(query) || also.includes(query) ? 1 : words.every((w) => title.includes(w)) ? 2 : words.every((w) => near.includes(w)) ? 3 : 4;
    return [{ input, rank }];
  });
  return ranked.sort((a, b) => a.rank - b.rank).map(({ input }) => input);
}
