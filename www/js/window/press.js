// @ts-check
// A press on a limit's line or name in the figure opens the row of the limit. A press that moves on is a drag.

import { openLimit } from "app/window/results/margins";
import { lit } from "app/window/lit";

// How near to a line a press counts, for a mouse and for a finger, and how far it may move, CSS pixels.
const [REACH, FINGER, STILL] = [5, 10, 4];

/** @typedef {{ limit: Gatefrost.Limit, x: number, y: number }} Press */

/**
 * The limit whose name or line is under a pointer.
 * @param {import("app/shared/picture").Picture} picture
 * @param {import("app/shared/core").Sheet} sheet
 * @param {PointerEvent | Touch} event
 * @returns {Gatefrost.Limit | null}
 */
export function limitUnder(picture, sheet, event) {
  const { layout, canvas } = picture;
  const place = picture.place(event);
  if (!layout || !place || place.fractions.some((f) => f < 0 || f > 1)) return null;
  const [x, y] = picture.pixel(event);
  const name = layout.names.find(({ rect }) => x >= rect.left && x <= rect.right && y >= rect.top && y <= rect.bottom);
  if (name) return name.limit;
  const { left, right, top, bottom } = layout.plot.rect;
  const reach = ((event instanceof PointerEvent && event.pointerType !== "touch" ? REACH : FINGER) * canvas.width) / canvas.clientWidth;
  return sheet.limit_near(right - left, bottom - top, place.fractions[0], place.fractions[1], reach) ?? null;
}

/** @param {Gatefrost.Limit} limit */
export function openFromFigure(limit) {
  openLimit(limit);
  lit.open(limit);
}

/**
 * Whether a pointer has moved away from where it was pressed.
 * @param {Press} press
 * @param {PointerEvent} event
 */
export const movedOn = ({ x, y }, event) => Math.hypot(event.clientX - x, event.clientY - y) > STILL;
