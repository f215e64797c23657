// @ts-check
// An exercise that has been made: its answers over the numbers of students, link, code and file, a look at it as a student
// sees it, the key, and the slips of a class.

import { showClass } from "app/classroom/class";
import { labelled } from "app/classroom/make-rows";
import { NotKept } from "app/classroom/posed-keep";
import { PosedView, tell } from "app/classroom/posed-view";
import { ask } from "app/classroom/posed-work";
import { counted, say } from "app/classroom/say";
import { ids } from "app/shared/core";
import { download, el, fileName } from "app/shared/dom";
import { dismiss } from "app/shared/notices";
import { tableOf } from "app/shared/tables";

// Students that are computed between two looks at what the user does.
const AT_ONCE = 10;
// Characters that a code holds at a size that a phone reads.
const MOST_IN_CODE = 1100;
const LOOK_AT = "s001";

// The address that opens an exercise. Opened from a file, the page has no address that a phone could open.
/** @param {string} link */
const addressOf = (link) => `${location.href.split("#")[0]}#${link}`;

export class Made {
  root = el("div", { id: "made" }, el("p", { className: "small" }, say("made-nothing")));

  /** @param {Gatefrost.PosedMade} made */
  async show(made) {
    const view = new PosedView(made.file, new NotKept());
    this.root.replaceChildren(
      el("h3", { tabIndex: -1 }, made.document.title),
      spans(made.spans),
      ...links(made),
      el("h3", {}, say("made-look", { id: LOOK_AT })),
      el("div", { className: "made-look" }, view.root),
      ...keyParts(made),
      ...slipParts(made),
    );
    await view.show(LOOK_AT);
  }
}

/** @param {Gatefrost.PosedSpan[]} found */
const spans = (found) =>
  tableOf(say("made-spans"), [{ words: say("make-result") }, say("made-least"), say("made-most"), say("made-missing")], found.map(({ words, least, most, missing, cases }) => [words, least, most, say("made-of", { missing, cases })]));

/** @param {Gatefrost.PosedMade} made */
function links({ link, file, document: { title } }) {
  const address = addressOf(link);
  const field = el("input", { id: "made-link", type: "text", readOnly: true, value: address });
  const said = el("p", { className: "said", role: "status" });
  const copy = async () => {
    try {
      await navigator.clipboard.writeText(address);
      said.textContent = say("hand-in-copied");
    } catch {
      field.select();
      said.textContent = say("hand-in-press");
    }
  };
  const code = el("figure", { className: "sheet-code" });
  draw(code, /^https?:/.test(address) ? address : link);
  return [
    labelled(say("made-link"), field, "field wide"),
    el("p", { className: "row" }, el("button", { type: "button", id: "made-copy", onclick: copy }, say("hand-in-copy")), el("button", { type: "button", id: "made-file", onclick: () => download(fileName(title, ".json"), "application/json", `${file}\n`) }, say("made-file"))),
    said,
    el("p", { className: "small" }, say("made-honest")),
    code,
  ];
}

/**
 * @param {HTMLElement} figure
 * @param {string} text
 */
async function draw(figure, text) {
  const found = text.length > MOST_IN_CODE ? null : await ask("qr_code", { text }).catch(() => null);
  if (!found) {
    figure.replaceChildren(el("figcaption", {}, say("made-no-code")));
    return;
  }
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  // A quiet zone of four modules, as the standard asks.
  const side = found.size + 8;
  svg.setAttribute("viewBox", `-4 -4 ${side} ${side}`);
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", say("made-code"));
  svg.dataset.holds = text;
  path.setAttribute("d", found.path);
  svg.append(path);
  figure.replaceChildren(svg, el("figcaption", {}, say("made-code")));
}

// A bar for work that takes some time, and what runs it: `step` does some of it, and says which share is done.
function progress() {
  const bar = el("progress", { max: 1, value: 0, hidden: true, "aria-label": say("desk-share-judged") });
  /** @param {() => Promise<number>} step */
  const run = async (step) => {
    dismiss("posed");
    bar.hidden = false;
    bar.value = 0;
    try {
      while (bar.value < 1) bar.value = await step();
    } catch (error) {
      tell(error);
    }
    bar.hidden = true;
  };
  return { bar, run };
}

/** @param {Gatefrost.PosedMade} made */
function keyParts({ file }) {
  const list = el("textarea", { id: "made-ids", rows: 4, spellcheck: false, value: "s001\ns002\ns003" });
  const { bar, run } = progress();
  const save = async () => {
    /** @type {string[]} */
    let students;
    let done = 0;
    let csv = "";
    await run(async () => {
      students ??= ids(list.value.normalize("NFC"));
      if (csv === "") csv = await ask("posed_key", { text: file });
      csv += await ask("posed_key", { text: file, ids: students.slice(done, done + AT_ONCE) });
      done += AT_ONCE;
      if (done >= students.length) download("key.csv", "text/csv", csv);
      return Math.min(1, done / students.length);
    });
  };
  return [
    el("h3", {}, say("made-key-heading")),
    labelled(say("desk-ids"), list, "field wide"),
    el("p", { className: "row" }, el("button", { type: "button", id: "made-key", onclick: save }, say("desk-key")), bar),
  ];
}

/** @param {Gatefrost.PosedMade} made */
function slipParts({ file, name, document: { title } }) {
  const text = el("textarea", { id: "made-slips", rows: 6, spellcheck: false });
  const found = el("div", { id: "made-class", className: "class" });
  const said = el("p", { className: "said", role: "status" });
  const { bar, run } = progress();
  const check = async () => {
    found.replaceChildren();
    said.textContent = "";
    const slips = text.value;
    await run(async () => {
      const { count, judged, class: whole, csv } = /** @type {Gatefrost.PosedProgress} */ (await ask("posed_class", { text: file, slips, more: AT_ONCE }));
      if (!whole) return judged / count;
      said.textContent = count === 0 ? say("desk-none") : counted("desk-judged", count);
      showClass(found, whole, () => csv, [{ name, title }]);
      return 1;
    });
  };
  const chooser = el("input", { type: "file", multiple: true, accept: ".txt,text/plain", className: "hidden", tabIndex: -1, "aria-label": say("desk-files"), onchange: async () => {
    const texts = await Promise.all([...(chooser.files ?? [])].map((file) => file.text()));
    text.value = [text.value, ...texts].filter(Boolean).join("\n");
    chooser.value = "";
    check();
  } });
  return [
    el("h3", {}, say("desk-slips-heading")),
    labelled(say("desk-slips"), text, "field wide"),
    el("p", { className: "row" }, el("button", { type: "button", id: "made-check", onclick: check }, say("desk-check")), el("button", { type: "button", onclick: () => chooser.click() }, say("desk-open")), chooser, bar),
    said,
    found,
  ];
}
