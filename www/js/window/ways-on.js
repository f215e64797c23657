// @ts-check
// The ways from a page that edits the scenario: they take it along.

import { link_of } from "app/shared/core";
import { buildThrough } from "app/shared/through";
import { keepLog } from "app/window/saved/log-keep";
import { model } from "app/window/settings/model";

buildThrough(() => {
  // The address bar may lag behind the scenario, or may not be writable at all.
  try {
    if (model.scenario && model.problems().length === 0) {
      const link = link_of(model.text());
      keepLog(link, model.scenario);
      return link;
    }
  } catch {
    // Then the address is used.
  }
  return location.hash.slice(1);
});
