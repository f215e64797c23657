// @ts-check
// The toolmaker's sheet: one page to print, with the numbers for cutting the tool and for the first shot.

import { byId, el } from "app/shared/dom";
import { keep, recall } from "app/shared/keep";
import { dismiss, inWords, notice } from "app/shared/notices";
import { units, unitsInUse } from "app/shared/units";
import { model } from "app/window/settings/model";

/** @typedef {import("app/window/results/toolmaker-sheet").Computed} Computed */

const BASE = "gatefrost.address";
const PAPER = "gatefrost.paper";
const PAPERS = [
  ["a4", "A4"],
  ["letter", "Letter"],
];
const storage = () => localStorage;

const wanted = () => `${JSON.stringify(unitsInUse())} ${model.text()}`;

export class Toolmaker {
  #sheet;
  #current;
  #root = byId("toolmaker");
  #shown = false;
  // What puts the sheet together is loaded when it is first wanted.
  /** @type {typeof import("app/window/results/toolmaker-sheet") | null} */
  #parts = null;
  /** @type {import("app/window/results/toolmaker-part").Cut} */
  #cut = { of: "", sizes: [] };
  #base = el("input", {
    type: "url",
    id: "sheet-address",
    placeholder: "https://… address of this page",
    value: recall(storage, BASE) ?? (/^https?:$/.test(location.protocol) ? location.href.split("#")[0] : ""),
    oninput: () => {
      keep(storage, BASE, this.#base.value.trim() || null);
      this.#draw();
    },
  });
  #paper = el(
    "select",
    {
      id: "sheet-paper",
      onchange: () => {
        keep(storage, PAPER, this.#paper.value);
        this.#draw();
      },
    },
    PAPERS.map(([value, words]) => el("option", { value }, words)),
  );
  #revision = el("input", { type: "text", id: "sheet-revision", size: 4, maxLength: 12, value: "A", oninput: () => this.#draw() });
  #page = el("article", { id: "sheet-page", "aria-labelledby": "sheet-name" });
  #back = el("button", { type: "button", id: "sheet-back", onclick: () => this.#close() }, "Back to the window");

  /**
   * @param {import("app/shared/core").Sheet} sheet
   * @param {() => Computed | null} current
   */
  constructor(sheet, current) {
    this.#sheet = sheet;
    this.#current = current;
    const kept = recall(storage, PAPER);
    this.#paper.value = PAPERS.find(([value]) => value === kept)?.[0] ?? "a4";
    this.#root.append(
      el(
        "div",
        { className: "sheet-tools" },
        this.#back,
        el("button", { type: "button", id: "sheet-print", onclick: () => print() }, "Print"),
        el("label", {}, "Paper ", this.#paper),
        el("label", {}, "Revision ", this.#revision),
        el("label", { className: "sheet-address" }, "Address for the code ", this.#base),
      ),
      this.#page,
    );
    addEventListener("keydown", (event) => event.key === "Escape" && this.#shown && this.#close());
    units.addEventListener("changed", () => this.refresh());
  }

  // A finer window, or another scenario opened by its address, has arrived.
  refresh() {
    if (this.#shown) this.#draw();
  }

  async open() {
    const problems = model.problems();
    dismiss("sheet");
    if (problems.length > 0 || !this.#current()) {
      notice("sheet", "The sheet can be made when the scenario has been computed.", problems.map(inWords));
      return;
    }
    this.#parts ??= await import("app/window/results/toolmaker-sheet");
    this.#shown = true;
    document.body.classList.add("on-paper");
    this.#root.hidden = false;
    this.#draw();
    scrollTo(0, 0);
    this.#back.focus();
  }

  #close() {
    this.#shown = false;
    document.body.classList.remove("on-paper");
    this.#root.hidden = true;
    byId("to-sheet").focus();
  }

  // Sizes and gate come from a worker: the sheet is drawn again when they are known, or when it is known why they are not.
  async #draw() {
    // The units stand in the drawing of the gate.
    const of = wanted();
    const known = this.#cut.of === of && !this.#cut.failure;
    this.#put(known ? this.#cut : { of, sizes: [] });
    if (known || !this.#parts || !this.#current()) return;
    this.#cut = await this.#parts.cutFor(of, model.text());
    if (of === wanted() && this.#shown) this.#put(this.#cut);
  }

  // A sheet is made only from results of the present scenario.
  /** @param {import("app/window/results/toolmaker-part").Cut} cut */
  #put(cut) {
    const now = this.#current();
    if (!now || !this.#parts) return;
    this.#page.className = this.#paper.value;
    this.#page.replaceChildren(...this.#parts.sheetParts(this.#sheet, now, this.#base.value.trim(), this.#revision.value.trim(), cut));
  }
}
