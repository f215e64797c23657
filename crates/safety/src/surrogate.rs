//! Quadratics in place of the margins, over a box of settings.

use super::{DIMENSIONS, DISTURBED, Values, points};
use gatefrost_core::limits::COUNT;
use gatefrost_core::scenario::Scenario;
use gatefrost_window::{Margins, margins_of};

/// Coefficients of a full quadratic.
const TERMS: usize = 1 + DIMENSIONS + DIMENSIONS * (DIMENSIONS + 1) / 2;
/// Evaluations that it is fitted to.
const EVALUATIONS: usize = 3 * TERMS / 2;
/// Margins beyond this many of their units are cut off: they say no more than that a limit is far.
const FAR: f64 = 6.0;

/// Every margin as a quadratic of u = (x − centre)/half, for |u| ≤ 1.
#[derive(Debug, Clone)]
pub(super) struct Surrogate {
    pub centre: Values,
    pub half: Values,
    /// Coefficients, term by term.
    terms: Vec<Margins>,
    /// Standard error of each, from what each evaluation misses when it is left out.
    pub error: Margins,
}

impl Surrogate {
    /// Fits to evaluations spread over a box, clipped to what can be computed.
    pub fn over(scenario: &Scenario, centre: Values, half: Values, bounds: &[[f64; 2]; DIMENSIONS]) -> Self {
        // A side without width would leave its terms undetermined; they then count for nothing.
        let mut half = half;
        let mut centre = centre;
        for k in 0..DIMENSIONS {
            let low = (centre[k] - half[k]).max(bounds[k][0]);
            let high = (centre[k] + half[k]).min(bounds[k][1]);
            centre[k] = 0.5 * (low + high);
            half[k] = (0.5 * (high - low)).max(1e-6 * centre[k].abs().max(1.0));
        }
        let mut places = vec![[0.0; DIMENSIONS]];
        places.extend(points::spread(EVALUATIONS - 1, 0.0).into_iter().map(|p| p.map(|p| 2.0 * p - 1.0)));
        let mut values: Vec<Values> = places.clone();
        for x in &mut values {
            (0..DIMENSIONS).for_each(|k| x[k] = centre[k] + half[k] * x[k]);
        }
        let mut found = margins_of(scenario, &DISTURBED, values.as_flattened());
        found.iter_mut().flatten().for_each(|g| *g = g.clamp(-FAR, FAR));
        let (terms, error) = fit(&places, &found);
        Self { centre, half, terms, error }
    }

    fn reduced(&self, x: &Values) -> Values {
        let mut u = *x;
        (0..DIMENSIONS).for_each(|k| u[k] = (u[k] - self.centre[k]) / self.half[k]);
        u
    }

    /// Margins at settings.
    pub fn at(&self, x: &Values) -> Margins {
        let row = row(&self.reduced(x));
        let mut out = [0.0; COUNT];
        for (term, coefficients) in row.iter().zip(&self.terms) {
            for (out, c) in out.iter_mut().zip(coefficients) {
                *out += term * c;
            }
        }
        out
    }

    /// Slopes of the margins with each setting, per edge unit.
    pub fn slopes(&self, x: &Values) -> [Values; COUNT] {
        let u = self.reduced(x);
        let mut out = [[0.0; DIMENSIONS]; COUNT];
        for limit in 0..COUNT {
            let c = |term: usize| self.terms[term][limit];
            for a in 0..DIMENSIONS {
                out[limit][a] += c(1 + a);
            }
            let mut term = 1 + DIMENSIONS;
            for a in 0..DIMENSIONS {
                for b in 0..=a {
                    out[limit][a] += c(term) * u[b];
                    out[limit][b] += c(term) * u[a];
                    term += 1;
                }
            }
            for a in 0..DIMENSIONS {
                out[limit][a] /= self.half[a];
            }
        }
        out
    }
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

/// Least squares by the normal equations, and the standard error of a prediction that was left out,
/// residual/(1 − h) with h the leverage of its row.
fn fit(places: &[Values], found: &[Margins]) -> (Vec<Margins>, Margins) {
    let rows: Vec<[f64; TERMS]> = places.iter().map(row).collect();
    let mut normal = [[0.0; TERMS]; TERMS];
    let mut right = vec![[0.0; COUNT]; TERMS];
    for (row, margins) in rows.iter().zip(found) {
        for i in 0..TERMS {
            for j in 0..=i {
                normal[i][j] += row[i] * row[j];
            }
            for limit in 0..COUNT {
                right[i][limit] += row[i] * margins[limit];
            }
        }
    }
    let factor = cholesky(normal);
    let terms = solve(&factor, right);
    let mut error = [0.0; COUNT];
    for (row, margins) in rows.iter().zip(found) {
        let mut z = *row;
        forward(&factor, &mut z);
        let leverage: f64 = z.iter().map(|z| z * z).sum();
        for limit in 0..COUNT {
            let foreseen: f64 = row.iter().zip(&terms).map(|(x, c)| x * c[limit]).sum();
            let missed = (margins[limit] - foreseen) / (1.0 - leverage).max(0.02);
            error[limit] += missed * missed / rows.len() as f64;
        }
    }
    error.iter_mut().for_each(|e| *e = e.sqrt());
    (terms, error)
}

/// L with L Lᵀ = A, A given by its lower half.
fn cholesky(mut a: [[f64; TERMS]; TERMS]) -> [[f64; TERMS]; TERMS] {
    for i in 0..TERMS {
        for j in 0..=i {
            let dot: f64 = (0..j).map(|k| a[i][k] * a[j][k]).sum();
            a[i][j] = if i == j { (a[i][i] - dot).max(1e-12).sqrt() } else { (a[i][j] - dot) / a[j][j] };
        }
    }
    a
}

fn forward(factor: &[[f64; TERMS]; TERMS], x: &mut [f64; TERMS]) {
    for i in 0..TERMS {
        let dot: f64 = (0..i).map(|k| factor[i][k] * x[k]).sum();
        x[i] = (x[i] - dot) / factor[i][i];
    }
}

fn solve(factor: &[[f64; TERMS]; TERMS], mut right: Vec<Margins>) -> Vec<Margins> {
    for limit in 0..COUNT {
        let mut x = [0.0; TERMS];
        for i in 0..TERMS {
            x[i] = right[i][limit];
        }
        forward(factor, &mut x);
        for i in (0..TERMS).rev() {
            let dot: f64 = (i + 1..TERMS).map(|k| factor[k][i] * x[k]).sum();
            x[i] = (x[i] - dot) / factor[i][i];
        }
        for i in 0..TERMS {
            right[i][limit] = x[i];
        }
    }
    right
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A quadratic is found again, with no error; a cubic leaves one that says how large its misfit is.
    #[test]
    fn a_quadratic_is_its_own_surrogate() {
        let places: Vec<Values> =
            points::spread(EVALUATIONS, 0.0).into_iter().map(|p| p.map(|p| 2.0 * p - 1.0)).collect();
        let of = |u: &Values, cubic: f64| {
            let mut g = [0.0; COUNT];
            g[2] = 1.5 - 0.4 * u[0] + 0.3 * u[1] * u[3] - 0.2 * u[5] * u[5] + cubic * u[4].powi(3);
            g
        };
        for cubic in [0.0, 0.1] {
            let found: Vec<Margins> = places.iter().map(|u| of(u, cubic)).collect();
            let (terms, error) = fit(&places, &found);
            let s = Surrogate { centre: [0.0; DIMENSIONS], half: [1.0; DIMENSIONS], terms, error };
            let missed: Vec<f64> = points::spread(50, 0.37)
                .iter()
                .map(|p| p.map(|p| 2.0 * p - 1.0))
                .map(|u| s.at(&u)[2] - of(&u, cubic)[2])
                .collect();
            let rms = (missed.iter().map(|m| m * m).sum::<f64>() / missed.len() as f64).sqrt();
            if cubic == 0.0 {
                assert!(rms < 1e-9 && s.error[2] < 1e-9, "{rms} {}", s.error[2]);
                let slope = s.slopes(&[0.1, 0.2, 0.0, 0.5, 0.0, -0.5])[2];
                let expected = [-0.4, 0.15, 0.0, 0.06, 0.0, 0.2];
                assert!(slope.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-9), "{slope:?}");
            } else {
                assert!(
                    rms > 1e-3 && s.error[2] > 0.5 * rms && s.error[2] < 4.0 * rms,
                    "{rms} {}",
                    s.error[2]
                );
            }
        }
    }
}
