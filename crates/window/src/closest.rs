//! Where a plane comes closest to having a window: the place where the worst margin is best. The figure, the table of
//! what would open the window and the command line all name this place.
//!
//! The margins of a rougher model on the grid that a fine window begins with, joined by cubics, say where to
//! look. There the scenario's own model is evaluated on a square of three by three places. Each margin is interpolated
//! by parabolas, and the square shrinks about the place where the worst of them is best. Of the places about it that a
//! machine can be set to, the best one is the answer. It was evaluated, so its margins are the model's own.

use crate::place::{Margins, Place, Wanted, near};
use crate::sample::margins_at;
use crate::sizes::{SizeRule, all_parts, set};
use crate::surface::Surface;
use crate::{Detail, Nearest};
use gatefrost_core::case::Case;
use gatefrost_core::limits::{self, Margin};
use gatefrost_core::scenario::{Plane, Scenario, ScenarioError};
use gatefrost_core::stages::Stage;
use gatefrost_numerics::order;
use serde::{Deserialize, Serialize};

/// Half widths of the squares, as shares of the plane.
const HALVES: [f64; 3] = [1.0 / 12.0, 1.0 / 36.0, 1.0 / 108.0];
/// How far apart the two places must lie that squares are tried about, as a share of the plane.
const APART: f64 = 1.0 / 6.0;
/// The second is tried where the rougher model sees it no more than this much worse.
const RIVAL: f64 = 0.2;
/// Steps along the side of a square at which the parabolas are looked at.
const STEPS: usize = 40;

/// The place of a plane where the worst margin is best.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Closest {
    /// Where, in edge units.
    pub place: [f64; 2],
    /// The limit with the least margin there. At least zero where the place is inside.
    pub worst: Margin,
}

/// Finds the place of a scenario's plane where the least margin g of all limits that apply is greatest,
/// max over the plane of min over the limits of g, by the scenario's own model. `None` if no limit applies.
/// The place is good to about 1 % of the axes, and rounded to the steps of a machine: 1 K, 0.01 s, 0.1 MPa. A ridge narrower
/// than a cell of the coarse grid may be missed.
///
/// # Errors
/// Whatever [`Scenario::validate_plane`] finds.
pub fn closest(scenario: &Scenario) -> Result<Option<Closest>, ScenarioError> {
    scenario.validate_plane()?;
    let sizes = all_parts(scenario, Detail::Fine);
    let place = best_place(scenario, &sizes);
    Ok(told_at(scenario, place, &sizes).into_iter().next().map(|worst| Closest { place, worst }))
}

/// The place of [`closest`], with every limit that is not met there. `None` if no limit applies.
///
/// # Errors
/// Whatever [`Scenario::validate_plane`] finds.
pub fn nearest(scenario: &Scenario) -> Result<Option<Nearest>, ScenarioError> {
    scenario.validate_plane()?;
    let sizes = all_parts(scenario, Detail::Fine);
    let place = best_place(scenario, &sizes);
    let mut missed = told_at(scenario, place, &sizes);
    if missed.is_empty() {
        return Ok(None);
    }
    missed.retain(|m| m.g < 0.0);
    Ok(Some(Nearest { place, missed }))
}

/// The place, in edge units, where the least margin of all limits that apply is greatest.
fn best_place(scenario: &Scenario, sizes: &[f64]) -> [f64; 2] {
    let rough = Detail::Coarse.scenario(scenario);
    let applying = |margins: &Margins| {
        let all = limits::Limit::ALL.into_iter().zip(margins);
        let applying = all.filter(|(limit, _)| !scenario.ignored.contains(limit));
        applying.map(|(_, g)| *g).fold(f64::INFINITY, f64::min)
    };
    let search = Search {
        rough: |places: &[Place]| evaluated(&rough, places, sizes),
        own: |places: &[Place]| evaluated(scenario, places, sizes),
        least: &applying,
        known: Vec::new(),
    };
    let own = |places: &[Place]| evaluated(scenario, places, sizes).iter().map(applying).collect();
    dialled(&scenario.window, search.best_place(), own)
}

/// The best of the four places of the plane about `place` that a machine can be set to, in edge units; `own` gives the least
/// margin at places. The place itself where none of the four lies in the plane.
fn dialled(plane: &Plane, place: Place, own: impl FnOnce(&[Place]) -> Vec<f64>) -> [f64; 2] {
    let exact = plane.value(place);
    let [across, up] = [0, 1].map(|k| plane.axes()[k].steps_about(exact[k]));
    let steps = [[across[0], up[0]], [across[1], up[0]], [across[0], up[1]], [across[1], up[1]]];
    let inside = |value: &&[f64; 2]| plane.fraction(**value).iter().all(|f| (-1e-9..=1.0 + 1e-9).contains(f));
    let values: Vec<[f64; 2]> = steps.iter().filter(inside).copied().collect();
    let places: Vec<Place> = values.iter().map(|value| plane.fraction(*value)).collect();
    let mut best = (exact, f64::NEG_INFINITY);
    for (value, g) in values.into_iter().zip(own(&places)) {
        if g > best.1 {
            best = (value, g);
        }
    }
    best.0
}

/// Margins at places given as fractions of the plane, drawn together as a surface draws them.
fn evaluated(scenario: &Scenario, places: &[Place], sizes: &[f64]) -> Vec<Margins> {
    let wanted: Vec<Wanted> = places.iter().map(|&place| Wanted { place, stage: Stage::LAST }).collect();
    margins_at(scenario, &wanted, sizes).into_iter().map(|margins| margins.map(near)).collect()
}

/// The limits that apply at a place given in edge units, the one with the least margin first. They are those that the
/// search compares: the hold's count where the fill stops short, too.
fn told_at(scenario: &Scenario, place: [f64; 2], sizes: &[f64]) -> Vec<Margin> {
    let plane = &scenario.window;
    let there = set(scenario, &plane.axes(), &place);
    let rule = SizeRule::of(scenario, sizes);
    let sized = rule.and_then(|rule| rule.there(&there, plane.fraction(place)));
    let mut told = limits::explain_all(&Case::resolve(&there).with_sizes(sized).evaluate());
    told.retain(|m| !m.ignored);
    order::sort_by(&mut told, |m| m.g);
    told
}

/// A search for the place where the least margin is greatest.
struct Search<R, O, L> {
    /// Margins at places, drawn together, by the rougher model and by the scenario's own.
    rough: R,
    own: O,
    /// The least margin of those that apply.
    least: L,
    /// What the own model gave so far.
    known: Vec<(Place, f64)>,
}

impl<R, O, L> Search<R, O, L>
where
    R: Fn(&[Place]) -> Vec<Margins>,
    O: Fn(&[Place]) -> Vec<Margins>,
    L: Fn(&Margins) -> f64,
{
    fn best_place(mut self) -> Place {
        let grid = Surface::new(Detail::Fine, &[]).wanted();
        let places: Vec<Place> = grid.iter().map(|wanted| wanted.place).collect();
        let lattice = Surface::spread_out(Detail::Fine, &(self.rough)(&places));
        let side = lattice.len().isqrt();
        let node = |k: usize| [k % side, k / side].map(|i| i as f64 / (side - 1) as f64);
        let foreseen: Vec<(Place, f64)> =
            lattice.iter().enumerate().map(|(k, margins)| (node(k), (self.least)(margins))).collect();
        // The first square about each start, the others about the best place of all.
        let mut about = starts(&foreseen);
        for half in HALVES {
            let seen: Vec<_> = about.iter().map(|&centre| self.in_square(centre, half)).collect();
            self.ask(&[best_of(&seen).0]);
            about = vec![best_of(&self.known).0];
        }
        about[0]
    }

    /// Evaluates places by the scenario's own model.
    fn ask(&mut self, places: &[Place]) -> Vec<Margins> {
        let found = (self.own)(places);
        self.known.extend(places.iter().copied().zip(found.iter().map(&self.least)));
        found
    }

    /// Evaluates a square about a place and looks between its nine places by parabolas: the best place, and how
    /// good it should be.
    fn in_square(&mut self, centre: Place, half: f64) -> (Place, f64) {
        let centre = centre.map(|c| c.clamp(half, 1.0 - half));
        let at = |u: f64, v: f64| [centre[0] + half * u, centre[1] + half * v];
        let places: Vec<Place> = (0..9).map(|k| at((k % 3) as f64 - 1.0, (k / 3) as f64 - 1.0)).collect();
        let found = self.ask(&places);
        let share = |k: usize| 2.0 * k as f64 / STEPS as f64 - 1.0;
        let mut best = (centre, f64::NEG_INFINITY);
        for j in 0..=STEPS {
            for i in 0..=STEPS {
                let (u, v) = (share(i), share(j));
                let [across, up] = [u, v].map(|t| [0.5 * t * (t - 1.0), 1.0 - t * t, 0.5 * t * (t + 1.0)]);
                let between: Margins = std::array::from_fn(|limit| {
                    (0..9).map(|k| across[k % 3] * up[k / 3] * found[k][limit]).sum()
                });
                let g = (self.least)(&between);
                if g > best.1 {
                    best = (at(u, v), g);
                }
            }
        }
        best
    }
}

/// The best place of a lattice, and the best far from it where it is nearly as good.
fn starts(foreseen: &[(Place, f64)]) -> Vec<Place> {
    let first = best_of(foreseen);
    let apart = |place: Place| (0..2).any(|k| (place[k] - first.0[k]).abs() > APART);
    let rival = |(place, g): &&(Place, f64)| *g > first.1 - RIVAL && apart(*place);
    let rivals: Vec<(Place, f64)> = foreseen.iter().filter(rival).copied().collect();
    let mut starts = vec![first.0];
    if !rivals.is_empty() {
        starts.push(best_of(&rivals).0);
    }
    starts
}

fn best_of(known: &[(Place, f64)]) -> (Place, f64) {
    let mut best = ([0.5; 2], f64::NEG_INFINITY);
    for &(place, g) in known {
        if g > best.1 {
            best = (place, g);
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_core::limits::COUNT;

    /// Three planes that fall away from a known place, a ridge that runs askew, and one that jumps: the
    /// best of the worst margin is found to a thousandth, beside the jump to a hundredth.
    #[test]
    fn the_best_of_the_worst_margin_is_found() {
        let cone =
            |[x, y]: Place| [0.3 - (x - 0.42), 0.3 + 2.0 * (x - 0.42) - (y - 0.77), 0.3 + 3.0 * (y - 0.77)];
        let ridge = |[x, y]: Place| {
            let (along, across) = (0.8 * x + 0.6 * y - 0.9, 0.8 * y - 0.6 * x + 0.13);
            [-0.2 - 5.0 * across, -0.2 + 4.0 * across, -0.2 - along * along]
        };
        let jump = |[x, y]: Place| [if x > 0.31 { -1.0 } else { 2.0 }, x + y - 2.0, -0.5];
        for (name, of, expected) in [
            ("cone", &cone as &dyn Fn(Place) -> [f64; 3], 0.3),
            ("ridge", &ridge, -0.2),
            ("jump", &jump, -0.69),
        ] {
            let margins = |place: &Place| {
                let mut g = [5.0; COUNT];
                g[..3].copy_from_slice(&of(*place));
                g.map(near)
            };
            let least = |g: &Margins| g.iter().copied().fold(f64::INFINITY, f64::min);
            let evaluations = std::cell::Cell::new(0);
            let evaluate = |places: &[Place]| -> Vec<Margins> {
                evaluations.set(evaluations.get() + places.len());
                places.iter().map(margins).collect()
            };
            let search = Search { rough: &evaluate, own: &evaluate, least, known: Vec::new() };
            let found = least(&margins(&search.best_place()));
            let off = if name == "jump" { 1e-2 } else { 1e-3 };
            assert!((found - near(expected)).abs() < off, "{name}: {found} against {expected}");
            assert!(evaluations.get() < 100, "{name}: {}", evaluations.get());
        }
    }

    /// The best of the four places about it, not the nearest; never one outside the plane; the place itself where no step
    /// lies in a plane that is narrower than one.
    #[test]
    fn the_place_that_is_told_can_be_dialled() {
        let mut plane = gatefrost_core::scenario::demo::default_demo().scenario().window;
        let told = |plane: &Plane, place: Place, of: fn(Place) -> f64| {
            dialled(plane, place, |places| places.iter().map(|&p| of(p)).collect())
        };
        let place = plane.fraction([0.4321, 171.4]);
        assert_eq!(told(&plane, place, |[x, y]| x + y), [0.44, 172.0]);
        assert_eq!(told(&plane, place, |[x, y]| x - y), [0.44, 171.0]);
        (plane.x.from, plane.x.to) = (0.435, 0.5);
        assert_eq!(told(&plane, plane.fraction([0.436, 171.4]), |[x, y]| y - x)[0], 0.44);
        (plane.x.from, plane.x.to) = (0.431, 0.439);
        let [time, _] = told(&plane, plane.fraction([0.4321, 171.4]), |[x, y]| y - x);
        assert!((time - 0.4321).abs() < 1e-12);
    }
}
