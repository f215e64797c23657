// @ts-check
// The scenarios saved in this browser, and files that hold several.

import { read_json, write_json } from "app/shared/core";
import { keep, recall } from "app/shared/keep";
import { reasons } from "app/shared/notices";
import { freeName } from "app/window/settings/tree";

export const PLACE = "gatefrost.shelf";
const VERSION = 1;
const MOST = 500;
const storage = () => localStorage;

/** @typedef {{ name: string, kept: string, document: string }} Entry */

/**
 * Saved entries, the newest first. An entry is checked like a file, and only when it is opened.
 * @returns {Entry[]}
 */
export function entries() {
  try {
    const list = JSON.parse(recall(storage, PLACE) ?? "[]");
    const isEntry = (/** @type {any} */ e) => typeof e?.name === "string" && typeof e.kept === "string" && typeof e.document === "string";
    return list.filter(isEntry).slice(0, MOST);
  } catch {
    return [];
  }
}

/** @param {Entry[]} list */
export const write = (list) => keep(storage, PLACE, JSON.stringify(list));

// All saved scenarios as one document.
export function collected() {
  const scenarios = entries().flatMap(({ document }) => {
    try {
      return [JSON.parse(document)];
    } catch {
      return [];
    }
  });
  return `${JSON.stringify({ gatefrost_scenarios: VERSION, scenarios }, null, 2)}\n`;
}

/**
 * Whether a text holds several scenarios.
 * @param {string} text
 */
export function isCollection(text) {
  try {
    return Object.hasOwn(JSON.parse(text), "gatefrost_scenarios");
  } catch {
    return false;
  }
}

/**
 * Saves every scenario of a file, all or none, and shows a message. A name that is taken gets a number.
 * @param {string} text
 */
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
      throw new Error(`${where}${reasons(error).join(" ")}`, { cause: error });
    }
  }
  if (kept.length > MOST) throw new Error(`There is room for ${MOST} scenarios.`);
  if (!write(kept)) throw new Error("This browser’s storage is full or switched off.");
  return names.length === 1 ? `“${names[0]}” is saved.` : `${names.length} scenarios are saved.`;
}

/**
 * @param {any} document
 * @returns {string[]}
 */
function several({ gatefrost_scenarios: version, scenarios }) {
  if (version !== VERSION) throw new Error(`The list of scenarios has version ${String(version).slice(0, 20)}; only version ${VERSION} can be read.`);
  if (scenarios?.length === 0) throw new Error("There is no scenario in it.");
  if (!Array.isArray(scenarios) || scenarios.length > MOST) throw new Error(`“scenarios” must be a list of at most ${MOST}.`);
  return scenarios.map((scenario) => JSON.stringify(scenario));
}
