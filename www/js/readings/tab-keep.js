// @ts-check
// Stores what was pasted and typed in this tab. It survives a reload and the way to the window and back.

import { keep, recall as kept } from "app/shared/keep";
import { dismiss, notice } from "app/shared/notices";

const place = (/** @type {string} */ name) => `gatefrost.laboratory.${name}`;
const storage = () => sessionStorage;

// The stored value of a name, or null.
/**
 * @param {string} name
 * @returns {any}
 */
export function recall(name) {
  try {
    return JSON.parse(kept(storage, place(name)) ?? "null");
  } catch {
    return null;
  }
}

/**
 * @param {string} name
 * @param {unknown} value
 */
function write(name, value) {
  if (keep(storage, place(name), value === null ? null : JSON.stringify(value))) {
    dismiss(`keep-${name}`);
  } else {
    // An outdated value is removed.
    keep(storage, place(name), null);
    notice(`keep-${name}`, "What you entered works, but this browser does not keep it over a reload.", [
      "Its storage is switched off, or the text is too long for it. Keep a copy.",
    ]);
  }
}

// Returns a function to call after each change. The value is stored after a pause and before the page is left.
// `read()` returns what to store, null for nothing.
/**
 * @param {string} name
 * @param {() => unknown} read
 */
export function keeper(name, read) {
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let timer;
  const flush = () => {
    if (timer === undefined) return;
    clearTimeout(timer);
    timer = undefined;
    write(name, read());
  };
  addEventListener("pagehide", flush);
  document.addEventListener("visibilitychange", () => document.hidden && flush());
  return () => {
    clearTimeout(timer);
    timer = setTimeout(flush, 300);
  };
}
