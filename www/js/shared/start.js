// @ts-check
// How every page starts: its module is loaded, which shows in the place of its first figure, then the page is built.
// Nothing breaks off without a word.

import { last_panic, load } from "app/shared/core";
import { byId } from "app/shared/dom";
import { notice } from "app/shared/notices";

const page = document.documentElement;

/**
 * Loads the module and builds the page; `kept` says what becomes of the user's work where something breaks off.
 * @param {(spawn: () => Worker) => void} build is given what starts a worker
 * @param {string} kept
 */
export async function start(build, kept) {
  // Browsers report a resize that is only late as an error without an error in it.
  addEventListener("error", ({ error }) => error && brokeOff(error, kept));
  addEventListener("unhandledrejection", ({ reason }) => brokeOff(reason, kept));
  page.dataset.busy = "true";
  const loading = byId("loading");
  const bar = loading.querySelector("progress");
  try {
    const spawn = await load((share) => {
      if (bar) bar.value = share;
    });
    build(spawn);
    loading.remove();
  } catch (error) {
    page.dataset.failed = "true";
    loading.textContent = "The page could not start: see the message above.";
    notice("start", "The page could not start.", [String(error), "It needs a browser with WebAssembly and modules, of 2023 or later."]);
  }
}

/**
 * @param {unknown} error
 * @param {string} kept
 */
function brokeOff(error, kept) {
  let words = String(error);
  try {
    words = last_panic() ?? words;
  } catch {
    // The module is not there to ask.
  }
  notice("fault", `An error stopped this page. ${kept}`, [words]);
}
