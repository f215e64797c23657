// @ts-check
// Computes how safe the set point is and what would widen the window: the jobs, and the result of their answers.

import { best_of, levers_changed, ranked_openings } from "app/shared/core";

/** @typedef {import("app/shared/worker").Job} Job */
/** @typedef {Gatefrost.Lever & { waiting?: boolean }} LeverShown a lever whose window may still be on its way */
/** @typedef {Gatefrost.Closed & { closed: true }} Opened what would open a closed window */
/**
 * @typedef {object} Found
 * @property {Gatefrost.Best} [best]
 * @property {Gatefrost.Yield} [shots]
 * @property {LeverShown[] | Opened} [levers]
 * @property {Gatefrost.Answers} [answers]
 */
/** @typedef {keyof Found} Part */
/** @typedef {{ value?: any, failure?: string, problems?: Gatefrost.Problem[] }} Told */

/** @type {Part[]} */
export const PARTS = ["best", "shots", "levers", "answers"];

/** @typedef {{ part: Part, call: Job["call"], args: Record<string, any> }} Step */

// The longest first. The best set point is worked out in two halves: as found by a search, as it is now. Whether the
// window is closed decides what comes after: each lever is a window of its own where it is open.
/** @type {Step[]} */
const FIRST = [
  { part: "best", call: "tried", args: { present: false } },
  { part: "best", call: "tried", args: { present: true } },
  { part: "levers", call: "usable_with", args: { change: 0 } },
];

/**
 * @param {boolean} closed
 * @returns {Step[]}
 */
function later(closed) {
  const once = PARTS.filter((part) => part !== "best" && !(closed && part === "levers"));
  const changes = Array.from({ length: levers_changed(closed) + Number(closed) }, (_, change) => change);
  return [
    ...once.map((part) => /** @type {Step} */ ({ part, call: part, args: {} })),
    ...changes.map((change) => /** @type {Step} */ (closed ? { part: "levers", call: "opening", args: { change } } : { part: "levers", call: "usable_with", args: { change: change + 1 } })),
  ];
}

/**
 * Computes some of the parts with a pool. Resolves to all answers, or to null if it was stopped.
 * @param {import("app/shared/pool").Pool} pool
 * @param {string} scenario
 * @param {Part[]} parts
 * @param {(part: Part, told: Told) => void} told hears of each part, of the levers with each window that is there
 * @param {(done: number, of: number) => void} [heard] hears of each job
 */
export function workOut(pool, scenario, parts, told, heard = () => {}) {
  return new Work(pool, scenario, parts, told, heard).run();
}

class Work {
  #pool;
  #scenario;
  #parts;
  #told;
  #heard;
  /** @type {Gatefrost.Tried[]} */
  #halves = [];
  /** @type {(number | null)[]} */
  #shares = [];
  /** @type {(Gatefrost.Opening | null)[]} */
  #openings = [];
  /** @type {Gatefrost.Lever[] | null} */
  #levers = null;
  #done = 0;

  /**
   * @param {import("app/shared/pool").Pool} pool
   * @param {string} scenario
   * @param {Part[]} parts
   * @param {(part: Part, told: Told) => void} told
   * @param {(done: number, of: number) => void} heard
   */
  constructor(pool, scenario, parts, told, heard) {
    this.#pool = pool;
    this.#scenario = scenario;
    this.#parts = parts;
    this.#told = told;
    this.#heard = heard;
  }

  async run() {
    const first = await this.#steps(FIRST, this.#wanted(later(false)).length);
    const last = first && (await this.#steps(later(this.#shares[0] === 0), 0));
    return last && [...first, ...last];
  }

  /** @param {Step[]} steps */
  #wanted(steps) {
    return steps.filter(({ part }) => this.#parts.includes(part));
  }

  /**
   * @param {Step[]} steps
   * @param {number} more how many are to come after them
   */
  #steps(steps, more) {
    const wanted = this.#wanted(steps);
    const of = this.#done + wanted.length + more;
    const scenario = this.#scenario;
    const jobs = wanted.map(({ call, args }) => /** @type {Job} */ ({ call, args: { scenario, ...args } }));
    return this.#pool.run(jobs, (index, answer) => {
      this.#done += 1;
      this.#heard(this.#done, of);
      const step = wanted[index];
      if (answer.failure || answer.problems) this.#told(step.part, answer);
      else this.#take(step, answer.value);
    });
  }

  /**
   * @param {Step} step
   * @param {any} value
   */
  #take({ part, call, args }, value) {
    if (call === "tried") this.#takeHalf(Number(args.present), value);
    else if (part !== "levers") this.#told(part, { value });
    else if (call === "opening") this.#takeOpening(args.change, value);
    else this.#takeLever(call === "usable_with" ? args.change : null, value);
  }

  /**
   * @param {number} half
   * @param {Gatefrost.Tried} value
   */
  #takeHalf(half, value) {
    this.#halves[half] = value;
    const [found, present] = this.#halves;
    if (found && present) this.#told("best", { value: best_of({ scenario: this.#scenario, found, present }) });
  }

  /**
   * @param {number} change
   * @param {Gatefrost.Opening | null} value
   */
  #takeOpening(change, value) {
    this.#openings[change] = value;
    const openings = this.#openings.filter((opening) => opening !== null && opening !== undefined);
    this.#told("levers", { value: { closed: true, ...ranked_openings({ openings }) } });
  }

  /**
   * @param {number | null} change whose usable share it is; the yields of all levers without one
   * @param {any} value
   */
  #takeLever(change, value) {
    if (change === null) this.#levers = value;
    else this.#shares[change] = value;
    const levers = this.#levers?.map((lever, place) => ({ ...lever, ...this.#gained(place + 1) }));
    if (levers) this.#told("levers", { value: levers });
  }

  /**
   * What a change does to the window, in percentage points; `waiting` as long as that is not known.
   * @param {number} change
   */
  #gained(change) {
    const [here, there] = [this.#shares[0], this.#shares[change]];
    if (here === undefined || there === undefined) return { waiting: true };
    if (here === null || there === null) return { window_points: null };
    return { window_points: 100 * (there - here) };
  }
}
