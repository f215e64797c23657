//! Wall stress: the greatest shear stress at the wall of parts, as of melt at its set temperature. Only the surface of a
//! part stays. In gates the stress is often greater: melt that slips there only needs less pressure, and what breaks up
//! heals behind it.
//!
//! The rate at the wall follows from the apparent one by Rabinowitsch: γ̇_w = γ̇_a (2n + 1)/3n in a slit,
//! γ̇_a (3n + 1)/4n in a tube, with the slope n = d ln τ/d ln γ̇ of the flow law there; the stress is η(γ̇_w) γ̇_w.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::cavity::{Kind, Passage};
use crate::feedstock::Viscosity;
use crate::scenario::Role;
use crate::stages::Needs;
use gatefrost_numerics::elementary::Elementary;

/// Step of ln(rate) for the slope of the flow law.
const STEP: f64 = 1e-3;

/// Wall stress \[Pa\] of a flow rate through one copy \[m³/s\], at a fraction of the passage's length.
fn stress(law: Viscosity, melt: f64, passage: &Passage, q: f64, f: f64) -> f64 {
    let apparent = passage.apparent_shear_rate(q, f);
    if apparent <= 0.0 {
        return 0.0;
    }
    let stress = |rate: f64| law.viscosity(rate, melt, 0.0) * rate;
    let n = (stress(apparent * (1.0 + STEP)) / stress(apparent * (1.0 - STEP))).logarithm()
        / ((1.0 + STEP) / (1.0 - STEP)).logarithm();
    // A fluid with a yield stress has hardly any slope at low rates, where the stress hardly depends on the rate.
    let n = n.max(0.05);
    stress(
        apparent
            * match passage.kind {
                Kind::Flat => (2.0 * n + 1.0) / (3.0 * n),
                Kind::Round => (3.0 * n + 1.0) / (4.0 * n),
            },
    )
}

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::MEGAPASCAL,
    measure: Needs::Fill(|case, fill| {
        let greatest = |(i, passage): (usize, &Passage)| {
            fill.end.hardest(i, |q, f| stress(case.material.viscosity, case.drive.melt, passage, q, f))
        };
        let parts = case.cavity.passages.iter().enumerate().filter(|(_, p)| p.role == Role::Part);
        Measure::new(parts.map(greatest).fold(0.0, f64::max), case.thresholds.wall_stress, Scale::RatioBelow)
    }),
    found: "The greatest shear stress at the wall of the part is",
    beyond: "the melt slips at the wall or breaks up, and the surface shows it",
    remedy: "Slower injection, hotter melt, or thicker walls.",
};
