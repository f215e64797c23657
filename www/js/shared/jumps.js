// @ts-check
// The first elements that the Tab key reaches skip the head of the page. They are buttons, not links, because the
// part of the address after # holds the scenario. The buttons of a page's stations work alike.

import { byId } from "app/shared/dom";

for (const button of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-jump], [data-to]"))) {
  button.addEventListener("click", () => {
    const { jump, to } = button.dataset;
    const place = byId(to ?? jump ?? "");
    if (place.tabIndex < 0) place.tabIndex = -1;
    place.focus({ preventScroll: true });
    place.scrollIntoView({ block: to || place.offsetHeight > innerHeight / 2 ? "start" : "nearest" });
  });
}
