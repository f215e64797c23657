// @ts-check
// Undo and redo: each state of the scenario that the user made, as a text.

import { byId } from "app/shared/dom";
import { keep, recall } from "app/shared/keep";
import { model } from "app/window/settings/model";

const MOST = 200;
// Where the states are kept while another page is visited, and how many.
const PLACE = "gatefrost.history";
const MOST_KEPT = 40;
const storage = () => sessionStorage;
// Continuous typing in one field is one change.
const PAUSE = 1500;

/** @type {string[]} */
const past = [];
/** @type {string[]} */
const future = [];
let present = "";
/** @type {{ what: string | null, at: number }} */
let last = { what: null, at: 0 };
let dragging = false;

export function buildHistory() {
  present = model.text();
  model.addEventListener("changed", ({ detail }) => note(detail));
  byId("undo").addEventListener("click", () => step(past, future));
  byId("redo").addEventListener("click", () => step(future, past));
  addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || document.querySelector("dialog[open]")) return;
    const key = event.key.toLowerCase();
    const again = key === "y" || (key === "z" && event.shiftKey);
    if (!again && key !== "z") return;
    event.preventDefault();
    if (again) step(future, past);
    else step(past, future);
  });
  show();
}

// Keeps the states while another page is visited, for the way back. Other pages have an undo of their own.
export function keepOnLeaving() {
  for (const way of document.querySelectorAll("a[data-way]")) way.addEventListener("click", keepHistory);
  if (recall(storage, PLACE) !== null) revive();
}

const keepHistory = () => void keep(storage, PLACE, JSON.stringify({ past: past.slice(-MOST_KEPT), present, future: future.slice(-MOST_KEPT) }));

// What was kept comes before what has been done here since.
async function revive() {
  const { revived } = await import("app/window/saved/kept-history");
  const kept = revived(PLACE);
  const untouched = past.length === 0;
  if (kept.present[0] !== (past[0] ?? present)) past.unshift(...kept.present);
  else if (untouched) future.push(...kept.future);
  past.unshift(...kept.past);
  show();
}

// A text that is not accepted changes no scenario; undo removes it first.
/** @param {import("app/window/settings/model").Change} change */
function note({ moving, restored, what }) {
  const text = model.text();
  if (restored || text === present) {
    dragging &&= moving;
    show();
    return;
  }
  const now = performance.now();
  const same = dragging || (what !== null && what === last.what && now - last.at < PAUSE);
  if (!same) {
    past.push(present);
    if (past.length > MOST) past.shift();
  }
  future.length = 0;
  present = text;
  dragging = moving;
  last = { what, at: now };
  show();
}

/**
 * @param {string[]} from
 * @param {string[]} to
 */
function step(from, to) {
  const refused = model.refused.size > 0 && from === past;
  if (!refused) {
    const wanted = from.pop();
    if (wanted === undefined) return;
    to.push(present);
    present = wanted;
  }
  last = { what: null, at: 0 };
  model.restore(JSON.parse(present));
  byId("said").textContent = from === past ? "Undone." : "Redone.";
}

function show() {
  can(byId("undo", "button"), past.length > 0 || model.refused.size > 0);
  can(byId("redo", "button"), future.length > 0);
}

/**
 * @param {HTMLButtonElement} button
 * @param {boolean} able
 */
function can(button, able) {
  if (button.disabled === able) button.disabled = !able;
}
