//! Wall stress: the greatest shear stress at the wall of parts, as of melt at its set temperature. Only the surface of a
//! part stays. In gates the stress is often greater: melt that slips there only needs less pressure, and what breaks up
//! heals behind it.
//!
//! The rate at the wall follows from the apparent one by Rabinowitsch: γ̇_w = γ̇_a (2n + 1)/3n in a slit,
//! γ̇_a (3n + 1)/4n in a tube, with the slope n = d ln τ/d ln γ̇ of the flow law there; the stress is η(γ̇_w) γ̇_w. Where
//! slip is given, only what does not slip is sheared: τ_w is the root of τ_w = τ(Q − u_s(τ_w) A).

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::cavity::{Kind, Passage};
use crate::feedstock::{Material, Viscosity};
use crate::scenario::Role;
use crate::stages::Needs;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::search::bisect;

/// Step of ln(rate) for the slope of the flow law.
const STEP: f64 = 1e-3;
/// ln of the least share of the stress without slip that is looked for, and the halvings of that range: slip of any law
/// leaves more, and the root is found to 1e-9.
const LEAST_SHARE: f64 = -20.0;
const HALVINGS: usize = 34;

/// Wall stress \[Pa\] at an apparent rate \[1/s\] without slip.
fn sheared(law: Viscosity, melt: f64, kind: Kind, apparent: f64) -> f64 {
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
            * match kind {
                Kind::Flat => (2.0 * n + 1.0) / (3.0 * n),
                Kind::Round => (3.0 * n + 1.0) / (4.0 * n),
            },
    )
}

/// Wall stress \[Pa\] of a flow rate through one copy \[m³/s\], at a fraction of the passage's length.
fn stress(material: &Material, melt: f64, passage: &Passage, q: f64, f: f64) -> f64 {
    let of = |q: f64| sheared(material.viscosity, melt, passage.kind, passage.apparent_shear_rate(q, f));
    let stuck = of(q);
    let Some(slip) = material.slip.filter(|_| stuck > 0.0) else { return stuck };
    let area = passage.area_at(f);
    let above = |log: f64| {
        let stress = stuck * log.exponential();
        stress >= of(q - slip.velocity(stress) * area)
    };
    stuck * bisect(LEAST_SHARE, 0.0, HALVINGS, above).exponential()
}

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::MEGAPASCAL,
    measure: Needs::Fill(|case, fill| {
        let greatest = |(i, passage): (usize, &Passage)| {
            fill.end.hardest(i, |q, f| stress(&case.material, case.drive.melt, passage, q, f))
        };
        let parts = case.cavity.passages.iter().enumerate().filter(|(_, p)| p.role == Role::Part);
        Measure::new(parts.map(greatest).fold(0.0, f64::max), case.thresholds.wall_stress, Scale::RatioBelow)
    }),
    found: "The greatest shear stress at the wall of the part is",
    beyond: "the melt breaks away from the wall, and the surface shows it",
    remedy: "Slower injection, hotter melt, or thicker walls.",
};
