//! Smooth functions that interpolate the margins between evaluated places.

use super::{DIMENSIONS, DISTURBED, Values};
use gatefrost_core::limits::COUNT;
use gatefrost_core::scenario::Scenario;
use gatefrost_numerics::matrix::eliminate;
use gatefrost_numerics::points;
use gatefrost_window::{Margins, margins_of, near};

/// Coefficients of a full quadratic.
const TERMS: usize = 1 + DIMENSIONS + DIMENSIONS * (DIMENSIONS + 1) / 2;
/// Evaluations that determine a quadratic and its error.
pub(super) const PLACES: usize = 3 * TERMS / 2;
/// How far from what is known a surrogate may pass, as r³ in its box: margins have noise of their own.
const SLACK: f64 = 0.02;

/// Least half width of a side that evaluations are spread over, as a share of its value.
const LEAST: f64 = 1e-3;

/// Margins at places, compressed far from zero so that smooth functions fit them.
pub(super) fn ask(scenario: &Scenario, places: &[Values]) -> Vec<Margins> {
    let margins = margins_of(scenario, &DISTURBED, places.as_flattened());
    margins.into_iter().map(|margins| margins.map(near)).collect()
}

/// Places and the margins there.
#[derive(Debug, Clone, Default)]
pub(super) struct Known {
    pub places: Vec<Values>,
    pub margins: Vec<Margins>,
}

impl Known {
    /// Asks a scenario's model.
    pub fn ask(&mut self, scenario: &Scenario, places: &[Values]) {
        self.places.extend_from_slice(places);
        self.margins.extend(ask(scenario, places));
    }

    /// The same with something added to each margin.
    pub fn raised(&self, by: &Margins) -> Self {
        let raised = |margins: &Margins| std::array::from_fn(|k| margins[k] + by[k]);
        Self { places: self.places.clone(), margins: self.margins.iter().map(raised).collect() }
    }

    /// This and other knowledge.
    pub fn and(&self, other: &Self) -> Self {
        let mut both = self.clone();
        both.places.extend(&other.places);
        both.margins.extend(&other.margins);
        both
    }
}

/// Every margin as s(u) = q(u) + Σ w_i |u − u_i|³ of u = (x − centre)/half: a quadratic that radial cubics
/// lead through what is known, Σ w_i p(u_i) = 0 for each quadratic p (M. D. Buhmann, Radial Basis
/// Functions, ch. 5, from memory).
#[derive(Debug, Clone)]
pub(super) struct Surrogate {
    centre: Values,
    pub half: Values,
    places: Vec<Values>,
    /// Weights of the places, then coefficients of the quadratic.
    weights: Vec<Vec<f64>>,
}

impl Surrogate {
    /// Through evaluations spread over a box, clipped to what can be computed. A side without width is given a
    /// little: the terms of its quadratic would be undetermined.
    pub fn over(scenario: &Scenario, centre: Values, half: Values, bounds: &[[f64; 2]; DIMENSIONS]) -> Self {
        let within = std::array::from_fn(|k| {
            let half = half[k].max(LEAST * centre[k].abs().max(1.0));
            [(centre[k] - half).max(bounds[k][0]), (centre[k] + half).min(bounds[k][1])]
        });
        let mut known = Known::default();
        known.ask(scenario, &spread_over(&within, PLACES, 0.0));
        Self::through(&known, &within)
    }

    /// Through what is known, over a box.
    pub fn through(known: &Known, within: &[[f64; 2]; DIMENSIONS]) -> Self {
        let centre: Values = within.map(|[low, high]| 0.5 * (low + high));
        // A side that bounds leave without width must not divide by zero.
        let half: Values = std::array::from_fn(|k| {
            (0.5 * (within[k][1] - within[k][0])).max(1e-6 * centre[k].abs().max(1.0))
        });
        let reduced = |x: &Values| std::array::from_fn(|k| (x[k] - centre[k]) / half[k]);
        let places: Vec<Values> = known.places.iter().map(reduced).collect();
        let weights = solve(&places, COUNT, |i, limit| known.margins[i][limit]);
        Self { centre, half, places, weights }
    }

    /// Standard error of each margin: the leave-one-out error w_i/(A⁻¹)_ii.
    pub fn error(&self) -> Margins {
        let n = self.places.len();
        let inverse = solve(&self.places, n, |i, k| if i == k { 1.0 } else { 0.0 });
        std::array::from_fn(|limit| {
            let missed = |i: usize| self.weights[i][limit] / inverse[i][i];
            ((0..n).map(|i| missed(i).powi(2)).sum::<f64>() / n as f64).sqrt()
        })
    }

    fn reduced(&self, x: &Values) -> Values {
        std::array::from_fn(|k| (x[k] - self.centre[k]) / self.half[k])
    }

    /// Margins at settings.
    pub fn at(&self, x: &Values) -> Margins {
        let u = self.reduced(x);
        let mut out = [0.0; COUNT];
        let cubics = self.places.iter().map(|place| distance(&u, place).powi(3));
        for (factor, weights) in cubics.chain(row(&u)).zip(&self.weights) {
            for (out, w) in out.iter_mut().zip(weights) {
                *out += factor * w;
            }
        }
        out
    }

    /// Slopes of the margins with each setting, per edge unit.
    pub fn slopes(&self, x: &Values) -> [Values; COUNT] {
        let u = self.reduced(x);
        let mut out = [[0.0; COUNT]; DIMENSIONS];
        let mut add = |a: usize, factor: f64, weights: &[f64]| {
            for (out, w) in out[a].iter_mut().zip(weights) {
                *out += factor * w;
            }
        };
        let (cubics, quadratic) = self.weights.split_at(self.places.len());
        for (place, weights) in self.places.iter().zip(cubics) {
            let r = distance(&u, place);
            (0..DIMENSIONS).for_each(|a| add(a, 3.0 * r * (u[a] - place[a]), weights));
        }
        let mut term = 1 + DIMENSIONS;
        for a in 0..DIMENSIONS {
            add(a, 1.0, &quadratic[1 + a]);
            for b in 0..=a {
                add(a, u[b], &quadratic[term]);
                add(b, u[a], &quadratic[term]);
                term += 1;
            }
        }
        std::array::from_fn(|limit| std::array::from_fn(|a| out[a][limit] / self.half[a]))
    }
}

/// The middle of a box and places spread over it.
pub(super) fn spread_over(within: &[[f64; 2]; DIMENSIONS], count: usize, shift: f64) -> Vec<Values> {
    let place = |p: Values| std::array::from_fn(|k| within[k][0] + (within[k][1] - within[k][0]) * p[k]);
    std::iter::once([0.5; DIMENSIONS]).chain(points::spread(count - 1, shift)).map(place).collect()
}

fn distance(a: &Values, b: &Values) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt()
}

/// 1, u_a, u_a u_b for b ≤ a.
fn row(u: &Values) -> [f64; TERMS] {
    let mut row = [1.0; TERMS];
    row[1..=DIMENSIONS].copy_from_slice(u);
    let mut term = 1 + DIMENSIONS;
    for a in 0..DIMENSIONS {
        for b in 0..=a {
            row[term] = u[a] * u[b];
            term += 1;
        }
    }
    row
}

/// Solves A w = b with A the cubics between places bordered by their quadratics, for so many b that are given
/// place by place.
fn solve(places: &[Values], many: usize, right: impl Fn(usize, usize) -> f64) -> Vec<Vec<f64>> {
    let (n, size) = (places.len(), places.len() + TERMS);
    let mut a = vec![vec![0.0; size + many]; size];
    for i in 0..n {
        for j in 0..i {
            let cubic = distance(&places[i], &places[j]).powi(3);
            (a[i][j], a[j][i]) = (cubic, cubic);
        }
        a[i][i] = SLACK;
        for (k, term) in row(&places[i]).into_iter().enumerate() {
            (a[i][n + k], a[n + k][i]) = (term, term);
        }
        (0..many).for_each(|k| a[i][size + k] = right(i, k));
    }
    eliminate(&mut a);
    a.into_iter().map(|row| row[size..].to_vec()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A quadratic is found again, with no error; a cubic leaves one that says how large its misfit is.
    #[test]
    fn a_quadratic_is_its_own_surrogate() {
        let within = [[-1.0, 1.0]; DIMENSIONS];
        let of = |u: &Values, cubic: f64| {
            let mut g = [0.0; COUNT];
            g[2] = 1.5 - 0.4 * u[0] + 0.3 * u[1] * u[3] - 0.2 * u[5] * u[5] + cubic * u[4].powi(3);
            g
        };
        for cubic in [0.0, 0.1] {
            let places = spread_over(&within, PLACES, 0.0);
            let margins = places.iter().map(|u| of(u, cubic)).collect();
            let s = Surrogate::through(&Known { places, margins }, &within);
            let missed: Vec<f64> =
                spread_over(&within, 50, 0.37).iter().map(|u| s.at(u)[2] - of(u, cubic)[2]).collect();
            let rms = (missed.iter().map(|m| m * m).sum::<f64>() / missed.len() as f64).sqrt();
            if cubic == 0.0 {
                assert!(rms < 1e-9 && s.error()[2] < 1e-9, "{rms} {}", s.error()[2]);
            } else {
                assert!(
                    rms > 1e-3 && s.error()[2] > 0.5 * rms && s.error()[2] < 4.0 * rms,
                    "{rms} {}",
                    s.error()[2]
                );
            }
        }
    }

    /// Slopes are those of the margins, by differences.
    #[test]
    fn slopes_are_those_of_the_margins() {
        let within = [[-1.0, 1.0]; DIMENSIONS];
        let places = spread_over(&within, PLACES, 0.0);
        let of = |u: &Values| [(2.0 * u[0] + u[1]).sin() * 2.0 + u[2] * u[5] - 0.3; COUNT];
        let margins = places.iter().map(of).collect();
        let s = Surrogate::through(&Known { places, margins }, &within);
        let x = [0.1, 0.2, 0.0, 0.5, 0.0, -0.5];
        let slopes = s.slopes(&x);
        for a in 0..DIMENSIONS {
            let moved = |by: f64| {
                let mut x = x;
                x[a] += by;
                s.at(&x)[3]
            };
            let difference = (moved(1e-4) - moved(-1e-4)) / 2e-4;
            assert!((difference - slopes[3][a]).abs() < 1e-6, "{a}: {difference} {}", slopes[3][a]);
        }
    }
}
