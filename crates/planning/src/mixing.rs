//! Mixing a batch: its masses against the mixer, the order, the range of temperature, the end point, and regrind.

use crate::shot::Shot;
use crate::told::{Row, percent, with};
use gatefrost_after::debinding::kinetics::{GAS, Reaction};
use gatefrost_core::feedstock::Pvt;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_scenario::format::number;
use gatefrost_scenario::scenario::{BinderComponent, Leaves, Scenario};
use serde::Serialize;

const CELSIUS: f64 = 273.15;
/// Ambient pressure \[Pa\].
const AMBIENT: f64 = 101_325.0;
/// Usual fill of a mixer, common practice.
const FILL: [f64; 2] = [0.65, 0.80];

/// A component of the batch.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Component {
    /// Its name.
    pub name: String,
    /// Share of the feedstock's mass.
    pub mass_percent: f64,
    /// Mass in the batch; `None` without the mixer's volume.
    pub batch_g: Option<f64>,
    /// What is weighed in fresh, beside the regrind.
    pub fresh_g: Option<f64>,
}

/// Mixing.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct MixingPlan {
    /// Powder and binder parts.
    pub components: Vec<Component>,
    /// The batch, the temperatures, regrind.
    pub rows: Vec<Row>,
    /// The order of the work, in sentences.
    pub order: Vec<String>,
    /// What was left out, in sentences.
    pub left_out: Vec<String>,
}

/// Mean number of times that what is in a shot has been through the machine, with a regrind of the share r in each shot:
/// Σ k (1 − r) r^(k−1) = 1/(1 − r).
pub fn mean_passes(regrind: f64) -> f64 {
    1.0 / (1.0 - regrind)
}

pub(crate) fn plan(s: &Scenario, shot: &Shot) -> MixingPlan {
    let mut left_out = Vec::new();
    let (batch, hot_density) = batch(s, shot);
    let mut rows = vec![Row::judged(
        "fill of the mixer",
        percent(s.plan.mixer_fill / 100.0),
        "65 to 80 %".to_owned(),
        (FILL[0]..=FILL[1]).contains(&(s.plan.mixer_fill / 100.0)),
    )];
    match batch {
        Some(mass) => rows.push(Row::told(
            "batch",
            with(mass, "kg"),
            format!("{} hot", with(1e3 * mass / hot_density, "L")),
        )),
        None => left_out.push("Batch: the mixer’s volume is not stated.".to_owned()),
    }
    rows.extend(temperatures(s, shot));
    rows.extend(regrind(s, shot));
    MixingPlan { components: components(s, batch), rows, order: order(s), left_out }
}

/// Mass of a batch \[kg\] that fills the mixer hot, and the hot density \[kg/m³\].
fn batch(s: &Scenario, shot: &Shot) -> (Option<f64>, f64) {
    let hot = s.plan.mixing_temperature.unwrap_or(s.setup.melt_temperature) + CELSIUS;
    // The law of volume gives the density over that of the cold mixture.
    let density = shot.feedstock.density_kg_m3 * Pvt::resolve(&s.feedstock).density(hot, AMBIENT).0;
    let volume = s.plan.mixer_volume.map(|litres| litres / 1e3 * s.plan.mixer_fill / 100.0);
    (volume.map(|volume| volume * density), density)
}

fn powder_share(s: &Scenario) -> f64 {
    let f = &s.feedstock;
    let phi = f.solids_loading / 100.0;
    phi * f.powder_density / (phi * f.powder_density + (1.0 - phi) * f.binder_density)
}

fn components(s: &Scenario, batch: Option<f64>) -> Vec<Component> {
    let powder = powder_share(s);
    let fresh = 1.0 - s.plan.regrind / 100.0;
    let of = |name: &str, share: f64| Component {
        name: name.to_owned(),
        mass_percent: 100.0 * share,
        batch_g: batch.map(|mass| 1e3 * mass * share),
        fresh_g: batch.map(|mass| 1e3 * mass * share * fresh),
    };
    let all: f64 = s.debinding.parts.iter().map(|part| part.share).sum();
    let binder = s.debinding.parts.iter().map(|part| of(&part.name, (1.0 - powder) * part.share / all));
    std::iter::once(of("powder", powder)).chain(binder).collect()
}

/// Temperature \[°C\] at which the binder bears a time \[min\]: t_b exp[(E/R)(1/T − 1/T_r)] solved for T, at most the onset of
/// its decomposition. It is the law of the limit on the time in the barrel.
pub fn borne_at(s: &Scenario, minutes: f64) -> f64 {
    let f = &s.feedstock;
    let inverse = 1.0 / (f.barrel_reference + CELSIUS)
        + GAS / (f.barrel_energy * 1e3).max(1.0) * (minutes / f.barrel_time).logarithm();
    let borne = if inverse > 0.0 { 1.0 / inverse - CELSIUS } else { f.burn_onset };
    borne.min(f.burn_onset)
}

/// The part of the binder that leaves fastest at a temperature \[K\], and the share of it that an open pan loses in a
/// time \[s\].
fn first_loss(s: &Scenario, temperature: f64, time: f64) -> Option<(&str, f64)> {
    let lost = |part: &BinderComponent| {
        let reaction = Reaction::with_half_at(part.half_temperature + CELSIUS, part.energy * 1e3);
        -(-reaction.rate(temperature) * time).exponential_m1()
    };
    let parts = s.debinding.parts.iter().map(|part| (part.name.as_str(), lost(part)));
    parts.max_by(|a, b| a.1.total_cmp(&b.1))
}

fn temperatures(s: &Scenario, shot: &Shot) -> Vec<Row> {
    let minutes = s.plan.mixing_time;
    // Without the backbone's own melting the report has that of the peaks, which may be the wax's alone.
    let melted = s.feedstock.melted_temperature.map(|_| shot.feedstock.melted_c);
    let top = borne_at(s, minutes);
    let from = match melted {
        Some(melted) => format!("at least {} (all of the binder melted)", with(melted, "°C")),
        None => format!("above the melting of {}, which is not stated under Moulding", highest(s)),
    };
    let range =
        format!("{from}, at most {} (the binder bears {} there)", with(top, "°C"), with(minutes, "min"));
    let mut rows = vec![match (s.plan.mixing_temperature, melted) {
        (Some(t), Some(melted)) => {
            Row::judged("mixing temperature", with(t, "°C"), range, t > melted && t <= top)
        }
        (Some(t), None) if t > top => Row::judged("mixing temperature", with(t, "°C"), range, false),
        (Some(t), None) => Row::told("mixing temperature", with(t, "°C"), range),
        (None, _) => Row::told("mixing temperature", "not stated", range),
    }];
    if melted.is_some_and(|melted| top <= melted) {
        let words = "a shorter mixing time, or a binder that bears more";
        rows.push(Row::judged(
            "range of the mixing temperature",
            "empty".to_owned(),
            words.to_owned(),
            false,
        ));
    }
    let at =
        s.plan.mixing_temperature.unwrap_or(melted.map_or(top, |melted| 0.5 * (melted + top.max(melted))));
    if let Some((name, lost)) = first_loss(s, at + CELSIUS, 60.0 * minutes) {
        rows.push(Row::told(
            "first to leave",
            format!("{name}: {} of it in {} at {}", percent(lost), with(minutes, "min"), with(at, "°C")),
            "in an open pan; a closed mixer loses less. Add it late",
        ));
    }
    rows
}

/// Name of what melts highest: the first in the order of the work.
fn highest(s: &Scenario) -> &str {
    by_melting(s).first().map_or("the binder", |part| part.name.as_str())
}

/// Parts of the binder in the order in which they are melted. What holds the part together to the end melts highest.
fn by_melting(s: &Scenario) -> Vec<&BinderComponent> {
    let mut parts: Vec<&BinderComponent> = s.debinding.parts.iter().collect();
    let stays = |part: &BinderComponent| matches!(part.leaves, Leaves::Heat | Leaves::Catalyst);
    parts.sort_by(|a, b| stays(b).cmp(&stays(a)).then(b.half_temperature.total_cmp(&a.half_temperature)));
    parts
}

fn regrind(s: &Scenario, shot: &Shot) -> Vec<Row> {
    let (share, gives) = (s.plan.regrind / 100.0, shot.sprue_share());
    let mut rows = vec![Row::judged(
        "regrind in each shot",
        percent(share),
        format!("at most {}: what sprue and runners give", percent(gives)),
        share <= gives + 1e-9,
    )];
    if share > 0.0 {
        rows.push(Row::told(
            "passes through the machine",
            format!(
                "{} on average; {} of a shot more than three",
                number(mean_passes(share), 3),
                percent(share.powi(3))
            ),
            "binder that decomposes adds up with each pass",
        ));
    }
    rows
}

fn order(s: &Scenario) -> Vec<String> {
    let names: Vec<&str> = by_melting(s).into_iter().map(|part| part.name.as_str()).collect();
    let mut order = vec!["Dry the powder and weigh every component.".to_owned()];
    match names.split_first() {
        Some((first, [])) => order.push(format!("Melt the binder: {first}.")),
        Some((first, rest)) => {
            order.push(format!("Melt what melts highest first: {first}. Then add {}.", rest.join(", ")));
        }
        None => {}
    }
    order.push("Add the powder in three or more portions. Add each when the torque of the one before has settled (common practice).".to_owned());
    order.push(format!(
        "Mix on for at most {}. Mixing ends when the torque changes by less than {} in a minute, and stays so. Write that torque down: the next batch must come to it within 5 to 10 % (from memory). A torque that rises again tells of a binder that is lost.",
        with(s.plan.mixing_time, "min"),
        with(s.plan.torque_change, "%")
    ));
    order.push("Cool, granulate, and measure the density of three granules: it is that of the mixture within 0.2 % (judgement), or powder and binder have separated or hold air.".to_owned());
    order
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_scenario::scenario::demo;

    /// The barrel's law, put back: at the temperature that is told the binder bears just the time. By the core's own function.
    #[test]
    fn at_the_temperature_that_is_told_the_binder_bears_the_time() {
        let s = demo::default_demo().scenario();
        let t = borne_at(&s, 60.0);
        let material = gatefrost_core::feedstock::Material::resolve(&s.feedstock);
        assert!((material.barrel_time(t + CELSIUS) / 3600.0 - 1.0).abs() < 1e-9, "{t}");
        assert!(borne_at(&s, 20.0) > t, "a shorter time is borne hotter");
        assert_eq!(borne_at(&s, 1e-6), s.feedstock.burn_onset);
    }

    /// Shot after shot with a quarter of regrind, followed.
    #[test]
    fn passes_add_up_as_they_are_followed() {
        let (r, mut mean) = (0.25, 1.0);
        for _ in 0..60 {
            // What is ground has been through once more than it had before.
            mean = (1.0 - r) * 1.0 + r * (mean + 1.0);
        }
        assert!((mean - mean_passes(r)).abs() < 1e-12, "{mean}");
    }
}
