//! The estimate as a Cross law.

use super::{EXPONENT, Flow, ONSET, TYPICAL};
use crate::recipe::blend::Spread;
use crate::recipe::estimated::{Estimated, by_factor, normal};
use crate::recipe::library::{R, ZERO_CELSIUS};
use gatefrost_core::scenario::CrossWlfConstants;

/// With A₂ = D₂ = T_r (in kelvin) the WLF form is D₁ exp[A₁T_r(1/T − 1/T_r)], so that A₁ = E/(R T_r) makes it
/// Arrhenius's.
pub(super) fn constants(flow: &Flow) -> CrossWlfConstants {
    let kelvin = flow.reference + ZERO_CELSIUS;
    CrossWlfConstants {
        n: flow.n,
        tau_star: flow.tau_star / 1e3,
        d1: flow.eta0,
        d2: flow.reference,
        d3: 0.0,
        a1: flow.energy * 1e3 / (R * kelvin),
        a2: kelvin,
    }
}

/// The constants with their bands.
pub(super) fn estimated(flow: &Flow) -> Vec<Estimated> {
    let c = constants(flow);
    let a1 = Spread { value: c.a1, error: c.a1 * flow.energy_error / flow.energy };
    let n = Spread { value: c.n, error: EXPONENT.1 };
    let d1_rule = "binder melt viscosity, mixed logarithmically by mass, times the relative viscosity";
    vec![
        normal("feedstock.flow_law.cross_wlf.n", "", n, TYPICAL),
        by_factor("feedstock.flow_law.cross_wlf.tau_star", "kPa", c.tau_star, ONSET.1, TYPICAL),
        by_factor("feedstock.flow_law.cross_wlf.d1", "Pa·s", c.d1, flow.log_error(), d1_rule),
        normal("feedstock.flow_law.cross_wlf.a1", "", a1, "E/(R T_r), E by mass"),
    ]
}
