// @ts-check
// What the solver says of the same task, computed on request by the window's module in a worker.

import { say } from "app/classroom/say";
import { loadWindow, told } from "app/shared/core";
import { el } from "app/shared/dom";
import { LateWorker } from "app/shared/late";

/** @type {LateWorker | null} */
let worker = null;

/**
 * The value at a path of a document.
 * @param {any} document
 * @param {string} path
 */
const at = (document, path) => path.split(".").reduce((place, key) => place?.[key], document);

/**
 * @param {any} document
 * @param {string} path
 * @param {any} value
 */
function put(document, path, value) {
  const keys = path.split(".");
  const last = keys.pop() ?? "";
  at(document, keys.join("."))[last] = value;
}

export class Beside {
  #beside;
  #said = el("div", { role: "status" });
  #button = el("button", { type: "button", onclick: () => this.#ask() }, say("beside-compute"));

  /** @param {Gatefrost.ShownBeside} beside */
  constructor(beside) {
    this.#beside = beside;
    this.root = el("div", { className: "beside" }, el("h3", {}, say("beside-heading")), this.#button, this.#said);
  }

  async #ask() {
    this.#button.disabled = true;
    this.#said.textContent = say("beside-computing");
    document.documentElement.dataset.busy = "true";
    const failure = await this.#compute();
    if (failure) this.#said.textContent = failure;
    this.#button.disabled = false;
    document.documentElement.dataset.busy = "false";
  }

  // Returns what went wrong.
  async #compute() {
    const unreached = say("beside-unreached");
    const solver = (worker ??= new LateWorker(loadWindow, unreached));
    const { demo, changes, rate, path, unit, why } = this.#beside;
    const begun = await solver.run({ call: "open_link", args: /** @type {any} */ (`2;d=${demo}`) });
    if (!begun.value) return begun.failure ?? unreached;
    const { scenario } = begun.value;
    for (const [place, value] of changes) put(scenario, place, JSON.parse(value));
    const evaluate = () => solver.run({ call: "evaluate", args: { scenario: JSON.stringify(scenario) } });
    if (rate !== null) {
      // The injection time at which the volume flows in at the rate.
      const first = await evaluate();
      if (!first.value) return first.failure ?? unreached;
      scenario.setup.injection_time = first.value.told.cavity.volume_cm3 / rate;
    }
    const { value, failure } = await evaluate();
    if (!value) return failure ?? unreached;
    const found = at(value.told, path);
    if (typeof found !== "number") return say("beside-nothing");
    this.#said.replaceChildren(el("p", {}, el("strong", {}, told(found, unit))), el("p", {}, why));
    return null;
  }
}
