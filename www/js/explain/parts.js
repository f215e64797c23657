// @ts-check
// The parts of an explanation.

import { el } from "app/shared/dom";
import { formula, formulaOf } from "app/shared/formulas";
import { toLimit, toResult } from "app/shared/ways";

/**
 * @param {string} title
 * @param {...(Node | string | false | null)} parts
 */
const part = (title, ...parts) => el("div", { className: "part" }, el("h4", {}, title), ...parts);

/** @param {[Node | string, string][]} rows */
const list = (rows) => el("dl", { className: "rows" }, rows.flatMap(([words, value]) => [el("dt", {}, words), el("dd", {}, value)]));

/** @param {Gatefrost.Explanation} told */
export function explanationParts(told) {
  const { meaning, equation, letters, lines, symbols, estimate, compared, why, causes, limit, source, section } = told;
  const byHand = lines.flatMap((line) => [formula(line.letters, line.text), formula(line.numbers, line.text_with_numbers)]);
  return [
    el("p", {}, meaning),
    part("What is solved", formula(equation, "Equation"), el("dl", { className: "symbols" }, letters.flatMap((l) => [el("dt", {}, formulaOf(l.set)), el("dd", {}, l.words)]))),
    part(
      "By hand",
      ...byHand,
      symbols.length > 0 && el("dl", { className: "symbols" }, symbols.flatMap((s) => [el("dt", {}, formulaOf(s.set)), el("dd", {}, `${s.value}, ${s.words}`)])),
    ),
    part("Estimate and result", list([["By hand", estimate ?? "none"], ["Computed", told.value ?? "none"]]), el("p", {}, compared), why !== "" && el("p", {}, why)),
    causes.length > 0 && part("One cause after another left out", list(causes.map(({ words, value }) => [words, value ?? "none"]))),
    limit && part("Limit", el("p", {}, el("a", { href: toLimit(limit.name) }, limit.label), limit.sentence ? `: ${limit.sentence}` : ": nothing can break it here.")),
    el("p", { className: "source" }, `The estimate rests on: ${source}. `, el("a", { href: toResult(section) }, "In the handbook")),
  ].filter((child) => child instanceof Node);
}

// What moves a result most; null while it is computed.
/**
 * @param {Gatefrost.Move[] | null} moves
 * @param {string} [failure]
 */
export function movesParts(moves, failure) {
  if (failure) return [part("What moves it most", el("p", {}, failure))];
  if (!moves) return [part("What moves it most", el("p", { role: "status" }, "Computing…"))];
  if (moves.length === 0) return [part("What moves it most", el("p", {}, "No number of the scenario moves it."))];
  /** @type {[string, string][]} */
  const rows = moves.map(({ input, change, by_error: error }) => [input, error ? `${change} (standard error ${error})` : change]);
  return [part("What moves it most", list(rows))];
}
