// @ts-check
// Numbers for reading: one formatter for the whole page.

import { format_number } from "app/shared/core";
import { shownUnit, toShown } from "app/shared/units";

/**
 * @param {unknown} value
 * @param {number} [digits]
 */
export const number = (value, digits = 3) =>
  typeof value === "number" ? format_number(value, digits) : "–";

// A change, with its sign.
/**
 * @param {number} value
 * @param {number} [digits]
 */
export const signed = (value, digits) => `${value < 0 ? "−" : "+"}${number(Math.abs(value), digits)}`;

// A size without rounding, as it was typed.
/** @param {unknown} value */
export const short = (value) => (typeof value === "number" ? String(value).replace("-", "−") : "–");

// A value of the core with its unit, in the units that the reader has chosen.
/**
 * @param {unknown} value
 * @param {string} unit
 * @param {number} [digits]
 */
export function quantity(value, unit, digits) {
  const text = number(toShown(value, unit), digits);
  return unit ? `${text} ${shownUnit(unit)}` : text;
}

// Differences of temperatures are in kelvin.
/** @param {string} unit */
export const stepUnit = (unit) => (unit === "°C" ? "K" : unit);

// A difference of two values.
/**
 * @param {number} value
 * @param {string} unit
 * @param {number} [digits]
 */
export function difference(value, unit, digits) {
  const step = stepUnit(unit);
  return `${signed(toShown(value, step), digits)} ${shownUnit(step)}`.trim();
}
