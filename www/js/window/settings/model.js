// The scenario being edited, and who wants to know about changes. Values are written here only.

import { catalogue, problems_of } from "app/shared/core";
import { words } from "app/shared/words";

let entries = null;

// Catalogue entry of a path; list positions are numbers in the path and `*` in the catalogue.
export function parameter(path) {
  entries ??= new Map(catalogue().map((entry) => [entry.path, { ...entry, ...words[entry.path] }]));
  return entries.get(path.replace(/\.\d+\./g, ".*."));
}

export function parametersOf(group) {
  const wanted = group.replace(/\.\d+(?=\.|$)/g, ".*");
  parameter("");
  return [...entries.values()].filter((entry) => entry.group === wanted);
}

export function read(scenario, path) {
  return path.split(".").reduce((place, name) => place?.[name], scenario);
}

function write(scenario, path, value) {
  const names = path.split(".");
  const last = names.pop();
  names.reduce((place, name) => place[name], scenario)[last] = value;
}

class Model extends EventTarget {
  scenario = null;
  // Fields whose text is no acceptable value: path → message.
  refused = new Map();

  get(path) {
    return read(this.scenario, path);
  }

  // Whether anything is said to be uncertain.
  get uncertain() {
    return this.scenario.feedstock.uncertainty?.numbers.length > 0;
  }

  // Another scenario altogether.
  replace(scenario) {
    this.#put(scenario, false);
  }

  // A state that the scenario has been in before.
  restore(scenario) {
    this.#put(scenario, true);
  }

  #put(scenario, restored) {
    this.scenario = structuredClone(scenario);
    this.refused.clear();
    this.dispatchEvent(new CustomEvent("replaced", { detail: { restored } }));
    this.#changed({ moving: false, restored, opened: !restored });
  }

  set(path, value) {
    this.setAll([[path, value]], false);
  }

  // Several values at once; `moving` while the set point is dragged.
  setAll(pairs, moving) {
    for (const [path, value] of pairs) {
      this.refused.delete(path);
      write(this.scenario, path, value);
    }
    this.#changed({ moving, what: pairs.map(([path]) => path).join() });
  }

  // A field holds a text that is no value: the last good value stays, and nothing is computed.
  refuse(path, message) {
    this.refused.set(path, message);
    this.#changed({ moving: false });
  }

  // Lists and shapes: `edit` changes the scenario in place; messages about `below` no longer hold.
  restructure(below, edit) {
    for (const path of [...this.refused.keys()]) if (path.startsWith(below)) this.refused.delete(path);
    edit(this.scenario);
    this.dispatchEvent(new CustomEvent("restructured", { detail: below }));
    this.#changed({ moving: false });
  }

  text() {
    return JSON.stringify(this.scenario);
  }

  // Everything wrong, field by field first.
  problems() {
    if (this.refused.size > 0) return [...this.refused].map(([path, message]) => ({ path, message }));
    return problems_of(this.text());
  }

  // All that the limit lines depend on: not the set point within the plane, not the names.
  planeKey(axisPaths) {
    const copy = structuredClone(this.scenario);
    for (const path of axisPaths) write(copy, path, null);
    for (const path of ["name", "notes", "feedstock.name", "feedstock.provenance"]) write(copy, path, "");
    return JSON.stringify(copy);
  }

  // `moving` while the set point is dragged, `restored` for a state from before, `what` tells changes of one kind.
  #changed({ moving, restored = false, opened = false, what = null }) {
    const detail = { moving, restored, opened, what };
    this.dispatchEvent(new CustomEvent("changed", { detail }));
  }
}

export const model = new Model();
