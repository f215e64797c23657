//! Questions asked backwards: how small a gate, how much powder, how many cavities.

use super::Values;
use super::best::{place_that_bears, settings};
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Axis, Role, Scenario, ScenarioError};
use gatefrost_window::{Margins, margins_here};
use serde::Serialize;
use std::borrow::Cow;

/// Disturbance, in standard deviations, that the smallest gate has to leave room for.
const ROOM: f64 = 3.0;
/// Gate depths that are tried, the same from any present depth: 1 mm times powers of this.
const STEP: f64 = 1.025;
/// How far from the present depth they go, up, and twice down.
const FURTHER: f64 = 3.0;
/// So many steps at once where even the present depth does not do.
const STRIDE: usize = 8;
/// Most cavities that are tried, as a multiple of the present.
const MOST_CAVITIES: u32 = 64;

/// What the limits allow.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Answers {
    /// Smallest depth of the (first) gate with which some set point bears a disturbance of three standard
    /// deviations \[mm\]; absent without a gate, or where no depth from a third to three times the present
    /// does; from there down to a ninth where a third does.
    pub smallest_gate_mm: Option<f64>,
    /// That set point: setting and value, in edge units; none without a gate that does.
    pub smallest_gate_settings: Vec<(Axis, f64)>,
    /// Whether that is the smallest that was tried, so that a smaller one may do too.
    pub gate_may_be_smaller: bool,
    /// Highest loading that still fills at the present settings \[vol%\]; absent where not even half of
    /// the present does.
    pub highest_loading_percent: Option<f64>,
    /// Most cavities, as a whole multiple of the present, that the machine fills, shuts and feeds at the
    /// present settings, with vents and cooling water in step; zero where not even the present ones. Limits
    /// that are broken at present by something else than the machine are not asked again.
    pub most_cavities: u32,
    /// The label of the limit that the next multiple misses most; empty where no limit stops it, only what a scenario may
    /// hold.
    pub most_cavities_stopped_by: Cow<'static, str>,
}

/// Answers the questions.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn answers(scenario: &Scenario) -> Result<Answers, ScenarioError> {
    scenario.validate()?;
    let gate = smallest_gate(scenario);
    let (most_cavities, stop) = most_cavities(scenario);
    Ok(Answers {
        smallest_gate_mm: gate.map(|(depth, ..)| depth),
        smallest_gate_settings: gate.map(|(_, place, _)| settings(&place)).unwrap_or_default(),
        gate_may_be_smaller: gate.is_some_and(|(.., smallest_tried)| smallest_tried),
        highest_loading_percent: highest_loading(scenario),
        most_cavities,
        most_cavities_stopped_by: stop.map_or("", Limit::label).into(),
    })
}

/// The depth, the set point that bears enough with it, and whether no smaller one was tried: each is decided by the
/// scenario's own model, and never is it above one that was found to do.
fn smallest_gate(scenario: &Scenario) -> Option<(f64, Values, bool)> {
    let present = scenario.cavity.gate_depth()?;
    let bears = |depth: f64, from| {
        let mut s = scenario.clone();
        s.set(Axis::GateDepth, depth);
        s.validate().ok().and_then(|()| place_that_bears(&s, ROOM, from))
    };
    let rung = |depth: f64| depth.ln() / STEP.ln();
    let rungs = rung(present / FURTHER.powi(2)).ceil() as i32..=rung(present * FURTHER).floor() as i32;
    let depths: Vec<f64> = rungs.map(|k| STEP.powi(k)).collect();
    let mut from = bears(present, None);
    let (mut high, mut found) = (depths.partition_point(|depth| *depth < present), present);
    // What does not do bounds it from below: a third of the present depth, or a ninth where a third does.
    let mut low = depths.partition_point(|depth| *depth < present / FURTHER);
    if let Some(place) = bears(depths[low], from) {
        (high, found, from, low) = (low, depths[low], Some(place), 0);
        if let Some(place) = bears(depths[0], from) {
            return Some((depths[0], place, true));
        }
    } else if from.is_none() {
        // A gate may be too deep as well as too shallow: look from below for the first that does.
        high = (low + STRIDE..depths.len()).step_by(STRIDE).find(|&k| {
            from = bears(depths[k], None);
            from.is_some()
        })?;
        (low, found) = (high - STRIDE, depths[high]);
    }
    while high - low > 1 {
        let middle = (low + high) / 2;
        match bears(depths[middle], from) {
            Some(place) => (high, found, from) = (middle, depths[middle], Some(place)),
            None => low = middle,
        }
    }
    from.map(|place| (found, place, false))
}

/// Which of some limits is missed most at the set point.
fn missed(scenario: &Scenario, limits: &[Limit]) -> Option<Limit> {
    let margins: Margins = margins_here(scenario);
    let mut most = (0.0, None);
    for (limit, g) in Limit::ALL.into_iter().zip(margins) {
        if g < most.0 && limits.contains(&limit) && !scenario.ignored.contains(&limit) {
            most = (g, Some(limit));
        }
    }
    most.1
}

fn highest_loading(scenario: &Scenario) -> Option<f64> {
    let fills = |loading: f64| {
        let mut s = scenario.clone();
        s.feedstock.solids_loading = loading;
        s.validate().is_ok() && missed(&s, &[Limit::ShortShot, Limit::SwitchOver, Limit::StiffGate]).is_none()
    };
    let (mut low, mut high) = (0.5 * scenario.feedstock.solids_loading, scenario.feedstock.critical_loading);
    if !fills(low) {
        return None;
    }
    for _ in 0..12 {
        let middle = 0.5 * (low + high);
        if fills(middle) { low = middle } else { high = middle }
    }
    Some(low)
}

/// What the machine itself limits.
const MACHINE: [Limit; 5] = [Limit::ShortShot, Limit::SwitchOver, Limit::Flash, Limit::Shot, Limit::Rate];
/// What more cavities change besides.
const SHARED: [Limit; 6] = [
    Limit::Separation,
    Limit::Burning,
    Limit::Residence,
    Limit::Venting,
    Limit::CoolingWater,
    Limit::HoldCover,
];

/// Most cavities, and what stops one more.
fn most_cavities(scenario: &Scenario) -> (u32, Option<Limit>) {
    let shared = SHARED.into_iter().filter(|&limit| missed(scenario, &[limit]).is_none());
    let asked: Vec<Limit> = MACHINE.into_iter().chain(shared).collect();
    let stop = |times: u32| {
        let mut s = scenario.clone();
        // Each cavity brings its own vents and its own water, as far as the catalogue goes.
        let grown = |value: f64, path: &str| {
            let most = gatefrost_core::catalogue::at(path).map_or(f64::INFINITY, |p| p.max);
            (value * f64::from(times)).min(most)
        };
        s.mould.vent_width = grown(s.mould.vent_width, "mould.vent_width");
        s.mould.water_flow = grown(s.mould.water_flow, "mould.water_flow");
        for p in s.cavity.passages.iter_mut().filter(|p| p.role != Role::Sprue) {
            p.copies *= times;
        }
        // More copies than a cavity may have are no more asked about.
        if s.validate().is_ok() { missed(&s, &asked).map(Some) } else { Some(None) }
    };
    for times in 1..=MOST_CAVITIES {
        if let Some(limit) = stop(times) {
            return (times - 1, limit);
        }
    }
    (MOST_CAVITIES, None)
}
