//! The power law with Arrhenius's temperature dependence.

use crate::catalogue::parameters;

/// Short name for people.
pub(super) const LABEL: &str = "Power law";
/// Name in the list of the form.
pub(super) const TITLE: &str = "Power law, Arrhenius in temperature";
/// Constants that scale the viscosity at every shear rate when they change by the same factor.
pub(super) const SCALES: &[&str] = &["consistency"];
/// Field of the flow exponent.
pub(super) const EXPONENT: Option<&str> = Some("n");

parameters! {
    /// Constants of η = K exp[(E/R)(1/T − 1/T_r)] γ̇^(n−1).
    pub struct PowerLawConstants at "feedstock.flow_law.power_law" {
        required consistency = 1000.0 in 0.0001 to 1e9, "K", "Pa·sⁿ", "K", "Consistency",
            "Viscosity at 1 1/s at the reference temperature.", "common practice";
        required n = 0.4 in 0.05 to 1.0, "n", "", "pn", "Flow exponent",
            "Slope of ln shear stress against ln shear rate; 1 is Newtonian.", "common practice";
        required activation_energy = 0.0 in 0.0 to 300.0, "E", "kJ/mol", "E", "Flow activation energy",
            "How fast viscosity falls with temperature.", "common practice";
        required reference_temperature = 160.0 in 0.0 to 450.0, "T_r", "°C", "Tr", "Reference temperature",
            "Temperature at which the consistency was measured.", "common practice";
    }
}
