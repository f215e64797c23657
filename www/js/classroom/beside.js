// @ts-check
// What the solver says of the same task, computed on request by the window's module in a worker.

import { loadWindow, told } from "app/shared/core";
import { el } from "app/shared/dom";
import { LateWorker } from "app/shared/late";

const UNREACHED = "The solver could not be loaded. Try again.";
const worker = new LateWorker(loadWindow, UNREACHED);

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
  #button = el("button", { type: "button", onclick: () => this.#ask() }, "Compute it with the solver");

  /** @param {Gatefrost.ShownBeside} beside */
  constructor(beside) {
    this.#beside = beside;
    this.root = el("div", { className: "beside" }, el("h3", {}, "What the solver says"), this.#button, this.#said);
  }

  async #ask() {
    this.#button.disabled = true;
    this.#said.textContent = "Computing…";
    document.documentElement.dataset.busy = "true";
    const failure = await this.#compute();
    if (failure) this.#said.textContent = failure;
    this.#button.disabled = false;
    document.documentElement.dataset.busy = "false";
  }

  // Returns what went wrong.
  async #compute() {
    const { demo, changes, rate, path, unit, why } = this.#beside;
    const begun = await worker.run({ call: "open_link", args: /** @type {any} */ (`2;d=${demo}`) });
    if (!begun.value) return begun.failure ?? UNREACHED;
    const { scenario } = begun.value;
    for (const [place, value] of changes) put(scenario, place, JSON.parse(value));
    const evaluate = () => worker.run({ call: "evaluate", args: { scenario: JSON.stringify(scenario) } });
    if (rate !== null) {
      // The injection time at which the volume flows in at the rate.
      const first = await evaluate();
      if (!first.value) return first.failure ?? UNREACHED;
      scenario.setup.injection_time = first.value.told.cavity.volume_cm3 / rate;
    }
    const { value, failure } = await evaluate();
    if (!value) return failure ?? UNREACHED;
    const found = at(value.told, path);
    if (typeof found !== "number") return "The solver gives no such value here: the gate does not freeze, or the part stays short.";
    this.#said.replaceChildren(el("p", {}, el("strong", {}, told(found, unit))), el("p", {}, why));
    return null;
  }
}
