//! The Carreau–Yasuda law with Arrhenius's temperature dependence.

use crate::catalogue::parameters;

/// Short name for people.
pub(super) const LABEL: &str = "Carreau–Yasuda";
/// Name in the list of the form.
pub(super) const TITLE: &str = "Carreau–Yasuda, Arrhenius in temperature";
/// Constants that scale the viscosity at every shear rate when they change by the same factor.
pub(super) const SCALES: &[&str] = &["eta0"];
/// Field of the flow exponent.
pub(super) const EXPONENT: Option<&str> = Some("n");

parameters! {
    /// Constants of η = a_T η₀ (1 + (a_T λγ̇)^a)^((n−1)/a), a_T = exp[(E/R)(1/T − 1/T_r)].
    pub struct CarreauYasudaConstants at "feedstock.flow_law.carreau_yasuda" {
        required eta0 = 3000.0 in 0.0001 to 1e9, "η_0", "Pa·s", "cy0", "Low-rate viscosity",
            "Viscosity at rest, at the reference temperature.", "common practice";
        required relaxation_time = 0.05 in 1e-9 to 1e6, "λ", "s", "cyl", "Relaxation time",
            "Inverse of the shear rate at which thinning takes over, at the reference temperature.", "common practice";
        required transition = 0.8 in 0.1 to 10.0, "a", "", "cya", "Breadth of the transition",
            "Yasuda's exponent; 2 is Carreau's own law.", "common practice";
        required n = 0.35 in 0.05 to 1.0, "n", "", "cyn", "Flow exponent",
            "Slope of ln shear stress against ln shear rate at high rates; 1 is Newtonian.", "common practice";
        required activation_energy = 40.0 in 0.0 to 300.0, "E", "kJ/mol", "cyE", "Flow activation energy",
            "How fast viscosity falls with temperature.", "common practice";
        required reference_temperature = 160.0 in 0.0 to 450.0, "T_r", "°C", "cyT", "Reference temperature",
            "Temperature at which viscosity and relaxation time were measured.", "common practice";
    }
}
