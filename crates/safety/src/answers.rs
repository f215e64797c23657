//! Working backwards: how small a gate, how much powder, how many cavities.
//!
//! Each answer meets every limit that applies, or names those that it leaves out. It also names the limit that
//! fails one step further.

use super::best::{place_that_bears, settings, tried_at};
use super::{DIMENSIONS, Values, bounds, counting, standing};
use gatefrost_core::catalogue;
use gatefrost_core::limits::{Limit, is_of_machine};
use gatefrost_core::scenario::{Axis, Role, Scenario, ScenarioError};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_window::{Margins, margins_here, margins_of};
use serde::Serialize;
use std::borrow::Cow;

/// Disturbance, in standard deviations, that a set point with the smallest gate must withstand.
const ROOM: f64 = 3.0;
/// Gate thicknesses that are tried are 1 mm times powers of this, whatever the present thickness.
const STEP: f64 = 1.025;
/// Range of the search: this factor above the present thickness, and its square below.
const FURTHER: f64 = 3.0;
/// Steps taken at once if even the present thickness is not enough.
const STRIDE: usize = 8;
/// Step of the loadings that are tried, from the present one down to half of it \[vol%\], and the number of
/// bisections that refine the highest one.
const LOADING_STEP: f64 = 0.5;
const HALVINGS: usize = 6;
/// Largest number of cavities that is tried, as a multiple of the present number.
const MOST_CAVITIES: u32 = 64;

/// What the limits allow.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Answers {
    /// Smallest thickness of the first gate with which some set point meets every limit and withstands a
    /// disturbance of three standard deviations \[mm\]. Searched from a third to three times the present
    /// thickness, and down to a ninth if a third is enough. `None` if there is no gate or no such thickness.
    pub smallest_gate_mm: Option<f64>,
    /// That set point: setting and value, in edge units. Empty if there is no such gate.
    pub smallest_gate_settings: Vec<(Axis, f64)>,
    /// Whether this is the smallest gate that was tried, so that a smaller one may be enough.
    pub gate_may_be_smaller: bool,
    /// The limit that fails first, within three standard deviations, at that set point with a gate 2.5 % thinner.
    /// If there is no such gate: the one that fails first at the present set point. Empty if none fails.
    pub smallest_gate_stopped_by: Cow<'static, str>,
    /// Highest loading with which the present settings meet every limit but those left out, to 0.01 \[vol%\].
    /// `None` if no loading from half of the present one up does.
    pub highest_loading_percent: Option<f64>,
    /// The limit with the worst margin at a slightly higher loading. If there is no such loading: the worst limit
    /// at the loading where its margin is best. Empty if only the critical loading or the sintered density stops
    /// the search.
    pub highest_loading_stopped_by: Cow<'static, str>,
    /// Limits that no loading meets at the present settings: they are left out.
    pub highest_loading_leaves_out: Vec<Cow<'static, str>>,
    /// Most cavities, as a whole multiple of the present, with which the present settings meet every limit but
    /// those left out, with vents and cooling water in step; zero where the machine does not fill, feed and
    /// shut even the present ones.
    pub most_cavities: u32,
    /// The limit that the next multiple misses most; empty where no limit stops it, only what a scenario may hold.
    pub most_cavities_stopped_by: Cow<'static, str>,
    /// Limits that the present cavities do not meet either, beside those of the machine: they are left out.
    pub most_cavities_leaves_out: Vec<Cow<'static, str>>,
}

/// Answers the questions.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn answers(scenario: &Scenario) -> Result<Answers, ScenarioError> {
    scenario.validate()?;
    let gate = smallest_gate(scenario);
    let loading = highest_loading(scenario);
    let cavities = most_cavities(scenario);
    Ok(Answers {
        smallest_gate_mm: gate.depth,
        smallest_gate_settings: gate.place.map(|place| settings(&place)).unwrap_or_default(),
        gate_may_be_smaller: gate.smallest_tried,
        smallest_gate_stopped_by: label(gate.stop),
        highest_loading_percent: loading.most,
        highest_loading_stopped_by: label(loading.stop),
        highest_loading_leaves_out: labels(&loading.left_out),
        most_cavities: cavities.most.unwrap_or(0),
        most_cavities_stopped_by: label(cavities.stop),
        most_cavities_leaves_out: labels(&cavities.left_out),
    })
}

fn label(limit: Option<Limit>) -> Cow<'static, str> {
    limit.map_or("", Limit::label).into()
}

fn labels(limits: &[usize]) -> Vec<Cow<'static, str>> {
    limits.iter().map(|&k| Limit::ALL[k].label().into()).collect()
}

/// The smallest gate, its set point, and the limit that fails with a smaller one.
#[derive(Default)]
struct SmallestGate {
    depth: Option<f64>,
    place: Option<Values>,
    smallest_tried: bool,
    stop: Option<Limit>,
}

/// Each thickness is decided by the scenario's own model. The answer is the smallest thickness found to be enough.
fn smallest_gate(scenario: &Scenario) -> SmallestGate {
    let Some(present) = scenario.cavity.gate_depth() else { return SmallestGate::default() };
    let with = |depth: f64| {
        let mut s = scenario.clone();
        s.set(Axis::GateDepth, depth);
        s
    };
    let bears = |depth: f64, from| {
        let s = with(depth);
        s.validate().ok().and_then(|()| place_that_bears(&s, ROOM, from))
    };
    let tried = |depth: f64, place| {
        let s = with(depth);
        s.validate().is_ok().then(|| tried_at(&s, place))
    };
    let rung = |depth: f64| depth.logarithm() / STEP.logarithm();
    let rungs = rung(present / FURTHER.powi(2)).ceil() as i32..=rung(present * FURTHER).floor() as i32;
    let depths: Vec<f64> = rungs.map(|k| STEP.powi(k)).collect();
    let mut from = bears(present, None);
    let (mut high, mut found) = (depths.partition_point(|depth| *depth < present), present);
    // The lower bound: a third of the present thickness, or a ninth if a third is enough.
    let mut low = depths.partition_point(|depth| *depth < present / FURTHER);
    if let Some(place) = bears(depths[low], from) {
        (high, found, from, low) = (low, depths[low], Some(place), 0);
        if let Some(place) = bears(depths[0], from) {
            return SmallestGate {
                depth: Some(depths[0]),
                place: Some(place),
                smallest_tried: true,
                stop: None,
            };
        }
    } else if from.is_none() {
        // A gate may be too thick as well as too thin: search upwards for the first that is enough.
        let first = (low + STRIDE..depths.len()).step_by(STRIDE).find(|&k| {
            from = bears(depths[k], None);
            from.is_some()
        });
        let Some(first) = first else {
            let stop = tried(present, standing(scenario)).and_then(|tried| tried.first_limit());
            return SmallestGate { stop, ..SmallestGate::default() };
        };
        (low, high, found) = (first - STRIDE, first, depths[first]);
    }
    while high - low > 1 {
        let middle = (low + high) / 2;
        match bears(depths[middle], from) {
            Some(place) => (high, found, from) = (middle, depths[middle], Some(place)),
            None => low = middle,
        }
    }
    let Some(place) = from else { return SmallestGate::default() };
    // This set point may allow a smaller gate than those tried before it was found.
    loop {
        // A thickness outside the catalogue's range ends the search, too.
        let smaller = tried(depths[low], place);
        if smaller.as_ref().is_none_or(|smaller| smaller.bears() < ROOM) {
            let stop = smaller.and_then(|smaller| smaller.first_limit());
            return SmallestGate { depth: Some(found), place: from, smallest_tried: false, stop };
        }
        found = depths[low];
        if low == 0 {
            return SmallestGate { depth: Some(found), place: from, smallest_tried: true, stop: None };
        }
        low -= 1;
    }
}

/// The largest value, the limit that fails beyond it, and the limits that were left out.
struct Most<T> {
    most: Option<T>,
    stop: Option<Limit>,
    left_out: Vec<usize>,
}

/// The limit with the least margin among some, and that margin.
fn worst(margins: &Margins, asked: &[usize]) -> (Option<Limit>, f64) {
    let mut worst = (None, f64::INFINITY);
    for &k in asked {
        if margins[k] < worst.1 {
            worst = (Some(Limit::ALL[k]), margins[k]);
        }
    }
    worst
}

fn highest_loading(scenario: &Scenario) -> Most<f64> {
    let present = scenario.feedstock.solids_loading;
    let [least, most] = bounds(scenario)[DIMENSIONS - 1];
    let (least, most) = (least.max(0.5 * present), most.max(present));
    let evaluated = |loadings: &[f64]| margins_of(scenario, &[Axis::SolidsLoading], loadings);
    let steps = ((most - present) / LOADING_STEP).floor() as i32;
    let mut loadings: Vec<f64> =
        (0..).map(|k| present + LOADING_STEP * f64::from(steps - k)).take_while(|l| *l > least).collect();
    loadings.insert(0, most);
    let found = evaluated(&loadings);
    let met = |&k: &usize| found.iter().any(|margins| margins[k] >= 0.0);
    let (asked, left_out): (Vec<usize>, Vec<usize>) = counting(scenario).into_iter().partition(met);
    let worsts: Vec<(Option<Limit>, f64)> = found.iter().map(|margins| worst(margins, &asked)).collect();
    let Some(first) = worsts.iter().position(|(_, g)| *g >= 0.0) else {
        let least_missed = worsts.into_iter().max_by(|a, b| a.1.total_cmp(&b.1));
        return Most { most: None, stop: least_missed.and_then(|(limit, _)| limit), left_out };
    };
    let Some(mut high) = first.checked_sub(1).map(|k| loadings[k]) else {
        return Most { most: Some(most), stop: None, left_out };
    };
    let (mut low, mut stop) = (loadings[first], worsts[first - 1].0);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        match worst(&evaluated(&[middle])[0], &asked) {
            (limit, g) if g < 0.0 => (high, stop) = (middle, limit),
            _ => low = middle,
        }
    }
    Most { most: Some(low), stop, left_out }
}

fn most_cavities(scenario: &Scenario) -> Most<u32> {
    let here = margins_here(scenario);
    let asked_too = |&k: &usize| here[k] >= 0.0 || is_of_machine(Limit::ALL[k]);
    let (asked, left_out): (Vec<usize>, Vec<usize>) = counting(scenario).into_iter().partition(asked_too);
    for times in 1..=MOST_CAVITIES {
        let mut s = scenario.clone();
        // Each cavity brings its own vents and its own water, as far as the catalogue goes.
        let grown = |value: f64, path: &str| {
            (value * f64::from(times)).min(catalogue::at(path).map_or(f64::INFINITY, |p| p.max))
        };
        s.mould.vent_width = grown(s.mould.vent_width, "mould.vent_width");
        s.mould.water_flow = grown(s.mould.water_flow, "mould.water_flow");
        for p in s.cavity.passages.iter_mut().filter(|p| p.role != Role::Sprue) {
            p.copies *= times;
        }
        // More copies than a cavity may have are not tried.
        let stop = if s.validate().is_ok() { worst(&margins_here(&s), &asked) } else { (None, -1.0) };
        if stop.1 < 0.0 {
            return Most { most: Some(times - 1), stop: stop.0, left_out };
        }
    }
    Most { most: Some(MOST_CAVITIES), stop: None, left_out }
}
