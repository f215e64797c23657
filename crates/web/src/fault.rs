//! A panic must not pass silently: the build aborts on one, which the page sees as a trap without a
//! word. The hook keeps the words.

use std::sync::Mutex;
use wasm_bindgen::prelude::*;

static LAST: Mutex<Option<String>> = Mutex::new(None);

/// Runs when the module is instantiated, on the page and in each worker.
#[wasm_bindgen(start)]
fn start() {
    std::panic::set_hook(Box::new(|info| {
        if let Ok(mut last) = LAST.try_lock() {
            *last = Some(info.to_string());
        }
    }));
}

/// What the last panic said, if there was one.
#[wasm_bindgen]
pub fn last_panic() -> Option<String> {
    LAST.try_lock().ok().and_then(|last| last.clone())
}
