// A table of readings as text: pasted, dropped or opened. What is there stays, whatever is wrong with
// it. It is read and fitted in a worker; a newer text drops the work on the older.

import { decode_readings } from "app/shared/core";
import { el, whenQuiet } from "app/shared/dom";
import { PageWorker } from "app/shared/worker";
import { list, wayBack } from "app/laboratory/fields";
import { keeper, recall } from "app/laboratory/keep";
import { dismiss, notice } from "app/shared/notices";
import { number } from "app/shared/numbers";

const inWords = ({ line, column, message }) => {
  const place = [line && `line ${line}`, column && `column “${column}”`].filter(Boolean).join(", ");
  return place ? `${place[0].toUpperCase()}${place.slice(1)}: ${message}` : message;
};

// A field of very many lines would hold the page up for seconds: of longer texts it shows the beginning.
const LONG = 60_000;
const SHOWN_LINES = 200;

let atWork = 0;
function tell(step) {
  atWork += step;
  document.documentElement.dataset.busy = String(atWork > 0);
}

// `job(text)` gives the worker's {call, args}, or null where a field holds no value; `take(answer)`
// gets what it answers. `cleared(why)` is told "empty", "refused" or "field"; `working(words)` how far
// it is. `form` describes the columns, `example` is the text of the worked example.
export function tableBox(id, title, { spawn, form, example, exampleWords, job, take, cleared, working }) {
  let worker = null;
  let read = null;
  const text = el("textarea", {
    id,
    spellcheck: false,
    autocomplete: "off",
    "aria-describedby": `${id}-trouble`,
    wrap: "off",
  });
  // The whole text where the field shows only its beginning.
  let long = null;
  let editAll = false;
  const content = () => long ?? text.value;
  const keep = keeper(id, () => content() || null);
  const aside = el("p", { className: "small", role: "status" });
  const asideBox = el("div", { hidden: true }, aside, el("div", { className: "row" },
    el("button", { type: "button", className: "quiet", onclick: () => show(content(), true) }, "Edit all lines here"),
    el("button", { type: "button", className: "quiet", onclick: () => put("") }, "Clear the field")));
  const show = (whole, all = false) => {
    editAll = all && whole.length > LONG;
    long = whole.length > LONG && !all ? whole : null;
    text.readOnly = long !== null;
    asideBox.hidden = long === null;
    if (long === null) {
      if (text.value !== whole) text.value = whole;
      return;
    }
    text.value = whole.slice(0, LONG).split("\n", SHOWN_LINES).join("\n");
    text.setSelectionRange(0, 0);
    aside.textContent = `All ${number(linesOf(whole), 7)} lines are kept and fitted; the first ${SHOWN_LINES} are shown. Paste again to replace them.`;
  };
  show(recall(id) ?? "");
  const trouble = el("ul", { className: "trouble", id: `${id}-trouble`, hidden: true, "aria-live": "polite" });
  const refuse = ({ problems, unlisted }) => {
    const lines = problems.map(inWords);
    if (unlisted > 0) lines.push(`and ${number(unlisted, 7)} more`);
    trouble.hidden = false;
    trouble.replaceChildren(...lines.map((line) => el("li", {}, line)));
    text.setAttribute("aria-invalid", "true");
  };

  // Computes what is there; `again` also where the text is the same, because a field has changed.
  const compute = async (again) => {
    if (!again && content() === read) return;
    read = content();
    worker?.stop();
    trouble.hidden = true;
    text.removeAttribute("aria-invalid");
    if (read.trim() === "") {
      cleared("empty");
      return;
    }
    const wanted = job(read);
    if (!wanted) {
      cleared("field");
      return;
    }
    worker ??= new PageWorker(spawn);
    tell(1);
    const rest = watch(read, working);
    const answer = await worker.run(wanted);
    rest();
    if (!answer.stopped) deliver(answer);
    tell(-1);
  };
  const deliver = (answer) => {
    dismiss(`failure-${id}`);
    if (answer.value) {
      take(answer.value);
      return;
    }
    if (answer.problems) refuse(answer);
    else notice(`failure-${id}`, "The calculation on these readings failed. The readings are kept.", [answer.failure]);
    cleared("refused");
  };

  const back = wayBack("Restore my text");
  const put = (wanted) => {
    const before = content();
    if (before.trim() !== "" && before !== wanted && before !== example) {
      back.offer(() => {
        show(before);
        keep();
        compute(true);
      });
    }
    show(wanted);
    keep();
    compute(true);
  };
  const open = async (file) => {
    try {
      put(decode_readings(new Uint8Array(await file.arrayBuffer())));
    } catch (error) {
      if (error?.problems) refuse(error);
      else refuse({ problems: [{ message: `${file.name} could not be read: ${error}` }], unlisted: 0 });
    }
  };
  const settle = whenQuiet(200, () => compute(false));
  text.addEventListener("input", () => {
    show(text.value, editAll);
    keep();
    settle();
  });
  // A long text is taken before it goes into the field.
  text.addEventListener("paste", (event) => {
    const pasted = event.clipboardData?.getData("text/plain") ?? "";
    if (pasted === "" || editAll || (pasted.length <= LONG && long === null)) return;
    event.preventDefault();
    const { value, selectionStart, selectionEnd } = text;
    put(long === null ? value.slice(0, selectionStart) + pasted + value.slice(selectionEnd) : pasted);
  });
  const over = (flag) => (event) => {
    if (flag && !event.dataTransfer?.types.includes("Files")) return;
    if (flag) event.preventDefault();
    text.classList.toggle("over", flag);
  };
  text.addEventListener("dragover", over(true));
  text.addEventListener("dragleave", over(false));
  text.addEventListener("drop", (event) => {
    text.classList.remove("over");
    const file = event.dataTransfer?.files[0];
    if (!file) return;
    event.preventDefault();
    open(file);
  });
  const chooser = el("input", {
    type: "file",
    accept: ".csv,.tsv,.txt,text/csv,text/plain",
    className: "hidden",
    tabIndex: -1,
    "aria-label": `${title}: file`,
    onchange: () => {
      if (chooser.files[0]) open(chooser.files[0]);
      chooser.value = "";
    },
  });
  const root = el(
    "div",
    { className: "field wide" },
    el("label", { htmlFor: id }, title),
    text,
    asideBox,
    el(
      "div",
      { className: "row" },
      el("button", { type: "button", onclick: () => chooser.click() }, "Open file"),
      el("button", { type: "button", id: `${id}-example`, onclick: () => put(example) }, "Worked example"),
      back.button,
      chooser,
    ),
    el("p", { className: "small" }, exampleWords),
    trouble,
    el("details", { className: "more", open: content() === "" && matchMedia("(min-width: 64rem)").matches }, el("summary", {}, "Format of the table"), list(form)),
  );
  return { root, again: () => compute(true) };
}

function linesOf(text) {
  let count = 1;
  for (let at = text.indexOf("\n"); at >= 0 && at < text.length - 1; at = text.indexOf("\n", at + 1)) count += 1;
  return count;
}

// Says what goes on once it lasts long enough to be noticed, and for how long.
function watch(text, working) {
  const lines = linesOf(text);
  const start = performance.now();
  let timer = setTimeout(function say() {
    const seconds = Math.round((performance.now() - start) / 1000);
    working(`Reading and fitting ${number(lines, 7)} lines…${seconds > 0 ? ` ${seconds} s` : ""}`);
    timer = setTimeout(say, 1000);
  }, 150);
  return () => clearTimeout(timer);
}
