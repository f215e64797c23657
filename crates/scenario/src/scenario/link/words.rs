//! Messages about entries of a link that are left out.

use crate::catalogue;
use crate::format::{number, quoted};
use crate::naming;
use crate::scenario::Problem;
use serde_json::Value;

/// A problem of an entry: its field by name and by key.
pub(super) fn about(path: &str, key: &str, predicate: &str) -> Problem {
    let title = naming::title(path).map(|title| format!("{title} ({key} in the link)"));
    naming::problem(path, title.as_deref(), predicate)
}

/// An entry that has no place in the scenario.
pub(super) fn nowhere(key: &str) -> Problem {
    let parameter = catalogue::all().find(|p| p.link == key && !p.group.contains('*'));
    match parameter {
        Some(p) => {
            about(&p.path(), key, "has no place here: it belongs to another law than that of the scenario")
        }
        None => {
            naming::problem("", Some(&quoted(key)), "is not a key of this link version, or has no place here")
        }
    }
}

/// Entries that are left out because their list or law is.
pub(super) fn together(keys: &[&str]) -> Problem {
    let named: Vec<&str> = keys.iter().copied().take(12).collect();
    let more = keys.len().checked_sub(12).map_or_else(String::new, |more| format!(" and {more} more"));
    let predicate = format!("left out, because what they belong to was left out: {}{more}", named.join(", "));
    naming::problem("", Some("These entries are"), &predicate)
}

/// An entry that is followed by another with the same key. The last one is used.
pub(super) fn repeated(path: &str, key: &str, [first, last]: [&str; 2]) -> Problem {
    about(path, key, &format!("is given more than once: {} gives way to {}", quoted(first), quoted(last)))
}

/// The value used instead of an entry that was left out, as the end of its message. Empty if a whole list or law was
/// lost and the demo has another.
pub(super) fn in_its_place(path: &str, stands: &Value, of_demo: bool) -> Option<String> {
    let whose = if of_demo { " of the demo" } else { "" };
    let value = match stands {
        Value::Null => return Some("; nothing stands in its place".to_owned()),
        Value::Object(_) | Value::Array(_) if of_demo => {
            return Some("; that of the demo stands in its place".to_owned());
        }
        Value::Object(_) | Value::Array(_) => return None,
        Value::String(text) => quoted(text),
        Value::Bool(value) => value.to_string(),
        Value::Number(_) => {
            let unit = catalogue::at(path).map_or("", |p| p.unit);
            let value = number(stands.as_f64()?, 6);
            if unit.is_empty() { value } else { format!("{value} {unit}") }
        }
    };
    Some(format!("; {value}{whose} stands in its place"))
}
