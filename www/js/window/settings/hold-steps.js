// @ts-check
// Further steps of the hold, after the first: a pressure and a time each.

import { parameter } from "app/shared/catalogue";
import { stepList } from "app/window/settings/step-list";

const LIST = "setup.further_hold";

export const holdSteps = () =>
  stepList({
    list: LIST,
    numbers: ["pressure", "time"],
    called: "hold step",
    first: 2,
    summary: (count) => `More: further hold steps (${count || "none"})`,
    add: { id: "add-hold-step", words: () => "Add a hold step" },
    // A new step has half the pressure of the step before.
    grow: (setup) => {
      const before = setup.further_hold.at(-1)?.pressure ?? setup.hold_pressure;
      const time = parameter(`${LIST}.0.time`).default ?? 0;
      setup.further_hold.push({ pressure: Number((before / 2).toPrecision(2)), time });
    },
    shrink: (setup, index) => setup.further_hold.splice(index, 1),
  });
