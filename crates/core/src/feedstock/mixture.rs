//! Density and shares of the mixture.

/// Density of a mixture without voids, ρ = φ ρ_p + (1−φ) ρ_b \[kg/m³\].
pub fn density(phi: f64, powder: f64, binder: f64) -> f64 {
    phi * powder + (1.0 - phi) * binder
}

/// Powder share by mass at the loading φ.
pub fn powder_mass_fraction(phi: f64, powder_density: f64, binder_density: f64) -> f64 {
    phi * powder_density / density(phi, powder_density, binder_density)
}

/// Loading φ at a powder share by mass: the inverse of [`powder_mass_fraction`].
pub fn loading_of_mass_fraction(w: f64, powder_density: f64, binder_density: f64) -> f64 {
    (w / powder_density) / (w / powder_density + (1.0 - w) / binder_density)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mass_and_volume_shares_convert_both_ways() {
        let w = powder_mass_fraction(0.6, 7950.0, 880.0);
        assert!((loading_of_mass_fraction(w, 7950.0, 880.0) - 0.6).abs() < 1e-14);
    }
}
