// @ts-check
// The address carries the scenario: it opens from there and is written back while it is edited.

import { link_of, open_link } from "app/shared/core";
import { byId, whenQuiet } from "app/shared/dom";
import { model } from "app/window/settings/model";
import { inWords, leftOut, logApart, notice } from "app/shared/notices";
import { madeEarlier } from "app/window/saved/earlier";
import { keepLog, withLog } from "app/window/saved/log-keep";

// Whether the address holds a link that could not be read. It stays until the scenario is changed.
let unread = false;
// How long the strip says that a link was copied, in ms.
const SHOWN = 2500;

export const demoScenario = (/** @type {string} */ name) => open_link(`2;d=${name}`).scenario;

export function openAddress() {
  const opened = open_link(location.hash);
  leftOut(opened);
  logApart(opened.scenario, withLog(link_of(JSON.stringify(opened.scenario)), opened.scenario));
  // A link that only names a demo has no inputs of its own.
  madeEarlier(opened.only_demo ? null : opened.earlier);
  unread = opened.problems.length > 0;
  return opened.scenario;
}

function address() {
  return `${location.href.split("#")[0]}#${link_of(model.text())}`;
}

/**
 * Writes the link of a scenario that can be computed into the address, so that it never holds a broken one.
 * @param {string} link
 * @param {string} scenario
 */
export function writeBack(link, scenario) {
  if (unread || scenario !== model.text()) return;
  try {
    keepLog(link, model.scenario);
    history.replaceState(null, "", `${location.href.split("#")[0]}#${link}`);
  } catch {
    // Some browsers refuse a changed address for a page opened from a file; the button still copies it.
  }
}

// Where no worker makes the links.
const writeSoon = whenQuiet(400, () => {
  if (model.problems().length === 0) writeBack(link_of(model.text()), model.text());
});

/** @param {{ inWorker?: boolean }} [links] whether a worker makes the links, and `writeBack` is called with them */
export function watchAddress({ inWorker = false } = {}) {
  model.addEventListener("changed", ({ detail }) => {
    unread &&= detail.opened;
    if (!inWorker) writeSoon();
  });
  addEventListener("hashchange", () => model.replace(openAddress()));
  byId("copy-link").addEventListener("click", copy);
  // Only the window has a strip.
  document.getElementById("strip-link")?.addEventListener("click", copyFromStrip);
}

// The strip stands where the head of the page is out of view, so it says itself what came of it.
async function copyFromStrip() {
  const button = byId("strip-link");
  const copied = await copy();
  if (!copied) scrollTo(0, 0);
  button.textContent = copied || "Copy link";
  setTimeout(() => {
    button.textContent = "Copy link";
  }, SHOWN);
}

// Returns in a word what came of it; nothing if the link has not been copied.
async function copy() {
  const said = byId("said");
  const problems = model.problems();
  if (problems.length > 0) {
    notice("copy", "A link can be made when these are corrected:", problems.map(inWords));
    return "";
  }
  const text = address();
  const file = !/^https?:/.test(text);
  if (file || ("share" in navigator && matchMedia("(pointer: coarse)").matches)) {
    const { send } = await import("app/window/saved/send");
    return send(text.slice(text.indexOf("#") + 1), file ? null : text);
  }
  try {
    await navigator.clipboard.writeText(text);
    said.textContent = "Link copied.";
    return "Copied";
  } catch {
    const field = byId("link-text", "input");
    field.hidden = false;
    field.value = text;
    field.select();
    said.textContent = "Copy the link from the field.";
    return "";
  }
}
