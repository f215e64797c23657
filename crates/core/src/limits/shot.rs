//! Shot volume: what the path holds, against the greatest shot of the machine.

use super::{Definition, Measure, Scale};

pub(super) const DEFINITION: Definition = Definition {
    unit: "cm³",
    measure: |p| Measure::new(p.case.cavity.volume * 1e6, p.case.machine.shot_volume, Scale::RatioBelow),
    found: "Sprue, runners and parts hold",
    beyond: "one shot does not fill them",
    remedy: "Fewer cavities, a smaller runner or a larger machine.",
};
