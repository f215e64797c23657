// @ts-check
// Scenarios saved in this browser. Their dialog is loaded once the page is quiet, or when it is wanted before.

import { byId, whenQuiet } from "app/shared/dom";

export function buildShelf() {
  /** @type {import("app/window/saved/shelf-dialog").Shelf | undefined} */
  let dialog;
  const load = async () => {
    const { Shelf } = await import("app/window/saved/shelf-dialog");
    return (dialog ??= new Shelf());
  };
  byId("to-shelf").addEventListener("click", async () => (dialog ?? (await load())).open());
  whenQuiet(500, load)();
}
