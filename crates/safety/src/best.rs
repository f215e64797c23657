//! The set point that withstands the largest disturbance of all settings at once.

mod failing;
mod search;
mod seen;
mod space;

pub use failing::Failing;
use search::AMPLE;
use space::SearchSpace;

use super::surrogate::ask;
use super::{DIMENSIONS, DISTURBED, SET, Values, bounds, standing};
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Axis, Scenario, ScenarioError};
use gatefrost_numerics::search::secant;
use gatefrost_window::Margins;
use serde::{Deserialize, Serialize};

/// Larger disturbances, in standard deviations, are not considered.
const MOST: f64 = 30.0;
/// The fine search is skipped if the coarse estimate is below this fraction of the target.
const DOUBTED: f64 = 0.4;
/// A place is at the edge of the box within this share of its width.
const EDGE: f64 = 0.1;

/// The set point that withstands the largest disturbance.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Best {
    /// What would be set: setting and value, in edge units. In steps of 1 K, 0.01 s and 0.1 MPa, unless it is the present
    /// set point.
    pub settings: Vec<(Axis, f64)>,
    /// The numbers that change with them, by path, with their new values: further steps of the hold keep their ratio.
    pub moves: Vec<(String, f64)>,
    /// How far from the present set point was searched, in edge units: the box follows a place at its edge,
    /// a few times.
    pub within: Vec<(Axis, f64)>,
    /// Settings in which the best set point lies at the edge of the searched box, so that a better one may lie
    /// beyond.
    pub at_edge: Vec<(Axis, f64)>,
    /// Largest disturbance that it withstands, in standard deviations of all settings at once. Negative if it lies
    /// outside; then no set point nearby is inside.
    pub bears: f64,
    /// Whether this is ample, so that the search stopped.
    pub ample: bool,
    /// The same for the present set point.
    pub present_bears: f64,
    /// How far each setting alone may move from the present set point; empty where that is outside.
    pub reserves: Vec<Reserve>,
    /// What fails first at the best set point, nearest first.
    pub failing: Vec<Failing>,
    /// The same at the present one.
    pub present_failing: Vec<Failing>,
}

/// How far one setting alone may move before a limit is no longer met, in its edge unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Reserve {
    /// The setting.
    pub axis: Axis,
    /// Downwards and upwards, with the limit that is then met only just; absent where none is broken within `looked`.
    pub moves: [Option<(f64, Limit)>; 2],
    /// How far was looked, downwards and upwards.
    pub looked: [f64; 2],
}

/// Steps of the search for the place where a limit ceases to be met, by turns secants and bisections: margins are curved.
const STEPS: usize = 4;

/// Reserves at a place that is inside, by the model itself. Each setting is moved alone to either end of what is searched
/// at once. Where a limit is broken there, the place is sought at which the first one is met only just.
fn reserves(search: &SearchSpace<'_>, place: &Values) -> Vec<Reserve> {
    let wide = search.wide(place);
    let along = |k: usize, by: f64| {
        let mut disturbance = [0.0; DIMENSIONS];
        disturbance[k] = by;
        search.moved(place, &disturbance)
    };
    let sides: Vec<(usize, f64)> =
        (0..DIMENSIONS).flat_map(|k| [-wide[k], wide[k]].map(|by| (k, along(k, by)[k] - place[k]))).collect();
    let places: Vec<Values> = sides.iter().map(|&(k, by)| along(k, by)).collect();
    let (here, ends) = (ask(search.scenario, &[*place])[0], ask(search.scenario, &places));
    let found = |(&(k, by), end): (&(usize, f64), &Margins)| {
        let (mut inside, mut outside) = ((0.0, here), (1.0, *end));
        for step in 0..STEPS {
            let (share, _) = first_broken(search, &inside.1, &outside.1)?;
            let share = if step % 2 == 0 { share.clamp(0.05, 0.95) } else { 0.5 };
            let at = inside.0 + share * (outside.0 - inside.0);
            let there = ask(search.scenario, &[along(k, at * by)])[0];
            if search.least(&there) < 0.0 { outside = (at, there) } else { inside = (at, there) }
        }
        let (share, limit) = first_broken(search, &inside.1, &outside.1)?;
        Some(((inside.0 + share * (outside.0 - inside.0)) * by, Limit::ALL[limit]))
    };
    let moves: Vec<Option<(f64, Limit)>> = sides.iter().zip(&ends).map(found).collect();
    let reserve = |k: usize| Reserve {
        axis: DISTURBED[k],
        moves: [moves[2 * k], moves[2 * k + 1]],
        looked: [sides[2 * k].1, sides[2 * k + 1].1],
    };
    (0..DIMENSIONS).map(reserve).collect()
}

/// The limit that is broken first between two places, by the secants of those that are broken at the second, and where.
fn first_broken(search: &SearchSpace<'_>, inside: &Margins, outside: &Margins) -> Option<(f64, usize)> {
    let broken = search.counting.iter().filter(|&&limit| outside[limit] < 0.0);
    let shares = broken.map(|&limit| (secant(inside[limit], outside[limit]).clamp(0.0, 1.0), limit));
    shares.min_by(|a, b| a.0.total_cmp(&b.0))
}

/// Searches the settings for the point x where min over the limits of g(x)/‖σ ∂g/∂x‖ is largest: there the
/// largest ellipsoid of disturbances touches the nearest limit. A surrogate of the margins proposes candidates and
/// is refined by evaluations around the best of them. At the end each distance is corrected with the model's own
/// margins at the place where the limit should be reached, the nearest ones twice.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn best(scenario: &Scenario) -> Result<Best, ScenarioError> {
    Ok(Best::of(scenario, found(scenario)?, present(scenario)?))
}

/// A set point and what fails first there: half of the work, for several workers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Tried {
    place: Values,
    /// How far from the present set point was searched.
    within: Values,
    failing: Vec<Failing>,
    /// How far each setting alone may move; of the present set point, where it is inside.
    reserves: Vec<Reserve>,
}

/// The set point that the search finds, in steps that a machine takes. What it withstands is that of the rounded settings.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn found(scenario: &Scenario) -> Result<Tried, ScenarioError> {
    scenario.validate()?;
    let found = SearchSpace::new(scenario, standing(scenario)).find(MOST, f64::NEG_INFINITY);
    if scenario.setup.further_hold.is_empty() {
        return Ok(found);
    }
    // The search keeps the ratio of further steps of the hold; what is offered has them rounded.
    let there = scenario.dialled_at(&settings(&found.place));
    Ok(Tried { within: found.within, ..tried_at(&there, found.place) })
}

/// The present one.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn present(scenario: &Scenario) -> Result<Tried, ScenarioError> {
    scenario.validate()?;
    let (place, search) = (standing(scenario), SearchSpace::new(scenario, standing(scenario)));
    let tried = search.tried(place);
    let reserves = if tried.bears() > 0.0 { reserves(&search, &place) } else { Vec::new() };
    Ok(Tried { reserves, ..tried })
}

/// A set point that withstands this much by the scenario's own model: the best near the present one, the present
/// one itself, or one that a shorter search finds from a place found for another gate.
pub(super) fn place_that_bears(scenario: &Scenario, enough: f64, from: Option<Values>) -> Option<Values> {
    let here = standing(scenario);
    let search = SearchSpace::new(scenario, from.unwrap_or(here));
    let inside = |place: Values| search.least(&ask(scenario, &[place])[0]) >= 0.0;
    let bears = |place: Values| inside(place) && search.tried(place).bears() >= enough;
    if from.is_some_and(bears) {
        return from;
    }
    let tried = search.find(enough, DOUBTED * enough);
    if tried.bears() >= enough {
        return Some(tried.place);
    }
    bears(here).then_some(here)
}

/// What fails first at a place that need not be the set point.
pub(super) fn tried_at(scenario: &Scenario, place: Values) -> Tried {
    SearchSpace::new(scenario, place).tried(place)
}

impl Tried {
    /// Largest disturbance that it withstands, in standard deviations; negative outside.
    pub fn bears(&self) -> f64 {
        self.failing.first().map_or(MOST, |f| f.at)
    }

    /// The limit that fails first, within 30 standard deviations.
    pub(super) fn first_limit(&self) -> Option<Limit> {
        self.failing.first().map(|f| f.limit)
    }
}

impl Best {
    /// The better of what was found and what is there.
    pub fn of(scenario: &Scenario, found: Tried, present: Tried) -> Self {
        let present_bears = present.bears();
        // The surrogate's best may turn out no better than the present set point.
        let (within, better) = (found.within, found.bears() > present_bears);
        let best = if better { found } else { present.clone() };
        let (standing, computable) = (standing(scenario), bounds(scenario));
        let at_edge = |k: &usize| {
            let there = (best.place[*k] - standing[*k]).abs() >= (1.0 - EDGE) * within[*k];
            there && computable[*k].iter().all(|edge| (best.place[*k] - edge).abs() > EDGE * within[*k])
        };
        let set = settings(&best.place);
        let moves = if better { scenario.dialled_at(&set).moves(&set) } else { scenario.moves(&set) };
        Self {
            settings: set,
            moves,
            within: settings(&within),
            at_edge: (0..SET).filter(at_edge).map(|k| (DISTURBED[k], best.place[k])).collect(),
            bears: best.bears(),
            ample: best.bears() >= AMPLE,
            present_bears,
            reserves: present.reserves,
            failing: best.failing,
            present_failing: present.failing,
        }
    }
}

pub(super) fn settings(x: &Values) -> Vec<(Axis, f64)> {
    DISTURBED.into_iter().zip(*x).take(SET).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_core::document;
    use gatefrost_core::scenario::{HoldStep, demo};

    /// One setting moved alone by its reserve meets the limit only just: the margin there is a small part of that at
    /// the set point. Kelvins, MPa and seconds, and a number of them that a machine can miss by.
    #[test]
    fn a_reserve_is_how_far_one_setting_may_move_alone() {
        let margin = |s: &Scenario, limit: Limit| gatefrost_window::margins_here(s)[limit as usize];
        let mut checked = 0;
        for name in ["latch", "hasp", "pawl"] {
            let mut scenario = demo::find(name).expect("a demo").scenario();
            scenario.model = scenario.model.at_most(16, 8);
            for reserve in present(&scenario).expect("valid").reserves {
                for (by, limit) in reserve.moves.into_iter().flatten() {
                    let mut moved = scenario.clone();
                    moved.set(reserve.axis, scenario.get(reserve.axis) + by);
                    if moved.validate().is_err() {
                        continue;
                    }
                    let (here, there) = (margin(&scenario, limit), margin(&moved, limit));
                    assert!(
                        here > 0.0 && there.abs() < 0.15 * here.min(1.0),
                        "{name}: {:?} by {by}: {limit:?} {here} {there}",
                        reserve.axis
                    );
                    checked += 1;
                }
            }
        }
        // The hold may be shortened or the melt cooled until a limit is broken: no reserve stays untold.
        assert!(checked > 8, "{checked}");
    }

    /// A lot that differs is one more thing that the set point has to withstand: it withstands less, and where the settings
    /// and the lot have moved as stated, the limit is met only just.
    #[test]
    fn a_lot_is_part_of_what_a_set_point_withstands() {
        let mut scenario = demo::find("latch").expect("a demo").scenario();
        scenario.model = scenario.model.at_most(16, 8);
        let with = |percent: f64| {
            let mut s = scenario.clone();
            s.scatter.viscosity = percent;
            (present(&s).expect("valid"), s)
        };
        let [(same, _), (usual, _), (differ, s)] = [0.0, 8.0, 40.0].map(with);
        assert!(same.failing.iter().all(|f| f.lot == 0.0));
        assert!(usual.bears() <= same.bears() && differ.bears() < 0.9 * usual.bears(), "{differ:?}");
        let by_lot =
            differ.failing.iter().find(|f| f.lot.abs() > 0.5 * f.at).expect("one limit feels the lot");
        let lots = s.lots();
        let mut moved = lots.draw(&s, &vec![by_lot.lot; lots.numbers.len()]);
        for (axis, d) in &by_lot.disturbance {
            moved.set(*axis, s.get(*axis) + d);
        }
        let margin = |s: &Scenario| gatefrost_window::margins_here(s)[by_lot.limit as usize];
        assert!(margin(&moved).abs() < 0.25 * margin(&s), "{by_lot:?}: {} {}", margin(&s), margin(&moved));
    }

    /// What is offered is a number of kelvins, of hundredths of a second and of tenths of a MPa, further steps of the hold
    /// too. It is checked after rounding: with exactly these numbers set, the set point withstands what was said.
    #[test]
    fn what_is_offered_can_be_dialled_and_was_checked() {
        let mut scenario = demo::find("hasp").expect("a demo").scenario();
        scenario.model = scenario.model.at_most(14, 8);
        scenario.setup.further_hold =
            vec![HoldStep { pressure: 0.617 * scenario.setup.hold_pressure, time: 1.0 }];
        let best = best(&scenario).expect("valid");
        assert!(best.bears > best.present_bears, "the demo can be made safer: {best:?}");
        let mut taken = scenario.clone();
        for (path, value) in &best.moves {
            let steps = if path.ends_with("temperature") {
                1.0
            } else if path.ends_with("time") {
                100.0
            } else {
                10.0
            };
            assert_eq!((value * steps).round() / steps, *value, "{path}");
            match path.strip_prefix("setup.").expect("a setting") {
                "melt_temperature" => taken.setup.melt_temperature = *value,
                "mould_temperature" => taken.setup.mould_temperature = *value,
                "injection_time" => taken.setup.injection_time = *value,
                "hold_pressure" => taken.setup.hold_pressure = *value,
                "hold_time" => taken.setup.hold_time = *value,
                "further_hold.0.pressure" => taken.setup.further_hold[0].pressure = *value,
                other => panic!("{other}"),
            }
        }
        let there = present(&taken).expect("valid").bears();
        // The slopes of the lot are taken at the set point that was searched from.
        assert!((there / best.bears - 1.0).abs() < 0.02, "{there} {best:?}");
    }

    /// Computed in two halves that were written and read in between, it is the same to the last bit.
    #[test]
    fn two_halves_are_the_whole() {
        let mut scenario = demo::default_demo().scenario();
        scenario.model = scenario.model.at_most(10, 5);
        let sent = |tried: Tried| -> Tried {
            let text = document::write(&tried).expect("plain data");
            document::read(&text).expect("the same")
        };
        let (found, present) = (found(&scenario).expect("valid"), present(&scenario).expect("valid"));
        assert!(!present.failing.is_empty());
        let best = best(&scenario).expect("valid");
        assert_eq!(Best::of(&scenario, sent(found), sent(present)), best);
    }
}
