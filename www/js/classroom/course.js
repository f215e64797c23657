// @ts-check
// The classroom inside a course page: the student's id comes from it, points and answers go back, and what was done is
// there at the next visit.

import { reached } from "app/classroom/list";
import { RunTime } from "app/classroom/run-time";
import { say } from "app/classroom/say";
import { pack, unpack } from "app/classroom/suspend";
import { judge, task } from "app/shared/core";
import { byId, el, whenQuiet } from "app/shared/dom";
import { notice, reasons } from "app/shared/notices";

/**
 * Joins the course that is around the page. Returns whether there is one; if not, the page works by itself.
 * @param {import("app/classroom/work").Work} work
 */
export function join(work) {
  leaveLinksOutside();
  const course = RunTime.find();
  if (!course) {
    notice("course", say("course-none"));
    return false;
  }
  const failure = course.begin();
  if (failure) {
    notice("course", say("course-refused"), [failure]);
    return false;
  }
  try {
    const id = task({ exercise: work.list[0].name, id: course.get("cmi.core.student_id").normalize("NFC") }).id;
    new Course(course, work, id);
    return true;
  } catch (error) {
    notice("course", say("course-id-unusable"), reasons(error));
    course.end(false);
    return false;
  }
}

// Another page in the place of this one would end the session.
function leaveLinksOutside() {
  for (const link of document.querySelectorAll("a")) link.target = "_blank";
}

class Course {
  #course;
  #work;
  // A course page shows work that is only looked at in the mode "browse" or "review". Nothing is written then.
  #writes;
  // Points of an exercise when its solution was opened before all answers were right.
  /** @type {Map<string, number>} */
  #held = new Map();
  #said = el("p", { className: "said", role: "status" });

  /**
   * @param {RunTime} course
   * @param {import("app/classroom/work").Work} work
   * @param {string} id
   */
  constructor(course, work, id) {
    this.#course = course;
    this.#work = work;
    this.#writes = !["browse", "review"].includes(course.get("cmi.core.lesson_mode"));
    this.#resume(id);
    byId("who-parts").replaceChildren(el("p", {}, say("course-id", { id })), this.#said);
    for (const place of ["hand-in", "desk", "make", "own"]) byId(place).hidden = true;
    for (const jump of document.querySelectorAll("[data-jump=desk]")) jump.remove();
    const later = whenQuiet(300, () => this.#save());
    work.addEventListener("changed", () => {
      this.#hold();
      later();
    });
    work.addEventListener("checked", (event) => this.#answered(/** @type {CustomEvent} */ (event).detail));
    addEventListener("pagehide", () => {
      this.#save();
      course.end(this.#isDone());
    });
    // A page that comes back from the browser's memory has ended its session.
    addEventListener("pageshow", ({ persisted }) => persisted && location.reload());
    this.#save();
  }

  // What was done at an earlier visit. Answers are judged anew.
  /** @param {string} id */
  #resume(id) {
    /** @type {Record<string, import("app/classroom/work").Done>} */
    const own = {};
    for (const { place, hints, held, answers } of unpack(this.#course.get("cmi.suspend_data"))) {
      const exercise = this.#work.list.find(({ name, version }) => `${name}/${version}` === place);
      if (!exercise) continue;
      const points = answers.slice(0, exercise.answers).map((typed, at) => (typed === "" ? null : judge({ exercise: exercise.name, id, at, typed }).points));
      own[place] = { answers, points, hints, solved: held !== null };
      if (held !== null) this.#held.set(exercise.name, held);
    }
    this.#work.adopt(id, own);
  }

  #hold() {
    for (const { name } of this.#work.list) {
      const done = this.#work.of(name);
      if (done.solved && !this.#held.has(name)) this.#held.set(name, reached(done) ?? 0);
    }
  }

  /** @param {string} name */
  #points(name) {
    return this.#held.get(name) ?? reached(this.#work.of(name)) ?? 0;
  }

  // Each answer of each exercise has been judged, or the solution was opened.
  #isDone() {
    return this.#work.list.every(({ name }) => {
      const { points, solved } = this.#work.of(name);
      return solved || points.every((one) => one !== null);
    });
  }

  /** @param {import("app/classroom/work").Checked} checked */
  #answered({ place, at, typed, right }) {
    if (!this.#writes) return;
    // Signs that an identifier of SCORM 1.2 cannot have.
    const id = `${place.replace(/[^\w]+/g, "-")}-${at + 1}`;
    this.#tell(this.#course.answer(id, typed, right));
  }

  #save() {
    if (!this.#writes) {
      this.#said.textContent = say("course-looked-at");
      return;
    }
    const { list } = this.#work;
    const total = list.reduce((sum, { name }) => sum + this.#points(name), 0);
    const score = Math.floor(total / list.length);
    const { text, lost } = this.#suspended();
    const failure =
      this.#course.set([
        ["cmi.core.score.min", 0],
        ["cmi.core.score.max", 100],
        ["cmi.core.score.raw", score],
        ["cmi.core.lesson_status", this.#isDone() ? "completed" : "incomplete"],
        ["cmi.suspend_data", text],
      ]) ?? this.#course.commit();
    this.#said.textContent = lost > 0 ? say("course-full", { score, lost }) : say("course-saved", { score });
    this.#tell(failure);
  }

  #suspended() {
    const begun = this.#work.list
      .map(({ name, version }) => ({ name, place: `${name}/${version}`, done: this.#work.of(name) }))
      .filter(({ done }) => done.hints > 0 || done.solved || done.points.some((points) => points !== null));
    const entries = begun.map(({ name, place, done: { hints, answers } }) => ({ place, hints, held: this.#held.get(name) ?? null, answers }));
    return pack(entries, (entry, at) => begun.find(({ place }) => place === entry.place)?.done.points[at] !== 100);
  }

  /** @param {string | null} failure */
  #tell(failure) {
    if (!failure) return;
    this.#said.textContent = "";
    notice("course", say("course-failed"), [failure]);
  }
}
