// @ts-check
// The size of a dimension and its tolerance, which may be typed as a share of the size.

import { tolerance_typed } from "app/shared/core";
import { doubtful, unitsInUse } from "app/shared/units";
import { numberField } from "app/window/settings/fields";
import { model } from "app/window/settings/model";

// Shares that were typed, by the path of the tolerance. The scenario holds millimetres; while the list stays as it is, a
// tolerance that was typed as a share follows its size.
/** @type {Map<string, { text: string, size: number }>} */
const shares = new Map();
const sizeOf = (/** @type {string} */ path) => path.replace(/tolerance$/, "size");

/** @type {import("app/window/settings/fields").Reader} */
function read(path, text) {
  const doubt = doubtful(text);
  if (doubt) return { message: `Tolerance ± ${doubt}` };
  return tolerance_typed(text, model.get(sizeOf(path)), unitsInUse());
}

model.addEventListener("replaced", () => shares.clear());
model.addEventListener("restructured", () => shares.clear());
model.addEventListener("changed", () => {
  for (const [path, { text, size }] of shares) {
    const now = model.get(sizeOf(path));
    if (now === size || model.refused.has(sizeOf(path))) continue;
    shares.set(path, { text, size: now });
    const { value } = read(path, text);
    if (typeof value === "number") model.set(path, value);
  }
});

// Fields for size and tolerance of the dimension at a path.
/** @param {string} path */
export function sizeAndTolerance(path) {
  const own = `${path}.tolerance`;
  /** @type {import("app/window/settings/fields").Reader} */
  const noted = (at, text) => {
    const found = read(at, text);
    if (!found.message && text.includes("%")) shares.set(at, { text, size: model.get(sizeOf(at)) });
    else shares.delete(at);
    return found;
  };
  return [numberField(`${path}.size`), numberField(own, { read: noted, also: ", or a share of the size, such as 0.3 %" })];
}
