// Numbers for reading: one formatter for the whole page.

import { format_number } from "app/core";

export const number = (value, digits = 3) =>
  typeof value === "number" ? format_number(value, digits) : "–";

// A change, with its sign.
export const signed = (value, digits) => `${value < 0 ? "−" : "+"}${number(Math.abs(value), digits)}`;

// A size as it was typed, without rounding.
export const short = (value) => (typeof value === "number" ? String(value).replace("-", "−") : "–");

// A number with its unit.
export const quantity = (value, unit, digits) =>
  unit === "" ? number(value, digits) : `${number(value, digits)} ${unit}`;
