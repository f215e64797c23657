// @ts-check
// The ways between the window, the laboratory and what follows the mould: they take along what was just typed.

import { link_of } from "app/shared/core";
import { keepHistory } from "app/window/saved/history";
import { model } from "app/window/settings/model";
import { toAfter, toLaboratory, toWindow } from "app/shared/ways";

for (const [id, to] of /** @type {const} */ ([["to-laboratory", toLaboratory], ["to-after", toAfter], ["to-window", toWindow]])) {
  const way = /** @type {HTMLAnchorElement | null} */ (document.getElementById(id));
  const take = () => {
    if (way) way.href = to(fragment());
  };
  // The window's undo waits for the way back.
  if (id !== "to-window") way?.addEventListener("click", keepHistory);
  for (const kind of ["pointerdown", "focus", "click"]) way?.addEventListener(kind, take);
}

// The address bar may lag behind the scenario, or may not be writable at all.
function fragment() {
  try {
    if (model.scenario && model.problems().length === 0) return link_of(model.text());
  } catch {
    // Then the address is used.
  }
  return location.hash.slice(1);
}
