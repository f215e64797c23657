//! The estimate as a power law: the tangent of the Cross law at the customary shear rate.

use super::cross_wlf::{Cross, EXPONENT};
use super::{CUSTOMARY_RATE, Flow, TYPICAL};
use crate::recipe::blend::Spread;
use crate::recipe::estimated::{Estimated, by_factor, normal};
use gatefrost_core::scenario::{FlowLaw, PowerLawConstants};
use gatefrost_numerics::elementary::Elementary;

/// The law with the bands of its constants. At a given rate the activation energy is E times the exponent.
pub(super) fn law(flow: &Flow, cross: &Cross) -> (FlowLaw, Vec<Estimated>) {
    let n = cross.slope(flow.eta0, CUSTOMARY_RATE);
    let c = PowerLawConstants {
        consistency: cross.viscosity(flow.eta0, CUSTOMARY_RATE) * CUSTOMARY_RATE.power(1.0 - n),
        n,
        activation_energy: flow.energy * n,
        reference_temperature: flow.reference,
    };
    let k_error = flow.log_error_at(CUSTOMARY_RATE, flow.reference);
    let energy = Spread { value: c.activation_energy, error: flow.energy_error * c.n };
    let spread = Spread { value: c.n, error: EXPONENT.1 };
    let k_rule = "tangent of the Cross law at 1000 1/s";
    let bands = vec![
        by_factor("feedstock.flow_law.power_law.consistency", "Pa·sⁿ", c.consistency, k_error, k_rule),
        normal("feedstock.flow_law.power_law.n", "", spread, TYPICAL),
        normal(
            "feedstock.flow_law.power_law.activation_energy",
            "kJ/mol",
            energy,
            "by mass, at a given rate",
        ),
    ];
    (FlowLaw::PowerLaw(c), bands)
}
