//! Shot volume: what the path holds, against the greatest shot of the machine.

use super::{Definition, Measure, Measured, Scale};

pub(super) const DEFINITION: Definition = Definition {
    unit: "cm³",
    measure: Measured::Setting(|case| {
        Measure::new(case.cavity.volume * 1e6, case.machine.shot_volume, Scale::RatioBelow)
    }),
    found: "Sprue, runners and parts hold",
    beyond: "one shot does not fill them",
    remedy: "Fewer cavities, a smaller runner or a larger machine.",
};
