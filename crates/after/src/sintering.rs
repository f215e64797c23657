//! Density in the furnace by the master sintering curve.
//!
//!   Θ = ∫ T⁻¹ exp(−Q/RT) dt,   ρ = ρ₀ + (ρ_∞ − ρ₀)/[1 + exp(−(ln Θ − ln Θ_½)/w)]
//!
//! ρ is relative to the solid's density. ρ₀ is that of the debound part, ρ_∞ what the density comes to after a long time,
//! Θ_½ the work at which half of the way is done and w how wide the rise is. Source of Θ: H. Su and D. L. Johnson, J. Am.
//! Ceram. Soc. 79 (1996) 3211 (from memory). The sigmoid is the customary form (from memory). It describes
//! densification that one mechanism with one activation energy Q governs, and no grain growth: an estimate to plan trials
//! by, no furnace recipe.

use crate::debinding::kinetics::GAS;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::least_squares::{Sums, covariance};
use gatefrost_numerics::marquardt::{Minimum, minimise};
use gatefrost_numerics::matrix::Vector;

/// One stretch of the furnace: a ramp to a temperature, and a hold there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Ramp, K/s.
    pub ramp: f64,
    /// Temperature at its end, K.
    pub temperature: f64,
    /// Time at that temperature, s.
    pub hold: f64,
}

/// The master curve of a powder.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MasterCurve {
    /// Activation energy Q, J/mol.
    pub energy: f64,
    /// ln Θ_½, Θ in s/K.
    pub log_half: f64,
    /// Width w of the rise in ln Θ.
    pub width: f64,
    /// Relative density ρ₀ at the beginning.
    pub green: f64,
    /// Relative density ρ_∞ at the end.
    pub full: f64,
}

/// Simpson intervals of a ramp; with them ln Θ of a ramp of 1500 K is right to 1e-6.
const INTERVALS: usize = 200;

/// ln Θ of a schedule that begins at `from` \[K\], with Θ in s/K.
///
/// The integral over a ramp is ∫ T⁻¹ exp(−Q/RT) dT/ramp by Simpson's rule over the last part of the ramp, where the
/// integrand is more than 1e-16 of its greatest value.
pub fn log_work(schedule: &[Stretch], from: f64, energy: f64) -> f64 {
    let hottest = schedule.iter().map(|stretch| stretch.temperature).fold(from, f64::max);
    let mut work = 0.0;
    // Relative to the rate at the hottest place, so that nothing underflows.
    let rate = |t: f64| (energy / GAS * (1.0 / hottest - 1.0 / t)).exponential() * hottest / t;
    let mut at = from;
    for stretch in schedule {
        let to = stretch.temperature;
        if stretch.ramp > 0.0 && to > at {
            let coldest = (1.0 / to + 37.0 * GAS / energy).recip();
            work += simpson(at.max(coldest), to, rate) / stretch.ramp;
        }
        at = to;
        work += stretch.hold * rate(to);
    }
    work.logarithm() - energy / (GAS * hottest) - hottest.logarithm()
}

fn simpson(low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let h = (high - low) / INTERVALS as f64;
    let inner: f64 = (1..INTERVALS).map(|i| if i % 2 == 1 { 4.0 } else { 2.0 } * f(low + h * i as f64)).sum();
    (f(low) + inner + f(high)) * h / 3.0
}

impl MasterCurve {
    /// Relative density after `log_work` = ln Θ.
    pub fn density(&self, log_work: f64) -> f64 {
        let x = ((log_work - self.log_half) / self.width).clamp(-700.0, 700.0);
        self.green + (self.full - self.green) / (1.0 + (-x).exponential())
    }

    /// Relative density after a schedule that begins at `from` \[K\].
    pub fn after(&self, schedule: &[Stretch], from: f64) -> f64 {
        self.density(log_work(schedule, from, self.energy))
    }

    /// ln Θ at which the density is `density`, between ρ₀ and ρ_∞; `None` outside.
    pub fn log_work_to(&self, density: f64) -> Option<f64> {
        let share = (density - self.green) / (self.full - self.green);
        (share > 0.0 && share < 1.0).then(|| self.log_half + self.width * (share / (1.0 - share)).logarithm())
    }

    /// The curve whose rise passes through one known density after one known schedule.
    pub fn through(density: f64, schedule: &[Stretch], from: f64, like: Self) -> Option<Self> {
        let there = Self { log_half: 0.0, ..like }.log_work_to(density)?;
        Some(Self { log_half: log_work(schedule, from, like.energy) - there, ..like })
    }
}

/// Density after one furnace run.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// The schedule.
    pub schedule: Vec<Stretch>,
    /// Relative density that was measured.
    pub density: f64,
}

/// A fit of the curve, and how near it comes.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// The curve.
    pub curve: MasterCurve,
    /// Temperature T_r in the middle of the runs, K.
    pub reference: f64,
    /// Standard errors of ln Θ_½ + Q/(R T_r), of w and of Q \[J/mol\]. The first is hardly correlated with Q. `None` for one
    /// that was given or lies at the end of its range, and for all where as many runs as constants leave no freedom.
    pub errors: [Option<f64>; 3],
    /// Density of the curve less that measured, one for each run.
    pub residuals: Vec<f64>,
    /// How many of the three follow from the runs, in the order ln Θ_½, w, Q; the others stay as they were given.
    pub fitted: usize,
    /// Runs that lie between ρ₀ and ρ_∞, less the constants that were fitted.
    pub free: usize,
    /// Whether a run lies between ρ₀ and ρ_∞ and counts, one for each run.
    pub counts: Vec<bool>,
}

/// Why there is no curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unfit {
    /// No run lies between ρ₀ and ρ_∞.
    NoneBetween,
    /// The iteration found no minimum.
    NotConverged,
}

/// Least difference of the densities from which w is fitted.
const LEAST_RISE: f64 = 0.005;

/// Least difference of the temperatures from which Q is fitted, K.
pub const LEAST_SPAN: f64 = 20.0;

/// Range of w.
const WIDTHS: [f64; 2] = [0.05, 20.0];

/// Range of Q, J/mol.
const ENERGIES: [f64; 2] = [20e3, 2000e3];

/// Places (w, Q) at which the search begins, beside that of the curve that is given.
const WIDTH_STARTS: [f64; 4] = [0.3, 0.8, 1.6, 4.0];
const ENERGY_STARTS: [f64; 5] = [80e3, 180e3, 320e3, 550e3, 1000e3];

/// Starts that are followed to their minimum.
const FOLLOWED: usize = 4;

/// Fits a curve to furnace runs that begin at `from` \[K\], with what they do not tell as in `like`.
///
/// One run tells ln Θ_½, two with different densities w too, and three or more at temperatures that differ by
/// [`LEAST_SPAN`] or more tell Q. The least squares of the densities are sought by [`minimise`] from several starts; w
/// stays between 0.05 and 20, and Q between 20 and 2000 kJ/mol.
///
/// # Errors
/// [`Unfit`] where the runs do not tell a curve.
pub fn fit(runs: &[Run], from: f64, like: MasterCurve) -> Result<Fitted, Unfit> {
    let counts: Vec<bool> = runs.iter().map(|run| like.log_work_to(run.density).is_some()).collect();
    let telling: Vec<&Run> =
        runs.iter().zip(&counts).filter(|(_, counts)| **counts).map(|(r, _)| r).collect();
    if telling.is_empty() {
        return Err(Unfit::NoneBetween);
    }
    let hottest = |run: &Run| run.schedule.iter().map(|s| s.temperature).fold(0.0, f64::max);
    let span = |value: &dyn Fn(&Run) -> f64| {
        let values = telling.iter().map(|run| value(run));
        values.clone().fold(f64::NEG_INFINITY, f64::max) - values.fold(f64::INFINITY, f64::min)
    };
    let spread = span(&|run| run.density) > LEAST_RISE;
    let count = match telling.len() {
        3.. if spread && span(&hottest) >= LEAST_SPAN => 3,
        2.. if spread => 2,
        _ => 1,
    };
    let reference = telling.iter().map(|run| hottest(run)).sum::<f64>() / telling.len() as f64;
    let problem = Problem { runs: &telling, from, count, reference, like };
    let found = problem.minimum().ok_or(Unfit::NotConverged)?;
    let curve = problem.curve(&found.at);
    let free = telling.len() - count;
    let spread = covariance(&found.sums.normal, count, found.sums.squares / free.max(1) as f64).matrix;
    let ends = problem.bounds();
    let error = |i: usize| {
        let inside = i < count && found.at[i] > ends[i][0] && found.at[i] < ends[i][1];
        (inside && free > 0).then(|| spread[i][i].max(0.0).sqrt() * [1.0, curve.width, curve.energy][i])
    };
    Ok(Fitted {
        curve,
        reference,
        errors: std::array::from_fn(error),
        residuals: runs.iter().map(|run| curve.after(&run.schedule, from) - run.density).collect(),
        fitted: count,
        free,
        counts,
    })
}

/// What is fitted: the first `count` of ln Θ_½ + Q/(R T_r), ln w and ln Q.
struct Problem<'a> {
    runs: &'a [&'a Run],
    from: f64,
    count: usize,
    reference: f64,
    /// The curve that holds what is not fitted.
    like: MasterCurve,
}

impl Problem<'_> {
    fn bounds(&self) -> [[f64; 2]; 3] {
        [[-500.0, 500.0], WIDTHS.map(Elementary::logarithm), ENERGIES.map(Elementary::logarithm)]
    }

    fn curve(&self, x: &Vector) -> MasterCurve {
        let energy = if self.count > 2 { x[2].exponential() } else { self.like.energy };
        let width = if self.count > 1 { x[1].exponential() } else { self.like.width };
        MasterCurve { energy, width, log_half: x[0] - energy / (GAS * self.reference), ..self.like }
    }

    /// The least of the minima that the best starts lead to.
    fn minimum(&self) -> Option<Minimum> {
        let bounds = self.bounds();
        let mut starts: Vec<(f64, Vector)> = self.starts().map(|x| (self.sums(&x).squares, x)).collect();
        starts.sort_by(|a, b| a.0.total_cmp(&b.0));
        let minima = starts.iter().take(FOLLOWED);
        let minima = minima.map(|(_, x)| minimise(*x, &bounds[..self.count], |x| self.sums(x)));
        minima.filter(|m| m.converged).min_by(|a, b| a.sums.squares.total_cmp(&b.sums.squares))
    }

    /// Starts: widths and energies of a grid, and Θ_½ for which the curve passes through the runs in the mean.
    fn starts(&self) -> impl Iterator<Item = Vector> {
        let energies = [self.like.energy].into_iter().chain(ENERGY_STARTS);
        let energies = energies.take(if self.count > 2 { ENERGY_STARTS.len() + 1 } else { 1 });
        energies.flat_map(move |energy| {
            let widths = [self.like.width].into_iter().chain(WIDTH_STARTS);
            let widths = widths.take(if self.count > 1 { WIDTH_STARTS.len() + 1 } else { 1 });
            widths.map(move |width| {
                let like = MasterCurve { energy, width, ..self.like };
                let halves = self.runs.iter().filter_map(|run| {
                    Some(MasterCurve::through(run.density, &run.schedule, self.from, like)?.log_half)
                });
                let half = halves.sum::<f64>() / self.runs.len() as f64;
                let at_reference = half + energy / (GAS * self.reference);
                [at_reference, width.logarithm(), energy.logarithm(), 0.0, 0.0]
            })
        })
    }

    /// Sums of the linearised problem. The derivative of ln Θ by ln Q is a difference.
    fn sums(&self, x: &Vector) -> Sums {
        let curve = self.curve(x);
        let mut sums = Sums::new(self.count);
        for run in self.runs {
            let work =
                |energy: f64| log_work(&run.schedule, self.from, energy) + energy / (GAS * self.reference);
            let along = (work(curve.energy) - x[0]) / curve.width;
            let share = 1.0 / (1.0 + (-along.clamp(-700.0, 700.0)).exponential());
            let slope = (curve.full - curve.green) * share * (1.0 - share);
            let by_energy = if self.count > 2 {
                let h = 1e-4;
                (work(curve.energy * (1.0 + h)) - work(curve.energy * (1.0 - h))) / (2.0 * h * curve.width)
            } else {
                0.0
            };
            let row = [-slope / curve.width, -slope * along, slope * by_energy, 0.0, 0.0];
            sums.add(&row, run.density - (curve.green + (curve.full - curve.green) * share));
        }
        sums.close()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const STEEL: MasterCurve =
        MasterCurve { energy: 280e3, log_half: -27.0, width: 1.1, green: 0.6, full: 0.99 };

    fn schedule(celsius: f64, minutes: f64, ramp: f64) -> Vec<Stretch> {
        vec![Stretch { ramp: ramp / 60.0, temperature: celsius + 273.15, hold: minutes * 60.0 }]
    }

    /// At 280 kJ/mol, 1340 instead of 1360 °C takes 1.28 times as long (closed form).
    #[test]
    fn a_colder_furnace_takes_longer() {
        let hold = |celsius: f64| {
            log_work(&[Stretch { ramp: 0.0, temperature: celsius + 273.15, hold: 1.0 }], 293.0, 280e3)
        };
        assert!(
            ((hold(1360.0) - hold(1340.0)).exp() / 1.28 - 1.0).abs() < 0.01,
            "{}",
            (hold(1360.0) - hold(1340.0)).exp()
        );
    }

    /// The rectangle rule with a million steps.
    #[test]
    fn the_work_of_a_ramp_follows_a_plain_sum() {
        for energy in [120e3, 280e3, 500e3] {
            let stretch = Stretch { ramp: 5.0 / 60.0, temperature: 1600.0, hold: 0.0 };
            let steps = 1_000_000;
            let h = (1600.0 - 300.0) / f64::from(steps);
            let sum: f64 = (0..steps)
                .map(|i| {
                    let t = 300.0 + h * (f64::from(i) + 0.5);
                    (-energy / (GAS * t)).exp() / t * h
                })
                .sum();
            let expected = (sum / stretch.ramp).ln();
            let found = log_work(&[stretch], 300.0, energy);
            assert!((found - expected).abs() < 1e-5, "{found} against {expected}");
        }
    }

    #[test]
    fn density_rises_with_temperature_and_time_and_inverts() {
        let of = |celsius: f64, minutes: f64| STEEL.after(&schedule(celsius, minutes, 5.0), 293.0);
        assert!(of(1340.0, 60.0) < of(1360.0, 60.0) && of(1360.0, 60.0) < of(1360.0, 120.0));
        let density = of(1360.0, 60.0);
        let back = STEEL.log_work_to(density).expect("inside");
        assert!((STEEL.density(back) - density).abs() < 1e-12);
        assert_eq!(STEEL.log_work_to(0.995), None);
    }

    #[test]
    fn exact_runs_give_their_curve_back() {
        let runs: Vec<Run> =
            [(1150.0, 30.0), (1200.0, 60.0), (1250.0, 60.0), (1300.0, 60.0), (1360.0, 30.0), (1360.0, 120.0)]
                .map(|(celsius, minutes)| {
                    let schedule = schedule(celsius, minutes, 5.0);
                    Run { density: STEEL.after(&schedule, 293.0), schedule }
                })
                .to_vec();
        let like = MasterCurve { energy: 350e3, log_half: 0.0, width: 2.0, ..STEEL };
        let fitted = fit(&runs, 293.0, like).expect("telling runs");
        assert_eq!(fitted.fitted, 3);
        assert!((fitted.curve.energy / 280e3 - 1.0).abs() < 1e-3, "{}", fitted.curve.energy);
        assert!(fitted.residuals.iter().all(|r| r.abs() < 1e-6), "{:?}", fitted.residuals);
    }

    #[test]
    fn few_runs_fit_few_constants() {
        let one = Run { density: 0.95, schedule: schedule(1350.0, 60.0, 5.0) };
        let fitted = fit(std::slice::from_ref(&one), 293.0, STEEL).expect("one run");
        assert_eq!((fitted.fitted, fitted.curve.energy), (1, STEEL.energy));
        assert!(fitted.residuals[0].abs() < 1e-9);
        assert_eq!((fitted.errors, fitted.free), ([None; 3], 0), "one run leaves no freedom");
        let below = fit(&[Run { density: 0.5, ..one }], 293.0, STEEL);
        assert_eq!(below, Err(Unfit::NoneBetween), "below the green density");
    }
}
