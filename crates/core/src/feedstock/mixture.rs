//! Thermal properties of the mixture from those of powder and binder.

use crate::scenario::ConductivityRule;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::search::bisect;

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

/// Conductivity of powder (k_p) in binder (k_b) at the loading φ \[W/mK\].
///
/// - Maxwell–Eucken: k_b (k_p + 2k_b + 2φ(k_p − k_b)) / (k_p + 2k_b − φ(k_p − k_b)), the lower
///   Hashin–Shtrikman bound for k_p > k_b;
/// - Bruggeman (asymmetric, spheres in a matrix): 1 − φ = ((k_p − k)/(k_p − k_b)) (k_b/k)^(1/3);
/// - Lichtenecker: k_b^(1−φ) k_p^φ.
///
/// Their spread is a factor of two to three for metals; it is the uncertainty of the estimate.
pub fn conductivity(rule: ConductivityRule, phi: f64, powder: f64, binder: f64) -> f64 {
    let (kp, kb) = (powder, binder);
    match rule {
        ConductivityRule::MaxwellEucken => {
            kb * (kp + 2.0 * kb + 2.0 * phi * (kp - kb)) / (kp + 2.0 * kb - phi * (kp - kb))
        }
        ConductivityRule::Bruggeman => bruggeman(phi, kp, kb),
        ConductivityRule::Lichtenecker => kb.power(1.0 - phi) * kp.power(phi),
    }
}

/// Root of Bruggeman's equation between k_b and k_p, where it is monotone in k, by bisection.
fn bruggeman(phi: f64, kp: f64, kb: f64) -> f64 {
    if kp == kb {
        return kb;
    }
    let excess = |k: f64| (kp - k) / (kp - kb) * (kb / k).cube_root() - (1.0 - phi);
    bisect(kb, kp, 80, |k| excess(k) <= 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed forms at k_b = 0.25, φ = 0.6, worked out apart from this code; three decimals.
    #[test]
    fn conductivity_rules_match_worked_values() {
        let rules =
            [ConductivityRule::MaxwellEucken, ConductivityRule::Lichtenecker, ConductivityRule::Bruggeman];
        for (kp, expected) in
            [(14.6, [1.245, 2.869, 2.400]), (30.0, [1.308, 4.420, 2.940]), (2.7, [0.887, 1.042, 1.096])]
        {
            for (rule, value) in rules.iter().zip(expected) {
                let k = conductivity(*rule, 0.6, kp, 0.25);
                assert!((k - value).abs() < 6e-4, "{rule:?} {kp}: {k} against {value}");
            }
        }
    }

    #[test]
    fn mass_and_volume_shares_convert_both_ways() {
        let w = powder_mass_fraction(0.6, 7950.0, 880.0);
        assert!((loading_of_mass_fraction(w, 7950.0, 880.0) - 0.6).abs() < 1e-14);
    }
}
