// @ts-check
// What the browser stores for the page. Without storage everything works as long as the page is open.

// `storage()` is called each time, because merely naming a forbidden storage throws.
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

// Stores a text, or removes it if it is `null`. Returns whether that worked.
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
