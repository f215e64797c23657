//! Evaluations of places in the plane, sharing what they have in common.

use super::surface::{Margins, Place};
use crate::case::{Case, Point};
use crate::fill;
use crate::limits;
use crate::pack;
use crate::scenario::{Axis, Scenario};

/// The first stage of the computation that a setting touches; those before it are the same wherever the
/// setting stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Touches {
    /// The feedstock or the cavity: everything.
    Everything,
    /// The fill.
    Fill,
    /// The fill after the switch-over.
    Finish,
    /// The hold.
    Hold,
}

fn touches(axis: Axis) -> Touches {
    match axis {
        Axis::SolidsLoading | Axis::GateDepth => Touches::Everything,
        Axis::MeltTemperature | Axis::MouldTemperature | Axis::InjectionTime | Axis::FlowRate => {
            Touches::Fill
        }
        Axis::HoldPressure => Touches::Finish,
        Axis::HoldTime => Touches::Hold,
    }
}

/// Whether places, given by their values of some settings, share the fill up to the switch-over.
pub(super) fn shares_fill(axes: &[Axis], a: &[f64], b: &[f64]) -> bool {
    axes.iter().zip(a.iter().zip(b)).all(|(&axis, (a, b))| touches(axis) > Touches::Fill || a == b)
}

/// Margins of every limit at places of a scenario's plane, fractions of its two sides.
///
/// Places that differ only in what does not touch the fill share it up to the switch-over.
pub fn margins_at(scenario: &Scenario, places: &[Place]) -> Vec<Margins> {
    let plane = &scenario.window;
    let values: Vec<[f64; 2]> = places.iter().map(|&place| plane.value(place)).collect();
    margins_of(scenario, &plane.axes(), values.as_flattened(), places.len())
}

/// Margins of every limit at values of some settings: `values` holds one for each of the axes, place by
/// place.
pub fn margins_of(scenario: &Scenario, axes: &[Axis], values: &[f64], places: usize) -> Vec<Margins> {
    let at_place = |k: usize| &values[k * axes.len()..(k + 1) * axes.len()];
    let at = |k: usize| {
        let mut s = scenario.clone();
        let settings: Vec<(Axis, f64)> = axes.iter().copied().zip(at_place(k).iter().copied()).collect();
        s.set_all(&settings);
        s
    };
    let base = Case::resolve(scenario);
    let everything = axes.iter().any(|&axis| touches(axis) == Touches::Everything);
    let mut out = vec![[0.0; limits::COUNT]; places];
    let mut done = vec![false; places];
    for first in 0..places {
        if done[first] {
            continue;
        }
        let scenario = at(first);
        let case = if everything { Case::resolve(&scenario) } else { base.at(&scenario) };
        let started = fill::Start::new(&case.material, &case.cavity, case.drive);
        for k in first..places {
            if done[k] || !shares_fill(axes, at_place(first), at_place(k)) {
                continue;
            }
            let case = case.at(&at(k));
            let fill = started.clone().finish(case.drive);
            let hold = pack::hold(&case.material, &case.cavity, &fill.end, &case.hold);
            out[k] = limits::margins(&Point { case: &case, fill, hold });
            done[k] = true;
        }
    }
    out
}

/// Margins of every limit at the set point.
pub fn margins_here(scenario: &Scenario) -> Margins {
    limits::margins(&Case::resolve(scenario).evaluate())
}
