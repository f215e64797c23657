//! Names in a link. Characters that a scenario does not accept are removed, so that the link opens.

use crate::naming;
use serde_json::Value;
use std::borrow::Cow;

/// Replaces an empty name of a passage.
const UNNAMED: &str = "unnamed";

/// A name, or a reference to one, as a scenario accepts it: without control characters, and not empty for a passage.
/// Equal texts stay equal, so references remain valid.
fn accepted<'a>(path: &str, text: &'a str) -> Cow<'a, str> {
    let shown: Cow<'a, str> = if text.contains(char::is_control) {
        text.chars().filter(|c| !c.is_control()).collect::<String>().into()
    } else {
        text.into()
    };
    if path.starts_with("cavity.") && shown.trim().is_empty() { UNNAMED.into() } else { shown }
}

/// Whether the field at a path is a name or a reference to one.
fn is_named(path: &str) -> bool {
    naming::is_name(path)
        || path.starts_with("cavity.passages.") && (path.ends_with(".after") || path.ends_with(".meets"))
}

/// Corrects the names at and below a place. `mended` is called with each path, the old and the new name.
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
