//! Time in the barrel: how many shots wait before the screw's tip, times the cycle, against the time that the
//! binder bears at the melt temperature.

use super::{Definition, Measure, Measured, Scale};
use crate::cycle::Cycle;

pub(super) const DEFINITION: Definition = Definition {
    unit: "min",
    measure: Measured::Hold(|case, fill, hold| {
        let machine = &case.machine;
        let shots = machine.barrel_shots * machine.shot_volume / (case.cavity.volume * 1e6);
        let cycle = Cycle::of(case, hold, fill.end.time).whole();
        let borne = case.material.barrel_time(case.drive.melt);
        Measure::new(shots * cycle / 60.0, borne / 60.0, Scale::RatioBelow)
    }),
    found: "From hopper to nozzle the melt is hot for",
    beyond: "the binder degrades before it is injected",
    remedy: "A smaller barrel, more cavities, a shorter cycle or colder melt.",
};
