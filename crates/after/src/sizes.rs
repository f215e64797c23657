//! The size of the cavity against that of the sintered part.
//!
//! Powder is conserved. The cavity holds the green part's powder, φ S V_cavity by volume, where S is the share of the
//! cavity that the green part's mass fills when it is cold; the sintered part holds ρ_s,r V_final. The furnace takes
//! the share w of the powder's mass. So
//!
//!   cavity/final = (V_cavity/V_final)^⅓ = [ρ_s,r/(φ S (1 − w))]^⅓ = S^−⅓ · [ρ_s,r/(φ (1 − w))]^⅓.
//!
//! The first factor is what the part shrinks by in the mould, the second what it shrinks by in the furnace. Source:
//! conservation of mass (closed form). Shrinkage is taken as the same in all directions.

use crate::Furnace;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_scenario::scenario::Scenario;

/// The green parts of one shot, as the mould hands them on.
#[derive(Debug, Clone, PartialEq)]
pub struct Green {
    /// S of all parts together: mass of the green parts over that of cold mixture in their cavities. It exceeds 1 where
    /// the cavity is packed beyond the cold part's volume.
    pub filled: f64,
    /// S of each part.
    pub parts: Vec<f64>,
}

/// Sizes of the cavity over those of the parts, as ratios of lengths.
#[derive(Debug, Clone, PartialEq)]
pub struct Sizes {
    /// Cavity over cold green part, all parts together.
    pub cavity_over_green: f64,
    /// Cavity over sintered part, all parts together; `None` without powder.
    pub cavity_over_final: Option<f64>,
    /// The same for each part; empty without powder.
    pub parts: Vec<f64>,
}

/// Size of the cavity over that of the cold green part, S^−⅓; below 1 where S exceeds 1.
pub fn cavity_over_green(filled: f64) -> f64 {
    1.0 / filled.cube_root()
}

/// S of all parts of a scenario: the measured one if there is one, otherwise `by_hold`.
pub fn share_filled(s: &Scenario, by_hold: f64) -> f64 {
    s.sizes.measured_filled.map_or(by_hold, |percent| percent / 100.0)
}

impl Sizes {
    /// Sizes of the cavity for green parts and the furnace that they go to.
    pub fn of(green: &Green, furnace: &Furnace) -> Self {
        let in_furnace = furnace.green_over_final();
        let over_final = |filled: f64| Some(cavity_over_green(filled) * in_furnace?);
        Self {
            cavity_over_green: cavity_over_green(green.filled),
            cavity_over_final: over_final(green.filled),
            parts: green.parts.iter().filter_map(|&filled| over_final(filled)).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A cavity of 1 cm³ with 60 vol% powder of 7.95 g/cm³: the powder that S leaves in it, less what the furnace
    /// takes, over 97 % of the solid's density, is the volume of the sintered part. Weighed by hand.
    #[test]
    fn powder_is_conserved_from_the_cavity_to_the_sintered_part() {
        let furnace = Furnace { loading: 0.6, powder_loss: 0.02, sintered_density: 0.97 };
        let green = Green { filled: 0.985, parts: vec![0.98, 0.99] };
        let sizes = Sizes::of(&green, &furnace);
        let by_weight = |filled: f64| {
            let powder_g = 0.6 * 7.95 * filled * (1.0 - 0.02);
            (1.0 / (powder_g / (0.97 * 7.95))).cbrt()
        };
        let near = |found: f64, expected: f64| assert!((found / expected - 1.0).abs() < 1e-12, "{found}");
        near(sizes.cavity_over_final.expect("powder"), by_weight(0.985));
        assert_eq!(sizes.parts.len(), 2);
        near(sizes.parts[0], by_weight(0.98));
        near(sizes.parts[1], by_weight(0.99));
        // A part packed beyond its cold volume is larger than its cavity.
        let packed = Sizes::of(&Green { filled: 1.01, parts: Vec::new() }, &furnace);
        assert!(packed.cavity_over_green < 1.0 && packed.parts.is_empty());
    }

    #[test]
    fn without_powder_there_is_no_sintered_part() {
        let furnace = Furnace { loading: 0.0, powder_loss: 0.0, sintered_density: 0.97 };
        let sizes = Sizes::of(&Green { filled: 0.98, parts: vec![0.98] }, &furnace);
        assert_eq!((sizes.cavity_over_final, sizes.parts.len()), (None, 0));
        assert!(sizes.cavity_over_green > 1.0);
    }
}
