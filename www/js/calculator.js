// Decides what to compute and when: the set point at once, the window coarsely while a hand is
// moving and finely when it rests, then the cycle moment by moment, a pinned scenario in the same plane,
// the bands of the lines and the study of the hold. Two workers, so that neither waits for the other.

import { whenQuiet } from "app/dom";
import { Hand } from "app/hand";

// What follows the window once nothing has changed for a while: the worker's call, who takes it, what it
// works on and what its answer holds for (nothing: it is not wanted).
const LATER = [
  { call: "moments", name: "moments", text: "scenario", of: "scenario" },
  { call: "beside", name: "beside", text: "beside", of: "beside" },
  { call: "bands", name: "bands", text: "scenario", of: "key" },
  { call: "hold_study", name: "study", text: "scenario", of: "scenario" },
];
const REST = 250;

export class Calculator {
  #point;
  #plane;
  #on;
  #wanted = null;
  #pointDone = null;
  #drawn = { key: null, fine: false };
  #running = null;
  #givenUp = null;
  // What each of the later calls has been answered for.
  #done = new Map();
  #rested = false;
  #rest = whenQuiet(REST, () => {
    this.#rested = true;
    this.#pump();
  });

  // `on` has report(answer), window(answer, fine), moments(answer), study(answer), bands(answer),
  // beside(answer), which also takes {problems}, problems(list), failure(words), busy(flag); an answer is {text, bytes}: JSON, and the same packed for the core.
  constructor(spawn, on) {
    this.#point = new Hand(spawn);
    this.#plane = new Hand(spawn);
    this.#on = on;
  }

  // `key` stands for all that the limit lines depend on; `moving` is true while a hand drags; `beside` is a
  // scenario to be traced in the same plane, or null.
  ask(scenario, key, moving, beside) {
    this.#wanted = { scenario, key, moving, beside };
    this.#givenUp = null;
    this.#rested = false;
    this.#rest();
    const { fine, later, key: drawing, text: followed } = this.#running ?? {};
    if ((fine && drawing !== key) || (later && followed !== this.#wanted[later.text])) this.#plane.stop();
    this.#pump();
  }

  // Nothing can be computed now: drop what is under way.
  cancel() {
    this.#wanted = null;
    this.#point.stop();
    this.#plane.stop();
    this.#tellBusy();
  }

  // The user does not want to wait for the fine window.
  stop() {
    this.#givenUp = this.#wanted?.key ?? null;
    if (this.#running?.fine) this.#plane.stop();
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
      for (const { call, of } of LATER) if (of === "scenario") this.#done.delete(call);
      this.#deliver(answer, (found) => this.#on.report(found));
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
    const later = LATER.find(({ call, of }) => this.#wanted[of] !== null && this.#done.get(call) !== this.#wanted[of]);
    return later ? { later, text: this.#wanted[later.text], of: this.#wanted[later.of] } : null;
  }

  #next() {
    return this.#nextPlane() ?? (this.#rested && this.#pointDone === this.#wanted?.scenario ? this.#nextLater() : null);
  }

  async #pumpPlane() {
    const next = this.#plane.busy ? null : this.#next();
    if (!next) return;
    this.#running = next;
    const { later, fine } = next;
    const answer = await this.#plane.run({ call: later?.call ?? "trace", scenario: next.text ?? this.#wanted.scenario, fine });
    this.#running = null;
    if (!answer.stopped) {
      if (later) {
        this.#done.set(later.call, next.of);
        // What is wrong with another scenario is no problem of this one.
        const own = later.call === "beside" && answer.problems;
        if (next.of !== this.#wanted?.[later.of]) this.#done.delete(later.call);
        else if (own) this.#on[later.name](answer);
        else this.#deliver(answer, (found) => this.#on[later.name](found));
      } else {
        // A failed trace is not tried again until something changes.
        this.#drawn = answer.bytes ? next : { key: next.key, fine: true };
        // Bands go with the window that they were drawn on.
        this.#done.delete("bands");
        this.#deliver(answer, (found) => this.#on.window(found, fine));
      }
    }
    this.#pump();
  }

  #deliver(answer, use) {
    // Late news about a scenario that is no longer wanted would only confuse.
    if (!this.#wanted) return;
    if (answer.problems) this.#on.problems(answer.problems);
    else if (answer.failure) this.#on.failure(answer.failure);
    else use(answer);
  }

  #tellBusy() {
    const waiting = this.#wanted !== null && this.#pointDone !== this.#wanted.scenario;
    const left = this.#nextPlane() ?? this.#nextLater();
    const busy = waiting || this.#point.busy || this.#plane.busy || left !== null;
    this.#on.busy(busy, this.#plane.busy && !this.#running?.later);
  }
}
