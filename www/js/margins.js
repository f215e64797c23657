// Every limit in words, in the order of the core: what happens, by how much it is cleared, what helps.

import { el } from "app/dom";
import { model } from "app/model";
import { restate } from "app/units";

const rows = new Map();

export function showMargins(root, margins, sentences) {
  const order = margins.map((margin) => margin.limit).join();
  if (root.dataset.order !== order) {
    rows.clear();
    root.replaceChildren(...margins.map((margin) => row(margin.limit)));
    root.dataset.order = order;
  }
  margins.forEach((margin, place) => fill(rows.get(margin.limit), margin, sentences[place]));
}

function row(limit) {
  const parts = {
    label: el("h3", {}),
    state: el("span", { className: "state" }),
    sentence: el("p", {}),
    remedy: el("p", { className: "remedy" }),
    counts: el("input", { type: "checkbox", onchange: () => count(limit, parts.counts.checked) }),
  };
  parts.root = el(
    "li",
    { dataset: { limit } },
    el("div", { className: "head" }, parts.label, parts.state),
    parts.sentence,
    parts.remedy,
    el("label", { className: "counts small" }, parts.counts, " counts"),
  );
  rows.set(limit, parts);
  return parts.root;
}

function fill(parts, margin, sentence) {
  const holds = margin.g >= 0;
  parts.root.classList.toggle("out", !holds && !margin.ignored);
  parts.root.classList.toggle("ignored", margin.ignored);
  parts.root.dataset.g = margin.g;
  parts.label.textContent = margin.label;
  parts.counts.checked = !margin.ignored;
  parts.counts.setAttribute("aria-label", `${margin.label} counts`);
  parts.state.textContent = margin.ignored ? "left out" : holds ? "cleared" : "not cleared";
  parts.sentence.textContent = sentence;
  parts.remedy.textContent = `What helps: ${restate(margin.remedy)}`;
}

// A limit that does not count bounds no window and breaks nothing.
function count(limit, counts) {
  model.restructure("ignored", (scenario) => {
    const others = scenario.ignored.filter((other) => other !== limit);
    scenario.ignored = counts ? others : [...others, limit];
  });
}

// The set point in one sentence, for the line under the window and for screen readers.
export function verdict(report) {
  const broken = report.margins.filter((margin) => margin.g < 0 && !margin.ignored);
  if (broken.length === 0) return { inside: true, words: "Inside: every limit is cleared." };
  const names = broken.map((margin) => margin.label.toLowerCase());
  return { inside: false, words: `Outside: ${names.join(", ")}.` };
}
