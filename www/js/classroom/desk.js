// @ts-check
// The lecturer's desk: the key for a list of students, worksheets to print, and the slips of a class judged in bulk.

import { showClass } from "app/classroom/class";
import { counted, say } from "app/classroom/say";
import { printWorksheets } from "app/classroom/worksheets";
import { Desk, exercise_list, ids, key } from "app/shared/core";
import { byId, download, el } from "app/shared/dom";
import { dismiss, notice, reasons } from "app/shared/notices";

// Slips that are judged between two looks at what the user does.
const AT_ONCE = 10;
const EXAMPLE_IDS = "s001\ns002\ns003";

/** @param {unknown} error */
const tell = (error) => notice("desk", say("desk-refused"), reasons(error));

export function buildDesk() {
  byId("desk-parts").replaceChildren(
    el("p", { className: "small" }, say("desk-honest")),
    el("div", { className: "bench" }, el("div", { className: "ins" }, keyParts()), el("div", { className: "outs" }, slipParts())),
  );
}

function keyParts() {
  const list = el("textarea", { id: "ids", rows: 6, spellcheck: false, value: EXAMPLE_IDS });
  const choice = el("select", { id: "of-exercise" }, el("option", { value: "" }, say("desk-all")), exercise_list().map(({ name, title }) => el("option", { value: name }, title)));
  const chosen = () => (choice.value === "" ? [] : [choice.value]);
  /** @param {(list: string) => void} act */
  const tried = (act) => () => {
    dismiss("desk");
    try {
      act(list.value.normalize("NFC"));
    } catch (error) {
      tell(error);
    }
  };
  const save = tried((text) => download("key.csv", "text/csv", key({ exercises: chosen(), ids: text })));
  /** @param {boolean} solved */
  const sheets = (solved) => tried((text) => printWorksheets(ids(text), chosen(), solved));
  return el(
    "div",
    {},
    el("h3", {}, say("desk-key-heading")),
    el("div", { className: "field wide" }, el("label", { htmlFor: "ids" }, say("desk-ids")), list),
    el("div", { className: "field wide" }, el("label", { htmlFor: "of-exercise" }, say("desk-exercises")), choice),
    el(
      "p",
      { className: "row" },
      el("button", { type: "button", id: "save-key", onclick: save }, say("desk-key")),
      el("button", { type: "button", onclick: sheets(false) }, say("desk-sheets")),
      el("button", { type: "button", onclick: sheets(true) }, say("desk-solved")),
    ),
  );
}

function slipParts() {
  const text = el("textarea", { id: "handed-in", rows: 6, spellcheck: false, "aria-describedby": "handed-in-about" });
  const found = el("div", { id: "class" });
  const said = el("p", { className: "said", role: "status" });
  const bar = el("progress", { max: 1, value: 0, hidden: true, "aria-label": say("desk-share-judged") });
  const chooser = el("input", { type: "file", multiple: true, accept: ".txt,text/plain", className: "hidden", tabIndex: -1, "aria-label": say("desk-files"), onchange: () => {
    if (chooser.files) take(chooser.files);
  } });
  /** @param {Iterable<File>} files */
  async function take(files) {
    const texts = await Promise.all([...files].map((file) => file.text()));
    text.value = [text.value, ...texts].filter(Boolean).join("\n");
    chooser.value = "";
    check();
  }
  text.addEventListener("dragover", (event) => event.preventDefault());
  text.addEventListener("drop", (event) => {
    const files = event.dataTransfer?.files ?? [];
    if (files.length === 0) return;
    event.preventDefault();
    take(files);
  });
  async function check() {
    dismiss("desk");
    found.replaceChildren();
    let desk;
    try {
      desk = new Desk(text.value);
    } catch (error) {
      tell(error);
      return;
    }
    const count = desk.count();
    bar.hidden = false;
    document.documentElement.dataset.busy = "true";
    for (let judged = 0; judged < count; ) {
      judged = desk.judge_some(AT_ONCE);
      bar.value = judged / count;
      await new Promise((resume) => setTimeout(resume));
    }
    bar.hidden = true;
    said.textContent = count === 0 ? say("desk-none") : counted("desk-judged", count);
    showClass(found, desk.class(), () => desk.csv(), exercise_list());
    document.documentElement.dataset.busy = "false";
  }
  return el(
    "div",
    {},
    el("h3", {}, say("desk-slips-heading")),
    el("p", { id: "handed-in-about", className: "small" }, say("desk-slips-about")),
    el("div", { className: "field wide" }, el("label", { htmlFor: "handed-in" }, say("desk-slips")), text),
    el("p", { className: "row" }, el("button", { type: "button", id: "check-slips", onclick: check }, say("desk-check")), el("button", { type: "button", onclick: () => chooser.click() }, say("desk-open")), chooser, bar),
    said,
    found,
  );
}
