// @ts-check
// What a student hands in: a line for each exercise with answers.

import { slip } from "app/shared/core";
import { byId, download, el, fileName } from "app/shared/dom";

/**
 * Builds the place; returns what shows the slips anew.
 * @param {import("app/classroom/work").Work} work
 */
export function buildHandIn(work) {
  const text = el("textarea", { id: "slips", readOnly: true, rows: 4, spellcheck: false, "aria-label": "Your slips" });
  const said = el("p", { className: "said", role: "status" });
  const copy = el("button", { type: "button", onclick: async () => {
    try {
      await navigator.clipboard.writeText(text.value);
      said.textContent = "Copied.";
    } catch {
      text.select();
      said.textContent = "Press Ctrl+C to copy.";
    }
  } }, "Copy");
  const save = el("button", { type: "button", onclick: () => download(fileName(`slips ${work.id}`, ".txt"), "text/plain", `${text.value}\n`) }, "Download");
  const nothing = el("p", {}, "No answer has been checked yet.");
  byId("hand-in-parts").replaceChildren(
    el("p", { className: "small" }, "A line for each exercise with your answers as you typed them, and the hints that you opened. Send them as text or as a file."),
    nothing,
    text,
    el("p", { className: "row" }, copy, save),
    said,
  );
  return () => {
    const lines = work.id === "" ? [] : work.list.flatMap(({ name }) => {
      const { answers, points, hints, solved } = work.of(name);
      if (points.every((one) => one === null)) return [];
      return [slip({ exercise: name, id: work.id, hints, solved, answers })];
    });
    text.value = lines.join("\n");
    said.textContent = "";
    nothing.hidden = lines.length > 0;
    for (const part of [text, copy, save]) part.hidden = lines.length === 0;
  };
}
