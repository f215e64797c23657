// @ts-check
// Who works: a name or a number, from which the numbers of every exercise follow.

import { say } from "app/classroom/say";
import { task } from "app/shared/core";
import { byId, complaint, el } from "app/shared/dom";
import { dismiss, reasons } from "app/shared/notices";

/** @param {import("app/classroom/work").Work} work */
export function buildWho(work) {
  const input = el("input", { id: "student", type: "text", autocomplete: "off", spellcheck: false, maxLength: 80, value: work.id, "aria-describedby": "student-about student-error" });
  const { error, fail } = complaint("student", input);
  const take = () => {
    const id = input.value.normalize("NFC");
    dismiss("slip");
    try {
      // The core says what an id may be, and how it is written.
      const shown = id.trim() === "" ? "" : task({ exercise: work.list[0].name, id }).id;
      fail(null);
      work.choose(shown);
    } catch (caught) {
      fail(reasons(caught).join(" "));
      work.choose("");
    }
  };
  input.addEventListener("change", take);
  const form = el(
    "form",
    { className: "student", onsubmit: (/** @type {Event} */ event) => {
      event.preventDefault();
      take();
    } },
    el("label", { htmlFor: "student" }, say("who-label")),
    input,
    el("button", { type: "submit" }, say("who-use")),
  );
  const forget = el("button", { type: "button", className: "quiet", onclick: () => {
    work.forget();
    input.value = "";
    fail(null);
  } }, say("who-forget"));
  byId("who-parts").replaceChildren(
    form,
    error,
    el("p", { id: "student-about", className: "small" }, say("who-about")),
    el("p", { className: "row" }, forget),
  );
}
