//! Time in the barrel: the number of shots that the barrel holds times the cycle, against the time that the binder bears
//! at the melt temperature, t_b exp[(E/R)(1/T − 1/T_r)].

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::case::Case;
use crate::cycle::Cycle;
use crate::fill::Fill;
use crate::pack::Hold;
use crate::stages::Needs;

/// Time \[s\] from hopper to nozzle, at one shot a cycle.
pub(super) fn time(case: &Case, fill: &Fill<'_>, hold: &Hold) -> f64 {
    let machine = &case.machine;
    let shots = machine.barrel_shots * machine.shot_volume / case.cavity.volume;
    shots * Cycle::of(case, hold, fill.end.time).whole()
}

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::MINUTE,
    measure: Needs::Hold(|case, fill, hold| {
        let borne = case.material.barrel_time(case.drive.melt);
        Measure {
            absent: !Cycle::ends(case, hold),
            ..Measure::new(time(case, fill, hold), borne, Scale::RatioBelow)
        }
    }),
    found: "The melt stays in the barrel for",
    beyond: "the binder degrades before it is injected",
    remedy: "A smaller barrel, more cavities, a shorter cycle or colder melt.",
};
