// @ts-check
// The link of the toolmaker's sheet as a code for a phone.

import { link_of } from "app/shared/core";
import { el } from "app/shared/dom";
import { inTurn } from "app/window/studies";
import { model } from "app/window/settings/model";

// Characters that a phone reads easily from paper, and that a code can hold at all.
const READABLE = 400;
const MOST_IN_CODE = 1100;
// Side of a module on paper, mm, and the least side of a code.
const MODULE = 0.33;
const LEAST_SIDE = 23;
const MOST_SIDE = 40;

/** @typedef {Gatefrost.Scenario} Scenario */

// What is left out of a code that would be too fine, in words.
/** @type {[(scenario: Scenario) => Scenario, string][]} */
const LEFT_OUT = [
  [(scenario) => scenario, ""],
  [(scenario) => ({ ...scenario, notes: "" }), " Without the notes."],
  [(scenario) => ({ ...scenario, notes: "", feedstock: { ...scenario.feedstock, uncertainty: { numbers: [], correlation: [] } } }), " Without the notes and without how uncertain the feedstock’s numbers are: the link has both."],
];

// The link as a code for a phone. Opened from a file, the page has no address that a phone could open.
/** @param {string} base */
export function code(base) {
  const hosted = /^https?:\/\/\S+$/.test(base);
  const held = LEFT_OUT.map(([short, without]) => {
    const fragment = link_of(JSON.stringify(short(model.scenario)));
    return { address: hosted ? `${base.split("#")[0]}#${fragment}` : fragment, without };
  });
  const shortest = Math.min(...held.map(({ address }) => address.length));
  const { address, without } = held.find(({ address: { length } }) => length <= Math.max(READABLE, shortest)) ?? held[0];
  const figure = el("figure", { className: "sheet-code" });
  const words = hosted ? `This scenario, to open on a phone.${without}` : `This scenario. Paste the text under “Saved”, “Open the link”, in any copy of the page.${without}`;
  if (last?.address === address) show(figure, last, words);
  else draw(figure, address, words);
  return figure;
}

/** @typedef {{ address: string, found: Gatefrost.QrCode | null }} Drawn a text and its code; none for one that is too long */

/** @type {Drawn | null} */
let last = null;

// Draws a code. Where that fails, its place says so, and the next sheet tries again.
/**
 * @param {HTMLElement} figure
 * @param {string} address
 * @param {string} words
 */
async function draw(figure, address, words) {
  const { value: found = null, failure } = address.length > MOST_IN_CODE ? {} : await inTurn({ call: "qr_code", args: { text: address } });
  if (failure) {
    figure.replaceChildren(el("figcaption", {}, `The code of the link cannot be drawn. ${failure} Open the sheet again to try again, or send the link instead.`));
    return;
  }
  last = { address, found };
  show(figure, last, words);
}

/**
 * @param {HTMLElement} figure
 * @param {Drawn} drawn
 * @param {string} words
 */
function show(figure, { address, found }, words) {
  if (!found) {
    figure.replaceChildren(el("figcaption", {}, "The link is too long for a code: send the link instead."));
    return;
  }
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
  figure.replaceChildren(svg, el("figcaption", {}, words));
  figure.style.width = `${Math.min(MOST_SIDE, Math.max(LEAST_SIDE, MODULE * side))}mm`;
}
