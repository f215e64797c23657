//! What would widen the window.

use super::yields::{SHOTS, Sampled};
use gatefrost_core::scenario::{Role, Scenario, ScenarioError};
use gatefrost_window::{Detail, Margins, margins_here, trace};
use serde::Serialize;
use std::borrow::Cow;

/// What a change of the tool, the feedstock or the machine does.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lever {
    /// What is changed, and by how much.
    pub change: Cow<'static, str>,
    /// Change of the usable share of the plane, in percentage points; absent where the plane cannot be
    /// computed with it.
    pub window_points: Option<f64>,
    /// Change of the share of shots inside, in percentage points.
    pub yield_points: Option<f64>,
}

/// A change by its words, and how it is made.
type Change = (&'static str, fn(&mut Scenario));

const CHANGES: [Change; 14] = [
    ("gate 10 % deeper", |s| s.cavity.scale_depth(Role::Gate, 1.1)),
    ("gate 10 % shallower", |s| s.cavity.scale_depth(Role::Gate, 0.9)),
    ("walls of the part 5 % thicker", |s| s.cavity.scale_depth(Role::Part, 1.05)),
    ("walls of the part 5 % thinner", |s| s.cavity.scale_depth(Role::Part, 0.95)),
    ("sprue and runners 10 % thicker", |s| {
        s.cavity.scale_depth(Role::Sprue, 1.1);
        s.cavity.scale_depth(Role::Runner, 1.1);
    }),
    ("sprue and runners 10 % thinner", |s| {
        s.cavity.scale_depth(Role::Sprue, 0.9);
        s.cavity.scale_depth(Role::Runner, 0.9);
    }),
    ("1 vol% more powder", |s| s.feedstock.solids_loading += 1.0),
    ("1 vol% less powder", |s| s.feedstock.solids_loading -= 1.0),
    ("mould 5 K hotter", |s| s.setup.mould_temperature += 5.0),
    ("mould 5 K colder", |s| s.setup.mould_temperature -= 5.0),
    ("machine with 10 % more pressure", |s| s.machine.max_pressure *= 1.1),
    ("machine with 10 % less pressure", |s| s.machine.max_pressure *= 0.9),
    ("10 % more clamp force", |s| s.machine.clamp_force *= 1.1),
    ("10 % less clamp force", |s| s.machine.clamp_force *= 0.9),
];

/// How many changes there are.
pub const CHANGED: usize = CHANGES.len();

/// Usable share of the plane, 0..1: as set for 0, with the first change for 1, and so on; absent where the plane
/// cannot be computed with it. Traced as finely as the window itself: a coarse one misplaces some lines by more
/// than a change moves them. Changes may be looked at by several hands, side by side.
pub fn usable(scenario: &Scenario, change: usize) -> Option<f64> {
    let mut changed = scenario.clone();
    if let Some(place) = change.checked_sub(1) {
        CHANGES.get(place)?.1(&mut changed);
    }
    trace(&changed, Detail::Fine).ok().map(|window| window.usable_share)
}

/// Computes each change by itself, one after the other.
///
/// # Errors
/// Whatever [`Scenario::validate_plane`] finds.
pub fn levers(scenario: &Scenario) -> Result<Vec<Lever>, ScenarioError> {
    let shares: Vec<Option<f64>> = (0..=CHANGED).map(|change| usable(scenario, change)).collect();
    leverage(scenario, &shares)
}

/// What the changes do, given the [`usable`] shares as far as they are known: with the yield, counted on the same
/// shots before and after.
///
/// # Errors
/// Whatever [`Scenario::validate_plane`] finds.
pub fn leverage(scenario: &Scenario, shares: &[Option<f64>]) -> Result<Vec<Lever>, ScenarioError> {
    scenario.validate_plane()?;
    let margins: Margins = margins_here(scenario);
    let sampled = Sampled::about(scenario);
    let mut before = vec![None; SHOTS];
    let share = |change: usize| shares.get(change).copied().flatten();
    let mut lever = |(place, (words, change)): (usize, &Change)| {
        let mut changed = scenario.clone();
        change(&mut changed);
        let valid = changed.validate().is_ok();
        let shift = || -> Margins {
            let mut shift = margins_here(&changed);
            shift.iter_mut().zip(margins).for_each(|(there, here)| *there -= here);
            shift
        };
        Lever {
            change: (*words).into(),
            window_points: share(place + 1).zip(share(0)).map(|(there, here)| 100.0 * (there - here)),
            yield_points: valid.then(|| sampled.gained(&changed, &shift(), &mut before)),
        }
    };
    Ok(CHANGES.iter().enumerate().map(&mut lever).collect())
}
