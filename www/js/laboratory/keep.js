// @ts-check
// What was pasted and typed, kept in this tab: it outlives a reload and the way to the window and back.

import { keep, recall as kept } from "app/shared/keep";
import { dismiss, notice } from "app/shared/notices";

const place = (/** @type {string} */ name) => `gatefrost.laboratory.${name}`;
const storage = () => sessionStorage;

// What was kept under a name, or null.
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
    // Nothing rather than what is older.
    keep(storage, place(name), null);
    notice(`keep-${name}`, "What you entered works, but this browser does not keep it over a reload.", [
      "Its storage is switched off, or the text is too long for it. Keep a copy.",
    ]);
  }
}

// Gives a function that says "this has changed"; it is written after a pause, and before the
// page goes. `read()` gives what to keep, null for nothing.
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
