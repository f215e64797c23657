//! The set point that bears the largest disturbance of all settings at once.

mod failing;

pub use failing::Failing;
use failing::distance;

use super::surrogate::Surrogate;
use super::{DIMENSIONS, DISTURBED, SET, Values, bounds, coarse, counting, points, scatter_at, standing};
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Axis, Scenario, ScenarioError};
use gatefrost_window::{Margins, margins_of};
use serde::Serialize;

/// Beyond so many standard deviations a disturbance is out of this world.
const MOST: f64 = 30.0;
/// Standard deviations that a unit of a margin is taken for outside.
const OUTSIDE: f64 = 10.0;
/// Rounds on the coarse model, at first and from other starts, then on the scenario's own.
const ROUNDS: [usize; 3] = [4, 3, 1];
/// How far from a set point is searched at once: kelvin, kelvin, a share of the time, a share of the
/// machine's pressure, a share of the time; the loading stays within its scatter.
const BOX: [f64; SET] = [15.0, 10.0, 0.5, 0.2, 0.4];
/// Searches that begin elsewhere in the box, in one of this share of its width.
const STARTS: usize = 2;
const PART: f64 = 0.5;
/// How often the box follows a place at its edge.
const FOLLOWED: usize = 3;
/// A coarse model that finds less than this share of what is asked for is believed.
const DOUBTED: f64 = 0.3;
/// A place is at the edge of the box within this share of its width.
const EDGE: f64 = 0.1;
/// How the box narrows from round to round.
const NARROWER: f64 = 0.6;

/// The set point that bears most.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Best {
    /// What would be set: setting and value, in edge units.
    pub settings: Vec<(Axis, f64)>,
    /// How far from the present set point was searched, in edge units: the box follows a place at its edge,
    /// a few times.
    pub within: Vec<(Axis, f64)>,
    /// Settings with which the best set point still lies at the edge of what was searched, so that more may be
    /// had beyond.
    pub at_edge: Vec<(Axis, f64)>,
    /// Largest disturbance it bears, in standard deviations of all settings at once; negative where it is
    /// outside, and no set point nearby is inside.
    pub bears: f64,
    /// The same for the present set point.
    pub present_bears: f64,
    /// What fails first at the best set point, nearest first.
    pub failing: Vec<Failing>,
    /// The same at the present one.
    pub present_failing: Vec<Failing>,
}

/// Searches the settings for the point x where min over the limits of g(x)/‖σ ∂g/∂x‖ is largest: there the
/// largest ellipsoid of disturbances touches the nearest limit. The margins are quadratics fitted over a
/// box that narrows about the best point; at last each distance is corrected with the model's own margins
/// at the place where the limit should be met, the nearest twice.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn best(scenario: &Scenario) -> Result<Best, ScenarioError> {
    Ok(Best::of(scenario, found(scenario)?, present(scenario)?))
}

/// A set point and what fails first there: half of the work, for whoever has several hands.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    place: Values,
    /// How far from the present set point was searched.
    within: Values,
    failing: Vec<Failing>,
}

/// The set point that a search on the quadratics finds.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn found(scenario: &Scenario) -> Result<Tried, ScenarioError> {
    scenario.validate()?;
    Ok(Search::new(scenario).find(MOST, None))
}

/// The present one.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn present(scenario: &Scenario) -> Result<Tried, ScenarioError> {
    scenario.validate()?;
    Ok(Search::new(scenario).tried(standing(scenario)))
}

/// A set point that bears so much by the scenario's own model: the best near the present one, that itself, or one
/// that a shorter search finds from where another such place was found.
pub(super) fn place_that_bears(scenario: &Scenario, enough: f64, from: Option<Values>) -> Option<Values> {
    let search = Search::new(scenario);
    if let Some(place) = from
        && search.tried(place).bears() >= enough
    {
        return from;
    }
    let tried = search.find(enough, from);
    if tried.bears() >= enough {
        return Some(tried.place);
    }
    let here = standing(scenario);
    let inside = search.least(&margins_of(scenario, &DISTURBED, &here)[0]) >= 0.0;
    (inside && search.tried(here).bears() >= enough).then_some(here)
}

/// Numbers of a limit that fails, in a row: which, at what distance, the disturbance.
const IN_A_ROW: usize = 2 + DIMENSIONS;

impl Tried {
    /// Largest disturbance it bears, in standard deviations; negative outside.
    pub fn bears(&self) -> f64 {
        self.failing.first().map_or(MOST, |f| f.at)
    }

    /// All of it in numbers, to be sent from hand to hand.
    pub fn numbers(&self) -> Vec<f64> {
        let row = |f: &Failing| -> Vec<f64> {
            let disturbance = f.disturbance.iter().map(|(_, d)| *d);
            [f64::from(f.limit as u8), f.at].into_iter().chain(disturbance).collect()
        };
        let places = [self.place, self.within].into_iter().flatten();
        places.chain(self.failing.iter().flat_map(row)).collect()
    }

    /// From its numbers; none where they are no such thing.
    pub fn from_numbers(numbers: &[f64]) -> Option<Self> {
        let (place, rows) = numbers.split_first_chunk::<DIMENSIONS>()?;
        let (within, rows) = rows.split_first_chunk::<DIMENSIONS>()?;
        let (rows, []) = rows.as_chunks::<IN_A_ROW>() else { return None };
        let failing = |&[limit, at, ref disturbance @ ..]: &[f64; IN_A_ROW]| {
            let limit = (0..Limit::COUNT).find(|k| *k as f64 == limit)?;
            Some(Failing::new(limit, at, disturbance, 1.0))
        };
        Some(Self {
            place: *place,
            within: *within,
            failing: rows.iter().map(failing).collect::<Option<_>>()?,
        })
    }
}

impl Best {
    /// The better of what was found and what is there.
    pub fn of(scenario: &Scenario, found: Tried, present: Tried) -> Self {
        let present_bears = present.bears();
        // What was found on the quadratics may prove no better than what is there.
        let (within, better) = (found.within, found.bears() > present_bears);
        let best = if better { found } else { present.clone() };
        let (standing, computable) = (standing(scenario), bounds(scenario));
        let at_edge = |k: &usize| {
            let there = (best.place[*k] - standing[*k]).abs() >= (1.0 - EDGE) * within[*k];
            there && computable[*k].iter().all(|edge| (best.place[*k] - edge).abs() > EDGE * within[*k])
        };
        Self {
            settings: settings(&best.place),
            within: settings(&within),
            at_edge: (0..SET).filter(at_edge).map(|k| (DISTURBED[k], best.place[k])).collect(),
            bears: best.bears(),
            present_bears,
            failing: best.failing,
            present_failing: present.failing,
        }
    }
}

pub(super) fn settings(x: &Values) -> Vec<(Axis, f64)> {
    DISTURBED.into_iter().zip(*x).take(SET).collect()
}

struct Search<'a> {
    scenario: &'a Scenario,
    coarse: Scenario,
    /// What can be computed.
    computable: Room,
    counting: Vec<usize>,
}

/// Least and greatest value of each setting.
type Room = [[f64; 2]; DIMENSIONS];

impl<'a> Search<'a> {
    fn new(scenario: &'a Scenario) -> Self {
        let (coarse, computable) = (coarse(scenario), bounds(scenario));
        Self { scenario, coarse, computable, counting: counting(scenario) }
    }

    /// The box about a place that is searched at once.
    fn around(&self, x: &Values) -> Room {
        let (mut about, wide) = (self.computable, self.wide(x));
        for k in 0..SET {
            let [low, high] = &mut about[k];
            (*low, *high) = (low.max(x[k] - wide[k]).min(x[k]), high.min(x[k] + wide[k]).max(x[k]));
        }
        about
    }

    /// Half widths to begin with. Short times are given a usual one's room.
    fn wide(&self, x: &Values) -> Values {
        let time = |k: usize| x[k].max(DISTURBED[k].parameter().default.unwrap_or(0.0));
        let scale = [1.0, 1.0, time(2), self.scenario.machine.max_pressure, time(4)];
        let mut half = self.narrow(x);
        for k in 0..SET {
            half[k] = half[k].max(BOX[k] * scale[k]);
        }
        half
    }

    /// Half widths that a few standard deviations need.
    fn narrow(&self, x: &Values) -> Values {
        let sigma = scatter_at(self.scenario, x);
        std::array::from_fn(|k| (4.0 * sigma[k]).max(0.01 * x[k].abs()))
    }

    /// What fails first at a place, by the scenario's own model or the coarse one. Slopes are the coarse
    /// model's: they only say where to look, the model itself says how far.
    fn failing_at(&self, scenario: &Scenario, place: &Values) -> Vec<Failing> {
        let surrogate = Surrogate::over(&self.coarse, *place, self.narrow(place), &self.computable);
        self.failing(scenario, &surrogate, place)
    }

    fn tried(&self, place: Values) -> Tried {
        Tried { place, within: [0.0; DIMENSIONS], failing: self.failing_at(self.scenario, &place) }
    }

    /// The best place found, or the first that bears enough: on the coarse model from several starts, then
    /// with a box that follows the best one, at last on the scenario's own.
    fn find(&self, enough: f64, from: Option<Values>) -> Tried {
        let present = from.unwrap_or(standing(self.scenario));
        let others = if from.is_some() { 0 } else { STARTS };
        let mut about = self.around(&present);
        let mut within = self.wide(&present);
        let mut best = (present, f64::NEG_INFINITY);
        let starts = points::spread(STARTS, 0.3);
        for n in 0..=others + FOLLOWED {
            let (mut start, mut half) = (best.0, self.wide(&best.0));
            if n > others {
                let out = |k: usize| about[k].iter().any(|edge| (start[k] - edge).abs() < EDGE * half[k]);
                if !(0..SET).any(out) {
                    break;
                }
                about = self.around(&start);
                for k in 0..SET {
                    within[k] =
                        within[k].max((about[k][0] - present[k]).abs()).max((about[k][1] - present[k]).abs());
                }
            } else if n > 0 {
                for k in 0..SET {
                    let [low, high] = about[k];
                    start[k] = low + (high - low) * starts[n - 1][k];
                    half[k] *= PART;
                }
            }
            let place = self.search(&self.coarse, &about, start, half, ROUNDS[usize::from(n > 0)]);
            let bears = self.worth(&place);
            if bears > best.1 {
                best = (place, bears);
            } else if n > others {
                break;
            }
            if bears >= enough {
                let tried = Tried { within, ..self.tried(place) };
                if tried.bears() >= enough {
                    return tried;
                }
            }
        }
        let narrowed = NARROWER.powi(ROUNDS[0] as i32);
        let (wide, narrow) = (self.wide(&best.0), self.narrow(&best.0));
        let half = std::array::from_fn(|k| (wide[k] * narrowed).max(narrow[k]));
        let first = self.tried(best.0);
        // A shorter search ends where the coarse model sees nothing near enough.
        if from.is_some() && best.1 < DOUBTED * enough {
            return first;
        }
        let second = self.tried(self.search(self.scenario, &about, best.0, half, ROUNDS[2]));
        Tried { within, ..if second.bears() > first.bears() { second } else { first } }
    }

    fn search(
        &self,
        scenario: &Scenario,
        about: &Room,
        mut place: Values,
        mut half: Values,
        rounds: usize,
    ) -> Values {
        for _ in 0..rounds {
            let surrogate = Surrogate::over(scenario, place, half, about);
            place = self.climb(&surrogate, place);
            let narrow = self.narrow(&place);
            half = std::array::from_fn(|k| (half[k] * NARROWER).max(narrow[k]));
        }
        place
    }

    /// The best point of a surrogate's box: from spread starts by steps along each setting, halved when
    /// none helps.
    fn climb(&self, surrogate: &Surrogate, present: Values) -> Values {
        let low = |k: usize| surrogate.centre[k] - surrogate.half[k];
        let high = |k: usize| surrogate.centre[k] + surrogate.half[k];
        let mut starts = points::spread(24, 0.1);
        for start in &mut starts {
            for k in 0..DIMENSIONS {
                start[k] = if k < SET { low(k) + (high(k) - low(k)) * start[k] } else { present[k] };
            }
        }
        let mut here = present;
        (0..DIMENSIONS).for_each(|k| here[k] = present[k].clamp(low(k), high(k)));
        starts.push(here);
        let (mut best, mut most) = (present, f64::NEG_INFINITY);
        for mut x in starts {
            let mut bears = self.bears(surrogate, &x);
            let mut step = 0.3;
            while step > 0.005 {
                let mut better = false;
                for k in 0..SET {
                    for sign in [1.0, -1.0] {
                        let mut y = x;
                        y[k] = (x[k] + sign * step * surrogate.half[k]).clamp(low(k), high(k));
                        let there = self.bears(surrogate, &y);
                        if there > bears {
                            (x, bears, better) = (y, there, true);
                        }
                    }
                }
                if !better {
                    step *= 0.5;
                }
            }
            if bears > most {
                (best, most) = (x, bears);
            }
        }
        best
    }

    /// How much a place bears by the quadratics; outside, how far out it is: distances would be greatest where
    /// margins are flat.
    fn bears(&self, surrogate: &Surrogate, x: &Values) -> f64 {
        let g = surrogate.at(x);
        let least = self.least(&g);
        if least < 0.0 {
            return OUTSIDE * least;
        }
        let (slopes, sigma) = (surrogate.slopes(x), scatter_at(self.scenario, x));
        self.counting.iter().map(|&k| distance(g[k], &slopes[k], &sigma)).fold(MOST, f64::min)
    }

    /// The same on the coarse model itself.
    fn worth(&self, x: &Values) -> f64 {
        let least = self.least(&margins_of(&self.coarse, &DISTURBED, x)[0]);
        if least < 0.0 {
            return OUTSIDE * least;
        }
        self.failing_at(&self.coarse, x).first().map_or(MOST, |f| f.at)
    }

    fn least(&self, margins: &Margins) -> f64 {
        self.counting.iter().map(|&k| margins[k]).fold(f64::INFINITY, f64::min)
    }

    /// A place disturbed, as far as that can be computed.
    fn moved(&self, x: &Values, disturbance: &Values) -> Values {
        let mut moved = *x;
        for k in 0..DIMENSIONS {
            let [low, high] = self.computable[k];
            moved[k] = (x[k] + disturbance[k]).clamp(low, high);
        }
        moved
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_core::scenario::demo;

    /// Worked out by two hands and sent between them, it is the same to the last bit.
    #[test]
    fn two_halves_are_the_whole() {
        let mut scenario = demo::default_demo().scenario();
        scenario.model = scenario.model.at_most(10, 5);
        let sent = |tried: Tried| Tried::from_numbers(&tried.numbers()).expect("the same");
        let (found, present) = (found(&scenario).expect("valid"), present(&scenario).expect("valid"));
        assert!(!present.failing.is_empty());
        let best = best(&scenario).expect("valid");
        assert_eq!(Best::of(&scenario, sent(found), sent(present)), best);
    }

    #[test]
    fn other_numbers_are_refused() {
        let whole = Tried {
            place: [1.0; DIMENSIONS],
            within: [2.0; DIMENSIONS],
            failing: vec![Failing::new(3, 2.0, &[0.5; DIMENSIONS], 1.0)],
        };
        let numbers = whole.numbers();
        assert_eq!(Tried::from_numbers(&numbers), Some(whole));
        for length in [0, DIMENSIONS, 2 * DIMENSIONS + 1, numbers.len() - 1] {
            assert_eq!(Tried::from_numbers(&numbers[..length]), None, "{length}");
        }
        for limit in [-1.0, 0.5, 18.0, f64::NAN] {
            let mut wrong = numbers.clone();
            wrong[2 * DIMENSIONS] = limit;
            assert_eq!(Tried::from_numbers(&wrong), None, "{limit}");
        }
    }
}
