//! Causes of the differences after the mould. The scenario is changed, and the plan computed again without the mould, on
//! which neither debinding nor sintering depends.

use super::Step;
use crate::entry::Entry;
use crate::results::Root;
use crate::{Facts, Results};
use gatefrost_after::plan::curve;
use gatefrost_core::catalogue;
use gatefrost_core::scenario::{DebindingStep, FurnaceStretch, Scenario};

/// A ramp that takes no time, K/min.
const AT_ONCE: f64 = 1e9;

/// The result at a row for a changed scenario.
fn value(entry: &Entry, f: &Facts<'_>, row: usize, s: &Scenario) -> Option<f64> {
    let planned = Root::of(entry.key).planned_with(s, None);
    (entry.value)(&Results { report: f.report, planned: Some(&planned) }, row)
}

/// Time of a furnace step: without the pressure that holds the ramp back, then with a binder that is gone at once, so that
/// the ramp alone is left. Empty for other steps.
pub(super) fn furnace(entry: &Entry, f: &Facts<'_>, row: usize) -> Vec<Step> {
    let mut s = f.scenario.clone();
    let Some(DebindingStep::Thermal(furnace)) = s.debinding.steps.get_mut(row) else { return Vec::new() };
    let bound = |path: &str| catalogue::at(path).map(|p| (p.min, p.max));
    let (Some((_, greatest)), Some((coldest, _))) =
        (bound("debinding.steps.0.thermal.allowed_pressure"), bound("debinding.parts.0.half_temperature"))
    else {
        return Vec::new();
    };
    furnace.allowed_pressure = greatest;
    let mut steps = vec![("Without the pressure of the gas", value(entry, f, row, &s))];
    for part in &mut s.debinding.parts {
        part.half_temperature = coldest;
    }
    steps.push(("With a binder that decomposes early", value(entry, f, row, &s)));
    steps
}

/// Pores after a step: with one density for all parts of the binder.
pub(super) fn pores(entry: &Entry, f: &Facts<'_>, row: usize) -> Vec<Step> {
    let mut s = f.scenario.clone();
    for part in &mut s.debinding.parts {
        part.density = s.feedstock.binder_density;
    }
    vec![("With one density for all parts of the binder", value(entry, f, row, &s))]
}

/// The run of the sintering furnace, by the curve that it has: without ramps, then with one hold alone.
pub(super) fn run(entry: &Entry, f: &Facts<'_>, row: usize) -> Vec<Step> {
    let mut s = f.scenario.clone();
    let Some(curve) = curve(&s) else { return Vec::new() };
    s.sintering.log_half = Some(curve.log_half);
    let run = &mut s.sintering.stretches;
    for stretch in run.iter_mut() {
        stretch.ramp = AT_ONCE;
    }
    let mut steps = vec![("Without the ramps", value(entry, f, row, &s))];
    let run = &mut s.sintering.stretches;
    if run.len() > 1 {
        let by_heat = |a: &&FurnaceStretch, b: &&FurnaceStretch| a.temperature.total_cmp(&b.temperature);
        let of_last = entry.key == "plan.sintering.longer_if_colder";
        let kept = if of_last { run.last() } else { run.iter().max_by(by_heat) };
        *run = kept.cloned().into_iter().collect();
        steps.push(("With one hold alone", value(entry, f, row, &s)));
    }
    steps
}
