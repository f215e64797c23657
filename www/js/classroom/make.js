// @ts-check
// The lecturer's form: an exercise made from a scenario, or an earlier one opened again.

import { Rows, hintRow, inputRow, labelled, resultRow } from "app/classroom/make-rows";
import { Made } from "app/classroom/made";
import { tell } from "app/classroom/posed-view";
import { ask } from "app/classroom/posed-work";
import { say } from "app/classroom/say";
import { byId, el } from "app/shared/dom";
import { dismiss } from "app/shared/notices";

const FIRST = "2;d=hinge";

class Form {
  /** @type {Gatefrost.PosedShown | null} */
  #shown = null;
  #made = new Made();
  #scenario = el("input", { id: "make-scenario", type: "text", autocomplete: "off", spellcheck: false });
  #name = el("p", { className: "said", role: "status" });
  #title = el("input", { id: "make-title", type: "text", maxLength: 120, autocomplete: "off" });
  #task = el("textarea", { id: "make-task", rows: 6, maxLength: 4000, "aria-describedby": "make-task-about" });
  #window = el("input", { id: "make-window", type: "checkbox" });
  #choices = () => this.#shown ?? { name: "", scenario: "", inputs: [], results: [] };
  #hints = new Rows(say("make-add-hint"), 8, hintRow);
  #inputs = new Rows(say("make-add-input"), 24, inputRow(this.#choices));
  #asked = new Rows(say("make-add-result"), 8, resultRow(this.#choices));

  // Builds the form with the first demo in it.
  async build() {
    const demos = await ask("posed_demos", {});
    const demo = el("select", { id: "make-demo", onchange: () => this.#take(demo.value) }, demos.map((/** @type {Gatefrost.PosedDemo} */ { link, name }) => el("option", { value: link }, name)));
    byId("make-parts").replaceChildren(
      el("div", { className: "bench" }, el("div", { className: "ins" }, ...this.#from(demo), ...this.#words(), ...this.#lists()), el("div", { className: "outs" }, this.#made.root)),
    );
    await this.#take(FIRST);
    demo.value = FIRST;
    this.#asked.put([null]);
    demo.focus();
  }

  /** @param {HTMLElement} demo */
  #from(demo) {
    const taken = (/** @type {Promise<void>} */ work) => work.catch(tell);
    /** @param {(text: string) => Promise<void>} act */
    const chooser = (act) => {
      const input = el("input", { type: "file", accept: ".json,.txt,application/json,text/plain", className: "hidden", tabIndex: -1, "aria-label": say("make-file"), onchange: async () => {
        const file = input.files?.[0];
        if (file) await taken(act(await file.text()));
        input.value = "";
      } });
      return input;
    };
    const scenarios = chooser((text) => this.#take(text));
    const exercises = chooser((text) => this.#open(text));
    return [
      el("h3", {}, say("own-scenario-label")),
      labelled(say("make-demo"), demo, "field wide"),
      labelled(say("make-scenario"), this.#scenario, "field wide"),
      el("p", { className: "row" }, el("button", { type: "button", id: "make-take", onclick: () => taken(this.#take(this.#scenario.value)) }, say("make-take")), el("button", { type: "button", onclick: () => scenarios.click() }, say("make-scenario-file")), scenarios, el("button", { type: "button", id: "make-open-exercise", onclick: () => exercises.click() }, say("make-open-exercise")), exercises),
      this.#name,
    ];
  }

  #words() {
    return [
      labelled(say("own-title"), this.#title, "field wide"),
      labelled(say("own-task"), this.#task, "field wide"),
      el("p", { className: "small", id: "make-task-about" }, say("make-task-about")),
      el("h3", {}, say("own-hints")),
      this.#hints.root,
    ];
  }

  #lists() {
    return [
      el("h3", {}, say("own-inputs")),
      el("p", { className: "small" }, say("make-inputs-about")),
      this.#inputs.root,
      el("h3", {}, say("own-asked")),
      this.#asked.root,
      el("p", { className: "row" }, el("label", { className: "check" }, this.#window, ` ${say("make-window")}`)),
      el("p", { className: "small" }, say("make-window-about")),
      el("p", { className: "row" }, el("button", { type: "button", id: "make-it", onclick: () => this.#make() }, say("make-it"))),
    ];
  }

  // Takes a scenario from a link or from the text of a file. What has been chosen stays where the new one has it, too.
  /** @param {string} text */
  async #take(text) {
    dismiss("posed");
    const kept = this.#shown && { inputs: this.#inputs.values(), asked: this.#asked.values() };
    const shown = /** @type {Gatefrost.PosedShown} */ (await ask("posed_choices", { text }));
    this.#shown = shown;
    this.#scenario.value = shown.scenario;
    this.#name.textContent = say("make-taken", { name: shown.name });
    if (!kept) return;
    this.#inputs.put(kept.inputs.filter(({ path }) => shown.inputs.some((input) => input.path === path)));
    this.#asked.put(kept.asked.filter(({ path }) => shown.results.some((result) => result.path === path)));
  }

  // Opens an exercise to change it.
  /** @param {string} text */
  async #open(text) {
    dismiss("posed");
    const made = /** @type {Gatefrost.PosedMade} */ (await ask("posed_made", { text }));
    const { title, task, hints, scenario, inputs, asked, window } = made.document;
    await this.#take(scenario);
    this.#title.value = title;
    this.#task.value = task;
    this.#hints.put(hints);
    this.#inputs.put(inputs);
    this.#asked.put(asked);
    this.#window.checked = window;
    await this.#made.show(made);
  }

  async #make() {
    dismiss("posed");
    const document = {
      gatefrost_exercise: 1,
      title: this.#title.value,
      task: this.#task.value,
      hints: this.#hints.values().filter((hint) => hint.trim() !== ""),
      scenario: this.#choices().scenario,
      inputs: this.#inputs.values(),
      asked: this.#asked.values(),
      window: this.#window.checked,
    };
    try {
      await this.#made.show(await ask("posed_made", { text: JSON.stringify(document) }));
      this.#made.root.scrollIntoView({ block: "start" });
    } catch (error) {
      tell(error);
    }
  }
}

export const buildMake = () => new Form().build().catch(tell);
