// @ts-check
// What the browser keeps for the page. Without its storage everything works, for as long as the page is open.

// `storage()` is asked for each time: where it is forbidden, even to name it fails.
/**
 * @param {() => Storage} storage
 * @param {string} place
 */
export function recall(storage, place) {
  try {
    return storage().getItem(place);
  } catch {
    return null;
  }
}

// Whether it was kept; `null` takes away what was.
/**
 * @param {() => Storage} storage
 * @param {string} place
 * @param {string | null} text
 */
export function keep(storage, place, text) {
  try {
    if (text === null) storage().removeItem(place);
    else storage().setItem(place, text);
    return true;
  } catch {
    return false;
  }
}
