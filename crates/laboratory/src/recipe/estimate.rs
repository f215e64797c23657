//! The estimate: a feedstock with every constant filled in, each with its band.

use super::batch::{self, BatchSheet};
use super::blend::{Blend, ROOM, SettingPeak, Spread};
use super::check::{Resolved, push};
use super::estimated::{Estimated, banded, by_factor, from_library, lopsided, normal, to_digits};
use super::family;
use super::flow::{BACKBONE_SHARE, Contribution, Flow, Temperatures};
use super::properties::{self, HeatPoint, RuleValue};
use super::{Recipe, names, remarks};
use gatefrost_core::catalogue;
use gatefrost_core::scenario::{
    ConductivityRule, Feedstock, FlowLaw, MAX_FURTHER_PEAKS, MeltingPeak, Problem, PvtLaw, ScenarioError,
    TaitConstants,
};
use serde::{Deserialize, Serialize};

/// How the provenance of every estimated feedstock begins; the powder follows.
pub const PROVENANCE: &str = "estimated from a recipe";

/// How the setting range is found.
const SETTING: &str =
    "even range with mean and spread of the latent heat; error: its misfit, and 5 K by grade, from memory";
/// The numbers of the linear pvT law. A recipe's law is Tait's.
const LINEAR: [&str; 2] = ["feedstock.binder_expansion", "feedstock.binder_compressibility"];
/// Standard error of a setting temperature by grade \[K\].
const BY_GRADE: f64 = 5.0;

/// The estimate of a recipe.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Estimate {
    /// The feedstock, ready for a scenario.
    pub feedstock: Feedstock,
    /// Its estimated constants with their bands, named by their scenario paths.
    pub parameters: Vec<Estimated>,
    /// Further properties of binder and mixture.
    pub properties: Vec<Estimated>,
    /// Sources of the uncertainty of the viscosity.
    pub viscosity_errors: Vec<Contribution>,
    /// Conductivity of the mixture by each rule.
    pub conductivities: Vec<RuleValue>,
    /// Heat against temperature.
    pub heat: Vec<HeatPoint>,
    /// The batch sheet, if the recipe asks for one and it can be mixed.
    pub batch: Option<BatchSheet>,
    /// Why the batch cannot be mixed. The estimate is valid nevertheless.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub batch_refused: Vec<Problem>,
    /// Remarks, in sentences.
    pub remarks: Vec<String>,
}

impl Estimate {
    /// The parameter or property of that name.
    pub fn get(&self, quantity: &str) -> Option<&Estimated> {
        self.parameters.iter().chain(&self.properties).find(|e| e.quantity == quantity)
    }
}

pub(super) fn estimate(recipe: &Recipe, r: &Resolved) -> Result<Estimate, ScenarioError> {
    let flow = Flow::new(recipe, r, r.phi);
    let (flow_law, constants) = flow.law(r.flow_form);
    let mut parameters = parameters(recipe, r);
    parameters.extend(constants);
    let mut feedstock = feedstock(recipe, r, flow_law, &parameters);
    family::put(r.family, &mut feedstock);
    let mut problems = Vec::new();
    for e in &parameters {
        if let Some(p) = catalogue::at(&e.quantity)
            && !p.accepts(e.value)
        {
            let message = format!("is estimated as {}; a scenario accepts {}", e.value, p.range_text());
            push(&mut problems, &e.quantity, message);
        }
    }
    if !problems.is_empty() {
        return Err(ScenarioError { problems });
    }
    let (batch, batch_refused) = match recipe.batch.as_ref().map(|wanted| batch::sheet(r, wanted)) {
        None => (None, Vec::new()),
        Some(Ok(sheet)) => (Some(sheet), Vec::new()),
        Some(Err(refused)) => (None, refused.problems),
    };
    Ok(Estimate {
        properties: properties::properties(recipe, r, &flow),
        conductivities: properties::conductivities(r),
        heat: properties::heat_curve(r),
        remarks: remarks::remarks(recipe, r, &flow),
        viscosity_errors: flow.contributions,
        feedstock,
        parameters,
        batch,
        batch_refused,
    })
}

/// The constants of the scenario's feedstock.
fn parameters(recipe: &Recipe, r: &Resolved) -> Vec<Estimated> {
    let (powder, blend, t) = (r.powder, &r.blend, r.reference);
    let room = blend.volume_room();
    let melt = blend.volume_melt(t, 0.0);
    let density = Spread { value: 1.0 / room.value, error: room.error / room.value.powi(2) };
    let ratio = melt.value / room.value;
    let expansion = Spread {
        value: (ratio - 1.0) / (t - ROOM) * 1e4,
        error: ratio * (melt.error / melt.value).hypot(room.error / room.value) / (t - ROOM) * 1e4,
    };
    let squeeze = blend.compressibility(t);
    let squeeze = Spread { value: squeeze.value * 1e9, error: squeeze.error * 1e9 };
    let heat = blend.mean_heat_capacity(ROOM, t, recipe.latent_in_heat_capacity);
    let heat_rule = if recipe.latent_in_heat_capacity {
        "by mass, mean from 20 °C to the reference temperature, latent heat included"
    } else {
        "by mass, mean from 20 °C to the reference temperature, latent heat left out"
    };
    let keep = if recipe.latent_in_heat_capacity { 0.0 } else { 1e-3 };
    let latent_rule = if recipe.latent_in_heat_capacity { "in the heat capacity" } else { "by mass" };
    let peaks = setting_peaks(blend);
    let latent =
        |peak: &SettingPeak| Spread { value: keep * peak.latent.value, error: keep * peak.latent.error };
    let by_grade = |peak: &SettingPeak, value| Spread { value, error: peak.setting.misfit.hypot(BY_GRADE) };
    let first = peaks[0];
    let temperatures = Temperatures::new(recipe, blend);
    let phi_c = Spread { value: 100.0 * r.phi_c, error: 100.0 * r.phi_c_error };
    let phi_c_rule = match (recipe.critical_loading, recipe.critical_loading_error) {
        (None, _) => "usual for the powder",
        (_, None) => "as given, ±2 vol%",
        (_, Some(_)) => "as given, with its error",
    };

    let mut all = vec![
        normal("feedstock.critical_loading", "vol%", phi_c, phi_c_rule),
        from_library("feedstock.powder_density", &powder.density),
        from_library("feedstock.powder_heat_capacity", &powder.heat_capacity),
        from_library("feedstock.powder_conductivity", &powder.conductivity),
        normal("feedstock.binder_density", "kg/m³", density, "by volume, at 20 °C as weighed"),
        normal("feedstock.binder_heat_capacity", "J/kgK", heat, heat_rule),
        normal("feedstock.latent_heat", "kJ/kg", latent(&first), latent_rule),
        normal("feedstock.solidus", "°C", by_grade(&first, first.setting.from), SETTING),
        normal("feedstock.liquidus", "°C", by_grade(&first, first.setting.to), SETTING),
        normal("feedstock.binder_conductivity", "W/mK", blend.conductivity(), "mean by volume"),
        by_factor(
            "feedstock.conductivity_factor",
            "",
            1.0,
            ConductivityRule::spread(r.phi, r.phi_c, powder.conductivity.value, blend.conductivity().value),
            "not measured; error: spread of the rules",
        ),
        normal(
            "feedstock.binder_expansion",
            "1e-4/K",
            expansion,
            "volume of the melt at the reference temperature against that at 20 °C",
        ),
        normal("feedstock.binder_compressibility", "1/GPa", squeeze, "by volume, melt, mean to 100 MPa"),
        lopsided(
            "feedstock.no_flow_temperature",
            "°C",
            temperatures.no_flow,
            remarks::no_flow_rule(recipe, blend),
        ),
        lopsided(
            "feedstock.ejection_temperature",
            "°C",
            temperatures.ejection,
            remarks::ejection_rule(recipe, blend),
        ),
        from_library("feedstock.sintered_density", &powder.sintered_density),
    ];
    if !recipe.latent_in_heat_capacity {
        for (i, peak) in peaks[1..].iter().enumerate() {
            let at = |field: &str, e: Estimated| {
                let quantity = format!("feedstock.further_melting.{i}.{field}").into();
                Estimated { quantity, ..e }
            };
            all.push(at("latent_heat", normal("", "kJ/kg", latent(peak), latent_rule)));
            all.push(at("solidus", normal("", "°C", by_grade(peak, peak.setting.from), SETTING)));
            all.push(at("liquidus", normal("", "°C", by_grade(peak, peak.setting.to), SETTING)));
        }
    }
    if let Some(last) = blend.last_to_melt(BACKBONE_SHARE) {
        all.push(from_library("feedstock.melted_temperature", &last.melting_to));
    }
    if let Some(first) = blend.first_to_decompose() {
        let v = &first.decomposition;
        let rule = format!("lowest onset among the parts: {}", first.name);
        all.push(banded("feedstock.burn_onset", "°C", (v.value, v.low, v.high), rule));
    }
    all.push(match recipe.particle_size {
        Some(d) => banded("feedstock.particle_size", "µm", (d, d, d), "as given"),
        None => from_library("feedstock.particle_size", &powder.particle_size),
    });
    all.extend(melt_volume(blend, t));
    all
}

/// The constants of the melt's volume whose errors follow from the parts' data. Those of the solid are illustrative and have
/// none; what melting adds follows the volume of the melt.
fn melt_volume(blend: &Blend, reference: f64) -> [Estimated; 3] {
    let tait = blend.tait(reference);
    let [volume, expansion, stiffness] = blend.tait_errors(&tait);
    let spread = |value, error| Spread { value, error };
    [
        normal(
            "feedstock.pvt.tait.b1m",
            "cm³/g",
            spread(tait.b1m, volume),
            "by mass, melt of the parts at the transition",
        ),
        normal(
            "feedstock.pvt.tait.b2m",
            "1e-4 cm³/gK",
            spread(tait.b2m, expansion),
            "by mass, melt of the parts from the transition to the reference temperature",
        ),
        by_factor(
            "feedstock.pvt.tait.b3m",
            "MPa",
            tait.b3m,
            stiffness,
            "from the melt's loss of volume up to 100 MPa at the transition",
        ),
    ]
}

/// The peaks in which a binder sets, as many as a scenario takes; one without latent heat for a binder that does not melt.
fn setting_peaks(blend: &Blend) -> Vec<SettingPeak> {
    let mut peaks = blend.peaks();
    let surplus = peaks.len().saturating_sub(MAX_FURTHER_PEAKS + 1);
    peaks.drain(..surplus);
    if peaks.is_empty() {
        peaks.push(SettingPeak { latent: Spread { value: 0.0, error: 0.0 }, setting: blend.setting_range() });
    }
    peaks
}

fn feedstock(recipe: &Recipe, r: &Resolved, flow_law: FlowLaw, parameters: &[Estimated]) -> Feedstock {
    let get = |name: &str| {
        let found = parameters.iter().find(|e| e.quantity.strip_prefix("feedstock.") == Some(name));
        found.map_or(f64::NAN, |e| to_digits(e.value, DIGITS))
    };
    let further = (0..MAX_FURTHER_PEAKS).map(|i| {
        ["latent_heat", "solidus", "liquidus"].map(|field| get(&format!("further_melting.{i}.{field}")))
    });
    let further = further
        .take_while(|peak| peak.iter().all(|value| value.is_finite()))
        .map(|[latent_heat, solidus, liquidus]| MeltingPeak { latent_heat, solidus, liquidus })
        .collect();
    Feedstock {
        latent_heat: get("latent_heat"),
        solidus: get("solidus"),
        liquidus: get("liquidus"),
        further_melting: further,
        melted_temperature: parameters
            .iter()
            .find(|e| e.quantity == "feedstock.melted_temperature")
            .map(|e| e.value),
        pvt: rounded_pvt(r.blend.tait(r.reference)),
        name: r.name.clone(),
        provenance: format!("{PROVENANCE}, powder: {}", names::inside(&r.powder.name)),
        // The linear pvT law is not the one in use.
        uncertainty: Some(crate::uncertainty::of_estimate(
            parameters.iter().filter(|e| !LINEAR.contains(&e.quantity.as_ref())),
        )),
        loading_law: recipe.loading_law,
        loading_scaling: recipe.loading_scaling,
        conductivity_rule: recipe.conductivity_rule,
        flow_law: rounded_flow(flow_law),
        solids_loading: to_digits(100.0 * r.phi, DIGITS),
        critical_loading: get("critical_loading"),
        measured_loading: to_digits(100.0 * r.phi, DIGITS),
        loading_exponent: recipe.loading_exponent,
        powder_density: get("powder_density"),
        powder_heat_capacity: get("powder_heat_capacity"),
        powder_conductivity: get("powder_conductivity"),
        particle_size: get("particle_size"),
        binder_density: get("binder_density"),
        binder_heat_capacity: get("binder_heat_capacity"),
        binder_conductivity: get("binder_conductivity"),
        binder_expansion: get("binder_expansion"),
        binder_compressibility: get("binder_compressibility"),
        no_flow_temperature: get("no_flow_temperature"),
        ejection_temperature: get("ejection_temperature"),
        burn_onset: get("burn_onset"),
        sintered_density: get("sintered_density"),
        ..Feedstock::default()
    }
}

/// Digits of an estimated number. Its band is wider than 0.1 %, and a link stays short.
const DIGITS: usize = 5;

/// A pvT law with its numbers rounded. Solid and melt still meet where the binder sets.
fn rounded_pvt(mut law: TaitConstants) -> PvtLaw {
    let TaitConstants { b1m, b2m, b3m, b4m, b5, b1s, b2s, b3s, b8, b9, .. } = &mut law;
    for value in [b1m, b2m, b3m, b4m, b5, b1s, b2s, b3s, b8, b9] {
        *value = to_digits(*value, DIGITS);
    }
    law.b7 = to_digits(law.b1m - law.b1s, DIGITS);
    PvtLaw::Tait(law)
}

/// A flow law with its numbers rounded, those that a recipe estimates.
fn rounded_flow(mut law: FlowLaw) -> FlowLaw {
    let estimated: &mut [&mut f64] = match &mut law {
        FlowLaw::CrossWlf(c) => &mut [&mut c.d1, &mut c.a1],
        FlowLaw::HerschelBulkley(c) => {
            &mut [&mut c.yield_stress, &mut c.consistency, &mut c.activation_energy]
        }
        FlowLaw::PowerLaw(c) => &mut [&mut c.consistency],
        FlowLaw::CarreauYasuda(_) => &mut [],
    };
    estimated.iter_mut().for_each(|value| **value = to_digits(**value, DIGITS));
    law
}
