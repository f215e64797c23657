//! The uncertain numbers in a few characters: `un=phic:1,kb3~0.49,0.3` says that the number with the key `phic` has the
//! standard error 1, that the logarithm of the one with the key `kb3` has 0.49, and that the first two correlate by 0.3.
//! Correlations are the upper triangle of their matrix, row by row.

use super::{LISTS, key_of};
use crate::catalogue;
use crate::format::parsed;
use crate::uncertainty::{Doubt, Uncertainty};
use serde_json::Value;

/// An uncertainty as text; `None` if this form does not hold it.
pub(super) fn told(wanted: &Value) -> Option<String> {
    let wanted: Uncertainty = crate::document::read_tree(wanted.clone()).ok()?;
    let mut entries = Vec::new();
    for doubt in &wanted.numbers {
        let kind = if doubt.logarithmic { '~' } else { ':' };
        entries.push(format!("{}{kind}{}", key_of(&doubt.path)?, doubt.standard_error));
    }
    for (i, row) in wanted.correlation.iter().enumerate() {
        entries.extend(row.iter().skip(i + 1).map(f64::to_string));
    }
    Some(entries.join(","))
}

/// The uncertainty that a text tells; `None` for a text that is not of this form.
pub(super) fn made(text: &str) -> Option<Value> {
    let (mut numbers, mut above) = (Vec::new(), Vec::new());
    for entry in text.split(',').filter(|entry| !entry.is_empty()) {
        match entry.split_once([':', '~']) {
            Some((key, error)) => numbers.push(Doubt {
                path: path_of(key)?,
                standard_error: parsed(error)?,
                logarithmic: entry.contains('~'),
            }),
            None => above.push(parsed(entry)?),
        }
    }
    let side = (0..=numbers.len()).find(|side| side * side.saturating_sub(1) / 2 == above.len())?;
    let side = if above.is_empty() { 0 } else { side };
    let mut correlation = vec![vec![1.0; side]; side];
    let pairs = (0..side).flat_map(|i| (i + 1..side).map(move |j| (i, j)));
    for ((i, j), value) in pairs.zip(above) {
        (correlation[i][j], correlation[j][i]) = (value, value);
    }
    crate::document::tree(&Uncertainty { numbers, correlation }).ok()
}

/// Path of the number of a feedstock with a link key, or of the contact conductance.
fn path_of(key: &str) -> Option<String> {
    let single = |p: &&catalogue::Parameter| !p.group.contains('*') && p.link == key;
    if let Some(found) = catalogue::all().find(single) {
        return Some(found.path());
    }
    let (place, link) = key.split_once('.')?;
    LISTS.iter().find_map(|(list, letter)| {
        let index = place.strip_prefix(letter)?.parse::<u8>().ok()?;
        let group = format!("{list}*");
        let found = catalogue::all().find(|p| p.link == link && p.group == group)?;
        Some(format!("{list}{index}.{}", found.field))
    })
}
