//! The diffusivity of a soluble binder, and its fit to readings of mass against time.
//!
//!   D(T) = D₀ exp(−E/RT)
//!
//! The fit minimises the squares of the differences in the share that is left, over ln D at the middle temperature of
//! the readings and E, by Gauss–Newton.

use super::diffusion::Section;
use super::kinetics::GAS;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::least_squares::{Sums, covariance, solve};
use gatefrost_numerics::statistics::mean;

/// D(T) with its uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Diffusivity {
    /// Temperature T_r at which `log_at` holds, K.
    pub reference: f64,
    /// ln D at T_r, D in m²/s.
    pub log_at: f64,
    /// Activation energy E, J/mol.
    pub energy: f64,
    /// Standard error of ln D at T_r.
    pub log_error: f64,
    /// Standard error of E, J/mol. Not correlated with that of ln D at T_r.
    pub energy_error: f64,
}

/// The mass that one piece had lost after one time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Temperature of the bath, K.
    pub temperature: f64,
    /// Time in the bath, s.
    pub time: f64,
    /// Form and size of the piece.
    pub section: Section,
    /// Share of the soluble binder that was left, between 0 and 1.
    pub left: f64,
}

/// A fit, and how near it comes.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// The diffusivity.
    pub diffusivity: Diffusivity,
    /// Share left by the fit less the reading, one for each reading.
    pub residuals: Vec<f64>,
    /// Standard deviation of a reading, as a share of the soluble binder.
    pub scatter: f64,
    /// Whether E follows from the readings; otherwise it is the one that was given.
    pub energy_fitted: bool,
}

/// Why no diffusivity can be told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unfit {
    /// No reading between 2 and 98 % left: only these tell the diffusivity.
    NoneBetween,
    /// The iteration found no minimum.
    NotConverged,
}

/// Least difference of temperatures from which E is fitted, K.
const LEAST_SPREAD: f64 = 4.0;

impl Diffusivity {
    /// D at `temperature` \[K\], m²/s.
    pub fn at(&self, temperature: f64) -> f64 {
        self.log(temperature).exponential()
    }

    fn log(&self, temperature: f64) -> f64 {
        self.log_at - self.energy / GAS * (1.0 / temperature - 1.0 / self.reference)
    }

    /// Standard error of ln D at `temperature` \[K\].
    pub fn log_error_at(&self, temperature: f64) -> f64 {
        let lever = (1.0 / temperature - 1.0 / self.reference) / GAS;
        self.log_error.hypotenuse(self.energy_error * lever)
    }

    /// D₀, m²/s.
    pub fn factor(&self) -> f64 {
        (self.log_at + self.energy / (GAS * self.reference)).exponential()
    }

    /// Fits readings. E stays `energy` ± `energy_error` \[J/mol\] where their temperatures are too near each other.
    ///
    /// # Errors
    /// [`Unfit`] where the readings do not tell a diffusivity.
    pub fn fit(readings: &[Reading], energy: f64, energy_error: f64) -> Result<Fitted, Unfit> {
        let telling = || readings.iter().filter(|r| r.left > 0.02 && r.left < 0.98 && r.time > 0.0);
        if telling().next().is_none() {
            return Err(Unfit::NoneBetween);
        }
        let temperatures = || telling().map(|r| r.temperature);
        let spread = temperatures().fold(0.0, f64::max) - temperatures().fold(f64::INFINITY, f64::min);
        let energy_fitted = spread >= LEAST_SPREAD;
        let reference = 1.0 / mean(&temperatures().map(|t| 1.0 / t).collect::<Vec<_>>());
        let logs: Vec<f64> =
            telling().map(|r| log_of(r) + energy / GAS * (1.0 / r.temperature - 1.0 / reference)).collect();
        let mut found = Self { reference, log_at: mean(&logs), energy, log_error: 0.0, energy_error };
        let count = if energy_fitted { 2 } else { 1 };
        let mut sums = found.sums(readings, count);
        for _ in 0..40 {
            let step = solve(&sums.normal, &sums.gradient, count).ok_or(Unfit::NotConverged)?;
            let (tried, after) =
                found.stepped(&step, readings, count, sums.squares).ok_or(Unfit::NotConverged)?;
            let gain = sums.squares - after.squares;
            (found, sums) = (tried, after);
            if gain <= 1e-14 * (1.0 + sums.squares) {
                break;
            }
        }
        let free = readings.len().saturating_sub(count).max(1) as f64;
        let variance = sums.squares / free;
        let errors = covariance(&sums.normal, count, variance).matrix;
        found.log_error = errors[0][0].sqrt();
        if energy_fitted {
            found.energy_error = errors[1][1].sqrt() * 1e3;
        }
        let residuals = readings.iter().map(|r| found.left(r) - r.left).collect();
        Ok(Fitted { diffusivity: found, residuals, scatter: variance.sqrt(), energy_fitted })
    }

    /// Share that is left for a reading.
    fn left(&self, r: &Reading) -> f64 {
        let depth = r.section.depth();
        r.section.left(self.at(r.temperature) * r.time / (depth * depth))
    }

    /// Sums of the linearised problem; the second constant is E in kJ/mol.
    fn sums(&self, readings: &[Reading], count: usize) -> Sums {
        let mut sums = Sums::new(count);
        for r in readings {
            let depth = r.section.depth();
            let fourier = self.at(r.temperature) * r.time / (depth * depth);
            let h = 1e-4;
            let slope =
                (r.section.left(fourier * (1.0 + h)) - r.section.left(fourier * (1.0 - h))) / (2.0 * h);
            let lever = -(1.0 / r.temperature - 1.0 / self.reference) / GAS * 1e3;
            sums.add(&[slope, slope * lever, 0.0, 0.0, 0.0], r.left - r.section.left(fourier));
        }
        sums.close()
    }

    /// The constants after a step that lowers the squares, halved until it does.
    fn stepped(
        &self,
        step: &[f64; 5],
        readings: &[Reading],
        count: usize,
        squares: f64,
    ) -> Option<(Self, Sums)> {
        let mut share = 1.0;
        for _ in 0..30 {
            let log_at = self.log_at + share * step[0].clamp(-2.0, 2.0);
            let energy = self.energy + if count == 2 { share * step[1] * 1e3 } else { 0.0 };
            let tried = Self { log_at, energy, ..*self };
            let sums = tried.sums(readings, count);
            if sums.is_finite() && sums.squares <= squares {
                return Some((tried, sums));
            }
            share *= 0.5;
        }
        Some((*self, self.sums(readings, count)))
    }
}

/// ln D of one reading alone.
fn log_of(r: &Reading) -> f64 {
    let depth = r.section.depth();
    (r.section.fourier(r.left) * depth * depth / r.time).logarithm()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reading(celsius: f64, hours: f64, half_mm: f64, truth: &Diffusivity, noise: f64) -> Reading {
        let (temperature, time) = (celsius + 273.15, hours * 3600.0);
        let section = Section::Slab { half: half_mm * 1e-3 };
        let bare = Reading { temperature, time, section, left: 0.0 };
        Reading { left: truth.left(&bare) + noise, ..bare }
    }

    /// Fe-6Ni-4Cu in hexane (abstract read): D = 45.34 exp(−5437.2/T) cm²/s.
    fn hexane() -> Diffusivity {
        let reference = 310.0;
        let log_at = (45.34e-4_f64).ln() - 5437.2 / reference;
        Diffusivity { reference, log_at, energy: 5437.2 * GAS, log_error: 0.0, energy_error: 0.0 }
    }

    #[test]
    fn published_constants_give_the_published_diffusivities() {
        let truth = hexane();
        assert!((truth.at(308.15) / 9.85e-11 - 1.0).abs() < 0.005, "{}", truth.at(308.15));
        assert!((truth.at(313.15) / 1.306e-10 - 1.0).abs() < 0.005);
        assert!((truth.factor() / 45.34e-4 - 1.0).abs() < 1e-9);
    }

    #[test]
    fn exact_readings_give_their_constants_back() {
        let truth = hexane();
        let readings: Vec<Reading> = [(35.0, 2.0), (35.0, 5.0), (45.0, 2.0), (45.0, 4.0), (50.0, 6.0)]
            .map(|(celsius, hours)| reading(celsius, hours, 2.0, &truth, 0.0))
            .to_vec();
        let fit = Diffusivity::fit(&readings, 30e3, 10e3).expect("telling readings");
        assert!(fit.energy_fitted && (fit.diffusivity.energy / truth.energy - 1.0).abs() < 1e-5);
        assert!((fit.diffusivity.at(320.0) / truth.at(320.0) - 1.0).abs() < 1e-6);
    }

    /// The stated band holds the truth in about 95 of 100 repeated trials with noise.
    #[test]
    fn the_band_holds_the_truth() {
        let truth = hexane();
        let mut seed = 9_u64;
        let mut normal = || {
            let mut sum = -6.0;
            for _ in 0..12 {
                seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                sum += (seed >> 11) as f64 / (1_u64 << 53) as f64;
            }
            sum
        };
        let held = (0..400)
            .filter(|_| {
                let mut readings = Vec::new();
                for celsius in [30.0, 40.0, 50.0] {
                    for hours in [0.5, 1.0, 2.0, 4.0] {
                        readings.push(reading(celsius, hours, 2.0, &truth, 0.02 * normal()));
                    }
                }
                let d = Diffusivity::fit(&readings, 30e3, 10e3).expect("telling").diffusivity;
                ((d.log(318.0) - truth.log(318.0)) / d.log_error_at(318.0)).abs()
                    < gatefrost_numerics::statistics::student_95(10)
            })
            .count();
        // Student's t with 10 degrees of freedom at 95 %; the share itself has a standard error of 1.1 %.
        assert!((368..=392).contains(&held), "{held} of 400");
    }

    #[test]
    fn one_temperature_keeps_the_energy_that_was_given_and_nothing_between_is_refused() {
        let truth = hexane();
        let one = [reading(40.0, 1.0, 2.0, &truth, 0.0), reading(40.0, 3.0, 2.0, &truth, 0.0)];
        let fit = Diffusivity::fit(&one, 30e3, 10e3).expect("telling");
        assert!(!fit.energy_fitted && fit.diffusivity.energy == 30e3 && fit.diffusivity.energy_error == 10e3);
        let empty = Reading { left: 0.001, ..one[0] };
        assert_eq!(Diffusivity::fit(&[empty], 30e3, 10e3), Err(Unfit::NoneBetween));
    }
}
