//! Migration: how far grains move from the wall towards the middle while they flow to the end of the path.
//!
//! Grains of radius a that are sheared collide and diffuse with D of the order of γ̇ a², so that they cross the half gap
//! H in a strain γ̇ t of the order of (H/a)². Compared is the sum of (a/H)² γ̇ t over the sections on the way to an end of
//! flow, with the apparent wall rate γ̇ and the time t that the melt takes through each: γ̇ t is 3L/H in a slit and
//! 4L/R in a tube, whatever the rate. The grains are those of size d₉₀: coarse ones move first. Order of magnitude, from
//! memory (Leighton and Acrivos, J. Fluid Mech. 181 (1987) 415). Nott and Brady, J. Fluid Mech. 275 (1994) 157, abstract
//! read: the time to the steady profile scales as (H/a)³ a/v, which is the same strain.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::cavity::Kind;
use crate::stages::Needs;

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::NUMBER,
    measure: Needs::Setting(|case| {
        let c = &case.cavity;
        if case.loading[0] == 0.0 {
            return Measure::ABSENT;
        }
        let a = 0.5 * case.material.d90;
        let of = |i: usize| {
            let cell = &c.cells[i];
            let strain = match c.layers(i).kind {
                Kind::Flat => 3.0,
                Kind::Round => 4.0,
            };
            strain * cell.length / cell.half_gap * (a / cell.half_gap).powi(2)
        };
        let most = c.ends.iter().map(|&end| c.path_back(end).map(of).sum()).fold(0.0, f64::max);
        Measure::new(most, case.thresholds.migration, Scale::RatioBelow)
    }),
    found: "On the way to the end of flow, (a/H)² γ̇ t of the coarse grains comes to",
    beyond: "grains gather in the middle of the gap, and the part shrinks unevenly",
    remedy: "A finer powder, thicker sections or a shorter path.",
};
