// @ts-check
// What the solver does for a demonstration, in a worker with the window's module.

import { loadWindowWith } from "app/shared/core";
import { LateWorker } from "app/shared/late";

// The body of what the worker can do beside the functions of the module. It runs in the worker alone.
function work() {
  /** @type {any} */
  const self = globalThis;
  const at = (/** @type {any} */ document, /** @type {string} */ path) => path.split(".").reduce((place, key) => place?.[key], document);
  const demo = (/** @type {Record<string, unknown>} */ changes) => {
    const { scenario } = self.open_link("2;d=hinge");
    for (const [path, value] of Object.entries(changes)) {
      const keys = path.split(".");
      const last = keys.pop() ?? "";
      at(scenario, keys.join("."))[last] = value;
    }
    return scenario;
  };
  const text = (/** @type {Record<string, unknown>} */ changes) => JSON.stringify(demo(changes));

  // One result at each value of a number of the scenario, and some numbers of the scenario itself.
  self.hall_swept = (/** @type {any} */ { set, path, values, result, reads }) => {
    let last = {};
    const one = (/** @type {number} */ value) => {
      last = self.evaluate({ scenario: text({ ...set, [path]: value }) }).told;
      return at(last, result);
    };
    const results = values.map(one);
    const scenario = demo(set);
    return { results, read: reads.map((/** @type {string | undefined} */ name) => name && at({ ...scenario, last }, name)) };
  };
  // A figure of the report.
  self.hall_sheet = (/** @type {any} */ { set, figure, size, options }) => {
    const scenario = text(set);
    const { told, bytes } = self.evaluate({ scenario });
    const sheet = new self.Sheet();
    sheet.set_report(bytes);
    const svg = sheet.svg(figure, ...size, options);
    sheet.free();
    return { report: told, svg };
  };
  self.hall_window = (/** @type {any} */ { set, size, options }) => {
    const scenario = text(set);
    const about = { scenario, detail: "fine" };
    const tracing = new self.Tracing(about);
    for (let jobs = tracing.jobs(1); jobs.length > 0; jobs = tracing.jobs(1)) {
      for (const [job, places] of jobs.entries()) tracing.give(job, self.margins({ ...about, places }));
      tracing.next();
    }
    const sheet = new self.Sheet();
    sheet.set_window(tracing.window(tracing.closed ? self.nearest(about) : null));
    tracing.free();
    const drawn = { svg: sheet.svg("window", ...size, { ...options, set_point: self.set_point(scenario) }), line: sheet.window_line() };
    sheet.free();
    return drawn;
  };
}

/** @type {LateWorker | null} */
let worker = null;

/**
 * Does a job of the hall, one at a time.
 * @param {string} unreached what to say where the module cannot be loaded
 * @param {string} call
 * @param {Record<string, unknown>} args
 * @returns {Promise<any>}
 */
export async function solved(unreached, call, args) {
  worker ??= new LateWorker(() => loadWindowWith(work), unreached);
  const { value, problems, failure } = /** @type {any} */ (await worker.run({ call, args }));
  if (value) return value;
  throw new Error(problems?.map((/** @type {Gatefrost.Problem} */ { message }) => message).join(" ") ?? failure ?? unreached);
}
