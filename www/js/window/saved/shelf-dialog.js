// @ts-check
// Scenarios saved in this browser: the dialog that saves, opens, removes, exports and imports them.

import { earlier_of, open_link, read_json, write_json } from "app/shared/core";
import { madeEarlier } from "app/window/saved/earlier";
import { download, el } from "app/shared/dom";
import { inWords, leftOut, reasons } from "app/shared/notices";
import { collected, entries, PLACE, takeIn, write } from "app/window/saved/collection";
import { offerWayBack } from "app/window/saved/way-back";
import { model } from "app/window/settings/model";
import { freeName } from "app/window/settings/tree";

/** @typedef {import("app/window/saved/collection").Entry} Entry */

export class Shelf {
  #said = el("p", { className: "small", role: "status" });
  #list = el("ul", { className: "shelf" });
  #put = el("div", { className: "actions" });
  #chooser = el("input", { type: "file", accept: ".json,application/json", className: "hidden", tabIndex: -1, multiple: true, "aria-label": "Files of scenarios" });
  #pasted = el("input", { type: "text", id: "shelf-link", autocomplete: "off", spellcheck: false });
  #export = el("button", { type: "button", id: "shelf-export", onclick: exportAll }, "Download all");
  #dialog = this.#build();

  constructor() {
    document.body.append(this.#dialog);
    this.#chooser.addEventListener("change", () => this.#takeFiles());
    this.#pasted.addEventListener("keydown", ({ key }) => key === "Enter" && this.#openPasted());
    // Another tab may save or remove scenarios.
    addEventListener("storage", ({ key }) => key === PLACE && this.#dialog.open && this.#show());
  }

  open() {
    this.#said.textContent = "";
    this.#show();
    this.#dialog.showModal();
  }

  #build() {
    return el(
      "dialog",
      { id: "shelf", "aria-labelledby": "shelf-heading" },
      el("div", { className: "heading" }, el("h2", { id: "shelf-heading" }, "Saved scenarios"), el("button", { type: "button", onclick: () => this.#dialog.close() }, "Close")),
      el("p", { className: "small" }, "They are saved in this browser, on this device. They are lost when the browser’s data are deleted: download what must last."),
      this.#put,
      this.#said,
      this.#list,
      el(
        "div",
        { className: "actions" },
        this.#export,
        el("button", { type: "button", id: "shelf-import", onclick: () => this.#chooser.click() }, "Add from files"),
        this.#chooser,
      ),
      el(
        "div",
        { className: "field wide" },
        el("label", { htmlFor: "shelf-link" }, "A link that somebody sent you, or the part of it behind #"),
        el("div", { className: "actions" }, this.#pasted, el("button", { type: "button", id: "shelf-open-link", onclick: () => this.#openPasted() }, "Open the link")),
      ),
    );
  }

  #show() {
    const kept = entries();
    const { name } = model.scenario;
    const known = kept.some((entry) => entry.name === name);
    const ready = model.problems().length === 0;
    this.#put.replaceChildren(
      el("button", { type: "button", id: "shelf-keep", disabled: !ready, onclick: () => this.#keep(name) }, known ? `Replace the saved “${name}”` : `Save “${name}”`),
      known && ready ? el("button", { type: "button", id: "shelf-beside", onclick: () => this.#keep(freeName(kept, name)) }, `Save as “${freeName(kept, name)}”`) : "",
      ready ? "" : el("p", { className: "small" }, "Correct the marked fields first."),
    );
    this.#list.replaceChildren(...kept.map((entry) => this.#row(entry)));
    if (kept.length === 0) this.#list.append(el("li", { className: "small" }, "None yet."));
    this.#export.disabled = kept.length === 0;
  }

  /** @param {Entry} entry */
  #row(entry) {
    const when = new Date(entry.kept);
    return el(
      "li",
      {},
      el("button", { type: "button", className: "opens", onclick: () => this.#open(entry) }, entry.name),
      el("span", { className: "small" }, Number.isNaN(when.getTime()) ? "" : when.toLocaleString()),
      el("button", { type: "button", className: "quiet", "aria-label": `Remove ${entry.name}`, onclick: () => this.#remove(entry) }, "Remove"),
    );
  }

  /** @param {string} name */
  #keep(name) {
    if (name !== model.scenario.name) model.set("name", name);
    const entry = { name, kept: new Date().toISOString(), document: write_json(model.text()) };
    const ok = write([entry, ...entries().filter((other) => other.name !== name)]);
    this.#said.textContent = ok ? `“${name}” is saved.` : "This browser cannot save it: its storage is full or switched off. Download it instead.";
    this.#show();
  }

  /** @param {Entry} entry */
  #open(entry) {
    try {
      const scenario = read_json(entry.document);
      offerWayBack(`“${entry.name}” is open.`);
      model.replace(scenario);
      madeEarlier(earlier_of(entry.document));
      this.#dialog.close();
    } catch (error) {
      this.#said.textContent = `“${entry.name}” could not be opened. ${reasons(error).join(" ")}`;
    }
  }

  #openPasted() {
    const text = this.#pasted.value.trim();
    if (text === "") {
      this.#pasted.focus();
      return;
    }
    const opened = open_link(text.slice(text.indexOf("#") + 1));
    if (opened.kept === 0) {
      this.#said.textContent = `Not opened: ${opened.problems.map(inWords).join(". ") || "there is nothing in this link"}.`;
      return;
    }
    this.#pasted.value = "";
    offerWayBack("The link is open.");
    leftOut(opened);
    madeEarlier(opened.only_demo ? null : opened.earlier);
    model.replace(opened.scenario);
    this.#dialog.close();
  }

  /** @param {Entry} entry */
  #remove(entry) {
    const before = entries();
    write(before.filter(({ name }) => name !== entry.name));
    this.#show();
    const putBack = () => {
      write(before);
      this.#said.textContent = "";
      this.#show();
    };
    const back = el("button", { type: "button", className: "quiet", onclick: putBack }, "Restore");
    this.#said.replaceChildren(`“${entry.name}” is deleted. `, back);
    back.focus();
  }

  async #takeFiles() {
    const files = [...(this.#chooser.files ?? [])];
    this.#chooser.value = "";
    for (const file of files) {
      try {
        this.#said.textContent = takeIn(await file.text());
      } catch (error) {
        this.#said.textContent = `${file.name} could not be read. Nothing of it was saved. ${reasons(error).join(" ")}`;
        break;
      }
    }
    this.#show();
  }
}

function exportAll() {
  download("gatefrost-scenarios.json", "application/json", collected());
}
