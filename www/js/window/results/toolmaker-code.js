// @ts-check
// The link of the toolmaker's sheet as a code for a phone.

import { link_of, qr_code } from "app/shared/core";
import { el } from "app/shared/dom";
import { model } from "app/window/settings/model";

// Characters that a code on paper can hold.
const MOST_IN_CODE = 1100;

// The link as a code for a phone. Opened from a file, the page has no address that a phone could open.
/** @param {string} base */
export function code(base) {
  const hosted = /^https?:\/\/\S+$/.test(base);
  const held = (/** @type {Gatefrost.Scenario} */ scenario) => {
    const fragment = link_of(JSON.stringify(scenario));
    const address = hosted ? `${base.split("#")[0]}#${fragment}` : fragment;
    return { address, found: address.length > MOST_IN_CODE ? null : qr_code(address) };
  };
  // A phone cannot read too fine a code, so long notes are left out.
  const whole = held(model.scenario);
  const { address, found } = whole.found ? whole : held({ ...model.scenario, notes: "" });
  if (!found) return el("p", { className: "sheet-code" }, "The link is too long for a code: send the link instead.");
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  // A quiet zone of four modules, as the standard asks.
  const side = found.size + 8;
  svg.setAttribute("viewBox", `-4 -4 ${side} ${side}`);
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", "Code that holds the link to this scenario");
  path.setAttribute("d", found.path);
  svg.append(path);
  svg.dataset.holds = address;
  found.free();
  const without = whole.found ? "" : " Without the notes.";
  const words = hosted ? `This scenario, to open on a phone.${without}` : `This scenario. Paste the text under “Saved”, “Open the link”, in any copy of the page.${without}`;
  return el("figure", { className: "sheet-code" }, svg, el("figcaption", {}, words));
}
