// @ts-check
// Computes how safe the set point is and what would widen the window: the jobs, and the result of their answers.

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

/** @typedef {{ part: Part, call: string, args: Record<string, any> }} Step a call of the module of studies */

// How many changes there are, so that the progress is of all jobs.
/** @type {Step[]} */
const COUNT = [{ part: "levers", call: "levers_changed", args: {} }];

// The longest first. The best set point is worked out in two halves: as found by a search, as it is now. Whether the
// window is closed decides what comes after: each lever is a window of its own where it is open.
/** @type {Step[]} */
const FIRST = [
  { part: "best", call: "tried", args: { present: false } },
  { part: "best", call: "tried", args: { present: true } },
  { part: "levers", call: "usable_with", args: { change: 0 } },
];

/**
 * Computes some of the parts with a pool. Resolves to all answers, or to null if it was stopped.
 * @param {import("app/shared/pool").Pool} pool its workers hold the module of studies
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
  // How many changes there are where the window is open, and where it is closed.
  #changes = [0, 0];
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
    /** @type {(() => [steps: Step[], more: number])[]} */
    const rounds = [
      () => [COUNT, FIRST.length],
      () => [FIRST, this.#wanted(this.#later()).length],
      () => [this.#later(), Number(this.#closed)],
      () => [this.#closed ? this.#ranking() : [], 0],
    ];
    /** @type {import("app/shared/worker").Answer<any>[]} */
    const all = [];
    for (const round of rounds) {
      const answers = await this.#steps(...round());
      if (!answers) return null;
      all.push(...answers);
    }
    return all;
  }

  // Whether nothing in the plane is usable; false as long as that is not known.
  get #closed() {
    return this.#shares[0] === 0;
  }

  // What comes after it is known whether the window is closed.
  /** @returns {Step[]} */
  #later() {
    const closed = this.#closed;
    const [found, present] = this.#halves;
    const [lasting, each] = this.#changes;
    const changes = Array.from({ length: closed ? each + 1 : lasting }, (_, change) => change);
    return [
      { part: "best", call: "best_of", args: { found, present } },
      { part: "shots", call: "shots", args: {} },
      ...(closed ? [] : [/** @type {Step} */ ({ part: "levers", call: "levers", args: {} })]),
      { part: "answers", call: "answers", args: {} },
      ...changes.map((change) => /** @type {Step} */ (closed ? { part: "levers", call: "opening", args: { change } } : { part: "levers", call: "usable_with", args: { change: change + 1 } })),
    ];
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
    if (call === "tried") this.#halves[Number(args.present)] = value;
    else if (call === "levers_changed") this.#changes = value;
    else if (call === "opening") this.#openings[args.change] = value;
    else if (call === "ranked_openings") this.#told(part, { value: { closed: true, ...value } });
    else if (part === "levers") this.#takeLever(call === "usable_with" ? args.change : null, value);
    else this.#told(part, { value });
  }

  // What would open a closed window, best first.
  /** @returns {Step[]} */
  #ranking() {
    return [{ part: "levers", call: "ranked_openings", args: { openings: this.#openings.filter((opening) => opening !== null) } }];
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
