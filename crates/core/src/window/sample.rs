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
        Axis::MeltTemperature | Axis::MouldTemperature | Axis::InjectionTime => Touches::Fill,
        Axis::HoldPressure => Touches::Finish,
        Axis::HoldTime => Touches::Hold,
    }
}

/// Margins of every limit at places of a scenario's plane, fractions of its two sides.
///
/// Places that differ only in what does not touch the fill share it up to the switch-over.
pub fn margins_at(scenario: &Scenario, places: &[Place]) -> Vec<Margins> {
    let plane = &scenario.window;
    let values: Vec<[f64; 2]> = places.iter().map(|p| [plane.x.at(p[0]), plane.y.at(p[1])]).collect();
    margins_of(scenario, [plane.x.axis, plane.y.axis], &values)
}

/// Margins of every limit at values of some settings.
pub(crate) fn margins_of<const N: usize>(
    scenario: &Scenario,
    axes: [Axis; N],
    values: &[[f64; N]],
) -> Vec<Margins> {
    let at = |value: &[f64; N]| {
        let mut s = scenario.clone();
        for (axis, value) in axes.iter().zip(value) {
            s.set(*axis, *value);
        }
        s
    };
    let base = Case::resolve(scenario);
    let everything = axes.iter().any(|&axis| touches(axis) == Touches::Everything);
    // Settings that the fill up to the switch-over depends on.
    let filling = axes.map(|axis| touches(axis) <= Touches::Fill);
    let alike = |a: &[f64; N], b: &[f64; N]| (0..N).all(|k| !filling[k] || a[k] == b[k]);
    let mut out = vec![[0.0; limits::COUNT]; values.len()];
    let mut done = vec![false; values.len()];
    for first in 0..values.len() {
        if done[first] {
            continue;
        }
        let scenario = at(&values[first]);
        let case = if everything { Case::resolve(&scenario) } else { base.at(&scenario) };
        let started = fill::Start::new(&case.material, &case.cavity, case.drive);
        for k in first..values.len() {
            if done[k] || !alike(&values[first], &values[k]) {
                continue;
            }
            let case = case.at(&at(&values[k]));
            let fill = started.clone().finish(case.drive);
            let hold = pack::hold(&case.material, &case.cavity, &fill.end, &case.hold);
            out[k] = limits::margins(&Point { case: &case, fill, hold });
            done[k] = true;
        }
    }
    out
}
