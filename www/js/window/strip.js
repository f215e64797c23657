// @ts-check
// The window in short: a small live window, the verdict and the link, while the large window is scrolled out of view.

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
  byId("strip-back").addEventListener("click", toWindow);
  const watch = new IntersectionObserver(
    ([{ boundingClientRect: { top }, intersectionRatio: seen }]) => {
      // Before the window has been reached there is nothing to go back to. On a wide screen its column scrolls, too.
      const passed = top < Math.max(0, byId("stage").getBoundingClientRect().top) && seen < SEEN;
      strip.hidden = !passed;
    },
    // A window below the screen counts as seen, so that a jump past it is noticed.
    { threshold: [0, SEEN, 1], rootMargin: "0px 0px 1000000px" },
  );
  watch.observe(large);
  return picture;
}

// Brings the large window into view, with the keyboard.
export function toWindow() {
  const stage = byId("stage");
  stage.scrollTop = 0;
  stage.scrollIntoView({ block: "start" });
  byId("window-canvas").focus({ preventScroll: true });
}
