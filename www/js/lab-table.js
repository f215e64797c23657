// A table of readings as text: pasted, dropped or opened. What is there stays, whatever is wrong with it.

import { decode_readings } from "app/core";
import { el, whenQuiet } from "app/dom";
import { list } from "app/lab-fields";

// Characters from which reading and fitting may be felt.
const LONG = 100_000;

const inWords = ({ line, column, message }) => {
  const place = [line && `line ${line}`, column && `column “${column}”`].filter(Boolean).join(", ");
  return place ? `${place[0].toUpperCase()}${place.slice(1)}: ${message}` : message;
};

// `take(text)` computes; what it throws as {problems, unlisted} is listed here and marked on the
// text. `form` describes the columns, `example` is the text of the worked example.
export function tableBox(id, title, { form, example, exampleWords, take, cleared, working }) {
  const text = el("textarea", {
    id,
    spellcheck: false,
    autocomplete: "off",
    "aria-describedby": `${id}-trouble`,
    wrap: "off",
  });
  const trouble = el("ul", { className: "trouble", id: `${id}-trouble`, hidden: true, "aria-live": "polite" });
  const refuse = (error) => {
    const lines = error.problems.map(inWords);
    if (error.unlisted > 0) lines.push(`and ${error.unlisted} more`);
    trouble.hidden = false;
    trouble.replaceChildren(...lines.map((line) => el("li", {}, line)));
    text.setAttribute("aria-invalid", "true");
  };
  const read = () => {
    trouble.hidden = true;
    text.removeAttribute("aria-invalid");
    if (text.value.trim() === "") {
      cleared();
      return;
    }
    if (text.value.length > LONG) {
      // Seconds of work: the word for it is painted first.
      working();
      requestAnimationFrame(() => setTimeout(compute));
    } else compute();
  };
  const compute = () => {
    try {
      take(text.value);
    } catch (error) {
      if (!error?.problems) throw error;
      refuse(error);
      cleared();
    }
  };
  const put = (wanted) => {
    text.value = wanted;
    read();
  };
  const open = async (file) => {
    const bytes = new Uint8Array(await file.arrayBuffer());
    try {
      put(decode_readings(bytes));
    } catch (error) {
      if (!error?.problems) throw error;
      refuse(error);
    }
  };
  text.addEventListener("input", whenQuiet(200, read));
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
    el(
      "div",
      { className: "row" },
      el("button", { type: "button", onclick: () => chooser.click() }, "Open a file…"),
      el("button", { type: "button", id: `${id}-example`, onclick: () => put(example) }, "Worked example"),
      chooser,
    ),
    el("p", { className: "small" }, exampleWords),
    trouble,
    el("details", { className: "more", open: true }, el("summary", {}, "The form of the table"), list(form)),
  );
  return { root, read };
}
