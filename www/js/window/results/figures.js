// @ts-check
// The figures below the window, each with its data as a table and as files.

import { byId, el, putHidden } from "app/shared/dom";
import { exhibit, foot } from "app/shared/exhibit";
import { model } from "app/window/settings/model";
import { Scrubber } from "app/window/results/scrubber";
import { units } from "app/shared/units";
import { windowOptions } from "app/window/canvas";

// Name in the core, heading, what to look for.
/** @typedef {[name: string, heading: string, words: string]} Kind */
/** @type {Kind[]} */
const FIGURES = [
  ["cavity", "Cavity and melt front", "The flow path is drawn unrolled; each branch starts at its junction. A dashed line joins ends that meet; a double line marks their weld."],
  ["path", "Along the flow path", "Temperature, frozen layer and pressure from the nozzle to an end of flow."],
  ["pressures", "Pressures while filling", "Pressure at the nozzle and at the gate while the cavity fills."],
  ["trace", "Pressures over the cycle", "At the nozzle, behind the gate and at the end of flow, from the first melt to the cold part."],
  ["hold", "Hold and gate freeze", "A gate counts as frozen when it lets through a thousandth of what it did at the end of filling. After 115 % of that time nothing passes any more, and a longer hold changes nothing."],
  ["mass", "Part mass against hold time", "As the gate seal is found at the machine: hold for longer and longer, and weigh the parts until the mass stays the same."],
  ["cycle", "The cycle", "The stages of the cycle, and what decides its time."],
  ["viscosity", "Viscosity against shear rate", "At the temperatures that occur, with this part’s own shear rates marked."],
];
// Figures that show one moment of the cycle, and figures that need more than the report.
const SCRUBBED = ["cavity", "path"];
const LATER = { moments: [...SCRUBBED, "trace"], study: ["mass"] };

export class Figures {
  /** @type {Map<string, ReturnType<typeof exhibit>>} */
  #exhibits = new Map();
  #windowTable;
  #scrubber;
  #way = el("select", { id: "way", onchange: () => this.#show(["path"]) });
  // The ends of flow on offer.
  #ways = "";
  #wayTo = el("label", { className: "way-to", hidden: true }, "Path to ", this.#way);

  /**
   * @param {HTMLElement} root
   * @param {import("app/shared/core").Sheet} sheet
   */
  constructor(root, sheet) {
    this.#scrubber = new Scrubber(() => this.#show(SCRUBBED));
    const [scrubbed, others] = [FIGURES.slice(0, SCRUBBED.length), FIGURES.slice(SCRUBBED.length)];
    root.append(
      el(
        "div",
        { id: "moment" },
        this.#scrubber.root,
        scrubbed.map((figure) => this.#figure(sheet, figure, figure[0] === "path" && this.#wayTo)),
      ),
      ...others.map((figure) => this.#figure(sheet, figure)),
    );
    const { nodes, fill } = foot(sheet, "window", "Window", this.#belongings("window", "Window", 640));
    byId("window-foot").append(...nodes);
    this.#windowTable = fill;
    units.addEventListener("changed", () => {
      this.#show([...this.#exhibits.keys()]);
      fill();
    });
  }

  // Takes a report. Figures that need more stay as they are, dimmed, once they have been drawn.
  /** @param {Gatefrost.Report} report */
  refresh(report) {
    this.#fitTo(report);
    const later = new Set(Object.values(LATER).flat());
    const first = (/** @type {string} */ name) => SCRUBBED.includes(name) && !this.#scrubber.known;
    this.#show([...this.#exhibits.keys()].filter((name) => !later.has(name) || first(name)));
    for (const name of later) this.#wait(name, true);
    this.#scrubber.wait();
  }

  // The table of the window, whose picture is drawn elsewhere.
  windowDrawn() {
    this.#windowTable();
  }

  /** @param {Gatefrost.MomentLine[]} lines */
  setMoments(lines) {
    this.#scrubber.take(lines);
    this.#arrived(LATER.moments);
  }

  setStudy() {
    this.#arrived(LATER.study);
  }

  // The later answers will not come.
  giveUp() {
    for (const name of Object.values(LATER).flat()) this.#wait(name, false);
  }

  /** @param {string[]} names */
  #arrived(names) {
    for (const name of names) this.#wait(name, false);
    this.#show(names);
  }

  /**
   * @param {string} name
   * @param {boolean} waiting
   */
  #wait(name, waiting) {
    const classes = this.#exhibits.get(name)?.picture.canvas.closest("figure")?.classList;
    if (classes && classes.contains("waiting") !== waiting) classes.toggle("waiting", waiting);
  }

  /** @param {string[]} names */
  #show(names) {
    for (const name of names) this.#exhibits.get(name)?.refresh();
  }

  // A branched path needs a row for each branch, and a choice of the end of flow.
  /** @param {Gatefrost.Report} report */
  #fitTo({ fill, hold }) {
    const rows = Math.max(fill.paths.length, hold?.ends.length ?? 0);
    const { style } = document.documentElement;
    const high = String(Math.min(rows, 12));
    if (style.getPropertyValue("--rows") !== high) style.setProperty("--rows", high);
    const select = this.#way;
    putHidden(this.#wayTo, fill.paths.length < 2);
    const known = fill.paths.map(({ end, index }) => [String(index), end]);
    const ways = JSON.stringify(known);
    if (this.#ways === ways) return;
    this.#ways = ways;
    const wanted = select.value;
    select.replaceChildren(el("option", { value: "" }, "the last end to fill"), ...known.map(([value, end]) => el("option", { value }, end)));
    select.value = known.some(([value]) => value === wanted) ? wanted : "";
  }

  /**
   * @param {string} name
   * @returns {Partial<Gatefrost.Options>}
   */
  #options(name) {
    if (name === "window") return windowOptions();
    if (!SCRUBBED.includes(name)) return {};
    const end = this.#way.value;
    return { moment: this.#scrubber.index, ...(end && { end: Number(end) }) };
  }

  /**
   * @param {import("app/shared/core").Sheet} sheet
   * @param {Kind} kind
   * @param {HTMLElement | false} [more]
   */
  #figure(sheet, [name, heading, words], more) {
    const shown = exhibit(sheet, name, heading, this.#belongings(name, heading));
    this.#exhibits.set(name, shown);
    return el(
      "figure",
      { dataset: { figure: name } },
      el("figcaption", {}, el("h3", {}, heading), el("p", { className: "lead" }, words)),
      more,
      shown.plot,
      shown.reading,
      shown.foot,
    );
  }

  /**
   * @param {string} name
   * @param {string} heading
   * @param {number} [height]
   */
  #belongings(name, heading, height) {
    return { options: () => this.#options(name), title: () => `${model.scenario.name} ${heading}`, height };
  }
}
