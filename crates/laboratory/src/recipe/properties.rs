//! Properties of binder and mixture beside the constants of a scenario.

use super::Recipe;
use super::blend::{ROOM, Spread};
use super::check::Resolved;
use super::estimated::{Estimated, banded, by_factor, normal};
use super::flow::{self, Flow};
use gatefrost_core::feedstock::mixture;
use gatefrost_core::scenario::ConductivityRule;
use serde::{Deserialize, Serialize};

/// Conductivity of the mixture by one rule.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct RuleValue {
    /// The rule.
    pub rule: ConductivityRule,
    /// Conductivity \[W/mK\].
    pub conductivity: f64,
}

/// The heat of binder and mixture at a temperature.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct HeatPoint {
    /// Temperature \[°C\].
    pub temperature: f64,
    /// Apparent heat capacity of the binder \[J/kgK\].
    pub binder_heat_capacity: f64,
    /// Apparent heat capacity of the mixture \[J/kgK\].
    pub mixture_heat_capacity: f64,
    /// Molten share of the binder by mass.
    pub molten: f64,
}

/// Properties of binder and mixture that a scenario does not hold.
pub(super) fn properties(recipe: &Recipe, r: &Resolved, flow: &Flow) -> Vec<Estimated> {
    let (powder, blend, t) = (r.powder, &r.blend, r.reference);
    let (room, melt) = (blend.volume_room(), blend.volume_melt(t, 0.0));
    let share = mixture::powder_mass_fraction(r.phi, powder.density.value, 1.0 / room.value);
    let density = |v: Spread| {
        let volume = share / powder.density.value + (1.0 - share) * v.value;
        let error =
            (share * powder.density.error() / powder.density.value.powi(2)).hypot((1.0 - share) * v.error);
        Spread { value: 1.0 / volume, error: error / volume.powi(2) }
    };
    let heat = |binder: Spread| Spread {
        value: share * powder.heat_capacity.value + (1.0 - share) * binder.value,
        error: (share * powder.heat_capacity.error()).hypot((1.0 - share) * binder.error),
    };
    let latent = blend.latent_heat();
    let latent =
        Spread { value: (1.0 - share) * latent.value / 1e3, error: (1.0 - share) * latent.error / 1e3 };
    let exact = |value| Spread { value, error: 0.0 };
    let in_melt = 100.0 * share / powder.density.value * density(melt).value;
    let rate = flow::CUSTOMARY_RATE;
    let thick = flow.viscosity(rate, t);
    let index = mouldability_of(flow, t);
    let sensible = blend.mean_heat_capacity(ROOM, t, false);

    vec![
        normal("reference_temperature", "°C", exact(t), "where the flow law is estimated"),
        normal("powder_mass", "%", exact(100.0 * share), "from the loading and the densities at 20 °C"),
        normal("density", "kg/m³", density(room), "at 20 °C, without voids"),
        normal("density_in_melt", "kg/m³", density(melt), "at the reference temperature, without pressure"),
        normal("loading_in_melt", "vol%", exact(in_melt), "the binder has expanded"),
        normal("heat_capacity", "J/kgK", heat(sensible), "by mass, mean, latent heat left out"),
        normal("latent_heat", "kJ/kg", latent, "by mass"),
        conductivity_band(recipe, r),
        by_factor(
            "binder_viscosity",
            "Pa·s",
            flow.binder,
            flow.binder_log_error,
            "low rate, reference temperature; mixed logarithmically by mass",
        ),
        normal("relative_viscosity", "", exact(flow.relative), "at the loading"),
        by_factor("viscosity_at_rest", "Pa·s", flow.eta0, flow.log_error(), "reference temperature"),
        by_factor(
            "viscosity_at_1000",
            "Pa·s",
            thick,
            flow.log_error_at(rate, t),
            "1000 1/s, reference temperature",
        ),
        normal(
            "activation_energy",
            "kJ/mol",
            Spread { value: flow.energy, error: flow.energy_error },
            "by mass, at a given stress",
        ),
        by_factor(
            "mouldability",
            "1e-6/PasK",
            index * 1e6,
            flow.log_error_at(rate, t).hypot(flow.energy_error / flow.energy),
            "Weir's index at 1000 1/s, formula from memory; only for comparing feedstocks",
        ),
        normal("molten_at_150", "%", exact(100.0 * blend.molten(150.0)), "of the binder's mass at 150 °C"),
        normal("melting_end", "°C", exact(blend.melting_end()), "where the last part has melted"),
    ]
}

fn mouldability_of(flow: &Flow, t: f64) -> f64 {
    let rate = flow::CUSTOMARY_RATE;
    flow::mouldability(flow.viscosity(rate, t), flow.slope(rate, t), flow.energy)
}

pub(super) fn conductivities(r: &Resolved) -> Vec<RuleValue> {
    let (kp, kb) = (r.powder.conductivity.value, r.blend.conductivity().value);
    let by =
        |rule: ConductivityRule| RuleValue { rule, conductivity: rule.conductivity(r.phi, r.phi_c, kp, kb) };
    ConductivityRule::ALL.map(by).to_vec()
}

/// The chosen rule's value in a band that spans all rules and the parts' own ranges.
fn conductivity_band(recipe: &Recipe, r: &Resolved) -> Estimated {
    let (kp, kb) = (&r.powder.conductivity, r.blend.conductivity());
    let value = recipe.conductivity_rule.conductivity(r.phi, r.phi_c, kp.value, kb.value);
    let ends = |kp: f64, kb: f64, pick: fn(f64, f64) -> f64, start: f64| {
        ConductivityRule::ALL.iter().map(|rule| rule.conductivity(r.phi, r.phi_c, kp, kb)).fold(start, pick)
    };
    let low = ends(kp.low, kb.value - 2.0 * kb.error, f64::min, f64::INFINITY);
    let high = ends(kp.high, kb.value + 2.0 * kb.error, f64::max, 0.0);
    banded("conductivity", "W/mK", (value, low, high), "the chosen rule; the band spans all rules")
}

/// Heat every 2 K from 0 °C to 20 K above the reference temperature.
pub(super) fn heat_curve(r: &Resolved) -> Vec<HeatPoint> {
    let share =
        mixture::powder_mass_fraction(r.phi, r.powder.density.value, 1.0 / r.blend.volume_room().value);
    let count = ((r.reference + 20.0) / 2.0).floor() as usize;
    let at = |i: usize| {
        let temperature = 2.0 * i as f64;
        let binder = r.blend.heat_capacity(temperature);
        HeatPoint {
            temperature,
            binder_heat_capacity: binder,
            mixture_heat_capacity: share * r.powder.heat_capacity.value + (1.0 - share) * binder,
            molten: r.blend.molten(temperature),
        }
    };
    (0..=count).map(at).collect()
}
