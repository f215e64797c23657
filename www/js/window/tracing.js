// @ts-check
// Traces a window with a pool of workers, stage by stage. The core on the page lists the places where margins are
// needed, the workers evaluate them.

import { Tracing } from "app/shared/core";
import { problemsOf } from "app/shared/notices";

// The number of evaluations of a window is not known in advance. So the progress shown approaches 1; after this number
// of evaluations it is one half.
const HALF = 60;

// Resolves to {value: {bytes}, tracing}, {problems}, {failure} or {stopped}. `told(share)` is called with the
// progress. The caller frees the tracing.
/** @typedef {import("app/shared/worker").Answer<Gatefrost.Packed>} Answer */

/**
 * @param {import("app/shared/pool").Pool} pool
 * @param {string} scenario
 * @param {boolean} fine
 * @param {(share: number) => void} [told]
 * @returns {Promise<Answer & { tracing?: Tracing }>}
 */
export async function trace(pool, scenario, fine, told = () => {}) {
  told(0);
  /** @type {Gatefrost.Traced} */
  const about = { scenario, detail: fine ? "fine" : "coarse" };
  let tracing;
  try {
    tracing = new Tracing(about);
  } catch (error) {
    const problems = problemsOf(error);
    if (problems) return { problems };
    throw error;
  }
  /** @type {Answer | null} */
  let answer = null;
  try {
    answer = (await evaluated(tracing, pool, about, told)) ?? (await drawn(tracing, pool, about));
  } finally {
    if (!answer?.value) tracing.free();
  }
  return answer.value ? { ...answer, tracing } : answer;
}

// Goes through the stages until nothing is left to evaluate. Resolves to the failed answer, or to null.
/**
 * @param {Tracing} tracing
 * @param {import("app/shared/pool").Pool} pool
 * @param {Gatefrost.Traced} about
 * @param {(share: number) => void} told
 * @returns {Promise<Answer | null>}
 */
async function evaluated(tracing, pool, about, told) {
  const parts = Array.from({ length: tracing.size_parts }, (_, part) => ({ call: /** @type {const} */ ("size_part"), args: { ...about, part } }));
  // Without sizes the first stage begins at once: until then the pool is not busy, and nobody could stop it.
  if (parts.length > 0) {
    const { answers, bad } = await all(pool, parts);
    if (bad) return bad;
    tracing.take_sizes(Float64Array.from(answers, ({ value }) => value));
  }
  for (;;) {
    const jobs = tracing.jobs(pool.size).map((places) => ({ call: /** @type {const} */ ("margins"), args: { ...about, places } }));
    if (jobs.length === 0) return null;
    let { evaluations } = tracing;
    const { answers, bad } = await all(pool, jobs, (job) => {
      evaluations += jobs[job].args.places.length;
      told(evaluations / (evaluations + HALF));
    });
    if (bad) return bad;
    answers.forEach(({ value }, job) => tracing.give(job, value));
    tracing.next();
  }
}

/**
 * While the set point is dragged, the nearest place of a closed window is not looked for: that takes as long as the
 * window.
 * @param {Tracing} tracing
 * @param {import("app/shared/pool").Pool} pool
 * @param {Gatefrost.Traced} about
 * @returns {Promise<Answer>}
 */
async function drawn(tracing, pool, about) {
  if (!tracing.closed || about.detail === "coarse") return { value: { bytes: tracing.window(null) } };
  const { answers, bad } = await all(pool, [{ call: "nearest", args: about }]);
  return bad ?? { value: { bytes: tracing.window(answers[0].value) } };
}

// Does the jobs. Resolves to {answers}, or to {bad} with the first answer without a value.
/**
 * @param {import("app/shared/pool").Pool} pool
 * @param {import("app/shared/worker").Job[]} jobs
 * @param {(job: number) => void} [told]
 * @returns {Promise<{ answers: import("app/shared/worker").Answer<any>[], bad?: undefined } | { answers?: undefined, bad: import("app/shared/worker").Answer<any> }>}
 */
async function all(pool, jobs, told = () => {}) {
  /** @type {import("app/shared/worker").Answer<any> | null} */
  let bad = null;
  const answers = await pool.run(jobs, (job, answer) => {
    if (answer.failure || answer.problems) {
      bad = answer;
      pool.stop();
    } else {
      told(job);
    }
  });
  return answers ? { answers } : { bad: bad ?? { stopped: true } };
}
