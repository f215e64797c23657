// What was pasted and typed, kept in this tab: it outlives a reload and the way to the window and back.

import { keep, recall as kept } from "app/shared/keep";
import { dismiss, notice } from "app/shared/notices";

const place = (name) => `gatefrost.laboratory.${name}`;
const storage = () => sessionStorage;

// What was kept under a name, or null.
export function recall(name) {
  try {
    return JSON.parse(kept(storage, place(name)));
  } catch {
    return null;
  }
}

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
export function keeper(name, read) {
  let timer = 0;
  const flush = () => {
    if (timer === 0) return;
    clearTimeout(timer);
    timer = 0;
    write(name, read());
  };
  addEventListener("pagehide", flush);
  document.addEventListener("visibilitychange", () => document.hidden && flush());
  return () => {
    clearTimeout(timer);
    timer = setTimeout(flush, 300);
  };
}
