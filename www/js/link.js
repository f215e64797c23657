// The address carries the scenario: it opens from there and is written back while it is edited.

import { catalogue, link_of, open_link } from "app/core";
import { byId, whenQuiet } from "app/dom";
import { model } from "app/model";
import { dismiss, inWords, notice } from "app/notices";

// Whether the address holds what could not be read: it stays until the scenario is changed.
let unread = false;

export const demoScenario = (name) => open_link(`1;d=${name}`).scenario;

export function openAddress() {
  const { scenario, demo, problems } = open_link(location.hash);
  dismiss("link");
  unread = problems.length > 0;
  if (unread) {
    const nothing = problems.every(({ path }) => path === "link" || path === "d") && JSON.stringify(scenario) === JSON.stringify(demoScenario(demo));
    const title = nothing
      ? `Nothing in this link could be read. The demo “${scenario.name}” is open instead.`
      : "Not everything in this link could be read. The rest is open below.";
    notice("link", title, problems.map(keyInWords));
  }
  return scenario;
}

// Keys of a link that are no number of the catalogue: paths, or nothing for the link as a whole.
const KEYS = {
  link: "",
  d: "",
  xa: "window.x.axis",
  xf: "window.x.from",
  xt: "window.x.to",
  ya: "window.y.axis",
  yf: "window.y.from",
  yt: "window.y.to",
};

// The core names a problem of a link by its key, a person by the field.
export const keyInWords = ({ path, message }) => inWords({ path: pathOf(path) ?? path, message });

function pathOf(key) {
  if (Object.hasOwn(KEYS, key)) return KEYS[key];
  const [, letter, index, field] = /^([ch])(\d+)\.(.+)$/.exec(key) ?? [];
  const wanted = field ?? key;
  const below = { c: "cavity.passages.*.", h: "setup.further_hold.*." }[letter];
  const at = (path) => (below ? path.startsWith(below) : !path.includes(".*."));
  return catalogue().find(({ link, path }) => link === wanted && at(path))?.path.replace("*", index);
}

function address() {
  return `${location.href.split("#")[0]}#${link_of(model.text())}`;
}

// Writes the address only while the scenario can be computed, so that it never holds a broken one.
const writeBack = whenQuiet(400, () => {
  if (unread || model.problems().length > 0) return;
  try {
    history.replaceState(null, "", address());
  } catch {
    // Some browsers refuse a changed address for a page opened from a file; the button still copies it.
  }
});

export function watchAddress() {
  model.addEventListener("changed", ({ detail }) => {
    unread &&= detail.opened;
    writeBack();
  });
  addEventListener("hashchange", () => model.replace(openAddress()));
  byId("copy-link").addEventListener("click", copy);
}

async function copy() {
  const said = byId("said");
  const problems = model.problems();
  if (problems.length > 0) {
    notice("copy", "A link can be made once these are put right:", problems.map(inWords));
    return;
  }
  const text = address();
  try {
    await navigator.clipboard.writeText(text);
    said.textContent = "Link copied.";
  } catch {
    const field = byId("link-text");
    field.hidden = false;
    field.value = text;
    field.select();
    said.textContent = "Copy the link from the field.";
  }
}
