//! The conductivity of a mixture from those of its parts: published rules, and how far they lie apart.

use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::search::bisect;
use serde::{Deserialize, Serialize};

/// How the conductivity of the mixture follows from its parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum ConductivityRule {
    /// Lewis and Nielsen: spheres that touch at the densest packing.
    LewisNielsen,
    /// Maxwell and Eucken: separate particles in a matrix. The lower, cautious value for metals.
    MaxwellEucken,
    /// Bruggeman's effective medium of spheres in a matrix.
    Bruggeman,
    /// Lichtenecker: the logarithmic mean.
    Lichtenecker,
}

/// Shape constant A of Lewis and Nielsen's rule for spheres.
const SPHERES: f64 = 1.5;
/// Densest random packing of equal spheres, φ_m of Lewis and Nielsen's rule unless the powder packs more densely.
const RANDOM_PACKING: f64 = 0.637;

impl ConductivityRule {
    /// Every rule.
    pub const ALL: [Self; 4] = [Self::LewisNielsen, Self::MaxwellEucken, Self::Bruggeman, Self::Lichtenecker];

    /// Conductivity of powder (`kp`) in binder (`kb`) \[W/mK\] at the loading `phi`, of a powder whose critical loading is
    /// `phi_c`.
    ///
    /// - Lewis–Nielsen: k_b (1 + ABφ)/(1 − Bψφ), B = (k_p/k_b − 1)/(k_p/k_b + A), ψ = 1 + φ(1−φ_m)/φ_m², A = 1.5 for
    ///   spheres. φ_m is 0.637, or φc if that is greater: the powder can then be packed more densely. (T. B. Lewis, L. E.
    ///   Nielsen, J. Appl. Polym. Sci. 14 (1970) 1449, from memory. For 316L at 60 vol% found better than Maxwell's by
    ///   laser flash: M. Kowalski, J. Duszczyk, L. Katgerman, J. Mater. Sci. 34 (1999) 1, read as abstract.) Near φ_m it
    ///   would exceed what two phases can conduct; it ends at the upper Hashin–Shtrikman bound.
    /// - Maxwell–Eucken: k_b (k_p + 2k_b + 2φ(k_p − k_b)) / (k_p + 2k_b − φ(k_p − k_b)), the lower
    ///   Hashin–Shtrikman bound for k_p > k_b;
    /// - Bruggeman (asymmetric, spheres in a matrix): 1 − φ = ((k_p − k)/(k_p − k_b)) (k_b/k)^(1/3);
    /// - Lichtenecker: k_b^(1−φ) k_p^φ.
    ///
    /// Their spread is a factor of two to three for metals; it is the uncertainty of the estimate.
    pub fn conductivity(self, phi: f64, phi_c: f64, kp: f64, kb: f64) -> f64 {
        match self {
            Self::LewisNielsen => lewis_nielsen(phi, phi_c, kp, kb),
            Self::MaxwellEucken => maxwell(phi, kp, kb),
            Self::Bruggeman => bruggeman(phi, kp, kb),
            Self::Lichtenecker => kb.power(1.0 - phi) * kp.power(phi),
        }
    }

    /// Standard deviation of ln k among the rules: the standard error of an estimate that one of them makes.
    pub fn spread(phi: f64, phi_c: f64, kp: f64, kb: f64) -> f64 {
        let logs = Self::ALL.map(|rule| rule.conductivity(phi, phi_c, kp, kb).logarithm());
        let mean = logs.iter().sum::<f64>() / logs.len() as f64;
        (logs.iter().map(|log| (log - mean).powi(2)).sum::<f64>() / (logs.len() - 1) as f64).sqrt()
    }
}

fn maxwell(phi: f64, kp: f64, kb: f64) -> f64 {
    kb * (kp + 2.0 * kb + 2.0 * phi * (kp - kb)) / (kp + 2.0 * kb - phi * (kp - kb))
}

fn lewis_nielsen(phi: f64, phi_c: f64, kp: f64, kb: f64) -> f64 {
    let densest = phi_c.max(RANDOM_PACKING);
    let contrast = (kp / kb - 1.0) / (kp / kb + SPHERES);
    let crowded = 1.0 + phi * (1.0 - densest) / densest.powi(2);
    let left = 1.0 - contrast * crowded * phi;
    // The bounds are Maxwell's formula with either part as the matrix.
    let bounds = [maxwell(phi, kp, kb), maxwell(1.0 - phi, kb, kp)];
    let most = bounds[0].max(bounds[1]);
    if left > 0.0 { (kb * (1.0 + SPHERES * contrast * phi) / left).min(most) } else { most }
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
        use ConductivityRule::{Bruggeman, Lichtenecker, MaxwellEucken};
        for (kp, expected) in
            [(14.6, [1.245, 2.869, 2.400]), (30.0, [1.308, 4.420, 2.940]), (2.7, [0.887, 1.042, 1.096])]
        {
            for (rule, value) in [MaxwellEucken, Lichtenecker, Bruggeman].iter().zip(expected) {
                let k = rule.conductivity(0.6, 0.66, kp, 0.25);
                assert!((k - value).abs() < 6e-4, "{rule:?} {kp}: {k} against {value}");
            }
        }
    }

    /// 316L (15 W/mK) at 60 vol% in a binder of 0.2 W/mK: worked out apart from this code for φ_m = 0.637 and 0.72, where
    /// Maxwell's rule gives 1.02. The literature's laser flash lies with Lewis and Nielsen.
    #[test]
    fn lewis_and_nielsen_give_three_times_maxwell_for_steel() {
        let k = |phi_c| ConductivityRule::LewisNielsen.conductivity(0.6, phi_c, 15.0, 0.2);
        assert!((k(0.6) - 3.4616).abs() < 1e-4, "{}", k(0.6));
        assert!((k(0.72) - 1.6159).abs() < 1e-4, "{}", k(0.72));
        let maxwell = ConductivityRule::MaxwellEucken.conductivity(0.6, 0.66, 15.0, 0.2);
        assert!((maxwell - 1.02).abs() < 5e-3, "{maxwell}");
        let spread = ConductivityRule::spread(0.6, 0.66, 15.0, 0.2);
        assert!(spread > 0.3 && spread < 0.6, "a factor of two either way covers them: {spread}");
    }

    #[test]
    fn lewis_and_nielsen_keep_to_what_two_phases_can_conduct() {
        for (phi, phi_c) in [(0.64, 0.64), (0.65, 0.66), (0.79, 0.8), (0.01, 0.3)] {
            for kp in [0.02, 0.2, 2.0, 400.0] {
                let k = ConductivityRule::LewisNielsen.conductivity(phi, phi_c, kp, 0.2);
                let (a, b) = (maxwell(phi, kp, 0.2), maxwell(1.0 - phi, 0.2, kp));
                let (low, high) = (a.min(b), a.max(b));
                assert!(k >= 0.97 * low && k <= high * (1.0 + 1e-12), "{phi} {kp}: {k} of {low} to {high}");
            }
        }
    }
}
