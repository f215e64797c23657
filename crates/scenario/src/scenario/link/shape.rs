//! The shape of lists and choices, in a few characters: `c=0,1,s,4` are the demo's passages 0
//! and 1, a new strip, and its passage 4; `law=power_law` is a flow law with the catalogue's constants. The
//! numbers that differ from that follow under their own keys.

use super::doubts;
use crate::document;
use crate::scenario::{
    BinderComponent, DebindingStep, Dimension, FlowLaw, Form, FurnaceStretch, HoldStep, MeltingPeak, Passage,
    PvtLaw, RamStep,
};
use serde::Serialize;
use serde_json::Value;

/// Most entries of a list that a link may name; more than any scenario may have.
const MOST: usize = 256;

/// The passages' forms by the letters that stand for them.
const FORMS: [(&str, &str); 3] = [("t", "tube"), ("s", "strip"), ("d", "disc")];

/// Steps of debinding by the letters that stand for them.
const STEPS: [(&str, &str); 3] = [("b", "bath"), ("c", "catalytic"), ("t", "thermal")];

/// A new entry of a list that is told by its length; `None` for another key.
fn entry_of(key: &str) -> Option<Value> {
    match key {
        "hs" => tree(&HoldStep::default()),
        "ra" => tree(&RamStep::default()),
        "ms" => tree(&MeltingPeak::default()),
        "nd" => tree(&Dimension::default()),
        "dp" => tree(&BinderComponent::default()),
        "fs" => tree(&FurnaceStretch::default()),
        _ => None,
    }
}

/// Shape of `wanted`, the value at `key`, relative to that of the demo.
pub(super) fn told(key: &str, wanted: &Value, have: &Value) -> Option<String> {
    match key {
        "c" => passages(wanted.as_array()?, have.as_array()?),
        "law" | "pvt" => Some(wanted.as_str().or_else(|| kind(wanted))?.to_owned()),
        "ds" => steps(wanted.as_array()?, have.as_array()?),
        "un" => doubts::told(wanted),
        "ig" => {
            let names: Option<Vec<&str>> = wanted.as_array()?.iter().map(Value::as_str).collect();
            Some(names?.join(","))
        }
        key if entry_of(key).is_some() => Some(wanted.as_array()?.len().to_string()),
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
        "ds" => {
            let steps: Option<Vec<Value>> = entries().map(|entry| step(entry, have)).collect();
            steps.map(Value::Array)
        }
        // The first links had JSON here.
        "un" if !text.starts_with('{') => doubts::made(text),
        "ig" if !text.starts_with('[') => Some(Value::Array(entries().map(Value::from).collect())),
        _ => {
            let new = entry_of(key)?;
            let count: usize = text.parse().ok().filter(|n| *n <= MOST)?;
            let kept = have.as_array()?.iter().cloned();
            Some(Value::Array(kept.chain(std::iter::repeat(new)).take(count).collect()))
        }
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

/// Each step by the demo's step of the same kind, or by its kind.
fn steps(wanted: &[Value], have: &[Value]) -> Option<String> {
    let mut free: Vec<bool> = vec![true; have.len()];
    let mut entries = Vec::new();
    for step in wanted {
        let kind_of_step = kind(step)?;
        let old = have.iter().zip(&free).position(|(old, free)| *free && kind(old) == Some(kind_of_step));
        entries.push(if let Some(index) = old {
            free[index] = false;
            index.to_string()
        } else {
            STEPS.iter().find(|(_, name)| *name == kind_of_step)?.0.to_owned()
        });
    }
    Some(entries.join(","))
}

fn step(entry: &str, have: &Value) -> Option<Value> {
    if let Ok(index) = entry.parse::<usize>() {
        return have.get(index).cloned();
    }
    let (_, name) = STEPS.iter().find(|(letter, _)| *letter == entry)?;
    tree(&DebindingStep::named(name)?)
}

/// The key of an object with one entry.
fn kind(value: &Value) -> Option<&str> {
    value.as_object()?.keys().next().map(String::as_str)
}

pub(super) fn tree(value: &impl Serialize) -> Option<Value> {
    document::tree(value).ok()
}
