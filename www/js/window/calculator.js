// @ts-check
// Decides what to compute and when: the set point at once, the window coarsely while the set point is
// dragged and finely when it rests, then the cycle moment by moment, a pinned scenario in the same plane,
// the bands of the lines and the study of the hold. The set point has a worker of its own, so that it never
// waits. A pool does the rest.

import { Pool } from "app/shared/pool";
import { whenQuiet } from "app/shared/dom";
import { PageWorker } from "app/shared/worker";
import { trace } from "app/window/tracing";

// What follows the window once nothing has changed for a while: the worker's call, who takes it, what it
// works on and what its answer holds for (nothing: it is not wanted).
/** @type {{ call: "moments" | "beside" | "band" | "hold_study", name: "moments" | "beside" | "bands" | "study", text: "scenario" | "beside", of: "scenario" | "beside" | "key" }[]} */
const LATER = [
  { call: "moments", name: "moments", text: "scenario", of: "scenario" },
  { call: "beside", name: "beside", text: "beside", of: "beside" },
  // One job for each direction of the uncertainty, put together with the surface of the window.
  { call: "band", name: "bands", text: "scenario", of: "key" },
  { call: "hold_study", name: "study", text: "scenario", of: "scenario" },
];
const REST = 250;
// Time in which work on an earlier scenario may end by itself, in ms. Most of it ends sooner.
const OVERTAKEN = 1000;

/**
 * @typedef {object} Listener
 * @property {(answer: Gatefrost.Told<Gatefrost.Report>, scenario: string) => void} report
 * @property {(answer: Gatefrost.Packed, fine: boolean) => void} window
 * @property {(answer: Gatefrost.Packed) => void} moments
 * @property {(answer: Gatefrost.Packed) => void} study
 * @property {(answer: Gatefrost.Packed) => void} bands
 * @property {(answer: { bytes?: Uint8Array, problems?: Gatefrost.Problem[] }) => void} beside
 * @property {(link: string, scenario: string) => void} link
 * @property {(problems: Gatefrost.Problem[]) => void} problems
 * @property {(words: string, what: string) => void} failure
 * @property {() => void} mended
 * @property {(busy: boolean, refining: boolean) => void} busy
 * @property {(share: number) => void} progress how far the fine window is
 */
/** @typedef {{ scenario: string, key: string, moving: boolean, beside: string | null }} Wanted */
/** @typedef {(typeof LATER)[number]} Entry */
/** @typedef {{ entry: Entry, text: string, of: string }} Later */
/** @typedef {{ key: string, fine: boolean }} Drawing */

export class Calculator {
  #point;
  // The scenario in the worker of the set point.
  /** @type {string | null} */
  #pointAt = null;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #overtaken;
  #pool;
  #on;
  /** @type {Wanted | null} */
  #wanted = null;
  /** @type {string | null} */
  #pointDone = null;
  // The scenario whose link has been made.
  /** @type {string | null} */
  #linked = null;
  /** @type {{ key: string | null, fine: boolean }} */
  #drawn = { key: null, fine: false };
  // The surface of the fine window that is drawn, where its lines have bands.
  /** @type {import("app/shared/core").Tracing | null} */
  #tracing = null;
  /** @type {Drawing | { later: Later[] } | null} */
  #running = null;
  /** @type {string | null} */
  #givenUp = null;
  // For each of the later calls, the key of its last answer.
  /** @type {Map<string, string>} */
  #done = new Map();
  // Calls that have failed and have not been repeated.
  /** @type {Set<string>} */
  #failing = new Set();
  #rested = false;
  #rest = whenQuiet(REST, () => {
    this.#rested = true;
    this.#pump();
  });

  /**
   * @param {() => Worker} spawn
   * @param {Listener} on
   */
  constructor(spawn, on) {
    this.#point = new PageWorker(spawn);
    this.#pool = new Pool(spawn);
    this.#on = on;
  }

  // `key` identifies everything that the limit lines depend on. `moving` is true while the set point is dragged.
  // `beside` is a scenario to be traced in the same plane, or null.
  /**
   * @param {string} scenario
   * @param {string} key
   * @param {boolean} moving
   * @param {string | null} beside
   */
  ask(scenario, key, moving, beside) {
    const wanted = { scenario, key, moving, beside };
    this.#wanted = wanted;
    this.#givenUp = null;
    this.#rested = false;
    this.#rest();
    const running = this.#running;
    const vain = running && ("later" in running ? running.later.some(({ entry, of }) => of !== wanted[entry.of]) : running.fine && running.key !== key);
    if (vain) this.#pool.stop();
    this.#overtaken ??= setTimeout(() => this.#endOvertaken(), OVERTAKEN);
    this.#pump();
  }

  // Repeats the calls that have failed.
  again() {
    if (!this.#wanted) return;
    this.#pointDone = null;
    this.#drawn = { key: null, fine: false };
    this.#done.clear();
    this.#pump();
  }

  // Stops unfinished work on an earlier scenario, so that the present one need not wait.
  #endOvertaken() {
    this.#overtaken = undefined;
    if (!this.#wanted) return;
    if (this.#point.busy && this.#pointAt !== this.#wanted.scenario) this.#point.stop();
    if (this.#running && "key" in this.#running && this.#running.key !== this.#wanted.key) this.#pool.stop();
  }

  // The scenario cannot be computed: stops all work.
  cancel() {
    this.#wanted = null;
    this.#point.stop();
    this.#pool.stop();
    this.#tellBusy();
  }

  // The user does not want to wait for the fine window.
  stop() {
    this.#givenUp = this.#wanted?.key ?? null;
    if (this.#refining()) this.#pool.stop();
    this.#pump();
  }

  #refining() {
    return this.#running !== null && "fine" in this.#running && this.#running.fine;
  }

  #pump() {
    this.#pumpPoint();
    this.#pumpPlane();
    this.#tellBusy();
  }

  async #pumpPoint() {
    if (!this.#wanted || this.#point.busy) return;
    const { scenario } = this.#wanted;
    this.#pointAt = scenario;
    if (this.#pointDone === scenario) {
      await this.#pumpLink(scenario);
      return;
    }
    const answer = await this.#point.run({ call: "evaluate", args: { scenario } });
    if (!answer.stopped) {
      this.#pointDone = scenario;
      for (const { call, of } of LATER) if (of === "scenario") this.#done.delete(call);
      this.#deliver("report", answer, (found) => this.#on.report(found, scenario));
    }
    this.#pump();
  }

  // The link of a scenario that rests, which takes longer than a frame. A link that fails is missed by nobody: the button
  // makes its own.
  /** @param {string} scenario */
  async #pumpLink(scenario) {
    if (!this.#rested || this.#linked === scenario) return;
    const { value, stopped } = await this.#point.run({ call: "link_of", args: scenario });
    if (!stopped) this.#linked = scenario;
    if (value !== undefined) this.#on.link(value, scenario);
    this.#pump();
  }

  #nextPlane() {
    if (!this.#wanted || this.#wanted.key === this.#givenUp) return null;
    const { key, moving } = this.#wanted;
    if (this.#drawn.key !== key) return { key, fine: false };
    return this.#drawn.fine || moving ? null : { key, fine: true };
  }

  // The calls still to be made once the set point rests.
  #nextLater() {
    const wanted = this.#wanted;
    if (!wanted || wanted.moving) return null;
    const later = LATER.flatMap((entry) => {
      const { call, text, of } = entry;
      if (call === "band" && !(this.#tracing && this.#drawn.key === wanted.key)) return [];
      const [about, held] = [wanted[text], wanted[of]];
      return about !== null && held !== null && this.#done.get(call) !== held ? [{ entry, text: about, of: held }] : [];
    });
    return later.length > 0 ? { later } : null;
  }

  #next() {
    return this.#nextPlane() ?? (this.#rested && this.#pointDone === this.#wanted?.scenario ? this.#nextLater() : null);
  }

  async #pumpPlane() {
    const next = this.#running ? null : this.#next();
    if (!next) return;
    this.#running = next;
    try {
      await ("later" in next ? this.#follow(next.later) : this.#trace(next));
    } finally {
      this.#running = null;
    }
    this.#pump();
  }

  /** @param {Drawing} next */
  async #trace(next) {
    if (!this.#wanted) return;
    const { scenario } = this.#wanted;
    const told = next.fine ? this.#on.progress : undefined;
    const answer = await trace(this.#pool, scenario, next.fine, told);
    if (answer.stopped) return;
    const { tracing } = answer;
    // A failed trace is not tried again until something changes.
    this.#drawn = answer.value ? next : { key: next.key, fine: true };
    // Bands belong to one window.
    this.#done.delete("band");
    this.#tracing?.free();
    this.#tracing = null;
    if (next.fine && tracing && tracing.directions > 0) this.#tracing = tracing;
    else tracing?.free();
    this.#deliver("window", answer, (/** @type {Gatefrost.Packed} */ found) => this.#on.window(found, next.fine));
  }

  // All at the same time; each answer is shown as soon as it arrives.
  /** @param {Later[]} later */
  #follow(later) {
    const tracing = this.#tracing;
    const directions = Array.from({ length: tracing?.directions ?? 0 }, (_, direction) => direction);
    /** @type {Map<number, Gatefrost.Moved>} */
    const moved = new Map();
    const jobs = later.flatMap(({ entry, text, of }) => {
      const job = { entry, of, direction: -1, call: entry.call, args: /** @type {any} */ ({ scenario: text }) };
      if (entry.call !== "band") return [job];
      return directions.map((direction) => ({ ...job, direction, args: { scenario: text, detail: "fine", direction } }));
    });
    return this.#pool.run(jobs, (index, answer) => {
      const { entry, of, direction } = jobs[index];
      const { call, name } = entry;
      if (of !== this.#wanted?.[entry.of]) return;
      if (call === "band" && "value" in answer) {
        moved.set(direction, answer.value);
        if (moved.size < directions.length || !tracing || tracing !== this.#tracing) return;
        for (const place of directions) tracing.give_band(/** @type {Gatefrost.Moved} */ (moved.get(place)));
        answer = { value: { bytes: tracing.bands() } };
      }
      this.#done.set(call, of);
      // A problem of another scenario is not a problem of this one.
      if (call === "beside" && answer.problems) this.#on.beside(answer);
      else this.#deliver(name, answer, (found) => this.#on[name](found));
    });
  }

  /**
   * @template Value
   * @param {string} name
   * @param {import("app/shared/worker").Answer<Value>} answer
   * @param {(found: Value) => void} use
   */
  #deliver(name, answer, use) {
    // A late answer about an earlier scenario is ignored.
    if (!this.#wanted) return;
    if (answer.failure) {
      this.#failing.add(name);
      this.#on.failure(answer.failure, name);
    } else if (answer.problems) {
      this.#on.problems(answer.problems);
    } else {
      this.#failing.delete(name);
      if (this.#failing.size === 0) this.#on.mended();
      use(/** @type {Value} */ (answer.value));
    }
  }

  #tellBusy() {
    const waiting = this.#wanted !== null && this.#pointDone !== this.#wanted.scenario;
    const left = this.#nextPlane() ?? this.#nextLater();
    const busy = waiting || this.#point.busy || this.#running !== null || left !== null;
    this.#on.busy(busy, this.#refining());
  }
}
