//! Evaluations of places in the plane, sharing what they have in common.

use crate::place::{Margins, Wanted};
use crate::sizes::{SizeRule, set};
use gatefrost_after::plan::SizesThere;
use gatefrost_core::case::Case;
use gatefrost_core::limits::{self, Limit};
use gatefrost_core::scenario::{Axis, Scenario};
use gatefrost_core::stages::{Reached, Shared, Stage};
use gatefrost_numerics::elementary::Elementary;

/// How margins are taken from what was computed.
type Take = fn(Reached<'_>) -> Margins;

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
        Axis::SolidsLoading | Axis::GateDepth | Axis::WallThickness => Touches::Everything,
        Axis::MeltTemperature | Axis::MouldTemperature | Axis::InjectionTime | Axis::FlowRate => {
            Touches::Fill
        }
        Axis::HoldPressure => Touches::Finish,
        // The clamp force touches no stage, only what is allowed.
        Axis::HoldTime | Axis::ClampForce => Touches::Hold,
    }
}

/// Whether places, given by their values of some settings, share the fill up to the switch-over.
pub(super) fn shares_fill(axes: &[Axis], a: &[f64], b: &[f64]) -> bool {
    axes.iter().zip(a.iter().zip(b)).all(|(&axis, (a, b))| touches(axis) > Touches::Fill || a == b)
}

/// Margins at places of a scenario's plane, each as far as it is wanted.
///
/// Places that differ only in what does not touch the fill share it up to the switch-over. `sizes` is what was found for the
/// [`size_parts`](crate::size_parts) of the scenario; without it the limit of sizes does not apply.
pub fn margins_at(scenario: &Scenario, wanted: &[Wanted], sizes: &[f64]) -> Vec<Margins> {
    margins_ruled(scenario, wanted, SizeRule::of(scenario, sizes).as_ref())
}

/// What a surface is made from at these places: the margins; in the place of that of sizes ln S, the logarithm of the share
/// of their cavities that the green parts fill. It is smooth where the margin has a ridge.
pub fn found_at(scenario: &Scenario, wanted: &[Wanted]) -> Vec<Margins> {
    found_ruled(scenario, wanted, None, |reached| {
        let mut found = limits::margins_so_far(reached);
        let filled = reached.case.filled(reached);
        found[Limit::Size as usize] = filled.map_or(f64::NAN, |filled| filled.max(1e-9).logarithm());
        found
    })
}

/// The same with a rule of sizes that was made for another scenario: its cavities stay.
pub(crate) fn margins_ruled(scenario: &Scenario, wanted: &[Wanted], rule: Option<&SizeRule>) -> Vec<Margins> {
    found_ruled(scenario, wanted, rule, limits::margins_so_far)
}

fn found_ruled(scenario: &Scenario, wanted: &[Wanted], rule: Option<&SizeRule>, take: Take) -> Vec<Margins> {
    let plane = &scenario.window;
    let values: Vec<[f64; 2]> = wanted.iter().map(|w| plane.value(w.place)).collect();
    let stages: Vec<Stage> = wanted.iter().map(|w| w.stage).collect();
    let sizes = |k: usize, there: &Scenario| rule.and_then(|rule| rule.there(there, wanted[k].place));
    margins_up_to(scenario, &plane.axes(), values.as_flattened(), &stages, &sizes, take)
}

/// Margins of every limit but that of sizes at values of some settings: `values` holds one for each of the axes, place by
/// place.
pub fn margins_of(scenario: &Scenario, axes: &[Axis], values: &[f64]) -> Vec<Margins> {
    let stages = vec![Stage::LAST; values.len() / axes.len()];
    margins_up_to(scenario, axes, values, &stages, &|_, _| None, limits::margins_so_far)
}

/// The same up to a stage for each place; NaN for limits that need a later one.
fn margins_up_to(
    scenario: &Scenario,
    axes: &[Axis],
    values: &[f64],
    stages: &[Stage],
    sizes: &dyn Fn(usize, &Scenario) -> Option<SizesThere>,
    take: Take,
) -> Vec<Margins> {
    let at_place = |k: usize| &values[k * axes.len()..(k + 1) * axes.len()];
    let at = |k: usize| set(scenario, axes, at_place(k));
    let base = Case::resolve(scenario);
    let everything = axes.iter().any(|&axis| touches(axis) == Touches::Everything);
    let resolved = |s: &Scenario| if everything { Case::resolve(s) } else { base.at(s) };
    let alike = |a: usize, b: usize| {
        (stages[a] >= Stage::Fill) == (stages[b] >= Stage::Fill)
            && shares_fill(axes, at_place(a), at_place(b))
    };
    let places = stages.len();
    let mut out = vec![[0.0; limits::COUNT]; places];
    let mut done = vec![false; places];
    for first in 0..places {
        if done[first] {
            continue;
        }
        let case = resolved(&at(first));
        let shared = Shared::of(&case, stages[first]);
        for k in first..places {
            if !done[k] && alike(first, k) {
                let there = at(k);
                let mut case = case.at(&there);
                case.sizes = sizes(k, &there);
                out[k] = shared.up_to(&case, stages[k], take);
                done[k] = true;
            }
        }
    }
    out
}

/// Margins of every limit but that of sizes at the set point.
pub fn margins_here(scenario: &Scenario) -> Margins {
    limits::margins(&Case::resolve(scenario).evaluate())
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_core::scenario::demo;

    /// An evaluation that ends early knows what it has computed to the last bit, and nothing else.
    #[test]
    fn stages_left_out_change_nothing_of_the_others() {
        for d in demo::DEMOS {
            let mut s = d.scenario();
            s.model = s.model.at_most(12, 6);
            let at = |stage| margins_at(&s, &[Wanted { place: [0.3, 0.6], stage }], &[])[0];
            let whole = at(Stage::Hold);
            for stage in Stage::ALL {
                for (limit, (g, expected)) in Limit::ALL.into_iter().zip(at(stage).into_iter().zip(whole)) {
                    if limits::stage(limit) <= stage {
                        assert_eq!(g, expected, "{}: {limit:?} at {stage:?}", d.name);
                    } else {
                        assert!(g.is_nan(), "{}: {limit:?} at {stage:?}", d.name);
                    }
                }
            }
        }
    }
}
