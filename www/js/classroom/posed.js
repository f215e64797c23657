// @ts-check
// Opens an exercise that a lecturer made, from its link or its file.

import { PosedKeep } from "app/classroom/posed-keep";
import { PosedView } from "app/classroom/posed-view";
import { ask } from "app/classroom/posed-work";
import { say } from "app/classroom/say";
import { byId } from "app/shared/dom";
import { dismiss, notice, reasons } from "app/shared/notices";

/** @type {PosedView | null} */
let view = null;
let listening = false;
let opened = 0;

/**
 * @param {string} text
 * @param {import("app/classroom/work").Work} work
 */
export async function openPosed(text, work) {
  dismiss("posed");
  opened += 1;
  const own = opened;
  const station = byId("posed");
  const heading = byId("posed-heading");
  station.hidden = false;
  heading.textContent = say("posed-loading");
  try {
    const title = await ask("posed_title", { text });
    if (own !== opened) return;
    heading.textContent = title;
  } catch (error) {
    station.hidden = true;
    notice("posed", say("posed-refused"), reasons(error));
    return;
  }
  view = new PosedView(text, new PosedKeep());
  byId("posed-parts").replaceChildren(view.root);
  if (!listening) work.addEventListener("other", () => view?.show(work.id));
  listening = true;
  await view.show(work.id);
  station.scrollIntoView({ block: "start" });
  if (work.id === "") byId("student").focus({ preventScroll: true });
  else station.focus({ preventScroll: true });
}
