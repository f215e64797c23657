// @ts-check
// Steps of the ram speed: a share of the volume and a speed each. Without steps there is one speed.

import { stepList } from "app/window/settings/step-list";

// Slow through the gate, fast, slow at the end: common practice.
const USUAL = [
  { share: 10, speed: 40 },
  { share: 80, speed: 100 },
  { share: 10, speed: 40 },
];

export const ramSteps = () =>
  stepList({
    list: "setup.ram",
    numbers: ["share", "speed"],
    called: "speed step",
    most: 5,
    lead: "The injection time stays what is set; the steps share it out. Only the ratios of the speeds are used. The shares of volume add up to 100 %.",
    summary: (count) => `More: ram speed (${count ? `${count} steps` : "one speed"})`,
    add: {
      id: "add-ram-step",
      words: (count) => (count ? "Add a speed step" : "Set the speed in steps"),
    },
    grow,
    shrink: ({ ram }, index) => {
      const [gone] = ram.splice(index, 1);
      // Its volume goes to its neighbour, so that the shares still add up.
      const beside = ram[Math.max(index - 1, 0)];
      if (gone && beside) beside.share = sum(beside.share, gone.share);
    },
  });

/**
 * A further step takes half of the last one's volume.
 * @param {Gatefrost.Setup} setup
 */
function grow({ ram }) {
  const last = ram.at(-1);
  if (!last) {
    ram.push(...USUAL.map((step) => ({ ...step })));
    return;
  }
  const half = Number((last.share / 2).toPrecision(3));
  last.share = sum(last.share, -half);
  ram.push({ share: half, speed: last.speed });
}

/**
 * @param {number} a
 * @param {number} b
 */
const sum = (a, b) => Number((a + b).toPrecision(6));
