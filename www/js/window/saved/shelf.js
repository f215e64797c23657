// Scenarios kept in this browser: by name, exported and brought in as one file.

import { demos, open_link, read_json, write_json } from "app/shared/core";
import { byId, download, el, whenQuiet } from "app/shared/dom";
import { keep, recall } from "app/shared/keep";
import { demoScenario } from "app/window/saved/link";
import { model } from "app/window/settings/model";
import { dismiss, inWords, leftOut, notice, offerWayBack, reasons } from "app/shared/notices";
import { freeName } from "app/window/settings/tree";

const PLACE = "gatefrost.shelf";
const LAST = "gatefrost.last";
const VERSION = 1;
const MOST = 500;
const storage = () => localStorage;

// Kept entries, the newest first: {name, kept, document}. What lies in the storage is read as a file is, entry
// by entry and only when it is opened.
function entries() {
  try {
    const list = JSON.parse(recall(storage, PLACE) ?? "[]");
    return list.filter((e) => typeof e?.name === "string" && typeof e.kept === "string" && typeof e.document === "string").slice(0, MOST);
  } catch {
    return [];
  }
}

const write = (list) => keep(storage, PLACE, JSON.stringify(list));

export function buildShelf() {
  const said = el("p", { className: "small", role: "status" });
  const list = el("ul", { className: "shelf" });
  const put = el("div", { className: "actions" });
  const chooser = el("input", { type: "file", accept: ".json,application/json", className: "hidden", tabIndex: -1, multiple: true, "aria-label": "Files of scenarios" });
  const pasted = el("input", { type: "text", id: "shelf-link", autocomplete: "off", spellcheck: false, onkeydown: (event) => event.key === "Enter" && openPasted() });
  const close = () => dialog.close();
  const dialog = el(
    "dialog",
    { id: "shelf", "aria-labelledby": "shelf-heading" },
    el("div", { className: "heading" }, el("h2", { id: "shelf-heading" }, "Saved scenarios"), el("button", { type: "button", onclick: close }, "Close")),
    el("p", { className: "small" }, "They are saved in this browser, on this device. They are lost when the browser’s data are deleted: download what must last."),
    put,
    said,
    list,
    el(
      "div",
      { className: "actions" },
      el("button", { type: "button", id: "shelf-export", onclick: exportAll }, "Download all"),
      el("button", { type: "button", id: "shelf-import", onclick: () => chooser.click() }, "Add from files"),
      chooser,
    ),
    el(
      "div",
      { className: "field wide" },
      el("label", { htmlFor: "shelf-link" }, "A link that somebody sent you, or the part of it behind #"),
      el("div", { className: "actions" }, pasted, el("button", { type: "button", id: "shelf-open-link", onclick: openPasted }, "Open the link")),
    ),
  );
  document.body.append(dialog);
  chooser.addEventListener("change", async () => {
    const files = [...chooser.files];
    chooser.value = "";
    for (const file of files) {
      try {
        said.textContent = takeIn(await file.text());
      } catch (error) {
        said.textContent = `${file.name} could not be read. Nothing of it was saved. ${reasons(error).join(" ")}`;
        break;
      }
    }
    show();
  });
  byId("to-shelf").addEventListener("click", () => {
    said.textContent = "";
    show();
    dialog.showModal();
  });
  // Another tab may keep or remove something.
  addEventListener("storage", ({ key }) => key === PLACE && dialog.open && show());

  function show() {
    const kept = entries();
    const { name } = model.scenario;
    const known = kept.some((entry) => entry.name === name);
    const ready = model.problems().length === 0;
    put.replaceChildren(
      el("button", { type: "button", id: "shelf-keep", disabled: !ready, onclick: () => keepPresent(name) }, known ? `Replace the saved “${name}”` : `Save “${name}”`),
      known && ready ? el("button", { type: "button", id: "shelf-beside", onclick: () => keepPresent(freeName(kept, name)) }, `Save as “${freeName(kept, name)}”`) : "",
      ready ? "" : el("p", { className: "small" }, "Correct the marked fields first."),
    );
    list.replaceChildren(...kept.map(row));
    if (kept.length === 0) list.append(el("li", { className: "small" }, "None yet."));
    byId("shelf-export").disabled = kept.length === 0;
  }

  function row(entry) {
    const when = new Date(entry.kept);
    return el(
      "li",
      {},
      el("button", { type: "button", className: "opens", onclick: () => open(entry) }, entry.name),
      el("span", { className: "small" }, Number.isNaN(when.getTime()) ? "" : when.toLocaleString()),
      el("button", { type: "button", className: "quiet", "aria-label": `Remove ${entry.name}`, onclick: () => remove(entry) }, "Remove"),
    );
  }

  function keepPresent(name) {
    if (name !== model.scenario.name) model.set("name", name);
    const entry = { name, kept: new Date().toISOString(), document: write_json(model.text()) };
    const ok = write([entry, ...entries().filter((other) => other.name !== name)]);
    said.textContent = ok ? `“${name}” is saved.` : "This browser cannot save it: its storage is full or switched off. Download it instead.";
    show();
  }

  function open(entry) {
    try {
      const scenario = read_json(entry.document);
      offerWayBack(`“${entry.name}” is open.`);
      model.replace(scenario);
      dialog.close();
    } catch (error) {
      said.textContent = `“${entry.name}” could not be opened. ${reasons(error).join(" ")}`;
    }
  }

  function openPasted() {
    const text = pasted.value.trim();
    if (text === "") return pasted.focus();
    const opened = open_link(text.slice(text.indexOf("#") + 1));
    if (opened.kept === 0) {
      said.textContent = `Not opened: ${opened.problems.map(inWords).join(". ") || "there is nothing in this link"}.`;
      return;
    }
    pasted.value = "";
    offerWayBack("The link is open.");
    leftOut(opened);
    model.replace(opened.scenario);
    dialog.close();
  }

  function remove(entry) {
    const before = entries();
    write(before.filter(({ name }) => name !== entry.name));
    show();
    const back = el("button", { type: "button", className: "quiet", onclick: () => { write(before); said.textContent = ""; show(); } }, "Restore");
    said.replaceChildren(`“${entry.name}” is deleted. `, back);
    back.focus();
  }

  function exportAll() {
    download("gatefrost-scenarios.json", "application/json", collected());
  }
}

// All that is kept, as one document.
function collected() {
  const scenarios = entries().flatMap(({ document }) => {
    try {
      return [JSON.parse(document)];
    } catch {
      return [];
    }
  });
  return `${JSON.stringify({ gatefrost_scenarios: VERSION, scenarios }, null, 2)}\n`;
}

// Whether a text holds several scenarios.
export function isCollection(text) {
  try {
    return Object.hasOwn(JSON.parse(text), "gatefrost_scenarios");
  } catch {
    return false;
  }
}

// Keeps every scenario of a file, all or none; says so. A name that is taken gets a number.
export function takeIn(text) {
  const documents = isCollection(text) ? several(JSON.parse(text)) : [text];
  const kept = entries();
  const names = [];
  for (const [index, document] of documents.entries()) {
    try {
      const scenario = read_json(document);
      scenario.name = freeName(kept, scenario.name);
      kept.unshift({ name: scenario.name, kept: new Date().toISOString(), document: write_json(JSON.stringify(scenario)) });
      names.push(scenario.name);
    } catch (error) {
      const where = documents.length > 1 ? `Scenario ${index + 1}: ` : "";
      throw new Error(`${where}${reasons(error).join(" ")}`);
    }
  }
  if (kept.length > MOST) throw new Error(`There is room for ${MOST} scenarios.`);
  if (!write(kept)) throw new Error("This browser’s storage is full or switched off.");
  return names.length === 1 ? `“${names[0]}” is saved.` : `${names.length} scenarios are saved.`;
}

function several({ gatefrost_scenarios: version, scenarios }) {
  if (version !== VERSION) throw new Error(`The list of scenarios has version ${String(version).slice(0, 20)}; only version ${VERSION} can be read.`);
  if (scenarios?.length === 0) throw new Error("There is no scenario in it.");
  if (!Array.isArray(scenarios) || scenarios.length > MOST) throw new Error(`“scenarios” must be a list of at most ${MOST}.`);
  return scenarios.map((scenario) => JSON.stringify(scenario));
}

// What was last worked on is offered where the page opens without a scenario in its address.
export function offerLast() {
  const text = recall(storage, LAST);
  const write = () => model.problems().length === 0 && keep(storage, LAST, model.text());
  model.addEventListener("changed", whenQuiet(600, write));
  addEventListener("pagehide", write);
  if (location.hash.length > 1 || text === null) return;
  try {
    const scenario = read_json(text);
    const plain = JSON.stringify(scenario);
    if (demos().some(({ name }) => JSON.stringify(demoScenario(name)) === plain)) return;
    const act = () => {
      dismiss("last");
      model.replace(scenario);
    };
    notice("last", "You worked on another scenario here last time.", [], { words: `Open “${scenario.name}”`, act });
  } catch {
    keep(storage, LAST, null);
  }
}
