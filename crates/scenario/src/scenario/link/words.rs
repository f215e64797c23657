//! What is said of entries of a link that are left out.

use crate::catalogue;
use crate::format::{number, quoted};
use crate::naming;
use crate::scenario::Problem;
use serde_json::Value;

/// What is wrong with an entry of the link: the field by its name, and by its key.
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

/// Entries that are left out with what they stand in.
pub(super) fn together(keys: &[&str]) -> Problem {
    let named: Vec<&str> = keys.iter().copied().take(12).collect();
    let more = keys.len().checked_sub(12).map_or_else(String::new, |more| format!(" and {more} more"));
    let predicate = format!("left out, because what they belong to was left out: {}{more}", named.join(", "));
    naming::problem("", Some("These entries are"), &predicate)
}

/// An entry that another with the same key follows: the last one counts.
pub(super) fn repeated(path: &str, key: &str, [first, last]: [&str; 2]) -> Problem {
    about(path, key, &format!("is given more than once: {} gives way to {}", quoted(first), quoted(last)))
}

/// What stands in the place of an entry that was left out, as the end of its message; nothing where a whole list or law
/// was lost that is not the demo's again.
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
