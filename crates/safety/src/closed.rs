//! What would open a window that is closed.
//!
//! Where no place of the plane meets every limit, its usable share is zero with most changes, so it cannot rank them.
//! Then a change is judged by what it does to the worst margin at the place of the plane where that margin
//! is best: max over the plane of min over the limits of g.

use super::changes::{CHANGED, changed};
use gatefrost_core::scenario::Scenario;
use gatefrost_numerics::order;
use gatefrost_window::{Closest, closest};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// A smaller change of the worst margin counts as no effect, because margins have noise of this size.
const NOTHING: f64 = 2e-3;

/// How close the plane comes to having a window with one change made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Opening {
    /// What is changed, and by how much; empty for the scenario as it is set.
    pub change: Cow<'static, str>,
    /// The place of the plane where the worst margin is best, and the limit with that margin. The window is open
    /// with the change where the margin is at least zero. Absent where the plane cannot be computed.
    pub closest: Option<Closest>,
    /// By how much the change raises that margin; absent where either is.
    pub gained: Option<f64>,
}

/// What would open a window that is closed.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Closed {
    /// The scenario as it is set.
    pub as_set: Option<Closest>,
    /// Changes that move the worst margin, the one that raises it most first; those that cannot be computed last.
    pub levers: Vec<Opening>,
    /// Changes that do not move it.
    pub without_effect: Vec<Cow<'static, str>>,
}

/// How close the plane comes to having a window: as set for 0, with the first change for 1, and so on up to
/// [`CHANGED`]. `None` for a change that moves what spans the plane, or nothing. Several threads may
/// compute them at once.
pub fn opening(scenario: &Scenario, change: usize) -> Option<Opening> {
    let (change, scenario) = match change.checked_sub(1) {
        None => (Cow::default(), scenario.clone()),
        Some(place) => changed(scenario, place)?,
    };
    Some(Opening { change, closest: closest(&scenario).ok().flatten(), gained: None })
}

/// Ranks what [`opening`] gave for the scenario as it is set and for the changes, as far as they are computed.
pub fn ranked(openings: impl IntoIterator<Item = Opening>) -> Closed {
    let (as_set, openings): (Vec<Opening>, Vec<Opening>) =
        openings.into_iter().partition(|opening| opening.change.is_empty());
    let as_set = as_set.into_iter().next().and_then(|opening| opening.closest);
    let mut closed = Closed { as_set, ..Closed::default() };
    let g = |closest: &Option<Closest>| closest.as_ref().map(|c| c.worst.g);
    let before = g(&closed.as_set);
    for mut opening in openings {
        opening.gained = g(&opening.closest).zip(before).map(|(after, before)| after - before);
        match opening.gained {
            Some(gained) if gained.abs() < NOTHING => closed.without_effect.push(opening.change),
            _ => closed.levers.push(opening),
        }
    }
    order::sort_by(&mut closed.levers, |opening| -opening.gained.unwrap_or(f64::NEG_INFINITY));
    closed
}

/// Computes and ranks each change by itself, one after the other.
pub fn closed(scenario: &Scenario) -> Closed {
    ranked((0..=CHANGED).filter_map(|change| opening(scenario, change)))
}
