// @ts-check
// Problems that prevent a calculation: at their fields, and in a list with links to them.

import { byId, el } from "app/shared/dom";
import { inWords } from "app/shared/notices";
import { canReveal, reveal, showProblems } from "app/window/settings/fields";
import { noVerdict } from "app/window/verdict";

let shown = 0;

// The last good picture stays visible, dimmed.
/** @param {Gatefrost.Problem[]} problems */
export function showTrouble(problems) {
  if (problems.length === 0 && shown === 0) return;
  shown = problems.length;
  showProblems(problems);
  dim(problems.length > 0);
  const list = byId("trouble");
  list.hidden = problems.length === 0;
  list.replaceChildren(
    ...problems.map((problem) => {
      const go = el("button", { type: "button", className: "quiet", onclick: () => reveal(problem.path) }, "Go there");
      return el("li", {}, `${inWords(problem)} `, canReveal(problem.path) && go);
    }),
  );
  const plane = problems.filter(({ path }) => path.startsWith("window"));
  byId("plane-error").textContent = plane.map(inWords).join(" ");
  byId("plane-error").hidden = plane.length === 0;
  if (problems.length > 0) noVerdict("Not computed: see the message.");
}

/** @param {boolean} flag */
export function dim(flag) {
  document.documentElement.classList.toggle("dimmed", flag);
}
