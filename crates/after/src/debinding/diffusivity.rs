//! The diffusivity of a soluble binder, and its fit to readings of mass against time.
//!
//!   D(T) = D₀ exp(−E/RT)
//!
//! The fit minimises the squares of the differences in the share that is left, over ln D at the middle temperature of
//! the readings and E ([`minimise`]).

use super::diffusion::Section;
use super::kinetics::GAS;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::least_squares::{Sums, covariance};
use gatefrost_numerics::marquardt::minimise;
use gatefrost_numerics::matrix::Vector;
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
    /// Standard deviation of a reading, as a share of the soluble binder; `None` without freedom.
    pub scatter: Option<f64>,
    /// Readings between 2 and 98 % left, less the constants that were fitted. With 0 the errors of the diffusivity are those
    /// that were given.
    pub free: usize,
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

/// Range of ln D, D in m²/s, and of E, kJ/mol.
const BOUNDS: [[f64; 2]; 2] = [[-70.0, 0.0], [-1000.0, 1000.0]];

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

    /// Fits readings. E stays that of `like` where their temperatures are too near each other, and the standard errors stay
    /// those of `like` where as many readings as constants leave no freedom.
    ///
    /// # Errors
    /// [`Unfit`] where the readings do not tell a diffusivity.
    pub fn fit(readings: &[Reading], like: &Self) -> Result<Fitted, Unfit> {
        let telling: Vec<&Reading> =
            readings.iter().filter(|r| r.left > 0.02 && r.left < 0.98 && r.time > 0.0).collect();
        if telling.is_empty() {
            return Err(Unfit::NoneBetween);
        }
        let temperatures = || telling.iter().map(|r| r.temperature);
        let spread = temperatures().fold(0.0, f64::max) - temperatures().fold(f64::INFINITY, f64::min);
        let energy_fitted = spread >= LEAST_SPREAD;
        let reference = 1.0 / mean(&temperatures().map(|t| 1.0 / t).collect::<Vec<_>>());
        let lever = |t: f64| like.energy / GAS * (1.0 / t - 1.0 / reference);
        let logs: Vec<f64> = telling.iter().map(|r| log_of(r) + lever(r.temperature)).collect();
        let with = |x: &Vector| Self {
            reference,
            log_at: x[0],
            energy: if energy_fitted { x[1] * 1e3 } else { like.energy },
            log_error: like.log_error_at(reference),
            energy_error: like.energy_error,
        };
        let count = if energy_fitted { 2 } else { 1 };
        let start = [mean(&logs), like.energy * 1e-3, 0.0, 0.0, 0.0];
        let minimum = minimise(start, &BOUNDS[..count], |x| with(x).sums(readings, count));
        if !minimum.converged {
            return Err(Unfit::NotConverged);
        }
        let mut found = with(&minimum.at);
        let free = telling.len().saturating_sub(count);
        let variance = (free > 0).then(|| minimum.sums.squares / free as f64);
        if let Some(variance) = variance {
            let errors = covariance(&minimum.sums.normal, count, variance).matrix;
            found.log_error = errors[0][0].sqrt();
            if energy_fitted {
                found.energy_error = errors[1][1].sqrt() * 1e3;
            }
        }
        let residuals = readings.iter().map(|r| found.left(r) - r.left).collect();
        Ok(Fitted { diffusivity: found, residuals, scatter: variance.map(f64::sqrt), free, energy_fitted })
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

    /// What a scenario holds before the fit.
    fn given() -> Diffusivity {
        Diffusivity { energy: 30e3, log_error: 0.3, energy_error: 10e3, ..hexane() }
    }

    /// One weighing tells D and no error of it: those that were given stay, and the same for two at two temperatures.
    #[test]
    fn as_many_readings_as_constants_leave_the_errors_that_were_given() {
        let truth = hexane();
        let [a, b] = [(36.85, 2.0), (45.0, 2.0)].map(|(celsius, h)| reading(celsius, h, 2.0, &truth, 0.01));
        let one = Diffusivity::fit(&[a], &given()).expect("telling");
        assert_eq!((one.free, one.scatter), (0, None));
        assert!((one.diffusivity.log_error - 0.3).abs() < 1e-9 && one.diffusivity.energy_error == 10e3);
        let two = Diffusivity::fit(&[a, b], &given()).expect("telling");
        assert!(two.energy_fitted && two.free == 0 && two.diffusivity.log_error > 0.3, "{two:?}");
        assert_eq!(two.diffusivity.energy_error, 10e3);
        // A reading of a piece that has lost all adds no freedom.
        let three =
            Diffusivity::fit(&[a, b, Reading { left: 0.0, time: 1e7, ..b }], &given()).expect("telling");
        assert_eq!(three.free, 0);
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
        let fit = Diffusivity::fit(&readings, &given()).expect("telling readings");
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
                let d = Diffusivity::fit(&readings, &given()).expect("telling").diffusivity;
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
        let fit = Diffusivity::fit(&one, &given()).expect("telling");
        assert!(!fit.energy_fitted && fit.diffusivity.energy == 30e3 && fit.diffusivity.energy_error == 10e3);
        let empty = Reading { left: 0.001, ..one[0] };
        assert_eq!(Diffusivity::fit(&[empty], &given()), Err(Unfit::NoneBetween));
    }
}
