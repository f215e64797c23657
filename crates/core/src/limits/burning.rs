//! Burning: the share of the binder's mass that decomposes, in the barrel and in the hottest melt of the fill.
//!
//! Loss X = 1 − exp(−∫ k dt) with the rate k(T) = k_o exp[−(E/R)(1/T − 1/T_o)]. Its constant follows from the onset T_o,
//! the temperature at which a sample that is heated at 10 K/min has lost 1 %:
//! k_o ∫ exp[−(E/R)(1/T − 1/T_o)] dT/β = −ln 0.99, from room temperature to T_o. The melt stands in the barrel at its set
//! temperature for its turn, then as hot as the hottest melt of the fill for as long as the fill takes.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use super::residence;
use crate::case::Case;
use crate::cycle::Cycle;
use crate::feedstock::ROOM;
use crate::stages::Needs;
use gatefrost_numerics::elementary::Elementary;

/// Heating rate of the onset \[K/s\].
const HEATING: f64 = 10.0 / 60.0;
/// −ln 0.99, which the onset stands for.
const AT_ONSET: f64 = 0.010_050_335_853_501_44;
/// Steps of Simpson's rule over the heating: at 500 kJ/mol it misses 0.1 % of the integral.
const STEPS: usize = 200;

/// How much faster the binder decomposes at a temperature than at the onset, exp[−(E/R)(1/T − 1/T_o)].
fn times(case: &Case, t: f64) -> f64 {
    let energy = case.material.barrel[2];
    (energy * (1.0 / case.material.burn_onset - 1.0 / t)).exponential()
}

/// Time \[s\] at the onset that does as much as heating up to it.
fn time_at_onset(case: &Case) -> f64 {
    let step = (case.material.burn_onset - ROOM) / STEPS as f64;
    let weight = |k: usize| match k {
        0 | STEPS => 1.0,
        k if k % 2 == 1 => 4.0,
        _ => 2.0,
    };
    let sum: f64 = (0..=STEPS).map(|k| weight(k) * times(case, ROOM + step * k as f64)).sum();
    sum * step / 3.0 / HEATING
}

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::PERCENT,
    measure: Needs::Hold(|case, fill, hold| {
        let barrel = residence::time(case, fill, hold) * times(case, case.drive.melt);
        let filling = fill.end.time * times(case, fill.end.hottest);
        let lost = 1.0 - (-AT_ONSET * (barrel + filling) / time_at_onset(case)).exponential();
        Measure {
            absent: !Cycle::ends(case, hold),
            ..Measure::new(lost, case.thresholds.binder_loss, Scale::RatioBelow)
        }
    }),
    found: "In barrel and mould, viscous heating included, the binder loses by mass",
    beyond: "what decomposes leaves bubbles and another feedstock",
    remedy: "Colder melt, a smaller barrel, more cavities or a shorter cycle.",
};
