// The cavity drawn to scale beside its list: it follows every edit at once, shows which passage is being
// edited, and leads to the passage that is pressed.

import { el } from "app/shared/dom";
import { model } from "app/window/settings/model";
import { Picture } from "app/shared/picture";
import { isEnd } from "app/window/settings/tree";

// Least width of what can be pressed, CSS pixels.
const TARGET = 24;
// Width of a letter of a name, CSS pixels.
const LETTER = 7;
const STEPS = { ArrowLeft: -1, ArrowUp: -1, ArrowRight: 1, ArrowDown: 1 };

// `words(index)` names a passage with its sizes, `open(index)` goes to it in the list.
export function section(sheet, { words, open }) {
  let chosen = null;
  let drawn = "";
  const canvas = el("canvas", {
    id: "passages-canvas",
    tabIndex: 0,
    role: "application",
    "aria-label": "The cavity, passage by passage. Arrow keys go from one to the next, Enter opens it in the list below.",
  });
  const reading = el("p", { className: "reading", id: "passages-reading", role: "status" });
  const picture = new Picture(canvas, sheet, "passages", { options: () => (chosen === null ? {} : { chosen }) });

  const say = (index) => {
    reading.textContent = index === null ? "Press a passage to open it in the list." : words(index);
  };
  const choose = (index) => {
    chosen = index;
    say(index);
    picture.refresh();
  };
  // What lies nearest, the narrowest first: a gate is a hair beside its part.
  const under = (event) => {
    const [x, y] = picture.pixel(event);
    const least = (TARGET * canvas.width) / canvas.clientWidth;
    const near = (picture.layout?.spots ?? [])
      .map(({ left, right, top, bottom }, index) => ({ index, width: right - left, left, right, top, bottom }))
      .filter(({ width, left, right, top, bottom }) => {
        const air = Math.max(0, (least - width) / 2);
        return x >= left - air && x <= right + air && y >= top - air && y <= bottom + air;
      })
      .sort((a, b) => a.width - b.width);
    return near[0]?.index ?? null;
  };
  canvas.addEventListener("pointermove", (event) => {
    const index = under(event);
    canvas.style.cursor = index === null ? "" : "pointer";
    say(index ?? chosen);
  });
  canvas.addEventListener("pointerleave", () => say(chosen));
  canvas.addEventListener("click", (event) => {
    const index = under(event);
    if (index !== null) open(index);
  });
  canvas.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const last = model.scenario.cavity.passages.length - 1;
    const step = STEPS[event.key];
    if (step) choose(chosen === null ? 0 : Math.min(last, Math.max(0, chosen + step)));
    else if (event.key === "Home") choose(0);
    else if (event.key === "End") choose(last);
    else if ((event.key === "Enter" || event.key === " ") && chosen !== null) open(chosen);
    else return;
    event.preventDefault();
  });

  // A cavity that cannot be keeps its last picture, dimmed.
  const show = () => {
    const { passages } = model.scenario.cavity;
    const now = JSON.stringify(passages);
    if (now === drawn) return;
    if (chosen !== null && chosen >= passages.length) chosen = null;
    say(chosen);
    try {
      sheet.set_path(model.text());
      drawn = now;
      canvas.classList.remove("stale");
    } catch (error) {
      if (error instanceof WebAssembly.RuntimeError) throw error;
      canvas.classList.add("stale");
      return;
    }
    // Names that do not go side by side stand one above the other.
    const letters = passages.reduce((sum, { name, copies }) => sum + name.length + (copies > 1 ? 4 : 2), 0);
    const lines = Math.min(16, Math.ceil((letters * LETTER) / Math.max(1, canvas.clientWidth)) - 1);
    canvas.style.setProperty("--lines", Math.max(0, lines));
    canvas.parentElement?.classList.toggle("tall", lines > 3);
    canvas.style.setProperty("--rows", Math.min(12, passages.filter((_, i) => isEnd(passages, i)).length));
    picture.refresh();
  };
  model.addEventListener("changed", show);
  model.addEventListener("replaced", () => {
    chosen = null;
  });
  say(null);
  return { root: el("div", { className: "section" }, canvas, reading), choose };
}
