//! How many parts come out of one shot.

use gatefrost_scenario::scenario::{Role, Scenario};

/// Parts that come out of one shot. Passages of the role "part" belong together where one follows the other, where their
/// ends meet, and where they follow the same gate; copies count each.
pub fn parts_of_a_shot(s: &Scenario) -> f64 {
    let passages = &s.cavity.passages;
    let named = |name: &str, before: usize| passages[..before].iter().rposition(|p| p.name == name);
    let feeder = |i: usize| match &passages[i].after {
        Some(name) => named(name, i),
        None => i.checked_sub(1),
    };
    let mut of: Vec<usize> = (0..passages.len()).collect();
    let mut join = |a: usize, b: usize| {
        let (kept, gone) = (of[a].min(of[b]), of[a].max(of[b]));
        of.iter_mut().filter(|label| **label == gone).for_each(|label| *label = kept);
    };
    let is_part = |i: usize| passages[i].role == Role::Part;
    for i in (0..passages.len()).filter(|&i| is_part(i)) {
        // Parts that follow one gate belong together through it.
        if let Some(k) = feeder(i).filter(|&k| is_part(k) || passages[k].role == Role::Gate) {
            join(k, i);
        }
        let meets = passages[i].meets.as_ref().and_then(|name| passages.iter().position(|p| &p.name == name));
        if let Some(k) = meets.filter(|&k| is_part(k)) {
            join(k, i);
        }
    }
    let groups = (0..passages.len()).filter(|&i| is_part(i) && (0..i).all(|k| !is_part(k) || of[k] != of[i]));
    groups.map(|i| f64::from(passages[i].copies)).sum::<f64>().max(1.0)
}
