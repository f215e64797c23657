//! The Herschel–Bulkley law, regularised after Papanastasiou, with Arrhenius's temperature dependence.

use crate::catalogue::parameters;

/// Short name for people.
pub(super) const LABEL: &str = "Herschel–Bulkley";
/// Name in the list of the form.
pub(super) const TITLE: &str = "Herschel–Bulkley (yield stress), Arrhenius in temperature";
/// Constants that scale the viscosity at every shear rate when they change by the same factor.
pub(super) const SCALES: &[&str] = &["yield_stress", "consistency"];
/// Field of the flow exponent.
pub(super) const EXPONENT: Option<&str> = Some("n");

parameters! {
    /// Constants of τ = τ_y(1 − exp(−m a_T γ̇)) + K(a_T γ̇)ⁿ, a_T = exp[(E/R)(1/T − 1/T_r)].
    pub struct HerschelBulkleyConstants at "feedstock.flow_law.herschel_bulkley" {
        required yield_stress = 5.0 in 0.0 to 10000.0, "τ_y", "kPa", "hby", "Yield stress",
            "Shear stress below which the feedstock hardly flows.", "common practice";
        required consistency = 2000.0 in 0.0001 to 1e9, "K", "Pa·sⁿ", "hbK", "Consistency",
            "Stress beyond the yield stress at 1 1/s, at the reference temperature.", "common practice";
        required n = 0.45 in 0.05 to 1.0, "n", "", "hbn", "Flow exponent",
            "Slope of ln stress above the yield stress against ln shear rate; 1 is a Bingham fluid.", "common practice";
        required regularisation = 10.0 in 0.001 to 1000000.0, "m", "s", "hbm", "Regularisation",
            "Papanastasiou's exponent: how sharply yielding sets in. It smooths the law and is not a property.", "J. Rheol. 31 (1987) 385, from memory";
        required activation_energy = 30.0 in 0.0 to 300.0, "E", "kJ/mol", "hbE", "Flow activation energy",
            "How fast viscosity falls with temperature.", "common practice";
        required reference_temperature = 160.0 in 0.0 to 450.0, "T_r", "°C", "hbT", "Reference temperature",
            "Temperature at which the consistency was measured.", "common practice";
    }
}
