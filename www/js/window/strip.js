// @ts-check
// On a narrow screen: a strip with a small live window, the verdict and the link, while the large window is scrolled
// out of view.

import { byId } from "app/shared/dom";
import { MarkedPicture } from "app/window/marked";

// Least share of the large window that must be in view for the strip to be absent.
const SEEN = 0.5;

/**
 * @param {import("app/shared/core").Sheet} sheet
 * @param {() => Partial<Gatefrost.Options>} options
 */
export function buildStrip(sheet, options) {
  const large = byId("window-canvas");
  const strip = byId("strip", "aside");
  const picture = new MarkedPicture(byId("strip-canvas", "canvas"), sheet, options);
  byId("strip-back").addEventListener("click", () => {
    byId("stage").scrollIntoView({ block: "start" });
    large.focus({ preventScroll: true });
  });
  const watch = new IntersectionObserver(
    ([entry]) => {
      // Before the window has been reached there is nothing to go back to.
      const passed = entry.boundingClientRect.top < 0 && entry.intersectionRatio < SEEN;
      strip.hidden = !passed;
    },
    { threshold: [0, SEEN, 1] },
  );
  watch.observe(large);
  return picture;
}
