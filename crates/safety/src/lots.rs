//! What one lot of feedstock differs in from the next: its viscosity.

use gatefrost_core::limits::COUNT;
use gatefrost_core::scenario::Scenario;
use gatefrost_window::{Margins, margins_here};

/// By how much each margin rises with a lot whose viscosity is one standard deviation higher: half the difference between
/// two lots, one thicker and one thinner. Zero where lots do not differ or one of the two cannot be computed.
pub(super) fn lot_slopes(scenario: &Scenario) -> Margins {
    let lots = scenario.lots();
    let at = |z: f64| {
        let other = lots.draw(scenario, &vec![z; lots.numbers.len()]);
        other.validate().is_ok().then(|| margins_here(&other))
    };
    if lots.numbers.is_empty() {
        return [0.0; COUNT];
    }
    match [at(1.0), at(-1.0)] {
        [Some(thicker), Some(thinner)] => std::array::from_fn(|k| 0.5 * (thicker[k] - thinner[k])),
        _ => [0.0; COUNT],
    }
}

/// Standard deviations to where a margin vanishes if lots differ, too: with the margin g at t standard deviations of the
/// settings, g/t is its steepness by them, and √((g/t)² + v²) that by both. Outside it stays.
pub(super) fn with_lots(g: f64, at: f64, lot_slope: f64) -> f64 {
    if g > 0.0 && at > 0.0 { g / (g / at).hypot(lot_slope) } else { at }
}
