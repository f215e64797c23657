//! Names in a link: what a scenario does not accept in a name is taken out, so that the link opens all the same.

use crate::naming;
use serde_json::Value;
use std::borrow::Cow;

/// What stands for a name of a passage that is empty.
const UNNAMED: &str = "unnamed";

/// A name, or what refers to one by its text, as a scenario accepts it: without control characters; of a passage, not
/// empty. Equal texts stay equal, so that references hold.
fn accepted<'a>(path: &str, text: &'a str) -> Cow<'a, str> {
    let shown: Cow<'a, str> = if text.contains(char::is_control) {
        text.chars().filter(|c| !c.is_control()).collect::<String>().into()
    } else {
        text.into()
    };
    if path.starts_with("cavity.") && shown.trim().is_empty() { UNNAMED.into() } else { shown }
}

/// Whether a name, or a reference to one, stands at a path.
fn is_named(path: &str) -> bool {
    naming::is_name(path)
        || path.starts_with("cavity.passages.") && (path.ends_with(".after") || path.ends_with(".meets"))
}

/// Mends the names at and below a place; `mended` hears the path of each, what stood there and what does now.
pub(super) fn mend(path: &str, value: &mut Value, mended: &mut impl FnMut(&str, &str, &str)) {
    let below = |name: &str| format!("{path}.{name}");
    match value {
        Value::String(text) if is_named(path) => {
            let better = accepted(path, text);
            if better != text.as_str() {
                mended(path, text, &better);
                *text = better.into_owned();
            }
        }
        Value::Object(fields) => {
            fields.iter_mut().for_each(|(name, field)| mend(&below(name), field, mended))
        }
        Value::Array(list) => {
            list.iter_mut().enumerate().for_each(|(i, entry)| mend(&below(&i.to_string()), entry, mended));
        }
        _ => {}
    }
}
