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
use gatefrost_numerics::least_squares::{Sums, covariance, solve};
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
    /// Standard errors of ln Θ_½ + Q/(R T_r), of w and of Q \[J/mol\]; zero for one that was given. The first is hardly
    /// correlated with Q.
    pub errors: [f64; 3],
    /// Density of the curve less that measured, one for each run.
    pub residuals: Vec<f64>,
    /// How many of the three follow from the runs, in the order ln Θ_½, w, Q; the others stay as they were given.
    pub fitted: usize,
}

/// Fits a curve to furnace runs that begin at `from` \[K\], beginning with `like`.
///
/// One run tells ln Θ_½, two with different densities w too, and three or more at temperatures that differ by 20 K or
/// more tell Q. What the runs do not tell stays as in `like`. `None` where no run lies between ρ₀ and ρ_∞, or no minimum is
/// found.
pub fn fit(runs: &[Run], from: f64, like: MasterCurve) -> Option<Fitted> {
    let telling: Vec<&Run> = runs.iter().filter(|run| like.log_work_to(run.density).is_some()).collect();
    let first = telling.first()?;
    let hottest = |run: &Run| run.schedule.iter().map(|s| s.temperature).fold(0.0, f64::max);
    let span = |value: &dyn Fn(&Run) -> f64| {
        let values = telling.iter().map(|run| value(run));
        values.clone().fold(f64::NEG_INFINITY, f64::max) - values.fold(f64::INFINITY, f64::min)
    };
    let spread = span(&|run| run.density) > 0.005;
    let count = match telling.len() {
        3.. if spread && span(&hottest) >= 20.0 => 3,
        2.. if spread => 2,
        _ => 1,
    };
    let mut curve = MasterCurve::through(first.density, &first.schedule, from, like)?;
    let reference = telling.iter().map(|run| hottest(run)).sum::<f64>() / telling.len() as f64;
    let problem = Problem { runs: &telling, from, count, reference };
    let mut sums = problem.sums(&curve);
    for _ in 0..80 {
        let step = solve(&sums.normal, &sums.gradient, count)?;
        let (tried, after) = problem.stepped(&curve, &step, sums.squares);
        let gain = sums.squares - after.squares;
        (curve, sums) = (tried, after);
        if gain <= 1e-10 * sums.squares + 1e-20 {
            break;
        }
    }
    let free = telling.len().saturating_sub(count).max(1) as f64;
    let found = covariance(&sums.normal, count, sums.squares / free).matrix;
    let error = |i: usize| if i < count { found[i][i].max(0.0).sqrt() } else { 0.0 };
    Some(Fitted {
        curve,
        reference,
        errors: std::array::from_fn(|i| error(i) * UNIT[i]),
        residuals: runs.iter().map(|run| curve.after(&run.schedule, from) - run.density).collect(),
        fitted: count,
    })
}

/// Units in which the constants are stepped.
const UNIT: [f64; 3] = [1.0, 1.0, 1e4];

/// What is fitted: the first `count` constants, with ln Θ_½ + Q/(R T_r) in the place of ln Θ_½.
struct Problem<'a> {
    runs: &'a [&'a Run],
    from: f64,
    count: usize,
    reference: f64,
}

impl Problem<'_> {
    /// The curve after a share of a step.
    fn with(&self, curve: &MasterCurve, step: &Vector, share: f64) -> MasterCurve {
        let by = |i: usize| if i < self.count { share * step[i].clamp(-5.0, 5.0) * UNIT[i] } else { 0.0 };
        let energy = (curve.energy + by(2)).max(2e4);
        MasterCurve {
            log_half: curve.log_half + by(0) - (energy - curve.energy) / (GAS * self.reference),
            width: (curve.width + by(1)).max(0.05),
            energy,
            ..*curve
        }
    }

    /// Sums of the linearised problem, with differences for derivatives.
    fn sums(&self, curve: &MasterCurve) -> Sums {
        let mut sums = Sums::new(self.count);
        for run in self.runs {
            let at = |curve: &MasterCurve| curve.after(&run.schedule, self.from);
            let h = 1e-4;
            let row: Vector = std::array::from_fn(|i| {
                if i >= self.count {
                    return 0.0;
                }
                let step: Vector = std::array::from_fn(|j| if i == j { h } else { 0.0 });
                (at(&self.with(curve, &step, 1.0)) - at(&self.with(curve, &step, -1.0))) / (2.0 * h)
            });
            sums.add(&row, run.density - at(curve));
        }
        sums.close()
    }

    /// The curve after a step that does not raise the squares, halved until it does not.
    fn stepped(&self, curve: &MasterCurve, step: &Vector, squares: f64) -> (MasterCurve, Sums) {
        let mut share = 1.0;
        for _ in 0..40 {
            let tried = self.with(curve, step, share);
            let after = self.sums(&tried);
            if after.is_finite() && after.squares <= squares {
                return (tried, after);
            }
            share *= 0.5;
        }
        (*curve, self.sums(curve))
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
        assert!(fit(&[Run { density: 0.5, ..one }], 293.0, STEEL).is_none(), "below the green density");
    }
}
