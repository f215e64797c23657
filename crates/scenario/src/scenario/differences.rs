//! The differences between two scenarios, number by number.

use super::Scenario;
use crate::{catalogue, document, naming};
use serde::Serialize;
use serde_json::Value;

/// One difference.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Difference {
    /// Path in the document.
    pub path: String,
    /// Name of the field, with that of its passage.
    pub title: String,
    /// Unit of numbers; empty for texts.
    pub unit: &'static str,
    /// Its value in this scenario: a number, a word, or `None` if it is absent.
    #[cfg_attr(feature = "typescript", ts(type = "number | string | boolean | null"))]
    pub here: Value,
    /// Its value in the other scenario.
    #[cfg_attr(feature = "typescript", ts(type = "number | string | boolean | null"))]
    pub there: Value,
}

/// Objects that hold one value of several kinds, under the name of the kind.
const KINDS: [&str; 3] = ["flow_law", "pvt", "form"];

impl Scenario {
    /// Differences to another scenario, in the order of the document. Names, notes and planes are not compared. Passages
    /// are compared by their place in the list.
    pub fn differences(&self, other: &Self) -> Vec<Difference> {
        let mut found = Vec::new();
        let told_apart = |group: &str| !matches!(group, "gatefrost" | "name" | "notes" | "window");
        if let (Ok(here), Ok(there)) = (document::tree(self), document::tree(other)) {
            let groups = here.as_object().into_iter().flat_map(|groups| groups.keys());
            for group in groups.filter(|group| told_apart(group)) {
                compare(group, "", part(&here, group), part(&there, group), &mut found);
            }
        }
        found
    }
}

fn part<'a>(tree: &'a Value, field: &str) -> &'a Value {
    tree.get(field).unwrap_or(&Value::Null)
}

/// `of` is the name of the passage that the place belongs to.
fn compare(path: &str, of: &str, here: &Value, there: &Value, found: &mut Vec<Difference>) {
    if here == there {
        return;
    }
    let field = path.rsplit('.').next().unwrap_or(path);
    match (here, there) {
        (Value::Object(a), Value::Object(b)) if field != "uncertainty" => {
            if KINDS.contains(&field) && a.keys().next() != b.keys().next() {
                let name = |value: &Value| value.as_object().and_then(|o| o.keys().next().cloned()).into();
                found.push(difference(path, of, field, name(here), name(there)));
                return;
            }
            let added = b.keys().filter(|key| !a.contains_key(*key));
            for key in a.keys().chain(added) {
                compare(&format!("{path}.{key}"), of, part(here, key), part(there, key), found);
            }
        }
        (Value::Array(a), Value::Array(b)) if field != "ignored" => {
            for i in 0..a.len().max(b.len()) {
                let pair = [a, b].map(|list| list.get(i).unwrap_or(&Value::Null));
                let named = pair.iter().find_map(|entry| entry.get("name").and_then(Value::as_str));
                let of = named.unwrap_or(of);
                let place = format!("{path}.{i}");
                if pair.iter().any(|entry| entry.is_null()) {
                    let shown = |entry: &Value| if entry.is_null() { "absent" } else { "present" }.into();
                    let what = match field {
                        "passages" => "Passage",
                        "further_hold" => "Hold step",
                        "ram" => "Ram step",
                        _ => "Melting peak",
                    };
                    found.push(difference(&place, of, what, shown(pair[0]), shown(pair[1])));
                } else {
                    compare(&place, of, pair[0], pair[1], found);
                }
            }
        }
        _ => {
            let both = here.is_object() && there.is_object();
            let [here, there] =
                if both { ["one".into(), "another".into()] } else { [leaf(here), leaf(there)] };
            found.push(difference(path, of, field, here, there));
        }
    }
}

/// A value for display; a word for a list or an object.
fn leaf(value: &Value) -> Value {
    match value {
        Value::Array(list) if list.is_empty() => "none".into(),
        Value::Array(list) => {
            let words: Vec<&str> = list.iter().filter_map(Value::as_str).collect();
            words.join(", ").into()
        }
        Value::Object(object) => match object.keys().next() {
            Some(kind) if object.len() == 1 => kind.as_str().into(),
            _ => "known".into(),
        },
        other => other.clone(),
    }
}

/// `otherwise` is the name of a place without a name of its own.
fn difference(path: &str, of: &str, otherwise: &str, here: Value, there: Value) -> Difference {
    let parameter = catalogue::at(path);
    let title = naming::title(path).unwrap_or(otherwise);
    let title = if of.is_empty() { title.to_owned() } else { format!("{title}, {of}") };
    Difference { path: path.to_owned(), title, unit: parameter.map_or("", |p| p.unit), here, there }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::demo;

    fn told(edit: impl Fn(&mut Scenario)) -> Vec<(String, Value, Value)> {
        let here = demo::default_demo().scenario();
        let mut there = here.clone();
        edit(&mut there);
        here.differences(&there).into_iter().map(|d| (d.title, d.here, d.there)).collect()
    }

    #[test]
    fn numbers_are_named_by_title_and_passage() {
        let found = told(|s| {
            s.setup.melt_temperature += 5.0;
            s.cavity.scale_depth(crate::scenario::Role::Gate, 1.25);
            s.name = "another".to_owned();
        });
        assert_eq!(found.len(), 2, "{found:?}");
        assert_eq!(found[0].0, "Thickness, edge gate");
        assert_eq!((found[0].1.as_f64(), found[0].2.as_f64()), (Some(0.8), Some(1.0)));
        assert_eq!(found[1], ("Melt temperature".to_owned(), 165.0.into(), 170.0.into()));
    }

    #[test]
    fn what_is_no_number_is_told_in_a_word() {
        let found = told(|s| {
            s.feedstock.flow_law = crate::scenario::FlowLaw::PowerLaw(Default::default());
            s.cavity.passages.pop();
            s.ignored = vec![crate::Limit::Rate];
        });
        let expected = [
            ("Flow law", "cross_wlf", "power_law"),
            ("Passage, ear", "present", "absent"),
            ("Limits left out", "none", "rate"),
        ];
        let expected = expected.map(|(title, a, b)| (title.to_owned(), a.into(), b.into()));
        assert_eq!(found, expected);
    }

    #[test]
    fn every_pair_of_demos_differs_in_words_that_are_no_paths() {
        for a in demo::DEMOS {
            for b in demo::DEMOS {
                let found = a.scenario().differences(&b.scenario());
                assert_eq!(found.is_empty(), a.name == b.name);
                for d in found {
                    assert!(!d.title.contains('_') && !d.here.is_object(), "{d:?}");
                    assert!(d.here != d.there, "{d:?}");
                }
            }
        }
    }
}
