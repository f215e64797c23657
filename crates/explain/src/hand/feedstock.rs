//! Properties of the mixture by hand.

use super::{Hand, one};
use crate::Facts;
use gatefrost_formula::{Expr, Line, symbol, unit};

fn powder(f: &Facts<'_>) -> Expr {
    symbol("ρ_p", "density of the powder", unit::KG_M3, f.scenario.feedstock.powder_density)
}

fn binder(f: &Facts<'_>) -> Expr {
    symbol("ρ_b", "density of the binder", unit::KG_M3, f.scenario.feedstock.binder_density)
}

/// Density of the mixture.
pub fn density(f: &Facts<'_>, _row: usize) -> Hand {
    let rho = f.loading() * powder(f) + (1.0 - f.loading()) * binder(f);
    one(Line::new("ρ", "density", unit::KG_M3, rho))
}

/// Powder by mass.
pub fn powder_mass(f: &Facts<'_>, row: usize) -> Hand {
    let mut lines = density(f, row)?;
    let rho = lines[0].symbol();
    lines.push(Line::new("ω", "powder by mass", unit::PERCENT, f.loading() * powder(f) / rho));
    Ok(lines)
}

/// Thermal diffusivity.
pub fn diffusivity(f: &Facts<'_>, _row: usize) -> Hand {
    let k = symbol("k", "conductivity of the mixture", unit::W_MK, f.report.feedstock.conductivity_w_mk);
    one(Line::new("α", "thermal diffusivity", unit::MM2_S, k / (f.density() * f.heat_capacity())))
}

/// Particle size d90.
pub fn grain(f: &Facts<'_>, _row: usize) -> Hand {
    let feedstock = &f.scenario.feedstock;
    let size = match feedstock.particle_size_90 {
        Some(stated) => symbol("d_90", "as stated", unit::MICROMETRE, stated),
        None => 2.2 * symbol("d_50", "median particle size", unit::MICROMETRE, feedstock.particle_size),
    };
    one(Line::new("d_90", "particle size d90", unit::MICROMETRE, size))
}
