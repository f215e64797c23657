//! Hold and cooling of a part to begin with.

use crate::case::Case;
use crate::limits::{self, Limit};
use gatefrost_scenario::scenario::{Scenario, start};

/// Reserve of the hold above the least that its limit asks.
const RESERVE: f64 = 1.25;
/// Solutions at most for the hold. Its length moves the freeze time a little, because melt that creeps in brings heat.
const ROUNDS: usize = 3;
/// Margin that is wanted of the pressure with which the part still presses on its walls.
const RELEASED: f64 = 0.2;
/// Solutions at most for the cooling time, and by how much it grows from one to the next.
const LONGER: (usize, f64) = (16, 1.15);

/// Gives the hold of a valid scenario the time that its gates need: 1.25 times the least that the limit of the hold time
/// asks, u_h t_g, where t_g \[s\] is the time at which the last gate freezes by the solver, at these settings and in this
/// feedstock. It is rounded up to a twentieth of a second, and is no shorter than half a second. A share u_h below 1 is
/// taken as 1. The hold stays as it is if the part does not fill, or if a gate never freezes.
///
/// A part that is cold enough to be ejected may still press on its walls with the pressure that the gate has sealed in. Where
/// no cooling time is set and it would stick, one is set after which it does not.
pub fn hold_until_frozen(scenario: &mut Scenario) {
    for _ in 0..ROUNDS {
        let case = Case::resolve(scenario);
        let Some(freeze) = case.evaluate().hold.and_then(|hold| hold.gate_freeze()) else { return };
        let least = freeze * case.thresholds.hold_cover.max(1.0);
        let seconds = ((least * RESERVE * 20.0).ceil() / 20.0).clamp(0.5, 600.0);
        let before = case.hold.held();
        start::hold_for(&mut scenario.setup, seconds);
        if (before - seconds).abs() < 0.06 {
            break;
        }
    }
    if scenario.setup.cooling_time.is_none() {
        cool_until_released(scenario);
    }
}

fn cool_until_released(scenario: &mut Scenario) {
    let (rounds, longer) = LONGER;
    for _ in 0..rounds {
        let case = Case::resolve(scenario);
        let point = case.evaluate();
        let Some(hold) = &point.hold else { break };
        if limits::margins(&point)[Limit::Residual as usize] >= RELEASED {
            return;
        }
        let cooling = case.hold.opens.unwrap_or(hold.opened.time) - case.hold.held();
        scenario.setup.cooling_time = Some(((longer * cooling).max(0.5) * 10.0).ceil() / 10.0);
    }
    scenario.setup.cooling_time = None;
}
