//! What would widen the window.

use super::changes::{LASTING, TOOL};
use super::yields::{Gained, SHOTS, Sampled};
use gatefrost_core::scenario::{Scenario, ScenarioError};
use gatefrost_window::{Detail, Margins, margins_here, surface, window};
use serde::Serialize;
use std::borrow::Cow;

/// What a change of the tool, the feedstock or the machine does.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Lever {
    /// What is changed, and by how much.
    pub change: Cow<'static, str>,
    /// Change of the usable share of the plane, in percentage points; absent where the plane cannot be
    /// computed with it.
    pub window_points: Option<f64>,
    /// Change of the share of shots inside, in percentage points; absent where the scenario cannot be computed
    /// with it.
    pub yield_points: Option<f64>,
    /// Interval that holds that change with 95 %.
    pub yield_interval_points: Option<[f64; 2]>,
}

/// Usable share of the plane, 0..1: as set for 0, with the first change for 1, and so on; absent where the plane
/// cannot be computed with it. Traced as finely as the window itself: a coarse one misplaces some lines by more
/// than a change moves them. Several workers may compute the changes side by side.
pub fn usable(scenario: &Scenario, change: usize) -> Option<f64> {
    let mut changed = scenario.clone();
    if let Some(place) = change.checked_sub(1) {
        TOOL.get(place)?.2(&mut changed);
    }
    let surface = surface(&changed, Detail::Fine).ok()?;
    Some(window(&changed, &surface).usable_share)
}

/// Computes each change by itself, one after the other.
///
/// # Errors
/// Whatever [`Scenario::validate_plane`] finds.
pub fn levers(scenario: &Scenario) -> Result<Vec<Lever>, ScenarioError> {
    let shares: Vec<Option<f64>> = (0..=LASTING).map(|change| usable(scenario, change)).collect();
    leverage(scenario, &shares)
}

/// What the changes do, in their order, given the [`usable`] shares as far as they are known: with the yield,
/// counted on the same shots before and after.
///
/// # Errors
/// Whatever [`Scenario::validate_plane`] finds.
pub fn leverage(scenario: &Scenario, shares: &[Option<f64>]) -> Result<Vec<Lever>, ScenarioError> {
    scenario.validate_plane()?;
    let margins: Margins = margins_here(scenario);
    let sampled = Sampled::about(scenario);
    let mut before = vec![None; SHOTS];
    let share = |change: usize| shares.get(change).copied().flatten();
    let mut levers = Vec::with_capacity(LASTING);
    for (place, (words, _, change)) in TOOL.iter().enumerate() {
        let mut changed = scenario.clone();
        change(&mut changed);
        let valid = changed.validate().is_ok();
        let gained = valid.then(|| {
            let mut shift: Margins = margins_here(&changed);
            shift.iter_mut().zip(margins).for_each(|(there, here)| *there -= here);
            sampled.gained(&changed, &shift, &mut before)
        });
        levers.push(Lever {
            change: (*words).into(),
            window_points: share(place + 1).zip(share(0)).map(|(there, here)| 100.0 * (there - here)),
            yield_points: gained.map(|Gained { points, .. }| points),
            yield_interval_points: gained.map(|Gained { points, within }| [points - within, points + within]),
        });
    }
    Ok(levers)
}
