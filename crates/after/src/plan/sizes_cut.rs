//! The toleranced sizes of a mould that is cut: how capable they are with another set point or another loading.
//!
//!   Cpk = min over the dimensions of (t − |L − L_f|)/3σ_L,   L = L_c/(Y(S) f_a^(α − 1/3) f_v^(υ − 1/3)),
//!   (σ_L/L)² = (σ_φS/3)² + (σ_ρ/3ρ_s,r)² + σ_m².
//!
//! The cavity L_c is the one that is typed, or the one that makes the mean of a given set point nominal. Source:
//! conservation of powder (closed form); see [`crate::dimensions`].

use super::size_table::{after_the_mould, chain_to, directions, lie};
use crate::dimensions::Chain;
use crate::dimensions::capability::{Capability, MOST, of_volume};
use crate::{Furnace, cavity_over_green, share_filled};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_scenario::scenario::{Dimension, Scenario};

/// The named dimensions, each with the size of its cavity.
#[derive(Debug, Clone, PartialEq)]
pub struct CutSizes {
    dimensions: Vec<Dimension>,
    /// The measured S over that by the hold; 1 where none was measured.
    over_hold: f64,
}

/// What a scenario makes of them: everything but the share of the cavity that the green part fills.
#[derive(Debug, Clone, PartialEq)]
pub struct SizesThere {
    /// Nominal size, tolerance and the size of the sintered part for S = 1, in mm.
    sizes: Vec<[f64; 3]>,
    /// σ_L/L.
    relative: f64,
    /// The measured S over that by the hold at the set point.
    over_hold: f64,
    /// The Cpk that is wanted.
    pub wanted: f64,
}

impl CutSizes {
    /// The dimensions of a validated scenario whose green parts fill the share `filled` of their cavities by the hold; a
    /// measured share takes its place, and at other places the hold's is corrected by their ratio. `None` without dimensions
    /// or without powder.
    pub fn of(s: &Scenario, filled: f64) -> Option<Self> {
        let measured = share_filled(s, filled);
        let over_green = cavity_over_green(measured);
        let over = [over_green, over_green * Furnace::resolve(s).green_over_final()?];
        let cut = |d: &Dimension| {
            let cavity = d.cavity.unwrap_or_else(|| chain_to(d, s, over).cavity);
            Dimension { cavity: Some(cavity), ..d.clone() }
        };
        let dimensions: Vec<Dimension> = s.sizes.dimensions.iter().map(cut).collect();
        let over_hold = measured / filled;
        (!dimensions.is_empty()).then_some(Self { dimensions, over_hold })
    }

    /// The sizes of the cavity, in mm, in the order of the list.
    pub fn cavities(&self) -> impl Iterator<Item = f64> {
        self.dimensions.iter().filter_map(|d| d.cavity)
    }

    /// What another scenario makes of them. `powder` is the standard deviation of ln(φ S) there. `None` without powder.
    pub fn there(&self, s: &Scenario, powder: f64) -> Option<SizesThere> {
        let furnace = Furnace::resolve(s);
        let in_furnace = furnace.green_over_final()?;
        let full = |d: &Dimension| {
            let chain = Chain::from(d.cavity.unwrap_or(d.size), lie(d), directions(s), 1.0, in_furnace);
            [d.size, d.tolerance, chain.sintered]
        };
        let [by_density, else_where] = after_the_mould(s, furnace.sintered_density);
        let relative = of_volume(powder).hypotenuse(by_density).hypotenuse(else_where);
        Some(SizesThere {
            sizes: self.dimensions.iter().map(full).collect(),
            relative,
            over_hold: self.over_hold,
            wanted: s.sizes.capability,
        })
    }
}

impl SizesThere {
    /// The least Cpk of all dimensions, where the green parts fill the share `filled` of their cavities by the hold.
    pub fn least_capability(&self, filled: f64) -> f64 {
        let smaller = cavity_over_green(filled * self.over_hold);
        let cpk = |&[nominal, tolerance, full]: &[f64; 3]| {
            let mean = full / smaller;
            Capability::of(nominal, tolerance, mean, self.relative * mean).cpk
        };
        self.sizes.iter().map(cpk).fold(MOST, f64::min)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_scenario::scenario::demo;

    /// A cavity cut for S = 0.9886 and filled to 0.9916: lengths grow by 0.1 % of 25 mm. With σ of φ S 0.2 %, of the density
    /// 0.3 in 97 and 0.02 % of all else, σ_L is 0.125 %; ±0.5 % then has Cpk (0.5 − 0.101)/0.3743 (worked out by hand).
    #[test]
    fn a_cavity_that_is_cut_keeps_its_size() {
        let mut s = demo::default_demo().scenario();
        s.feedstock.sintered_density = 97.0;
        s.sizes.dimensions = vec![Dimension { size: 25.0, tolerance: 0.125, ..Dimension::default() }];
        s.sizes.dimensions.push(Dimension { size: 5.0, tolerance: 0.5, ..Dimension::default() });
        let cut = CutSizes::of(&s, 0.9886).expect("dimensions");
        let there = cut.there(&s, 0.002).expect("powder");
        let relative = ((0.002_f64 / 3.0).powi(2) + (0.3_f64 / 97.0 / 3.0).powi(2) + 2e-4_f64.powi(2)).sqrt();
        assert!((there.least_capability(0.9886) - 0.005 / (3.0 * relative)).abs() < 1e-9);
        let grown = (0.9916_f64 / 0.9886).cbrt();
        let by_hand = (0.005 - (grown - 1.0)) / (3.0 * relative * grown);
        assert!((there.least_capability(0.9916) - by_hand).abs() < 1e-9, "{by_hand}");
        // More powder in the same cavity is a larger part.
        let mut richer = s.clone();
        richer.feedstock.solids_loading *= 1.003;
        let of = |s: &Scenario| cut.there(s, 0.002).expect("powder").least_capability(0.9886);
        let larger = (0.005 - (1.003_f64.cbrt() - 1.0)) / (3.0 * relative * 1.003_f64.cbrt());
        assert!((of(&richer) - larger).abs() < 1e-9, "{} against {larger}", of(&richer));
        // A cavity that is typed is kept, whatever the set point fills.
        s.sizes.dimensions[0].cavity = Some(29.6);
        assert_eq!(
            CutSizes::of(&s, 0.98).expect("a size").dimensions[0],
            CutSizes::of(&s, 0.99).expect("a size").dimensions[0]
        );
        // A measured share takes the place of the hold's at the set point, and corrects it elsewhere.
        s.sizes.dimensions[0].cavity = None;
        let by_hold = CutSizes::of(&s, 0.98).expect("a size");
        s.sizes.measured_filled = Some(97.0);
        let measured = CutSizes::of(&s, 0.98).expect("a size");
        let ratio = measured.dimensions[0].cavity.expect("cut") / by_hold.dimensions[0].cavity.expect("cut");
        assert!((ratio - (0.98_f64 / 0.97).cbrt()).abs() < 1e-12, "{ratio}");
        let [with, without] = [&measured, &by_hold].map(|cut| cut.there(&s, 0.002).expect("powder"));
        for filled in [0.98, 0.985] {
            let [with, without] = [&with, &without].map(|there| there.least_capability(filled));
            assert!((with - without).abs() < 1e-9, "the same change from the set point: {with} {without}");
        }
        s.sizes.dimensions.clear();
        assert_eq!(CutSizes::of(&s, 0.98), None);
    }
}
