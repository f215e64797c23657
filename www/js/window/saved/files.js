// @ts-check
// Scenarios as files: saved, chosen, or dropped anywhere on the page.

import { earlier_of, read_json, write_json } from "app/shared/core";
import { madeEarlier } from "app/window/saved/earlier";
import { byId, download, fileName } from "app/shared/dom";
import { model } from "app/window/settings/model";
import { dismiss, inWords, notice, reasons } from "app/shared/notices";
import { offerWayBack } from "app/window/saved/way-back";
import { isCollection, takeIn } from "app/window/saved/collection";

const MOST_BYTES = 1 << 20;

export function watchFiles() {
  const chooser = byId("file", "input");
  byId("save").addEventListener("click", save);
  byId("open").addEventListener("click", () => chooser.click());
  chooser.addEventListener("change", () => {
    const file = chooser.files?.[0];
    if (file) open(file);
    chooser.value = "";
  });
  addEventListener("dragover", (event) => {
    if (event.dataTransfer?.types.includes("Files")) event.preventDefault();
  });
  addEventListener("drop", (event) => {
    const file = event.dataTransfer?.files[0];
    if (!file) return;
    event.preventDefault();
    open(file);
  });
}

function save() {
  const problems = model.problems();
  if (problems.length > 0) {
    notice("file", "The scenario can be downloaded when these are corrected:", problems.map(inWords));
    return;
  }
  download(fileName(model.scenario.name, ".json"), "application/json", write_json(model.text()));
}

/** @param {File} file */
async function open(file) {
  dismiss("file");
  if (file.size > MOST_BYTES) {
    notice("file", `${file.name} is too large for a scenario. Nothing was changed.`);
    return;
  }
  try {
    const text = await file.text();
    if (isCollection(text)) {
      notice("file", `${file.name}: ${takeIn(text)}`);
      return;
    }
    const scenario = read_json(text);
    offerWayBack(`${file.name} is open.`);
    model.replace(scenario);
    madeEarlier(earlier_of(text));
  } catch (error) {
    notice("file", `${file.name} could not be opened. Nothing was changed.`, reasons(error));
  }
}
