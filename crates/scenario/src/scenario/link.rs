//! A scenario as the text behind `#` in a link: version, demo, and only what differs from it.
//!
//! `2;d=hinge;T=172;c2.h=0.8` is version 2, the demo `hinge`, melt temperature 172 °C and a third
//! passage 0.8 mm thick. Numbers use the catalogue's link keys; text is percent-encoded, with `+` for a space. Lists and choices are written by
//! their shape (`shape.rs`), and their numbers by their keys: passages under `c`, the flow law under `law`, the pvT law
//! under `pvt`, further steps of the hold under `hs`, steps of the ram speed under `ra`, named dimensions under `nd`, parts of
//! the binder under `dp`, steps of debinding under `ds`, stretches of the furnace run under `fs`, ignored limits under `ig`, uncertain numbers under `un`. The first links held them as JSON under
//! these keys. They still open. `fd` names a demo whose feedstock stands in the place of the demo's own.
//!
//! A link that would be long is packed (`packed.rs`): `3;` and the digits of such a text.

mod doubts;
mod names;
mod open;
mod packed;
mod shape;
mod words;

pub use open::{MAX_LINK_BYTES, decode};
pub use packed::{pack, unpack};

use super::flow_law;
use super::validate::{Problem, walk};
use super::{Debinding, Earlier, Family, Feedstock, Scenario, VERSION, demo};
use crate::{catalogue, document};
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use serde_json::Value;

/// Version of the link form written here.
const LINK_VERSION: &str = "2";

/// Version of a link that holds another one in fewer characters; see `packed.rs`.
const PACKED_VERSION: &str = "3";

/// Longest link that is written as it is. A longer one is packed where that shortens it. Then nobody can read it, and
/// one wrong character costs all of it.
const LONGEST_PLAIN: usize = 240;

/// Versions that are opened. The keys of version 1 mean what they did; what it leaves out is that of its demo.
const OPENED: &[(&str, u32)] = &[("1", 1), (LINK_VERSION, VERSION)];

/// Characters that may stand in a link's fragment as they are, `;` and `=` excepted.
const ENCODED: &AsciiSet =
    &NON_ALPHANUMERIC.remove(b'-').remove(b'_').remove(b'.').remove(b'~').remove(b',').remove(b':');

/// Link keys of fields that are not numbers of the catalogue.
const TEXT_KEYS: &[(&str, &str)] = &[
    ("name", "name"),
    ("notes", "notes"),
    ("feedstock.name", "fn"),
    ("feedstock.provenance", "fp"),
    ("feedstock.loading_law", "ll"),
    ("feedstock.loading_scaling", "ls"),
    ("feedstock.conductivity_rule", "kr"),
    ("feedstock.family", "fa"),
    ("model.viscous_heating", "vh"),
    ("model.side_walls", "mw"),
    ("model.warming_steel", "ww"),
    ("window.x.axis", "xa"),
    ("window.x.from", "xf"),
    ("window.x.to", "xt"),
    ("window.y.axis", "ya"),
    ("window.y.from", "yf"),
    ("window.y.to", "yt"),
];

/// Lists and choices, which may be written as a whole under a key.
struct Whole {
    key: &'static str,
    pointer: &'static str,
    /// Its name in a message.
    accepted: &'static str,
}

impl Whole {
    const fn new(key: &'static str, pointer: &'static str, accepted: &'static str) -> Self {
        Self { key, pointer, accepted }
    }

    /// Its place as a dotted path.
    fn path(&self) -> String {
        self.pointer.trim_start_matches('/').replace('/', ".")
    }
}

const WHOLE_KEYS: &[Whole] = &[
    Whole::new(
        "c",
        "/cavity/passages",
        "a list of passages, each by its place in the demo’s list or as t, s or d for a new tube, strip or disc",
    ),
    Whole::new("law", "/feedstock/flow_law", flow_law::ACCEPTED),
    Whole::new("pvt", "/feedstock/pvt", "one of linear, tait"),
    Whole::new("hs", "/setup/further_hold", "a whole number, 0 to 8"),
    Whole::new("ra", "/setup/ram", "a whole number, 0 to 5"),
    Whole::new("ms", "/feedstock/further_melting", "a whole number, 0 to 4"),
    Whole::new("nd", "/sizes/dimensions", "a whole number, 0 to 24"),
    Whole::new("dp", "/debinding/parts", "a whole number, 0 to 8"),
    Whole::new(
        "ds",
        "/debinding/steps",
        "a list of debinding steps, each by its place in the demo’s list or as b, c or t for a new bath, oven or furnace",
    ),
    Whole::new("fs", "/sintering/stretches", "a whole number, 0 to 12"),
    Whole::new("ig", "/ignored", "a list of limits by name"),
    Whole::new(
        "un",
        UNCERTAINTY,
        "a list of uncertain numbers, each by its key with its standard error, as in phic:1,kb3~0.5",
    ),
];

/// What stays in the file: a link would be too long with it.
const LOG: &str = "shots.";

/// Parts that may be absent from a document and have no keys for their numbers.
const UNCERTAINTY: &str = "/feedstock/uncertainty";

/// Lists whose numbers have keys of their own: path and the letter before the position.
const LISTS: &[(&str, &str)] = &[
    ("cavity.passages.", "c"),
    ("setup.further_hold.", "h"),
    ("setup.ram.", "r"),
    ("feedstock.further_melting.", "m"),
    ("sizes.dimensions.", "n"),
    ("debinding.parts.", "b"),
    ("debinding.steps.", "s"),
    ("sintering.stretches.", "f"),
];

/// The result of opening a link.
#[derive(Debug, Clone, PartialEq)]
pub struct Opened {
    /// A valid scenario with every entry of the link that could be read.
    pub scenario: Scenario,
    /// The demo it started from.
    pub demo: &'static str,
    /// Number of entries of the link that are in it, with the name of the demo.
    pub kept: usize,
    /// Whether the demo's name is all that is in it.
    pub only_demo: bool,
    /// What was left out: the field, the value and what is accepted, or which others it does not go with; and what
    /// stands in its place.
    pub problems: Vec<Problem>,
    /// Number of entries that were left out and are not listed.
    pub unlisted: usize,
    /// What is said of a link of an earlier version; `None` for one of today's.
    pub earlier: Option<Earlier>,
}

impl Opened {
    /// The demo alone: nothing could be read.
    fn nothing(demo: &demo::Demo) -> Self {
        let (scenario, problems) = (demo.scenario(), Vec::new());
        Self { scenario, demo: demo.name, kept: 0, only_demo: false, problems, unlisted: 0, earlier: None }
    }
}

/// Writes a scenario as link text, relative to the demo from which it differs least.
pub fn encode(scenario: &Scenario) -> String {
    let mut scenario = scenario.clone();
    scenario.trials.logged = scenario.logged() as u32;
    scenario.shots.clear();
    let scenario = &scenario;
    // The worked demo of a family has the feedstock that a recipe of that family gives.
    let of_family = scenario.feedstock.family.and_then(|family| demo::find(family.demo()));
    let of_family = of_family.map(|d| (d.name, d.scenario().feedstock));
    let feeds = [None, of_family.as_ref()];
    let pairs = demo::DEMOS.iter().flat_map(|d| feeds.iter().map(move |feed| (d, *feed)));
    let plain = pairs.map(|(d, feed)| encode_against(scenario, d, feed)).min_by_key(String::len);
    let plain = plain.unwrap_or_default();
    if plain.len() <= LONGEST_PLAIN || plain.len() > MAX_LINK_BYTES {
        return plain;
    }
    let packed = format!("{PACKED_VERSION};{}", packed::packed(&plain));
    if packed.len() < plain.len() { packed } else { plain }
}

fn encode_against(scenario: &Scenario, demo: &demo::Demo, feed: Option<&(&str, Feedstock)>) -> String {
    let mut base =
        document(&began(demo, feed.map(|(_, feedstock)| feedstock), Some(scenario.feedstock.family)));
    let target = document(scenario);
    let mut text = format!("{LINK_VERSION};d={}", demo.name);
    if let Some((name, _)) = feed {
        push_pair(&mut text, "fd", name);
    }
    for Whole { key, pointer, .. } in WHOLE_KEYS {
        let wanted = target.pointer(pointer).unwrap_or(&Value::Null);
        let have = base.pointer(pointer).unwrap_or(&Value::Null);
        let exact = *pointer == UNCERTAINTY;
        if !same_shape(have, wanted) || exact && have != wanted {
            // Written by its shape if that has the same fields, otherwise as a whole.
            let short = shape::told(key, wanted, have);
            let made = short.as_ref().and_then(|short| shape::made(key, short, have));
            let fits = made.filter(|made| if exact { made == wanted } else { same_shape(made, wanted) });
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
            if value.is_string() {
                text = text.replace("%20", "+");
            }
        }
    });
    text
}

/// The demo that a link begins with, with the feedstock of another if one is named. Where the link has another family of
/// binders than the demo, its debinding is what is usual for that one, as in a document. `None` is the feedstock's own.
fn began(demo: &demo::Demo, feed: Option<&Feedstock>, family: Option<Option<Family>>) -> Scenario {
    let mut scenario = demo.scenario();
    let own = scenario.feedstock.family;
    if let Some(feed) = feed {
        scenario.feedstock = feed.clone();
    }
    let family = family.unwrap_or(scenario.feedstock.family);
    if own != family {
        scenario.debinding = Debinding::usual(family);
    }
    scenario
}

/// Link key of a path, if it has one. The trial log has none: a link carries only how many shots it has.
fn key_of(path: &str) -> Option<String> {
    if path.starts_with(LOG) {
        return None;
    }
    if let Some((_, key)) = TEXT_KEYS.iter().find(|(p, _)| *p == path) {
        return Some((*key).to_owned());
    }
    let listed = LISTS.iter().find_map(|(list, letter)| {
        let (index, field) = path.strip_prefix(list)?.split_once('.')?;
        Some((format!("{letter}{index}"), field))
    });
    match (listed, catalogue::at(path)) {
        (Some((place, _)), Some(p)) => Some(format!("{place}.{}", p.link)),
        (
            Some((
                place,
                field @ ("name" | "role" | "lies" | "after" | "meets" | "reached" | "flow" | "stands"
                | "leaves" | "bath.water"),
            )),
            None,
        ) => Some(format!("{place}.{field}")),
        (None, Some(p)) => Some(p.link.to_owned()),
        _ => None,
    }
}

/// All link keys of a document with their paths: the inverse of [`key_of`].
fn keys_of(tree: &Value) -> Vec<(String, String)> {
    let mut found = Vec::new();
    walk(tree, &mut String::new(), &mut |path, _| {
        if let Some(key) = key_of(path) {
            found.push((key, path.to_owned()));
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

/// Whether two values have lists of the same lengths and objects with the same fields. Their leaves may differ.
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
        other => document::write(other).unwrap_or_default(),
    }
}

fn push_pair(text: &mut String, key: &str, value: &str) {
    text.push(';');
    text.push_str(key);
    text.push('=');
    text.extend(utf8_percent_encode(value, ENCODED));
}

#[cfg(test)]
mod tests;
