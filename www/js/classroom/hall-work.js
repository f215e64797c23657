// @ts-check
// What the solver does for a demonstration and beside own readings, in a worker with the window's module.

import { loadWindowWith } from "app/shared/core";
import { LateWorker } from "app/shared/late";

// The body of what the worker can do beside the functions of the module. It runs in the worker alone.
function work() {
  /** @type {any} */
  const self = globalThis;
  const at = (/** @type {any} */ document, /** @type {string} */ path) => path.split(".").reduce((place, key) => place?.[key], document);
  // The scenario of a link, or the first demo.
  const demo = (/** @type {Record<string, unknown>} */ changes, link = "") => {
    const { scenario, only_demo: unread, problems } = self.open_link(link || "2;d=hinge");
    if (link && (unread || problems.length > 0)) return null;
    for (const [path, value] of Object.entries(changes)) {
      const keys = path.split(".");
      const last = keys.pop() ?? "";
      at(scenario, keys.join("."))[last] = value;
    }
    return scenario;
  };
  const text = (/** @type {Record<string, unknown>} */ changes, link = "") => JSON.stringify(demo(changes, link));
  // Whether a link has a whole scenario.
  self.own_readable = (/** @type {any} */ { link }) => ({ readable: demo({}, link) !== null });

  // One result at each value of a number of the scenario, and some numbers of the scenario itself.
  self.hall_swept = (/** @type {any} */ { link, set, path, values, result, reads }) => {
    let last = {};
    const one = (/** @type {number} */ value) => {
      last = self.evaluate({ scenario: text({ ...set, [path]: value }, link) }).told;
      return at(last, result);
    };
    const results = values.map(one);
    const scenario = demo(set, link);
    return { results, read: reads.map((/** @type {string | undefined} */ name) => name && at({ ...scenario, last }, name)) };
  };
  // The viscosity against the shear rate at each of some temperatures: that of the melt of a scenario.
  self.own_viscosities = (/** @type {any} */ { link, temperatures }) =>
    temperatures.map((/** @type {number} */ temperature) => {
      const { told } = self.evaluate({ scenario: text({ "setup.melt_temperature": temperature }, link) });
      const curve = told.feedstock.curves.reduce((/** @type {any} */ best, /** @type {any} */ one) => (Math.abs(one.temperature_c - temperature) < Math.abs(best.temperature_c - temperature) ? one : best));
      return { temperature, rates: curve.shear_rate_1_s, viscosities: curve.viscosity_pa_s };
    });
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
