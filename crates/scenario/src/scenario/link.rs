//! A scenario as the text behind `#` in a link: version, demo, and only what differs from it.
//!
//! `1;d=hinge;T=172;c2.h=0.8` is version 1, the demo `hinge`, melt temperature 172 °C and a third
//! passage 0.8 mm thick. Numbers use the catalogue's link keys; text is percent-encoded. What changes
//! in number or shape is told by its shape (`shape.rs`), and its numbers by their keys: passages under `c`,
//! the flow law under `law`, the pvT law under `pvt`, further steps of the hold under `hs`, limits left out
//! under `ig`. The first links had the whole of it there as JSON, as the feedstock's uncertainty still is,
//! under `un`; they open too. A link is hostile until it has been read: whatever
//! cannot be read is named, skipped, and the rest still opens.

mod shape;

use super::validate::{Problem, walk};
use super::{Scenario, demo};
use crate::document;
use crate::uncertainty::Uncertainty;
use crate::{catalogue, format};
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, percent_decode_str, utf8_percent_encode};
use serde_json::Value;

/// Version of the link form written here.
const LINK_VERSION: &str = "1";

/// Longest link text accepted, in bytes.
pub const MAX_LINK_BYTES: usize = 32 * 1024;

/// Characters that may stand in a link's fragment as they are, `;` and `=` excepted.
const ENCODED: &AsciiSet =
    &NON_ALPHANUMERIC.remove(b'-').remove(b'_').remove(b'.').remove(b'~').remove(b',').remove(b':');

/// Link keys of what is not a catalogued number.
const TEXT_KEYS: &[(&str, &str)] = &[
    ("name", "name"),
    ("notes", "notes"),
    ("feedstock.name", "fn"),
    ("feedstock.provenance", "fp"),
    ("feedstock.loading_law", "ll"),
    ("feedstock.conductivity_rule", "kr"),
    ("model.viscous_heating", "vh"),
    ("window.x.axis", "xa"),
    ("window.x.from", "xf"),
    ("window.x.to", "xt"),
    ("window.y.axis", "ya"),
    ("window.y.from", "yf"),
    ("window.y.to", "yt"),
];

/// Link keys of what may change in number or shape.
const WHOLE_KEYS: &[(&str, &str)] = &[
    ("c", "/cavity/passages"),
    ("law", "/feedstock/flow_law"),
    ("pvt", "/feedstock/pvt"),
    ("hs", "/setup/further_hold"),
    ("ig", "/ignored"),
    ("un", UNCERTAINTY),
];

/// What may be missing from a document, and has no keys for the numbers in it.
const UNCERTAINTY: &str = "/feedstock/uncertainty";

/// Lists whose numbers have keys of their own: path and the letter before the position.
const LISTS: &[(&str, &str)] = &[("cavity.passages.", "c"), ("setup.further_hold.", "h")];

/// What a link opened to.
#[derive(Debug, Clone, PartialEq)]
pub struct Opened {
    /// A valid scenario: the link's own, or as much of it as could be read.
    pub scenario: Scenario,
    /// The demo it started from.
    pub demo: &'static str,
    /// What could not be read.
    pub problems: Vec<Problem>,
}

/// Writes a scenario as link text, relative to the demo from which it differs least.
pub fn encode(scenario: &Scenario) -> String {
    demo::DEMOS.iter().map(|d| encode_against(scenario, d)).min_by_key(String::len).unwrap_or_default()
}

fn encode_against(scenario: &Scenario, demo: &demo::Demo) -> String {
    let mut base = document(&demo.scenario());
    let target = document(scenario);
    let mut text = format!("{LINK_VERSION};d={}", demo.name);
    for (key, pointer) in WHOLE_KEYS {
        let wanted = target.pointer(pointer).unwrap_or(&Value::Null);
        let have = base.pointer(pointer).unwrap_or(&Value::Null);
        if !same_shape(have, wanted) || *pointer == UNCERTAINTY && have != wanted {
            // Told by its shape where that leads to the same fields; as a whole otherwise.
            let short = shape::told(key, wanted, have);
            let made = short.as_ref().and_then(|short| shape::made(key, short, have));
            let fits = made.filter(|made| same_shape(made, wanted));
            let whole = || (wanted.to_string(), wanted.clone());
            let (told, stands) = short.zip(fits).unwrap_or_else(whole);
            push_pair(&mut text, key, &told);
            if let Some(have) = base.pointer_mut(pointer) {
                *have = stands;
            }
        }
    }
    walk(&target, &mut String::new(), &mut |path, value| {
        if base.pointer(&pointer_of(path)).is_some_and(|old| equal(old, value)) {
            return;
        }
        if let Some(key) = key_of(path) {
            push_pair(&mut text, &key, &plain(value));
        }
    });
    text
}

/// Opens link text. Never fails: what cannot be read is reported beside a scenario that works.
pub fn decode(text: &str) -> Opened {
    let text = text.strip_prefix('#').unwrap_or(text);
    let fallback = demo::default_demo();
    let mut problems = Vec::new();
    if text.len() > MAX_LINK_BYTES {
        let message = format!("the link has {} bytes; at most {MAX_LINK_BYTES} are read", text.len());
        return unread(fallback, vec![problem("link", message)]);
    }
    let mut parts = text.split(';').filter(|part| !part.is_empty());
    match parts.next() {
        None => return unread(fallback, problems),
        Some(LINK_VERSION) => {}
        Some(other) => {
            let message = format!("begins with {other:.20?}; links begin with the version, {LINK_VERSION}");
            return unread(fallback, vec![problem("link", message)]);
        }
    }
    let pairs: Vec<(String, String)> = parts.filter_map(|part| pair(part, &mut problems)).collect();
    let base = match pairs.iter().find(|(key, _)| key == "d") {
        None => fallback,
        Some((_, name)) => demo::find(name).unwrap_or_else(|| {
            problems.push(problem("d", format!("{name:.40?} is not a demo; {} is opened", fallback.name)));
            fallback
        }),
    };
    let mut tree = document(&base.scenario());
    // Whole lists first: single numbers then find their place in them.
    for whole in [true, false] {
        for (key, value) in pairs.iter().filter(|(key, _)| whole_pointer(key).is_some() == whole) {
            if key != "d"
                && let Err(message) = put(&mut tree, key, value)
            {
                problems.push(problem(key, message));
            }
        }
    }
    match document::read::<Scenario>(&tree.to_string()) {
        Err(unread) => problems.push(problem("link", unread.bare_message())),
        Ok(scenario) => match scenario.validate_plane() {
            Ok(()) => return Opened { scenario, demo: base.name, problems },
            Err(e) => problems.extend(e.problems),
        },
    }
    unread(base, problems)
}

fn unread(base: &'static demo::Demo, problems: Vec<Problem>) -> Opened {
    Opened { scenario: base.scenario(), demo: base.name, problems }
}

/// Splits `key=value` and undoes the percent-encoding.
fn pair(part: &str, problems: &mut Vec<Problem>) -> Option<(String, String)> {
    let Some((key, value)) = part.split_once('=') else {
        problems.push(problem("link", format!("{part:.40?} is not of the form key=value")));
        return None;
    };
    match percent_decode_str(value).decode_utf8() {
        Ok(value) => Some((key.to_owned(), value.into_owned())),
        Err(_) => {
            problems.push(problem(&format!("{key:.40}"), "is not readable text".to_owned()));
            None
        }
    }
}

/// Puts one value in its place, as the kind of value that stands there.
fn put(tree: &mut Value, key: &str, text: &str) -> Result<(), String> {
    let unknown = || format!("{key:.40?} is not a key of this link version");
    if let Some(pointer) = whole_pointer(key) {
        let have = tree.pointer(pointer).unwrap_or(&Value::Null);
        if let Some(made) = shape::made(key, text, have) {
            *tree.pointer_mut(pointer).ok_or_else(unknown)? = made;
            return Ok(());
        }
        let value: Value = serde_json::from_str(text).map_err(|e| format!("is not readable: {e}"))?;
        if pointer == UNCERTAINTY {
            // Looked at by itself, so that what is wrong with it costs no more than it.
            let said: Option<Uncertainty> = document::read(text).map_err(|e| e.bare_message())?;
            said.map_or(Ok(()), |said| said.validate()).map_err(|e| e.to_string())?;
            tree["feedstock"]["uncertainty"] = value;
            return Ok(());
        }
        *tree.pointer_mut(pointer).ok_or_else(unknown)? = value;
        return Ok(());
    }
    let path = path_of(key, tree).ok_or_else(unknown)?;
    let place = tree.pointer_mut(&pointer_of(&path)).ok_or_else(unknown)?;
    let parameter = catalogue::at(&path);
    *place = if parameter.is_some() || place.is_number() {
        number(text, parameter)?
    } else if place.is_boolean() {
        match text {
            "true" => Value::Bool(true),
            "false" => Value::Bool(false),
            _ => return Err(format!("is {text:.40?}; accepted is true or false")),
        }
    } else if text.is_empty() && [".lies", ".after", ".meets"].iter().any(|field| path.ends_with(field)) {
        // Left to the role or to the order.
        Value::Null
    } else {
        Value::String(text.to_owned())
    };
    Ok(())
}

fn number(text: &str, parameter: Option<&'static catalogue::Parameter>) -> Result<Value, String> {
    if text.is_empty() && parameter.is_some_and(|p| p.default.is_none()) {
        return Ok(Value::Null);
    }
    let accepted =
        parameter.map_or_else(|| "a number".to_owned(), |p| format!("a number, {}", p.range_text()));
    let refuse = || format!("is {text:.40?}; accepted is {accepted}");
    let value = format::parsed(text).ok_or_else(refuse)?;
    if parameter.is_some_and(|p| !p.accepts(value)) {
        return Err(refuse());
    }
    let whole = parameter.is_some_and(|p| p.whole);
    Ok(if whole { Value::from(value as u64) } else { Value::from(value) })
}

/// Link key of a path, where it has one.
fn key_of(path: &str) -> Option<String> {
    if let Some((_, key)) = TEXT_KEYS.iter().find(|(p, _)| *p == path) {
        return Some((*key).to_owned());
    }
    let listed = LISTS.iter().find_map(|(list, letter)| {
        let (index, field) = path.strip_prefix(list)?.split_once('.')?;
        Some((format!("{letter}{index}"), field))
    });
    match (listed, catalogue::at(path)) {
        (Some((place, _)), Some(p)) => Some(format!("{place}.{}", p.link)),
        (Some((place, field @ ("name" | "role" | "lies" | "after" | "meets"))), None) => {
            Some(format!("{place}.{field}"))
        }
        (None, Some(p)) => Some(p.link.to_owned()),
        _ => None,
    }
}

/// Where what travels whole under a key has its place.
fn whole_pointer(key: &str) -> Option<&'static str> {
    WHOLE_KEYS.iter().find(|(k, _)| *k == key).map(|(_, pointer)| *pointer)
}

/// Path of a link key in a given document: the inverse of [`key_of`].
fn path_of(key: &str, tree: &Value) -> Option<String> {
    let mut found = None;
    walk(tree, &mut String::new(), &mut |path, _| {
        if found.is_none() && key_of(path).as_deref() == Some(key) {
            found = Some(path.to_owned());
        }
    });
    found
}

fn document(scenario: &Scenario) -> Value {
    document::tree(scenario).unwrap_or(Value::Null)
}

fn pointer_of(path: &str) -> String {
    format!("/{}", path.replace('.', "/"))
}

/// Same lists of the same lengths and objects of the same fields, whatever the leaves.
fn same_shape(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Array(a), Value::Array(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same_shape(a, b))
        }
        (Value::Object(a), Value::Object(b)) => {
            a.len() == b.len() && a.iter().all(|(k, v)| b.get(k).is_some_and(|w| same_shape(v, w)))
        }
        (Value::Array(_) | Value::Object(_), _) | (_, Value::Array(_) | Value::Object(_)) => false,
        _ => true,
    }
}

fn equal(a: &Value, b: &Value) -> bool {
    match (a.as_f64(), b.as_f64()) {
        (Some(a), Some(b)) => a == b,
        _ => a == b,
    }
}

fn plain(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Null => String::new(),
        Value::Number(n) if n.is_f64() => n.as_f64().map_or_else(String::new, |v| v.to_string()),
        other => other.to_string(),
    }
}

fn push_pair(text: &mut String, key: &str, value: &str) {
    text.push(';');
    text.push_str(key);
    text.push('=');
    text.extend(utf8_percent_encode(value, ENCODED));
}

fn problem(path: &str, message: String) -> Problem {
    Problem { path: path.to_owned(), message }
}

#[cfg(test)]
mod tests;
