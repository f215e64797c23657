//! Estimates between the evaluated places of a box.

use super::super::lots::with_lots;
use super::super::surrogate::{Known, Surrogate, spread_over};
use super::super::{DIMENSIONS, SET, Values, scatter_at};
use super::MOST;
use super::failing::{distance, steepness, towards};
use super::space::{Room, SearchSpace};
use gatefrost_core::limits::COUNT;
use gatefrost_numerics::order;
use gatefrost_numerics::points;
use gatefrost_numerics::search::secant;
use gatefrost_window::Margins;

/// Standard deviations that one unit of margin stands for outside of the window.
const OUTSIDE: f64 = 10.0;
/// Places that the climbs begin at, of so many that are spread and all that are known to be inside; best
/// places that are told.
const SPREAD: usize = 48;
const CLIMBS: usize = 4;
const TOPS: usize = 3;
/// Places nearer than this share of the box are one.
const ONE: f64 = 0.15;
/// Directions of a climb beside the settings themselves.
const DIRECTIONS: usize = 12;
/// First and last step of a climb, as a share of the box.
const STEPS: [f64; 2] = [0.3, 0.01];
/// Number of the nearest limits whose distance is computed along a curve.
const NEAREST: usize = 3;
/// Number of disturbances in other directions, and their size.
const ELSEWHERE: usize = 3;
const SIZE: [f64; 2] = [4.0, 20.0];

pub(super) struct Seen<'a> {
    search: &'a SearchSpace<'a>,
    pub about: Room,
    pub surrogate: Surrogate,
    inside: Vec<Values>,
    outside: Vec<Values>,
}

impl<'a> Seen<'a> {
    pub fn new(search: &'a SearchSpace<'a>, known: &Known, about: &Room) -> Self {
        let (mut inside, mut outside) = (Vec::new(), Vec::new());
        for (place, margins) in known.places.iter().zip(&known.margins) {
            (if search.least(margins) < 0.0 { &mut outside } else { &mut inside }).push(*place);
        }
        Self { search, about: *about, surrogate: Surrogate::through(known, about), inside, outside }
    }

    /// The best places of the box that lie apart, the best first.
    pub fn tops(&self) -> Vec<Values> {
        let mut starts = spread_over(&self.about, SPREAD, 0.1);
        starts.extend(&self.inside);
        let mut climbed = self.distinct(starts, CLIMBS);
        climbed.iter_mut().for_each(|x| *x = self.climb(*x));
        self.distinct(climbed, TOPS)
    }

    fn distinct(&self, mut places: Vec<Values>, most: usize) -> Vec<Values> {
        order::sort_by(&mut places, |x| -self.bears(x));
        let half = &self.surrogate.half;
        let apart = |a: &Values, b: &Values| (0..SET).any(|k| (a[k] - b[k]).abs() > ONE * half[k]);
        let mut distinct: Vec<Values> = Vec::new();
        for place in places {
            if distinct.len() < most && distinct.iter().all(|other| apart(other, &place)) {
                distinct.push(place);
            }
        }
        distinct
    }

    /// A place disturbed by what it should withstand: towards the nearest limits, and in other directions.
    pub fn promised(&self, x: &Values, bears: f64, shift: f64) -> Vec<Values> {
        let sigma = scatter_at(self.search.scenario, x);
        let size = bears.clamp(SIZE[0], SIZE[1]);
        let slopes = self.surrogate.slopes(x);
        let nearest = self.nearest(&self.surrogate.at(x), &slopes, &sigma).into_iter().take(NEAREST);
        let elsewhere = points::directions(ELSEWHERE, shift, DIMENSIONS)
            .into_iter()
            .map(|direction: Values| std::array::from_fn(|k| size * sigma[k] * direction[k]));
        nearest
            .map(|(limit, _)| towards(&slopes[limit], &sigma, size))
            .chain(elsewhere)
            .map(|disturbance| self.search.moved(x, &disturbance))
            .collect()
    }

    /// Climbs from a place, by steps along each setting and in directions spread evenly, since the best
    /// place lies where limits meet; steps are halved when none helps.
    fn climb(&self, from: Values) -> Values {
        let mut directions = points::directions(DIRECTIONS, 0.4, SET);
        for k in 0..SET {
            let mut along = [0.0; DIMENSIONS];
            along[k] = 1.0;
            directions.push(along);
        }
        let settings = |x: &Values| -> Values {
            std::array::from_fn(|k| match self.about[k] {
                [low, high] if k < SET => x[k].clamp(low, high),
                _ => self.search.present[k],
            })
        };
        let mut x = settings(&from);
        let (mut bears, mut step) = (self.bears(&x), STEPS[0]);
        while step > STEPS[1] {
            let before = bears;
            for direction in &directions {
                for step in [step, -step] {
                    let moved = std::array::from_fn(|k| x[k] + step * direction[k] * self.surrogate.half[k]);
                    let y = settings(&moved);
                    let there = self.bears(&y);
                    if there > bears {
                        (x, bears) = (y, there);
                    }
                }
            }
            if bears <= before {
                step *= 0.5;
            }
        }
        x
    }

    /// Limits and their distances by the slopes, the nearest first.
    fn nearest(&self, g: &Margins, slopes: &[Values; COUNT], sigma: &Values) -> Vec<(usize, f64)> {
        let at = |&k: &usize| (k, distance(g[k], &slopes[k], sigma));
        let mut limits: Vec<(usize, f64)> = self.search.counting.iter().map(at).collect();
        order::sort_by(&mut limits, |(_, at)| *at);
        limits
    }

    /// What a place withstands: the distance to the nearest limit by the surrogate, and at most the distance to the
    /// nearest place known to be outside, because a margin may jump. For a place outside, how far outside it is:
    /// there distances would be largest where margins are flat.
    pub fn bears(&self, x: &Values) -> f64 {
        let g = self.surrogate.at(x);
        let least = self.search.least(&g);
        if least < 0.0 {
            return OUTSIDE * least;
        }
        let (slopes, sigma) = (self.surrogate.slopes(x), scatter_at(self.search.scenario, x));
        let mut bears = MOST;
        for (rank, (limit, at)) in self.nearest(&g, &slopes, &sigma).into_iter().enumerate() {
            let follow = || {
                let there = self.search.moved(x, &towards(&slopes[limit], &sigma, at));
                secant(g[limit], self.surrogate.at(&there)[limit]).clamp(0.5, 2.0)
            };
            let at = if rank < NEAREST && at < MOST { at * follow() } else { at };
            bears = bears.min(with_lots(g[limit], at, self.search.lots[limit]));
        }
        let apart =
            |place: &Values| steepness(&std::array::from_fn(|k| place[k] - x[k]), &sigma.map(f64::recip));
        self.outside.iter().map(apart).fold(bears, f64::min)
    }
}
