// @ts-check
// How much of the plane is usable, in words.

import { byId, put, putHidden } from "app/shared/dom";
import { number } from "app/shared/numbers";

/**
 * @param {Gatefrost.WindowLine | null} line
 * @returns {string} nothing if it is not known
 */
export function shareWords(line) {
  if (!line) return "";
  const bounds = line.bounded_by.length > 0 ? `, bounded by ${line.bounded_by.join(", ")}` : "";
  return `Usable: ${number(100 * line.usable_share, 3)} % of this plane${bounds}.`;
}

/** @param {Gatefrost.WindowLine | null} line */
export function showShare(line) {
  const words = shareWords(line);
  put(byId("window-share"), words);
  // Where nothing is usable, the figure says what stands in the way.
  putHidden(byId("window-share"), !line || line.usable_share === 0);
}
