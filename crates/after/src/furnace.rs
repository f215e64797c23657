//! What the furnace makes of the powder.

use crate::plan::density;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_scenario::scenario::Scenario;

/// Powder before and after the furnace; all are shares from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Furnace {
    /// Volume share φ of the powder in the green part.
    pub loading: f64,
    /// Share w of the powder's mass that the furnace takes.
    pub powder_loss: f64,
    /// Density ρ_s,r of the sintered part, relative to the solid's.
    pub sintered_density: f64,
}

impl Furnace {
    /// The furnace of a validated scenario. The density is the one that is set, or the one that a fitted master curve
    /// gives for the furnace run.
    pub fn resolve(s: &Scenario) -> Self {
        let f = &s.feedstock;
        Self {
            loading: f.solids_loading / 100.0,
            powder_loss: f.powder_loss / 100.0,
            sintered_density: density(s),
        }
    }

    /// Size of the green part over that of the sintered part, [ρ_s,r/(φ (1 − w))]^⅓, the same in all directions.
    /// `None` without powder. Source: conservation of the powder's mass (closed form); the green part is free of voids.
    pub fn green_over_final(&self) -> Option<f64> {
        let powder = powder_left(self.loading, self.powder_loss);
        (powder > 0.0).then(|| (self.sintered_density / powder).cube_root())
    }
}

/// Volume of the powder that the furnace leaves, φ (1 − w), over that of the green part. It is the relative density ρ₀ at
/// which sintering begins: the furnace takes the rest before the part shrinks (assumed).
fn powder_left(loading: f64, powder_loss: f64) -> f64 {
    loading * (1.0 - powder_loss)
}

/// Relative density ρ₀ of the debound part of a scenario, φ (1 − w).
pub fn debound_density(s: &Scenario) -> f64 {
    powder_left(s.feedstock.solids_loading / 100.0, s.feedstock.powder_loss / 100.0)
}
