// @ts-check
// The uncertain numbers of the feedstock and its contact with the mould: those in the list, those that can be added,
// and their correlation. Fitted numbers keep the correlation of the fit.

import { parameter, parametersOf } from "app/shared/catalogue";
import { flowLaws } from "app/shared/words";
import { model } from "app/window/settings/model";

export const PLACE = "feedstock.uncertainty";
/**
 * Constants that scale the viscosity at every rate when they move together, by the flow law.
 * @type {Record<string, string[]>}
 */
const SCALES = Object.fromEntries(flowLaws.map(({ name, scales }) => [name, scales]));
export const WHOLE = "Melt viscosity as a whole";
// It belongs to the set-up, but is as uncertain as the feedstock.
export const CONTACT = "setup.contact_conductance";
// The core accepts this many correlated numbers at most.
const MOST_CORRELATED = 24;
// Greatest standard error that is accepted: as a share, and as a difference, by its unit.
const MOST_SHARE = 1;
/** @type {Record<string, number>} */
const MOST = { "°C": 50, "vol%": 10, "%": 10 };
/** @type {Record<string, number>} */
const USUAL = { "°C": 2, "vol%": 0.5, "%": 0.5 };

/** @typedef {{ whole?: boolean, places: number[] }} Row */

/** @returns {Gatefrost.Uncertainty} */
export const known = () => model.scenario.feedstock.uncertainty ?? { numbers: [], correlation: [] };
const law = () => Object.keys(model.scenario.feedstock.flow_law)[0];
export const scale = () => SCALES[law()].map((field) => `feedstock.flow_law.${law()}.${field}`);

/**
 * @param {Gatefrost.Uncertainty} uncertainty
 * @param {number} i
 * @param {number} j
 */
export const correlationOf = ({ correlation }, i, j) => correlation?.[i]?.[j] ?? (i === j ? 1 : 0);

/**
 * Whether a standard error can be given as a share: for positive values that are not in per cent or °C.
 * @param {string} path
 */
export const hasShare = (path) => model.get(path) > 0 && !/%|°C/.test(parameter(path).unit);

/**
 * The greatest standard error that the form accepts. A positive number may be off by its own value at most; documents
 * may hold more.
 * @param {string} path
 * @param {boolean} logarithmic
 */
export function most(path, logarithmic) {
  if (logarithmic) return MOST_SHARE;
  const { unit, min, max } = parameter(path);
  const now = model.get(path);
  return MOST[unit] ?? (min >= 0 && now > 0 ? now : max - min);
}

/**
 * The rows as a reader sees them: each one number, or those that scale the viscosity together.
 * @returns {Row[]}
 */
export function rows() {
  const now = known();
  const places = scale().map((path) => now.numbers.findIndex((doubt) => doubt.path === path));
  const together = (/** @type {number} */ i) =>
    now.numbers.every((_, j) => Math.abs(correlationOf(now, i, j) - (places.includes(j) ? 1 : 0)) < 1e-9);
  const alike = (/** @type {number} */ i) =>
    now.numbers[i].logarithmic && now.numbers[i].standard_error === now.numbers[places[0]].standard_error;
  const whole = places.every((i) => i >= 0 && together(i) && alike(i));
  const hidden = whole ? places.slice(1) : [];
  return now.numbers
    .map((_, index) => (whole && index === places[0] ? { whole, places } : { places: [index] }))
    .filter(({ places: [index] }) => !hidden.includes(index));
}

/**
 * The numbers that can be added: those of the chosen laws that are not in the list.
 * @returns {{ whole: boolean, groups: [label: string, free: Gatefrost.Entry[]][] }}
 */
export function offered() {
  const { numbers, correlation = [] } = known();
  const { pvt } = model.scenario.feedstock;
  const has = (/** @type {string} */ path) => numbers.some((doubt) => doubt.path === path);
  const free = (/** @type {string} */ group, /** @type {string[]} */ without = []) =>
    parametersOf(group).filter(({ path }) => !has(path) && !without.includes(path));
  const single = scale().length === 1;
  const room = single || correlation.length + scale().length <= MOST_CORRELATED;
  const whole = room && !scale().some(has);
  const unused = pvt === "linear" ? [] : ["binder_expansion", "binder_compressibility"].map((field) => `feedstock.${field}`);
  return {
    whole,
    groups: [
      ["Mould", has(CONTACT) ? [] : [parameter(CONTACT)]],
      ["Flow law", free(`feedstock.flow_law.${law()}`, whole && single ? scale() : [])],
      ["Loading, powder, binder and heat", free("feedstock", unused)],
      ["pvT law", pvt === "linear" ? [] : free("feedstock.pvt.tait")],
    ],
  };
}

/**
 * Adds numbers, fully correlated if there are several. Returns the place of the first.
 * @param {string[]} paths
 * @param {boolean} whole
 */
export function add(paths, whole) {
  const { numbers, correlation = [] } = known();
  const added = paths.map((path) => ({ path, ...usual(path, whole) }));
  const index = paths.length > 1 ? correlation.length : numbers.length;
  model.restructure(PLACE, ({ feedstock }) => {
    if (paths.length > 1) {
      // Correlated numbers come first.
      const side = [...correlation, ...paths];
      const wider = side.map((_, i) => side.map((__, j) => correlation[i]?.[j] ?? (i >= index && j >= index ? 1 : 0)));
      feedstock.uncertainty = { numbers: [...numbers.slice(0, index), ...added, ...numbers.slice(index)], correlation: wider };
    } else {
      feedstock.uncertainty = { numbers: [...numbers, ...added], correlation };
    }
  });
  return index;
}

/**
 * The first standard error of an added number.
 * @param {string} path
 * @param {boolean} whole
 */
function usual(path, whole) {
  const entry = parameter(path);
  if (whole || hasShare(path)) return { standard_error: path === CONTACT ? 0.3 : 0.1, logarithmic: true };
  const step = USUAL[entry.unit] ?? Number(((entry.max - entry.min) / 100).toPrecision(1));
  return { standard_error: step, logarithmic: false };
}

/**
 * The feedstock without the numbers at some places.
 * @param {Gatefrost.Feedstock} feedstock
 * @param {number[]} places
 */
export function drop(feedstock, places) {
  const { numbers, correlation = [] } = known();
  /**
   * @param {unknown} _
   * @param {number} index
   */
  const stays = (_, index) => !places.includes(index);
  const left = numbers.filter(stays);
  const square = correlation.filter(stays).map((row) => row.filter(stays));
  // A single number has no correlation.
  // An empty list says that the numbers are exact: one that is left out stands for what is usual.
  feedstock.uncertainty = { numbers: left, correlation: square.length > 1 ? square : [] };
}

/**
 * The same standard error, converted between share and difference.
 * @param {number} index
 */
export function recast(index) {
  const doubt = known().numbers[index];
  const size = Math.abs(model.get(doubt.path)) || 1;
  doubt.standard_error = Number((doubt.logarithmic ? doubt.standard_error * size : doubt.standard_error / size).toPrecision(10));
  doubt.logarithmic = !doubt.logarithmic;
}
