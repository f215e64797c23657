//! Melt too stiff at the gate: viscosity at the melt temperature and the gate's own shear rate.

use super::{Definition, Measure, Measured, Scale};

pub(super) const DEFINITION: Definition = Definition {
    unit: "Pa·s",
    measure: Measured::Fill(|case, fill| {
        let c = &case.cavity;
        let viscosity = |&gate: &usize| {
            let passage = &c.passages[gate];
            let rate = passage.apparent_shear_rate(fill.end.passage_flow(gate) / passage.copies, 0.5);
            case.material.viscosity.viscosity(rate, case.drive.melt, 0.0)
        };
        let stiffest = c.gates.iter().map(viscosity).fold(0.0, f64::max);
        Measure::new(stiffest, case.thresholds.gate_viscosity, Scale::RatioBelow)
    }),
    found: "At the gate's own shear rate the melt has a viscosity of",
    beyond: "it is too stiff to mould well",
    remedy: "Hotter melt, faster injection or less powder.",
};
