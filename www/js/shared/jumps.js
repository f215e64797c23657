// @ts-check
// The first elements that the Tab key reaches skip the head of the page. They are buttons, not links, because the
// part of the address after # holds the scenario.

import { byId } from "app/shared/dom";

for (const button of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(".jumps button"))) {
  button.addEventListener("click", () => {
    const place = byId(button.dataset.jump ?? "");
    if (place.tabIndex < 0) place.tabIndex = -1;
    place.focus({ preventScroll: true });
    place.scrollIntoView({ block: place.offsetHeight > innerHeight / 2 ? "start" : "nearest" });
  });
}
