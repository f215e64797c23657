// @ts-check
// The numbers of a scenario: their entries in the catalogue, with help and source.

import { catalogue } from "app/shared/core";
import { words } from "app/shared/words";

/** @type {Record<string, { help: string, source: string }>} */
const more = {};

// Takes help and source of numbers that only one page has.
/** @param {Record<string, { help: string, source: string }>} others */
export function learnWords(others) {
  Object.assign(more, others);
}

/** @type {Map<string, Gatefrost.Entry> | null} */
let entries = null;

function all() {
  entries ??= new Map(catalogue().map((entry) => [entry.path, { ...entry, ...(words[entry.path] ?? more[entry.path]) }]));
  return entries;
}

/**
 * Catalogue entry of a path, if there is one; list positions are numbers in the path and `*` in the catalogue.
 * @param {string} path
 */
export const found = (path) => all().get(path.replace(/\.\d+\./g, ".*."));

/**
 * Catalogue entry of a path that is in the catalogue.
 * @param {string} path
 */
export function parameter(path) {
  const entry = found(path);
  if (!entry) throw new Error(`${path} is not in the catalogue`);
  return entry;
}

/** @param {string} group */
export function parametersOf(group) {
  const wanted = group.replace(/\.\d+(?=\.|$)/g, ".*");
  return [...all().values()].filter((entry) => entry.group === wanted);
}
