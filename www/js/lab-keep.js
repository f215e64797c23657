// What was pasted and typed, kept in this tab: it outlives a reload and the way to the window and back.

import { dismiss, notice } from "app/notices";

const place = (name) => `gatefrost.laboratory.${name}`;

// What was kept under a name, or null. Browsers may forbid the storage altogether.
export function recall(name) {
  try {
    return JSON.parse(sessionStorage.getItem(place(name)));
  } catch {
    return null;
  }
}

function write(name, value) {
  try {
    if (value === null) sessionStorage.removeItem(place(name));
    else sessionStorage.setItem(place(name), JSON.stringify(value));
    dismiss(`keep-${name}`);
  } catch {
    try {
      sessionStorage.removeItem(place(name));
    } catch {
      // Then there is nothing of ours in it either.
    }
    notice(`keep-${name}`, "What you entered works, but this browser does not keep it over a reload.", [
      "Its storage is switched off, or the text is too long for it. Keep a copy.",
    ]);
  }
}

// Gives a function that says "this has changed"; it is written once the hand rests, and before the
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
