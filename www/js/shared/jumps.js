// @ts-check
// The first stops of the keyboard lead past the head of the page. Buttons, not links: what stands behind
// the # of the address is the scenario.

import { byId } from "app/shared/dom";

for (const button of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(".jumps button"))) {
  button.addEventListener("click", () => {
    const place = byId(button.dataset.jump ?? "");
    if (place.tabIndex < 0) place.tabIndex = -1;
    place.focus();
    place.scrollIntoView({ block: "nearest" });
  });
}
