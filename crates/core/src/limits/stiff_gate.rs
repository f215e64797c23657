//! Melt too stiff at the gate: viscosity at the melt temperature and the gate's own shear rate.

use super::{Definition, Measure, Scale};

pub(super) const DEFINITION: Definition = Definition {
    label: "stiff at the gate",
    unit: "Pa·s",
    measure: |p| {
        let gate = &p.case.cavity.passages[p.case.cavity.gate];
        let rate = gate.apparent_shear_rate(p.case.drive.rate / gate.copies, 0.5);
        Measure::new(
            p.case.material.viscosity.viscosity(rate, p.case.drive.melt, 0.0),
            p.case.thresholds.gate_viscosity,
            Scale::RatioBelow,
        )
    },
    found: "At the gate's own shear rate the melt has a viscosity of",
    beyond: "it is too stiff to mould well",
    remedy: "Hotter melt, faster injection or less powder.",
};
