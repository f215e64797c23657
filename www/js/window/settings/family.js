// @ts-check
// The family that the binder belongs to, with the numbers that are usual in it.

import { el, putHidden } from "app/shared/dom";
import { quantity } from "app/shared/numbers";
import { families } from "app/shared/words";
import { choiceField } from "app/window/settings/fields";
import { model } from "app/window/settings/model";
import { outcome } from "app/window/settings/starts";

const PATH = "feedstock.family";
/** @type {import("app/window/settings/fields").Choices} */
const FAMILIES = [["", "not stated"], ...families.map(({ name, title }) => /** @type {const} */ ([name, title]))];

/**
 * A feedstock by its name and the source of its flow law.
 * @param {Gatefrost.Scenario["feedstock"]} feedstock
 */
const named = ({ name, provenance }) => `${name} (${provenance})`;

export function familyField() {
  const done = outcome("family-said");
  const take = el("button", { type: "button", id: "family-take" }, "Take its usual numbers");
  take.addEventListener("click", () =>
    done.attempt({ call: "with_family", args: { family: model.get(PATH) } }, (made) => {
      model.replace(made);
      const { melt_temperature: melt, mould_temperature: mould, hold_pressure: hold, further_hold: further } = model.scenario.setup;
      const pressures = [hold, ...further.map(({ pressure }) => pressure)].map((pressure) => quantity(pressure, "MPa", 3));
      return `Taken: melt ${quantity(melt, "°C", 3)}, mould ${quantity(mould, "°C", 3)}, hold ${pressures.join(", then ")}, with the binder’s pvT law, its heat, its temperatures and a machine that go with them. The powder, its loading and the part stay. The flow law is still that of ${named(model.scenario.feedstock)}: “Take its flow law” sets one that is typical of the family.`;
    }),
  );
  const law = el("button", { type: "button", id: "family-law" }, "Take its flow law");
  law.addEventListener("click", () =>
    done.attempt({ call: "with_family_law", args: { family: model.get(PATH) } }, (made) => {
      const before = named(model.scenario.feedstock);
      model.replace(made);
      return `Taken: a flow law typical of the family, illustrative, at ${quantity(model.scenario.feedstock.solids_loading, "vol%", 3)}, without slip. It replaces that of ${before}.`;
    }),
  );
  const show = () => {
    for (const button of [take, law]) putHidden(button, !model.get(PATH));
  };
  model.addEventListener("changed", show);
  show();
  const field = choiceField(PATH, "Family of the binder", FAMILIES, { choose: (wanted) => model.set(PATH, wanted || null) });
  field.append(take, law, done.root);
  return field;
}
