// @ts-check
// The way from the window to the laboratory: it takes the scenario along.

import { link_of } from "app/shared/core";
import { byId } from "app/shared/dom";
import { model } from "app/window/settings/model";
import { toLaboratory } from "app/shared/ways";

const way = byId("to-laboratory", "a");

// The address bar may lag behind the scenario, or may not be writable at all.
function take() {
  let text = location.hash.slice(1);
  try {
    if (model.scenario && model.problems().length === 0) text = link_of(model.text());
  } catch {
    // Then the address is used.
  }
  way.href = toLaboratory(text);
}

for (const kind of ["pointerdown", "focus", "click"]) way.addEventListener(kind, take);
