//! Time in the barrel: the number of shots that the barrel holds times the cycle, against the time that the binder bears
//! at the melt temperature, t_b exp[(E/R)(1/T − 1/T_r)].

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
        Measure { absent: !Cycle::ends(case, hold), ..Measure::new(shots * cycle, borne, Scale::RatioBelow) }
    }),
    found: "The melt stays in the barrel for",
    beyond: "the binder degrades before it is injected",
    remedy: "A smaller barrel, more cavities, a shorter cycle or colder melt.",
};
