//! The estimate as a power law: the tangent of the Cross law at the customary shear rate.

use super::{CUSTOMARY_RATE, EXPONENT, Flow, TYPICAL};
use crate::recipe::blend::Spread;
use crate::recipe::estimated::{Estimated, by_factor, normal};
use gatefrost_core::scenario::PowerLawConstants;
use gatefrost_numerics::elementary::Elementary;

/// At a given rate the activation energy is E times the exponent.
pub(super) fn constants(flow: &Flow) -> PowerLawConstants {
    let n = flow.slope(CUSTOMARY_RATE, flow.reference);
    PowerLawConstants {
        consistency: flow.viscosity(CUSTOMARY_RATE, flow.reference) * CUSTOMARY_RATE.power(1.0 - n),
        n,
        activation_energy: flow.energy * n,
        reference_temperature: flow.reference,
    }
}

/// The constants with their bands.
pub(super) fn estimated(flow: &Flow) -> Vec<Estimated> {
    let c = constants(flow);
    let k_error = flow.log_error_at(CUSTOMARY_RATE, flow.reference);
    let energy = Spread { value: c.activation_energy, error: flow.energy_error * c.n };
    let n = Spread { value: c.n, error: EXPONENT.1 };
    let k_rule = "tangent of the Cross law at 1000 1/s";
    vec![
        by_factor("feedstock.flow_law.power_law.consistency", "Pa·sⁿ", c.consistency, k_error, k_rule),
        normal("feedstock.flow_law.power_law.n", "", n, TYPICAL),
        normal(
            "feedstock.flow_law.power_law.activation_energy",
            "kJ/mol",
            energy,
            "by mass, at a given rate",
        ),
    ]
}
