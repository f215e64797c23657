//! What to bear in mind about an estimate, in sentences.

use super::blend::Blend;
use super::check::{Resolved, tidy};
use super::flow::{BACKBONE_SHARE, CUSTOMARY_RATE, Flow, carrier};
use super::library::{self, PartRole, Powder};
use super::{FlowForm, NoFlowRule, Recipe, names};
use gatefrost_core::format::number;
use gatefrost_core::scenario::LoadingLaw;
use gatefrost_numerics::elementary::Elementary;
use std::borrow::Cow;

/// Viscosity above which a feedstock is customarily called too stiff \[Pa·s\].
const CUSTOMARY_CEILING: f64 = 1000.0;
/// Misfit of the setting range from which it is remarked on \[K\].
const POOR_SETTING: f64 = 10.0;
/// Customary distance from the critical loading [vol%].
const CUSTOMARY_MARGIN: f64 = 2.0;

/// The no-flow rule in words, with the part it rests on.
pub(super) fn no_flow_rule(recipe: &Recipe, blend: &Blend) -> Cow<'static, str> {
    match (recipe.no_flow_rule, blend.first_to_set(BACKBONE_SHARE)) {
        (NoFlowRule::Backbone, Some(part)) => {
            format!("where {} begins to set on cooling; the band is from memory", part.name).into()
        }
        _ => "where 50 % of the binder's mass is solid; the band runs from 90 % to 10 %".into(),
    }
}

/// The ejection rule in words, with the part it rests on.
pub(super) fn ejection_rule(recipe: &Recipe, blend: &Blend) -> Cow<'static, str> {
    match carrier(recipe, blend) {
        Some(part) => {
            let name = &part.name;
            format!("where half of {name} has set on cooling; the band runs from 90 % set to where it begins")
                .into()
        }
        None => "where 90 % of the binder's mass is solid; the band runs from 98 % to 50 %".into(),
    }
}

pub(super) fn remarks(recipe: &Recipe, r: &Resolved, flow: &Flow) -> Vec<String> {
    let mut all = Vec::new();
    let t = r.reference;
    let spread = (2.0 * flow.log_error_at(CUSTOMARY_RATE, t)).exponential();
    all.push(format!(
        "A recipe gives an estimate, not a measurement: the viscosity at 1000 1/s and {} °C may be off by a factor of {} either way. Measure the feedstock before you rely on it.",
        tidy(t),
        tidy((10.0 * spread).round() / 10.0)
    ));
    let typical = match r.flow_form {
        FlowForm::HerschelBulkley => "Flow exponent and yield stress",
        _ => "Flow exponent and onset of thinning",
    };
    all.push(format!(
        "{typical} are typical values, not computed from the recipe; no pressure dependence is estimated."
    ));
    all.push(
        "The mixing rule leaves out entanglement and parts that do not mix; with much polymer of high molar mass the true viscosity tends to be higher (from memory)."
            .to_owned(),
    );
    all.push(
        "Loadings and binder density are those at 20 °C, as a batch is weighed; in the melt the binder has expanded and the loading by volume is lower."
            .to_owned(),
    );
    if recipe.latent_in_heat_capacity {
        all.push(
            "The binder heat capacity is a mean from 20 °C to the reference temperature with the latent heat in it, as asked for; the scenario then has no latent heat of its own."
                .to_owned(),
        );
    }
    let peaks = r.blend.peaks().into_iter().map(|peak| peak.setting);
    let poorest = peaks.max_by(|a, b| a.misfit.total_cmp(&b.misfit));
    all.push("The volume of the binder follows Tait’s equation, from its parts by mass. How solid parts expand and yield is illustrative.".to_owned());
    if let Some(setting) = poorest.filter(|s| !recipe.latent_in_heat_capacity && s.misfit > POOR_SETTING) {
        all.push(format!(
            "Parts of the binder solidify far apart within one peak. The temperatures at which they give up latent heat differ from the even range, {} to {} °C, by {} K (root mean square). This error is in the cooling times.",
            number(setting.from, 3),
            number(setting.to, 3),
            number(setting.misfit, 2)
        ));
    }
    if (r.sum - 1.0).abs() > 1e-9 {
        all.push(format!("The mass fractions sum to {} and were scaled to 1.", tidy(r.sum)));
    }
    if recipe.critical_loading.is_none() {
        all.push(
            "The critical loading is that of a usual powder of this kind; it belongs to the lot, so measure it (density or torque against loading)."
                .to_owned(),
        );
    }
    all.extend(of_name("name of the feedstock", &r.name, &r.powder.key));
    all.extend(unusual(recipe, r.powder));
    margin(&mut all, r);
    if recipe.loading_law == LoadingLaw::Mooney {
        all.push("Mooney's law grows far too fast at such loadings. It is here for comparison.".to_owned());
    }
    let thick = flow.viscosity(CUSTOMARY_RATE, t);
    if thick > CUSTOMARY_CEILING {
        all.push(
            "The estimate exceeds 1000 Pa·s at 1000 1/s, the customary ceiling (common practice).".to_owned(),
        );
    }
    binder(&mut all, r);
    for (part, _) in r.blend.parts() {
        all.push(format!("{}: {}", part.name, part.caution));
    }
    all.push(format!(
        "{}: {} Local codes, data sheets and licensed practice come first.",
        r.powder.name, r.powder.caution
    ));
    all
}

/// Points out a name that speaks of another powder than that of the key; `what` says whose name it is.
pub fn of_name(what: &str, name: &str, powder: &str) -> Option<String> {
    let powder = library::powder(powder)?;
    let other = names::contradiction(name, &powder.key)?;
    Some(format!("The {what} mentions {other}, but the powder is {}.", names::inside(&powder.name)))
}

/// Points out numbers of a lot that are not usual for the powder: they may be those of another one.
fn unusual(recipe: &Recipe, powder: &Powder) -> Vec<String> {
    let given = [
        ("critical loading", recipe.critical_loading, &powder.critical_loading),
        ("median particle size", recipe.particle_size, &powder.particle_size),
    ];
    let odd = given.into_iter().filter_map(|(title, given, usual)| {
        let given = given.filter(|value| *value < usual.low || *value > usual.high)?;
        Some(format!(
            "The {title} given, {} {}, is not usual for {} ({} to {} {}): check that it belongs to this powder.",
            number(given, 4),
            usual.unit,
            names::inside(&powder.name),
            number(usual.low, 3),
            number(usual.high, 3),
            usual.unit
        ))
    });
    odd.collect()
}

fn margin(all: &mut Vec<String>, r: &Resolved) {
    let left = 100.0 * (r.phi_c - r.phi);
    if left < CUSTOMARY_MARGIN {
        all.push(format!(
            "The loading is only {} vol% below the critical loading; 2 to 5 vol% are customary (common practice).",
            tidy((100.0 * left).round() / 100.0)
        ));
    }
}

fn binder(all: &mut Vec<String>, r: &Resolved) {
    let t = r.reference;
    let parts = r.blend.parts();
    if t < r.blend.melting_end() {
        all.push(format!(
            "At the reference temperature, {} °C, not all of the binder is molten (the last part ends at {} °C).",
            tidy(t),
            tidy(r.blend.melting_end())
        ));
    }
    if let Some(first) = r.blend.first_to_decompose()
        && t > first.decomposition.low
    {
        all.push(format!(
            "{} may begin to decompose from {} °C, below the reference temperature.",
            first.name,
            tidy(first.decomposition.low)
        ));
    }
    for (part, _) in parts {
        if let Some(tait) = &part.tait
            && !(tait.from_c..=tait.to_c).contains(&t)
        {
            all.push(format!(
                "The Tait constants of {} hold from {:.0} to {:.0} °C and are used outside that range.",
                part.name, tait.from_c, tait.to_c
            ));
        }
    }
    if !parts.iter().any(|(p, _)| p.role == PartRole::Backbone) {
        all.push("No backbone polymer: nothing holds the part together when the wax is out.".to_owned());
    }
    if !parts.iter().any(|(p, _)| p.role == PartRole::Surfactant) {
        all.push("No surfactant: powders that wet badly give a stiffer feedstock than estimated.".to_owned());
    }
}
