//! The search for the set point that withstands the largest disturbance.

use super::super::surrogate::{Known, Surrogate, spread_over};
use super::super::{DIMENSIONS, SET, Values};
use super::seen::Seen;
use super::space::{Room, SearchSpace};
use super::{EDGE, Tried};
use gatefrost_core::limits::COUNT;
use gatefrost_window::Margins;

/// Evaluations spread over a box at first, and over one that has moved.
const SPREAD: [usize; 2] = [56, 24];
/// Rounds of evaluations at most, on the coarse model and on the scenario's own.
const ROUNDS: usize = 16;
const OWN_ROUNDS: usize = 6;
/// A change of an estimate by less than this fraction, or less than this amount, is no gain.
const SETTLED: f64 = 0.03;
/// How often the box follows a place at its edge.
const FOLLOWED: usize = 3;
/// The search stops at a place that withstands this much.
pub(super) const AMPLE: f64 = 15.0;
/// The coarse model must reach the target times this factor, because the scenario's own model may give less.
const RESERVE: f64 = 2.0;
/// Number of places that are tried, and the fraction of an estimate that confirms it.
const ATTEMPTS: usize = 4;
const KEPT: f64 = 0.85;
/// A limit is taken as not met at this multiple of the disturbance that reaches it.
const BEYOND: f64 = 1.05;

/// A box that follows the best place, and how far from the present set point it came.
struct Followed {
    about: Room,
    within: Values,
    times: usize,
}

impl SearchSpace<'_> {
    /// What fails first at a place by the scenario's own model. The coarse model gives the directions; the
    /// scenario's own model gives the distances.
    pub fn tried(&self, place: Values) -> Tried {
        let surrogate = Surrogate::over(&self.coarse, place, self.narrow(&place), &self.computable);
        Tried {
            place,
            within: [0.0; DIMENSIONS],
            failing: self.failing(&surrogate, &place),
            reserves: Vec::new(),
        }
    }

    /// The best place found, or one that withstands enough. The search ends early if the estimate is below
    /// `hopeless`.
    pub fn find(&self, enough: f64, hopeless: f64) -> Tried {
        let about = self.around(&self.present);
        let mut followed = Followed { about, within: self.wide(&self.present), times: 0 };
        let mut known = Known::default();
        known.ask(&self.coarse, &[self.present]);
        known.ask(&self.coarse, &spread_over(&about, SPREAD[0], 0.0));
        let (top, bears) = self.seen_best(&mut known, &mut followed, enough);
        let tried = if bears < hopeless {
            self.tried(self.dialled_near(&top))
        } else {
            self.tried_best(&known, &followed.about, top, enough, hopeless)
        };
        Tried { within: followed.within, ..tried }
    }

    /// The best place by the coarse model, and what it withstands. Each round evaluates the best places and the
    /// disturbances that the best one should withstand, until the estimate no longer changes.
    fn seen_best(&self, known: &mut Known, followed: &mut Followed, enough: f64) -> (Values, f64) {
        let mut before = f64::MIN;
        let mut top = self.present;
        for round in 0..ROUNDS {
            let shift = round as f64 / ROUNDS as f64;
            let seen = Seen::new(self, known, &followed.about);
            let mut places = seen.tops();
            top = places[0];
            let bears = seen.bears(&top);
            let settled = !gains(before, bears) && !gains(bears, before);
            before = bears;
            if settled {
                if bears >= AMPLE.min(RESERVE * enough) || !self.follow(followed, &top) {
                    break;
                }
                places.extend(spread_over(&followed.about, SPREAD[1], shift));
            }
            places.extend(seen.promised(&top, bears, shift));
            known.ask(&self.coarse, &places);
        }
        (top, before)
    }

    /// Whether the box moves, with a place at its edge in the middle.
    fn follow(&self, followed: &mut Followed, top: &Values) -> bool {
        let (moved, wide) = (self.around(top), self.wide(top));
        let leads_on = |k: usize| {
            let [low, high] = followed.about[k];
            let further = moved[k][0] < low || moved[k][1] > high;
            further && (top[k] - low).min(high - top[k]) < EDGE * wide[k]
        };
        if followed.times == FOLLOWED || !(0..SET).any(leads_on) {
            return false;
        }
        followed.times += 1;
        followed.about = moved;
        for k in 0..SET {
            let far = moved[k].map(|edge| (edge - self.present[k]).abs());
            followed.within[k] = far.into_iter().fold(followed.within[k], f64::max);
        }
        true
    }

    /// The best place by the scenario's own model. If the model gives less than the estimate, the new evaluations
    /// are added and the next best place is tried.
    fn tried_best(&self, known: &Known, about: &Room, top: Values, enough: f64, hopeless: f64) -> Tried {
        let mut seen = Seen::new(self, known, about);
        let mut known = OwnKnown {
            coarse: known,
            surrogate: seen.surrogate.clone(),
            raised_by: [0.0; COUNT],
            own: Known::default(),
        };
        let mut best: Option<Tried> = None;
        let mut start = top;
        for _ in 0..ATTEMPTS {
            let (top, promised) = self.seen_own(&mut known, &mut seen, start);
            // What is tried, and then offered, is what a machine can be set to.
            let top = self.dialled(&top, &|place| seen.bears(place));
            if best.as_ref().is_some_and(|best| !gains(best.bears(), promised)) {
                break;
            }
            let tried = self.tried(top);
            if let Some(first) = tried.failing.first() {
                let beyond = std::array::from_fn(|k| BEYOND * first.disturbance[k].1);
                known.own.ask(self.scenario, &[self.moved(&top, &beyond)]);
            }
            let bears = tried.bears();
            let kept = bears >= enough.min(KEPT * promised);
            if best.as_ref().is_none_or(|best| best.bears() < bears) {
                best = Some(tried);
            }
            if kept || hopeless > bears.min(promised) {
                break;
            }
            seen = Seen::new(self, &known.all(), about);
            start = seen.tops()[0];
        }
        best.unwrap_or_else(|| self.tried(self.dialled_near(&top)))
    }

    /// The best place by the scenario's own model, and what it withstands. The coarse evaluations are shifted to
    /// match, and its own are added, until no other place is better.
    fn seen_own<'s>(&'s self, known: &mut OwnKnown<'_>, seen: &mut Seen<'s>, start: Values) -> (Values, f64) {
        let mut best = (start, f64::NEG_INFINITY);
        let mut top = start;
        for round in 0..OWN_ROUNDS {
            let mut places = seen.promised(&top, seen.bears(&top), round as f64 / OWN_ROUNDS as f64);
            places.push(top);
            known.own.ask(self.scenario, &places);
            known.raise_to(&top);
            *seen = Seen::new(self, &known.all(), &seen.about);
            let here = seen.bears(&top);
            if here > best.1 {
                best = (top, here);
            }
            top = seen.tops()[0];
            if !gains(best.1, seen.bears(&top)) {
                break;
            }
        }
        best
    }
}

/// What both models know.
struct OwnKnown<'a> {
    coarse: &'a Known,
    surrogate: Surrogate,
    raised_by: Margins,
    own: Known,
}

impl OwnKnown<'_> {
    /// Shifts the coarse model's margins to match the scenario's own model at a place.
    fn raise_to(&mut self, place: &Values) {
        let there = self.surrogate.at(place);
        if let Some(here) = self.own.margins.last() {
            self.raised_by = std::array::from_fn(|k| here[k] - there[k]);
        }
    }

    fn all(&self) -> Known {
        self.own.and(&self.coarse.raised(&self.raised_by))
    }
}

/// Whether the second value is better than the first by more than noise.
fn gains(from: f64, to: f64) -> bool {
    to > from + SETTLED * from.abs().max(1.0)
}
