// Decides what to compute and when: the set point at once, the window coarsely while a hand is
// moving and finely when it rests, then the cycle moment by moment and the study of the hold. The set
// point has a worker of its own, so that it never waits; the rest is shared by a crew.

import { Crew } from "app/crew";
import { whenQuiet } from "app/dom";
import { Hand } from "app/hand";
import { trace } from "app/tracing";

// What follows the window once nothing has changed for a while: the worker's call and who takes it.
const LATER = [
  ["moments", "moments"],
  ["hold_study", "study"],
];
const REST = 250;

export class Calculator {
  #point;
  #crew;
  #on;
  #wanted = null;
  #pointDone = null;
  #drawn = { key: null, fine: false };
  #running = null;
  #givenUp = null;
  // Scenario for which each of the later calls has been answered.
  #done = new Map();
  // What has broken off and not been computed since.
  #failing = new Set();
  #rested = false;
  #rest = whenQuiet(REST, () => {
    this.#rested = true;
    this.#pump();
  });

  // `on` has report(answer), window(answer, fine), moments(answer), study(answer), problems(list),
  // failure(words), mended(), busy(flag, tracing), progress(share of the fine window); an answer is
  // {text, bytes}: JSON, and the same packed for the core.
  constructor(spawn, on) {
    this.#point = new Hand(spawn);
    this.#crew = new Crew(spawn);
    this.#on = on;
  }

  // `key` stands for all that the limit lines depend on; `moving` is true while a hand drags.
  ask(scenario, key, moving) {
    this.#wanted = { scenario, key, moving };
    this.#givenUp = null;
    this.#rested = false;
    this.#rest();
    const { fine, later, key: drawing, scenario: followed } = this.#running ?? {};
    if ((fine && drawing !== key) || (later && followed !== scenario)) this.#crew.stop();
    this.#pump();
  }

  // Nothing can be computed now: drop what is under way.
  cancel() {
    this.#wanted = null;
    this.#point.stop();
    this.#crew.stop();
    this.#tellBusy();
  }

  // The user does not want to wait for the fine window.
  stop() {
    this.#givenUp = this.#wanted?.key ?? null;
    if (this.#running?.fine) this.#crew.stop();
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
    const answer = await this.#point.run({ call: "evaluate", scenario });
    if (!answer.stopped) {
      this.#pointDone = scenario;
      this.#done.clear();
      this.#deliver("report", answer, (found) => this.#on.report(found));
    }
    this.#pump();
  }

  #nextPlane() {
    if (!this.#wanted || this.#wanted.key === this.#givenUp) return null;
    const { key, moving } = this.#wanted;
    if (this.#drawn.key !== key) return { key, fine: false };
    return this.#drawn.fine || moving ? null : { key, fine: true };
  }

  // What is still to be computed for a hand that rests.
  #nextLater() {
    if (!this.#wanted || this.#wanted.moving) return null;
    const { scenario } = this.#wanted;
    const later = LATER.filter(([call]) => this.#done.get(call) !== scenario);
    return later.length > 0 ? { later, scenario } : null;
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
    const answer = await trace(this.#crew, scenario, next.fine, told);
    if (answer.stopped) return;
    // A failed trace is not tried again until something changes.
    this.#drawn = answer.bytes ? next : { key: next.key, fine: true };
    this.#deliver("window", answer, (found) => this.#on.window(found, next.fine));
  }

  // Side by side, each shown as soon as it is there.
  #follow({ later, scenario }) {
    const jobs = later.map(([call]) => ({ call, scenario }));
    return this.#crew.run(jobs, (index, answer) => {
      const [call, name] = later[index];
      this.#done.set(call, scenario);
      if (scenario === this.#wanted?.scenario) this.#deliver(name, answer, (found) => this.#on[name](found));
    });
  }

  #deliver(name, answer, use) {
    // Late news about a scenario that is no longer wanted would only confuse.
    if (!this.#wanted) return;
    if (answer.failure) {
      this.#failing.add(name);
      this.#on.failure(answer.failure);
    } else if (answer.problems) {
      this.#on.problems(answer.problems);
    } else {
      this.#failing.delete(name);
      if (this.#failing.size === 0) this.#on.mended();
      use(answer);
    }
  }

  #tellBusy() {
    const waiting = this.#wanted !== null && this.#pointDone !== this.#wanted.scenario;
    const left = this.#nextPlane() ?? this.#nextLater();
    const busy = waiting || this.#point.busy || this.#running !== null || left !== null;
    this.#on.busy(busy, this.#running !== null && !this.#running.later);
  }
}
