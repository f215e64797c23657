// Decides what to compute and when: the set point at once, the window coarsely while the set point is
// dragged and finely when it rests, then the cycle moment by moment, a pinned scenario in the same plane,
// the bands of the lines and the study of the hold. The set point has a worker of its own, so that it never
// waits; the rest is shared by a pool.

import { Pool } from "app/shared/pool";
import { whenQuiet } from "app/shared/dom";
import { PageWorker } from "app/shared/worker";
import { trace } from "app/window/tracing";

// What follows the window once nothing has changed for a while: the worker's call, who takes it, what it
// works on and what its answer holds for (nothing: it is not wanted).
const LATER = [
  { call: "moments", name: "moments", text: "scenario", of: "scenario" },
  { call: "beside", name: "beside", text: "beside", of: "beside" },
  // One job for each direction of the uncertainty, put together with the surface of the window.
  { call: "band", name: "bands", text: "scenario", of: "key" },
  { call: "hold_study", name: "study", text: "scenario", of: "scenario" },
];
const REST = 250;
// Time that work on an earlier scenario is given to end by itself, in ms. Most of it ends sooner.
const OVERTAKEN = 1000;

export class Calculator {
  #point;
  // The scenario that the set point's worker computes.
  #pointAt = null;
  #overtaken = 0;
  #pool;
  #on;
  #wanted = null;
  #pointDone = null;
  #drawn = { key: null, fine: false };
  // The surface of the fine window that is drawn, where its lines have bands.
  #tracing = null;
  #running = null;
  #givenUp = null;
  // What each of the later calls has been answered for.
  #done = new Map();
  // What has broken off and not been computed since.
  #failing = new Set();
  #rested = false;
  #rest = whenQuiet(REST, () => {
    this.#rested = true;
    this.#pump();
  });

  // `on` has report(answer, its scenario), window(answer, fine), moments(answer), study(answer), bands(answer),
  // beside(answer), which also takes {problems}, problems(list), failure(words, of what), mended(),
  // busy(flag, whether lines are refined), progress(share of the fine window); an answer is {told, bytes}: a value, and
  // the same packed for the module.
  constructor(spawn, on) {
    this.#point = new PageWorker(spawn);
    this.#pool = new Pool(spawn);
    this.#on = on;
  }

  // `key` stands for all that the limit lines depend on; `moving` is true while the set point is dragged; `beside` is a
  // scenario to be traced in the same plane, or null.
  ask(scenario, key, moving, beside) {
    this.#wanted = { scenario, key, moving, beside };
    this.#givenUp = null;
    this.#rested = false;
    this.#rest();
    const { fine, later, key: drawing } = this.#running ?? {};
    const vain = ({ entry, of }) => of !== this.#wanted[entry.of];
    if ((fine && drawing !== key) || later?.some(vain)) this.#pool.stop();
    this.#overtaken ||= setTimeout(() => this.#endOvertaken(), OVERTAKEN);
    this.#pump();
  }

  // Computes anew what has broken off.
  again() {
    if (!this.#wanted) return;
    this.#pointDone = null;
    this.#drawn = { key: null, fine: false };
    this.#done.clear();
    this.#pump();
  }

  // Stops work on an earlier scenario that has not ended by itself, so that the present one need not wait.
  #endOvertaken() {
    this.#overtaken = 0;
    if (!this.#wanted) return;
    if (this.#point.busy && this.#pointAt !== this.#wanted.scenario) this.#point.stop();
    if (this.#running?.key && this.#running.key !== this.#wanted.key) this.#pool.stop();
  }

  // Nothing can be computed now: drop what is under way.
  cancel() {
    this.#wanted = null;
    this.#point.stop();
    this.#pool.stop();
    this.#tellBusy();
  }

  // The user does not want to wait for the fine window.
  stop() {
    this.#givenUp = this.#wanted?.key ?? null;
    if (this.#running?.fine) this.#pool.stop();
    this.#pump();
  }

  #pump() {
    this.#pumpPoint();
    this.#pumpPlane();
    this.#tellBusy();
  }

  async #pumpPoint() {
    if (!this.#wanted || this.#point.busy || this.#pointDone === this.#wanted.scenario) return;
    const { scenario } = this.#wanted;
    this.#pointAt = scenario;
    const answer = await this.#point.run({ call: "evaluate", args: { scenario } });
    if (!answer.stopped) {
      this.#pointDone = scenario;
      for (const { call, of } of LATER) if (of === "scenario") this.#done.delete(call);
      this.#deliver("report", answer, (found) => this.#on.report(found, scenario));
    }
    this.#pump();
  }

  #nextPlane() {
    if (!this.#wanted || this.#wanted.key === this.#givenUp) return null;
    const { key, moving } = this.#wanted;
    if (this.#drawn.key !== key) return { key, fine: false };
    return this.#drawn.fine || moving ? null : { key, fine: true };
  }

  // What is still to be computed once the set point rests.
  #nextLater() {
    if (!this.#wanted || this.#wanted.moving) return null;
    const wanted = LATER.filter(({ call, of }) => {
      if (call === "band" && !(this.#tracing && this.#drawn.key === this.#wanted.key)) return false;
      return this.#wanted[of] !== null && this.#done.get(call) !== this.#wanted[of];
    });
    const later = wanted.map((entry) => ({ entry, text: this.#wanted[entry.text], of: this.#wanted[entry.of] }));
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
      await (next.later ? this.#follow(next) : this.#trace(next));
    } finally {
      this.#running = null;
    }
    this.#pump();
  }

  async #trace(next) {
    const { scenario } = this.#wanted;
    const told = next.fine ? (share) => this.#on.progress(share) : undefined;
    const answer = await trace(this.#pool, scenario, next.fine, told);
    if (answer.stopped) return;
    // A failed trace is not tried again until something changes.
    this.#drawn = answer.value ? next : { key: next.key, fine: true };
    // Bands go with the window that they were drawn on.
    this.#done.delete("band");
    this.#tracing?.free();
    this.#tracing = null;
    if (next.fine && answer.tracing?.directions > 0) this.#tracing = answer.tracing;
    else answer.tracing?.free();
    this.#deliver("window", answer, (found) => this.#on.window(found, next.fine));
  }

  // Side by side, each shown as soon as it is there.
  #follow({ later }) {
    const tracing = this.#tracing;
    const directions = Array.from({ length: tracing?.directions ?? 0 }, (_, direction) => direction);
    const moved = new Map();
    const jobs = later.flatMap(({ entry, text, of }) => {
      const job = { entry, of, call: entry.call, args: { scenario: text } };
      if (entry.call !== "band") return [job];
      return directions.map((direction) => ({ ...job, args: { scenario: text, detail: "fine", direction } }));
    });
    return this.#pool.run(jobs, (index, answer) => {
      const { entry, of, args } = jobs[index];
      const { call, name } = entry;
      if (of !== this.#wanted?.[entry.of]) return;
      if (call === "band" && "value" in answer) {
        moved.set(args.direction, answer.value);
        if (moved.size < directions.length || tracing !== this.#tracing) return;
        for (const direction of directions) tracing.give_band(moved.get(direction));
        answer = { value: { bytes: tracing.bands() } };
      }
      this.#done.set(call, of);
      // What is wrong with another scenario is no problem of this one.
      if (call === "beside" && answer.problems) this.#on[name](answer);
      else this.#deliver(name, answer, (found) => this.#on[name](found));
    });
  }

  #deliver(name, answer, use) {
    // Late news about a scenario that is no longer wanted would only confuse.
    if (!this.#wanted) return;
    if (answer.failure) {
      this.#failing.add(name);
      this.#on.failure(answer.failure, name);
    } else if (answer.problems) {
      this.#on.problems(answer.problems);
    } else {
      this.#failing.delete(name);
      if (this.#failing.size === 0) this.#on.mended();
      use(answer.value);
    }
  }

  #tellBusy() {
    const waiting = this.#wanted !== null && this.#pointDone !== this.#wanted.scenario;
    const left = this.#nextPlane() ?? this.#nextLater();
    const busy = waiting || this.#point.busy || this.#running !== null || left !== null;
    this.#on.busy(busy, this.#running?.fine === true);
  }
}
