// @ts-check
// Melting peaks of the binder after the first: heat, solidus and liquidus each.

import { el } from "app/shared/dom";
import { focusKept, numberField } from "app/window/settings/fields";
import { parameter } from "app/shared/catalogue";
import { model } from "app/window/settings/model";

const LIST = "feedstock.further_melting";
/** @type {["latent_heat", "solidus", "liquidus"]} */
const NUMBERS = ["latent_heat", "solidus", "liquidus"];

export function meltingPeaks() {
  const list = el("ol", { className: "hold-steps", start: 2, "aria-label": "Further melting peaks" });
  const build = () => focusKept(() => list.replaceChildren(...model.get(LIST).map((/** @type {unknown} */ _, /** @type {number} */ index) => row(index))));
  model.addEventListener("replaced", build);
  model.addEventListener("restructured", ({ detail }) => detail === LIST && build());
  build();
  const usual = (/** @type {string} */ name) => parameter(`${LIST}.0.${name}`).default ?? 0;
  const add = () => model.restructure(LIST, ({ feedstock }) => {
    feedstock.further_melting.push({ latent_heat: usual("latent_heat"), solidus: usual("solidus"), liquidus: usual("liquidus") });
  });
  return el("div", {}, list, el("button", { type: "button", id: "add-melting-peak", onclick: add }, "Add a melting peak"));
}

/** @param {number} index */
function row(index) {
  const remove = () => model.restructure(LIST, ({ feedstock }) => feedstock.further_melting.splice(index, 1));
  return el(
    "li",
    {},
    el("div", { className: "fields" }, NUMBERS.map((name) => numberField(`${LIST}.${index}.${name}`))),
    el("button", { type: "button", "aria-label": `Remove melting peak ${index + 2}`, onclick: remove }, "Remove"),
  );
}
