// @ts-check
// The ways from the window to the laboratory and to what follows the mould: they take the scenario along.

import { link_of } from "app/shared/core";
import { byId } from "app/shared/dom";
import { model } from "app/window/settings/model";
import { toAfter, toLaboratory } from "app/shared/ways";

for (const [id, to] of /** @type {const} */ ([["to-laboratory", toLaboratory], ["to-after", toAfter]])) {
  const way = byId(id, "a");
  const take = () => {
    way.href = to(fragment());
  };
  for (const kind of ["pointerdown", "focus", "click"]) way.addEventListener(kind, take);
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
