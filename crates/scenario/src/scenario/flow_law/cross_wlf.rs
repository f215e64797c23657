//! The Cross law with the temperature dependence of Williams, Landel and Ferry.

use crate::catalogue::parameters;

/// Short name for people.
pub(super) const LABEL: &str = "Cross–WLF";
/// Name in the list of the form.
pub(super) const TITLE: &str = "Cross law, WLF in temperature";
/// Constants that scale the viscosity at every shear rate when they change by the same factor.
pub(super) const SCALES: &[&str] = &["d1", "tau_star"];
/// Field of the flow exponent.
pub(super) const EXPONENT: Option<&str> = Some("n");

parameters! {
    /// Constants of η = η₀/(1 + (η₀γ̇/τ*)^(1−n)), η₀ = D₁ exp(−A₁(T−T*)/(A₂+T−T*)), T* = D₂ + D₃p.
    pub struct CrossWlfConstants at "feedstock.flow_law.cross_wlf" {
        required n = 0.35 in 0.05 to 1.0, "n", "", "n", "Flow exponent",
            "Slope of ln shear stress against ln shear rate at high rates; 1 is Newtonian.", "common practice";
        required tau_star = 60.0 in 0.0001 to 10000.0, "τ*", "kPa", "ts", "Stress at the onset of thinning",
            "Shear stress at which shear thinning takes over.", "common practice";
        required d1 = 5e11 in 0.000001 to 1e40, "D_1", "Pa·s", "D1", "Viscosity constant",
            "Low-rate viscosity at the reference temperature T*.", "common practice";
        required d2 = -10.0 in -200.0 to 400.0, "D_2", "°C", "D2", "Reference temperature",
            "Reference temperature T* at zero pressure.", "common practice";
        required d3 = 0.0 in 0.0 to 0.5, "D_3", "K/MPa", "D3", "Pressure shift",
            "Rise of the reference temperature with pressure.", "up to 32.9 1/GPa reported for a carbide compound, Powder Technol. 206 (2011) 209";
        required a1 = 25.0 in 0.0 to 200.0, "A_1", "", "A1", "WLF constant",
            "First WLF constant.", "common practice";
        required a2 = 51.6 in 1.0 to 1000.0, "A_2", "K", "A2", "WLF temperature",
            "Second WLF constant, at zero pressure.", "51.6 K is the customary value, from memory";
    }
}
