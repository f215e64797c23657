// What the browser keeps for the page. Without its storage everything works, for as long as the page is open.

// `storage()` is asked for each time: where it is forbidden, even to name it fails.
export function recall(storage, place) {
  try {
    return storage().getItem(place);
  } catch {
    return null;
  }
}

// Whether it was kept; `null` takes away what was.
export function keep(storage, place, text) {
  try {
    if (text === null) storage().removeItem(place);
    else storage().setItem(place, text);
    return true;
  } catch {
    return false;
  }
}
