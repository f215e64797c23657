//! Questions asked backwards: how small a gate, how much powder, how many cavities.

use super::best::{bears, best};
use gatefrost_core::limits::{COUNT, Limit};
use gatefrost_core::scenario::{Axis, Role, Scenario, ScenarioError};
use gatefrost_core::window::{Margins, margins_here};
use serde::Serialize;

/// Disturbance, in standard deviations, that the smallest gate has to leave room for.
const ROOM: f64 = 3.0;
/// How often, and by how much, a gate is widened that the coarse model found deep enough.
const WIDENINGS: u32 = 6;
const WIDENED: f64 = 1.04;
/// Most cavities that are tried, as a multiple of the present.
const MOST_CAVITIES: u32 = 64;

/// What the limits allow.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Answers {
    /// Smallest depth of the (first) gate with which some set point bears a disturbance of three standard
    /// deviations \[mm\]; absent without a gate, or where no depth from a third to three times the present
    /// does.
    pub smallest_gate_mm: Option<f64>,
    /// Whether that is the smallest that was tried, so that a smaller one may do too.
    pub gate_may_be_smaller: bool,
    /// Highest loading that still fills at the present settings \[vol%\]; absent where not even half of
    /// the present does.
    pub highest_loading_percent: Option<f64>,
    /// Most cavities, as a whole multiple of the present, that the machine fills, shuts and feeds at the
    /// present settings, with vents and cooling water in step; zero where not even the present ones. Limits
    /// that are broken at present by something else than the machine are not asked again.
    pub most_cavities: u32,
}

/// Answers the questions.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn answers(scenario: &Scenario) -> Result<Answers, ScenarioError> {
    scenario.validate()?;
    let gate = smallest_gate(scenario);
    Ok(Answers {
        smallest_gate_mm: gate.map(|(depth, _)| depth),
        gate_may_be_smaller: gate.is_some_and(|(_, smallest_tried)| smallest_tried),
        highest_loading_percent: highest_loading(scenario),
        most_cavities: most_cavities(scenario),
    })
}

/// The depth, and whether no smaller one was tried. Looked for by the coarse model of [`bears`], then widened
/// until the scenario's own model has the room too.
fn smallest_gate(scenario: &Scenario) -> Option<(f64, bool)> {
    let present = scenario.cavity.gate_depth()?;
    let enough = |depth: f64| {
        let mut s = scenario.clone();
        s.set(Axis::GateDepth, depth);
        s.validate().is_ok() && bears(&s) >= ROOM
    };
    // A gate may be too deep as well as too shallow: look from below for the first that does.
    let ladder: Vec<f64> = (0..9).map(|k| present / 3.0 * 9.0_f64.powf(f64::from(k) / 8.0)).collect();
    let first = ladder.iter().position(|&depth| enough(depth))?;
    let mut high = ladder[first];
    if let Some(below) = first.checked_sub(1) {
        let mut low = ladder[below];
        for _ in 0..4 {
            let middle = (low * high).sqrt();
            if enough(middle) { high = middle } else { low = middle }
        }
    }
    let mut s = scenario.clone();
    for _ in 0..WIDENINGS {
        s.set(Axis::GateDepth, high);
        if best(&s).ok()?.bears >= ROOM {
            return Some((high, first == 0));
        }
        high *= WIDENED;
    }
    None
}

/// Whether some limits hold at the set point.
fn hold(scenario: &Scenario, limits: &[Limit]) -> bool {
    if scenario.validate().is_err() {
        return false;
    }
    let margins: Margins = margins_here(scenario);
    let counts = |limit: &Limit| limits.contains(limit) && !scenario.ignored.contains(limit);
    (0..COUNT).filter(|&k| counts(&Limit::ALL[k])).all(|k| margins[k] >= 0.0)
}

fn highest_loading(scenario: &Scenario) -> Option<f64> {
    let fills = |loading: f64| {
        let mut s = scenario.clone();
        s.feedstock.solids_loading = loading;
        hold(&s, &[Limit::ShortShot, Limit::SwitchOver, Limit::StiffGate])
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

fn most_cavities(scenario: &Scenario) -> u32 {
    let shared = SHARED.into_iter().filter(|&limit| hold(scenario, &[limit]));
    let asked: Vec<Limit> = MACHINE.into_iter().chain(shared).collect();
    let holds = |times: u32| {
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
        hold(&s, &asked)
    };
    (1..=MOST_CAVITIES).take_while(|&times| holds(times)).last().unwrap_or(0)
}
