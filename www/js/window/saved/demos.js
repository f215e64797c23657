// @ts-check
// The choice of worked demos: it says which one is open, and whether it has been changed.

import { demos } from "app/shared/core";
import { byId, el, put, putHidden } from "app/shared/dom";
import { demoScenario } from "app/window/saved/link";
import { madeEarlier } from "app/window/saved/earlier";
import { offerWayBack } from "app/window/saved/way-back";
import { model } from "app/window/settings/model";

export function buildDemos() {
  const choice = byId("demo", "select");
  const known = demos();
  const texts = new Map(known.map(({ name }) => [name, JSON.stringify({ ...demoScenario(name), window: null })]));
  const own = el("option", { value: "" });
  /** @type {(some: Gatefrost.DemoEntry[]) => HTMLElement[]} */
  const options = (some) => some.map(({ name, title }) => el("option", { value: name }, title));
  const earlier = el("optgroup", { label: "Earlier demos" }, ...options(known.filter((demo) => demo.earlier)));
  choice.append(own, ...options(known.filter((demo) => !demo.earlier)), earlier);
  /** @type {Gatefrost.DemoEntry | null} */
  let open = null;
  const show = () => {
    const text = model.bare();
    const pure = known.find(({ name }) => texts.get(name) === text);
    open = pure ?? open;
    put(own, open ? `${open.title}, changed` : "A scenario of your own");
    putHidden(own, Boolean(pure));
    const name = pure?.name ?? "";
    if (choice.value !== name) choice.value = name;
  };
  model.addEventListener("replaced", ({ detail }) => {
    if (!detail.restored) open = known.find(({ title }) => title === model.scenario.name) ?? null;
  });
  model.addEventListener("changed", show);
  choice.addEventListener("change", () => {
    if (!choice.value) return;
    const scenario = demoScenario(choice.value);
    const own = withOwn(scenario, model.scenario);
    if (own) offerWayBack(`${scenario.name} is open. Kept from before: what is asked of the part, the mixer and your prices.`, "Open the demo without them", scenario);
    else offerWayBack(`${scenario.name} is open.`);
    madeEarlier(null);
    model.replace(own ?? scenario);
  });
}

// Entries of the plan that are the reader's and not the demo's: the order, the shop and its prices.
const OWN = [
  "pieces",
  "undercuts",
  "pressed_height",
  "pressed_width",
  "mixer_volume",
  "mixer_fill",
  "feedstock_price",
  "machine_price",
  "furnace_price",
  "furnace_load",
  "finishing_price",
  "mould_price",
  "good_share",
  "other_price",
  "other_tool",
  "hours",
];

// A demo with these entries and the dimensions of a scenario; null where it has none of its own.
/**
 * @param {Gatefrost.Scenario} demo
 * @param {Gatefrost.Scenario} from
 */
function withOwn(demo, from) {
  /** @type {any} */
  const made = structuredClone(demo);
  for (const name of OWN) made.plan[name] = /** @type {any} */ (from.plan)[name];
  if (demo.sizes.dimensions.length === 0) made.sizes.dimensions = structuredClone(from.sizes.dimensions);
  return JSON.stringify(made) === JSON.stringify(demo) ? null : /** @type {Gatefrost.Scenario} */ (made);
}
