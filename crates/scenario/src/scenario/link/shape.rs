//! The shape of lists and choices, in a few characters: `c=0,1,s,4` are the demo's passages 0
//! and 1, a new strip, and its passage 4; `law=power_law` is a flow law with the catalogue's constants. The
//! numbers that differ from that follow under their own keys.

use crate::document;
use crate::scenario::{FlowLaw, Form, HoldStep, MeltingPeak, Passage, PvtLaw, RamStep};
use serde::Serialize;
use serde_json::Value;

/// Most entries of a list that a link may name; more than any scenario may have.
const MOST: usize = 256;

/// The passages' forms by the letters that stand for them.
const FORMS: [(&str, &str); 3] = [("t", "tube"), ("s", "strip"), ("d", "disc")];

/// Shape of `wanted`, the value at `key`, relative to that of the demo.
pub(super) fn told(key: &str, wanted: &Value, have: &Value) -> Option<String> {
    match key {
        "c" => passages(wanted.as_array()?, have.as_array()?),
        "law" | "pvt" => Some(wanted.as_str().or_else(|| kind(wanted))?.to_owned()),
        "hs" | "ra" | "ms" => Some(wanted.as_array()?.len().to_string()),
        "ig" => {
            let names: Option<Vec<&str>> = wanted.as_array()?.iter().map(Value::as_str).collect();
            Some(names?.join(","))
        }
        _ => None,
    }
}

/// The value of a shape, given the demo's value at `key`; `None` for a text that is not a shape.
pub(super) fn made(key: &str, text: &str, have: &Value) -> Option<Value> {
    let entries = || text.split(',').filter(|entry| !entry.is_empty()).take(MOST);
    match key {
        "c" => {
            let passages: Option<Vec<Value>> = entries().map(|entry| passage(entry, have)).collect();
            passages.map(Value::Array)
        }
        "law" => tree(&FlowLaw::named(text)?),
        "pvt" => tree(&PvtLaw::named(text)?),
        "hs" | "ra" | "ms" => {
            let count: usize = text.parse().ok().filter(|n| *n <= MOST)?;
            let kept = have.as_array()?.iter().cloned();
            let new = match key {
                "hs" => tree(&HoldStep::default())?,
                "ra" => tree(&RamStep::default())?,
                _ => tree(&MeltingPeak::default())?,
            };
            let new = std::iter::repeat(new);
            Some(Value::Array(kept.chain(new).take(count).collect()))
        }
        // The first links had a JSON list here.
        "ig" if !text.starts_with('[') => Some(Value::Array(entries().map(Value::from).collect())),
        _ => None,
    }
}

/// Each passage by the demo's passage of the same form and name, or by its form.
fn passages(wanted: &[Value], have: &[Value]) -> Option<String> {
    let mut free: Vec<bool> = vec![true; have.len()];
    let mut entries = Vec::new();
    for passage in wanted {
        let form = kind(passage.get("form")?)?;
        let same =
            |old: &Value| old["name"] == passage["name"] && old.get("form").and_then(kind) == Some(form);
        let old = have.iter().zip(&free).position(|(old, free)| *free && same(old));
        entries.push(if let Some(index) = old {
            free[index] = false;
            index.to_string()
        } else {
            FORMS.iter().find(|(_, name)| *name == form)?.0.to_owned()
        });
    }
    Some(entries.join(","))
}

fn passage(entry: &str, have: &Value) -> Option<Value> {
    if let Ok(index) = entry.parse::<usize>() {
        return have.get(index).cloned();
    }
    let (_, name) = FORMS.iter().find(|(letter, _)| *letter == entry)?;
    let form = Form::named(name)?;
    tree(&Passage { form, ..Passage::default() })
}

/// The key of an object with one entry.
fn kind(value: &Value) -> Option<&str> {
    value.as_object()?.keys().next().map(String::as_str)
}

fn tree(value: &impl Serialize) -> Option<Value> {
    document::tree(value).ok()
}
