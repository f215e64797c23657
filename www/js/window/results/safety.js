// @ts-check
// How safe the set point is and what would widen the window. This takes some seconds: it is computed on request, its
// parts at the same time, and discarded when something changes.

import { parametersOf } from "app/shared/catalogue";
import { loadStudies, set_point } from "app/shared/core";
import { el } from "app/shared/dom";
import { inWords } from "app/shared/notices";
import { Pool } from "app/shared/pool";
import { units } from "app/shared/units";
import { PARTS, workOut } from "app/window/results/work-out";
import { numberField } from "app/window/settings/fields";
import { model } from "app/window/settings/model";

/** @typedef {import("app/window/results/work-out").Part} Part */
/** @typedef {typeof import("app/window/results/safety-parts")} Words */

const UNREACHED = "What computes the safety cannot be loaded.";

/**
 * @param {HTMLElement} root
 * @param {(place: () => import("app/window/canvas").Place | null) => void} marked takes what says where the best set
 *   point stands in the plane
 */
export const buildSafety = (root, marked) => void new Safety(root, marked);

class Safety {
  #root;
  #marked;
  #said = el("p", { id: "safety-said", role: "status", className: "small" });
  #places = new Map(PARTS.map((part) => [part, el("div", { id: `safety-${part}`, className: "finding" })]));
  /** @type {Pool | null} */
  #pool = null;
  // The scenario of the results, as text.
  /** @type {string | null} */
  #worked = null;
  /** @type {import("app/window/results/work-out").Found} */
  #found = {};
  #trouble = "";
  // What says the results in words. It is loaded when they are first asked for.
  /** @type {Words | null} */
  #words = null;

  /**
   * @param {HTMLElement} root
   * @param {(place: () => import("app/window/canvas").Place | null) => void} marked
   */
  constructor(root, marked) {
    this.#root = root;
    this.#marked = marked;
    const start = el("button", { type: "button", id: "work-safety-out", onclick: () => this.#work() }, "Compute safety");
    const scatter = el(
      "details",
      { className: "more", id: "step-scatter" },
      el("summary", {}, "Scatter of settings and loading (standard deviations)"),
      el("div", { className: "fields" }, parametersOf("scatter").map(({ path }) => numberField(path))),
    );
    root.append(
      el("div", { className: "actions" }, start, this.#said),
      scatter,
      el("div", { className: "parts" }, [...this.#places.values()]),
    );
    units.addEventListener("changed", () => PARTS.forEach((part) => this.#show(part)));
    model.addEventListener("changed", () => this.#forget());
  }

  // The best set point in the plane that is shown.
  #place() {
    const { best } = this.#found;
    if (this.#worked === null || !best || !this.#words?.isBetter(best.bears, best.present_bears)) return null;
    const setup = { ...model.scenario.setup, ...Object.fromEntries(best.settings) };
    return set_point(JSON.stringify({ ...model.scenario, setup }));
  }

  /** @param {Part} part */
  #show(part) {
    const { best, shots, levers, answers } = this.#found;
    const words = this.#words;
    if (!words) return;
    const shown = {
      best: () => best && words.showBest(best),
      shots: () => shots && words.showShots(shots, best),
      levers: () => levers && words.showLevers(levers),
      answers: () => answers && words.showAnswers(answers),
    }[part]();
    this.#places.get(part)?.replaceChildren(...(shown ?? []));
  }

  #forget() {
    if (this.#worked === null || this.#worked === model.text()) return;
    this.#pool?.stop();
    this.#worked = null;
    this.#marked(() => this.#place());
    this.#root.classList.add("old");
    this.#said.textContent = "Something has changed since: compute it again.";
  }

  async #work() {
    const problems = model.problems();
    if (problems.length > 0) {
      this.#said.textContent = `Not computed: ${inWords(problems[0])}`;
      return;
    }
    this.#said.textContent = "Computing …";
    this.#words ??= await import("app/window/results/safety-parts");
    const spawn = await loadStudies().catch(() => null);
    if (!spawn) {
      this.#said.textContent = UNREACHED;
      return;
    }
    const pool = (this.#pool ??= new Pool(spawn));
    pool.stop();
    this.#worked = model.text();
    this.#root.classList.remove("old");
    this.#found = {};
    PARTS.forEach((part) => this.#show(part));
    this.#trouble = "";
    await workOut(pool, this.#worked, PARTS, (part, told) => this.#take(part, told), (done, of) => {
      this.#said.textContent = this.#trouble || (done < of ? `Computing: ${done} of ${of} done …` : "");
    });
  }

  /**
   * @param {Part} part
   * @param {import("app/window/results/work-out").Told} told
   */
  #take(part, { value, failure, problems }) {
    if (failure || problems) {
      this.#trouble = failure ?? (problems ?? []).map(inWords).join(" ");
      this.#said.textContent = this.#trouble;
      this.#pool?.stop();
      return;
    }
    this.#found[part] = value;
    this.#show(part);
    if (part !== "best") return;
    this.#marked(() => this.#place());
    // Why shots are outside depends on what the set point withstands.
    this.#show("shots");
  }
}
