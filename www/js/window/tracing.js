// A window traced by a pool, stage by stage: the core on the page says where margins are wanted, the
// workers evaluate.

import { Tracing } from "app/shared/core";

// How many evaluations a window takes is not known before its end: the share done comes near to one, and these
// are half of it.
const HALF = 60;

// Resolves to {value: {bytes}, tracing}, {problems}, {failure} or {stopped}. `told(share)` hears how far it is. Who
// asked frees the tracing.
export async function trace(pool, scenario, fine, told = () => {}) {
  told(0);
  const about = { scenario, detail: fine ? "fine" : "coarse" };
  let tracing;
  try {
    tracing = new Tracing(about);
  } catch (error) {
    if (error.problems) return { problems: error.problems };
    throw error;
  }
  let answer = null;
  try {
    answer = (await evaluated(tracing, pool, about, told)) ?? (await drawn(tracing, pool, about));
  } finally {
    if (!answer?.value) tracing.free();
  }
  return answer.value ? { ...answer, tracing } : answer;
}

// Stage by stage, until there is nothing more to evaluate; resolves to what went wrong, or to nothing.
async function evaluated(tracing, pool, about, told) {
  for (;;) {
    const jobs = tracing.jobs(pool.size).map((places) => ({ call: "margins", args: { ...about, places } }));
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

// While the set point is dragged, the nearest place of a closed window is not looked for: that takes as long as the window.
async function drawn(tracing, pool, about) {
  if (!tracing.closed || about.detail === "coarse") return { value: { bytes: tracing.window(null) } };
  const { answers, bad } = await all(pool, [{ call: "nearest", args: about }]);
  return bad ?? { value: { bytes: tracing.window(answers[0].value) } };
}

// Has the jobs done: {answers}, or {bad} with the first of them that is none.
async function all(pool, jobs, told = () => {}) {
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
