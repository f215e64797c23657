// @ts-check
// What a student hands in: a line for each exercise with answers.

import { say } from "app/classroom/say";
import { slip } from "app/shared/core";
import { byId, download, el, fileName } from "app/shared/dom";

/**
 * A place for slips: its text, to be copied or downloaded.
 * @param {string} id
 * @param {() => string} name of the file
 */
export function slipPlace(id, name) {
  const text = el("textarea", { id, className: "slips", readOnly: true, rows: 4, spellcheck: false, "aria-label": say("hand-in-slips") });
  const said = el("p", { className: "said", role: "status" });
  const copy = el("button", { type: "button", onclick: async () => {
    try {
      await navigator.clipboard.writeText(text.value);
      said.textContent = say("hand-in-copied");
    } catch {
      text.select();
      said.textContent = say("hand-in-press");
    }
  } }, say("hand-in-copy"));
  const save = el("button", { type: "button", onclick: () => download(fileName(name(), ".txt"), "text/plain", `${text.value}\n`) }, say("hand-in-download"));
  const nothing = el("p", {}, say("hand-in-nothing"));
  const put = (/** @type {string} */ lines) => {
    text.value = lines;
    said.textContent = "";
    nothing.hidden = lines !== "";
    for (const part of [text, copy, save]) part.hidden = lines === "";
  };
  return { parts: [nothing, text, el("p", { className: "row" }, copy, save), said], put };
}

/**
 * Builds the place; returns what shows the slips anew.
 * @param {import("app/classroom/work").Work} work
 */
export function buildHandIn(work) {
  const { parts, put } = slipPlace("slips", () => say("hand-in-file", { id: work.id }));
  byId("hand-in-parts").replaceChildren(el("p", { className: "small" }, say("hand-in-about")), ...parts);
  return () => {
    const lines = work.id === "" ? [] : work.list.flatMap(({ name }) => {
      const { answers, points, hints, solved } = work.of(name);
      if (points.every((one) => one === null)) return [];
      return [slip({ exercise: name, id: work.id, hints, solved, answers })];
    });
    put(lines.join("\n"));
  };
}
