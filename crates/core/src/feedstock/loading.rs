//! Relative viscosity of a suspension against its solids loading.

use crate::scenario::LoadingLaw;
use gatefrost_numerics::elementary::Elementary;

/// Relative viscosity η_r(φ) = η/η_binder for 0 ≤ φ < φc.
///
/// With x = φ/φc:
/// - power: (1 − x)^−m, m about 2 for PIM feedstocks (handbook; Quemada's form for m = 2);
/// - Krieger–Dougherty: (1 − x)^(−2.5 φc), Trans. Soc. Rheol. 3 (1959) 137, read in
///   Entropy 23 (2021) 979, table 6;
/// - Eilers: (1 + 1.25 φ/(1 − x))², from memory;
/// - Chong: (1 + 0.75 x/(1 − x))², from memory;
/// - Quemada: (1 − x)^−2, from memory; the power form with m = 2;
/// - Mooney: exp(2.5 φ/(1 − x)), from memory. Made for dilute and semi-dilute suspensions: at the loadings of PIM its
///   viscosities have no meaning (2.65e10 at φ = 0.60, φc = 0.64).
///
/// `exponent` is m and used by the power form only.
pub fn relative_viscosity(law: LoadingLaw, phi: f64, phi_c: f64, exponent: f64) -> f64 {
    let x = phi / phi_c;
    match law {
        LoadingLaw::Power => (1.0 - x).power(-exponent),
        LoadingLaw::KriegerDougherty => (1.0 - x).power(-2.5 * phi_c),
        LoadingLaw::Eilers => (1.0 + 1.25 * phi / (1.0 - x)).powi(2),
        LoadingLaw::Chong => (1.0 + 0.75 * x / (1.0 - x)).powi(2),
        LoadingLaw::Quemada => (1.0 - x).powi(-2),
        LoadingLaw::Mooney => (2.5 * phi / (1.0 - x)).exponential(),
    }
}
