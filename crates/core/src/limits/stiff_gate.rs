//! Melt too stiff at the gate: viscosity at the melt temperature and the gate's own shear rate.

use super::{Definition, Measure, Scale};

pub(super) const DEFINITION: Definition = Definition {
    unit: "Pa·s",
    measure: |p| {
        let c = &p.case.cavity;
        let viscosity = |&gate: &usize| {
            let passage = &c.passages[gate];
            let rate = passage.apparent_shear_rate(p.fill.end.passage_flow(gate) / passage.copies, 0.5);
            p.case.material.viscosity.viscosity(rate, p.case.drive.melt, 0.0)
        };
        let stiffest = c.gates.iter().map(viscosity).fold(0.0, f64::max);
        Measure::new(stiffest, p.case.thresholds.gate_viscosity, Scale::RatioBelow)
    },
    found: "At the gate's own shear rate the melt has a viscosity of",
    beyond: "it is too stiff to mould well",
    remedy: "Hotter melt, faster injection or less powder.",
};
