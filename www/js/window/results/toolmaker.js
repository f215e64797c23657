// @ts-check
// The toolmaker's sheet: one page to print. It is loaded when it is first wanted.

import { byId } from "app/shared/dom";

/**
 * @param {import("app/shared/core").Sheet} sheet
 * @param {() => import("app/window/results/toolmaker-sheet").Computed | null} current gives nothing while nothing has been
 *   computed of the present scenario
 */
export function buildToolmaker(sheet, current) {
  /** @type {import("app/window/results/toolmaker-view").Toolmaker | undefined} */
  let view;
  const load = async () => {
    const { Toolmaker } = await import("app/window/results/toolmaker-view");
    return (view ??= new Toolmaker(sheet, current));
  };
  byId("to-sheet").addEventListener("click", async () => (view ?? (await load())).open());
  // A finer window, or another scenario opened by its address, has arrived.
  return { refresh: () => view?.refresh() };
}
