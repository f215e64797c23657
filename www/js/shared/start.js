// @ts-check
// How every page starts: it loads its module, shows the progress in the place of its first figure, then builds the page.
// Every failure shows a message.

import { last_panic, load } from "app/shared/core";
import { byId } from "app/shared/dom";
import { notice } from "app/shared/notices";

const page = document.documentElement;

/**
 * Loads the module and builds the page. `kept` tells the user, after a failure, what became of the work.
 * @param {(spawn: () => Worker) => void} build is given what starts a worker
 * @param {string} kept
 */
export async function start(build, kept) {
  // A resize that is only late arrives as an error event whose `error` is empty.
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
    // The module has not been loaded.
  }
  notice("fault", `An error stopped this page. ${kept}`, [words]);
}
