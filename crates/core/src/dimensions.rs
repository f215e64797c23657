//! The size of the cavity against that of the sintered part.
//!
//! Powder is conserved. The cavity holds the green part's powder, φ S V_cavity of it by volume, where S is the
//! share of the cavity that the green part's mass fills when it is cold; the sintered part holds ρ_s,r V_final.
//! The furnace takes the share w of the powder's mass. So
//!
//!   cavity/final = (V_cavity/V_final)^⅓ = [ρ_s,r/(φ S (1 − w))]^⅓.
//!
//! It is the product of what the part shrinks by in the mould, S^−⅓, and in the furnace,
//! [ρ_s,r/(φ (1 − w))]^⅓. Source: conservation of mass (closed form). Shrinkage is taken as the same in all
//! directions, and the green part as free of voids.

use crate::cavity::Cavity;
use crate::pack::Hold;
use crate::scenario::{Feedstock, Role};
use gatefrost_numerics::elementary::Elementary;

/// Size of the green part over that of the sintered part, [ρ_s,r/(φ (1 − w))]^⅓, by the loading φ, the relative
/// sintered density ρ_s,r and the powder's loss w of a validated feedstock. `None` without powder.
pub fn green_over_final(f: &Feedstock) -> Option<f64> {
    let powder = f.solids_loading * (1.0 - f.powder_loss / 100.0);
    (powder > 0.0).then(|| (f.sintered_density / powder).cube_root())
}

/// Size of the cavity over that of the cold green part, S^−⅓; below 1 where S, the share of the cavity that its
/// mass fills when cold, exceeds 1.
pub fn cavity_over_green(filled: f64) -> f64 {
    1.0 / filled.cube_root()
}

/// S: mass of the green parts made in these passages over that of cold mixture in their volume, all copies. The
/// hold has it cell by cell, as 1 less the shrinkage.
pub fn filled_when_cold(cavity: &Cavity, hold: &Hold, passages: &[usize]) -> f64 {
    let cells = || passages.iter().flat_map(|&p| cavity.ranges[p].clone());
    let volume: f64 = cells().map(|i| cavity.cells[i].whole_volume()).sum();
    let lost: f64 = cells().map(|i| hold.shrinkage[i] * cavity.cells[i].whole_volume()).sum();
    1.0 - lost / volume
}

/// The parts that come out of one shot, each by the indices of its passages: part passages belong together
/// where one feeds the other, where their ends meet, and where one gate feeds both. Copies are one part.
pub fn parts(cavity: &Cavity) -> Vec<Vec<usize>> {
    let of = |i: usize| &cavity.passages[i];
    let gate = |i: usize| {
        let gate = cavity.gates[cavity.gate_of(i)?];
        (of(gate).role == Role::Gate).then_some(gate)
    };
    let one = |a: usize, b: usize| {
        of(b).feeder == Some(a) || of(b).meets == Some(a) || gate(a).is_some() && gate(a) == gate(b)
    };
    let passages = 0..cavity.passages.len();
    let all: Vec<usize> = passages.clone().filter(|&i| of(i).role == Role::Part).collect();
    // Each passage bears the least index of those that belong to it.
    let mut first: Vec<usize> = passages.collect();
    for (k, &b) in all.iter().enumerate() {
        for &a in all[..k].iter().filter(|&&a| one(a, b)) {
            let (kept, gone) = (first[a].min(first[b]), first[a].max(first[b]));
            first.iter_mut().filter(|label| **label == gone).for_each(|label| *label = kept);
        }
    }
    let of_part = |&i: &usize| all.iter().copied().filter(|&k| first[k] == i).collect();
    all.iter().filter(|&&i| first[i] == i).map(of_part).collect()
}
