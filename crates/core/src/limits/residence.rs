//! Time in the barrel: how many shots wait before the screw's tip, times the cycle, against the time that the
//! binder bears at the melt temperature.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::cycle::Cycle;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::MINUTE,
    measure: Needs::Hold(|case, fill, hold| {
        let machine = &case.machine;
        let shots = machine.barrel_shots * machine.shot_volume / case.cavity.volume;
        let cycle = Cycle::of(case, hold, fill.end.time).whole();
        let borne = case.material.barrel_time(case.drive.melt);
        Measure::new(shots * cycle, borne, Scale::RatioBelow)
    }),
    found: "From hopper to nozzle the melt is hot for",
    beyond: "the binder degrades before it is injected",
    remedy: "A smaller barrel, more cavities, a shorter cycle or colder melt.",
};
