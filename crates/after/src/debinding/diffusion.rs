//! Diffusion of a soluble binder out of a wall.
//!
//! The share F of the soluble binder that is left depends on D t/a² alone, where a is the distance from the middle of
//! the wall to a surface that the solvent reaches:
//!
//!   slab:      F = (8/π²) Σ (2n+1)⁻² exp[−(2n+1)² π² D t/(4 a²)]
//!   cylinder:  F = Σ (4/β_k²) exp(−β_k² D t/a²),  J₀(β_k) = 0
//!
//! Source: J. Crank, The Mathematics of Diffusion, 2nd ed. (1975), from memory; the tests sum the series anew. It
//! assumes that the solvent dissolves the binder at once. Dissolution at the surface slows thin walls, so the times are
//! optimistic for them: below about 2.4 mm for PEG in water.

use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::search::bisect;
use std::f64::consts::PI;

/// The form of a section through which the binder leaves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Section {
    /// A wall. The solvent reaches both faces, or one face of a wall of half the thickness.
    Slab {
        /// Distance from the middle to a face that is reached, m.
        half: f64,
    },
    /// A round rod.
    Cylinder {
        /// Radius, m.
        radius: f64,
    },
}

/// Terms of the series that are summed.
const TERMS: usize = 24;

/// Below this D t/a² the first terms of the short-time solution are used; the error there is below 1e-7.
const SHORT: f64 = 0.02;

impl Section {
    /// Distance a that the binder has to go at most, m.
    pub fn depth(self) -> f64 {
        match self {
            Self::Slab { half } => half,
            Self::Cylinder { radius } => radius,
        }
    }

    /// Share of the soluble binder that is left after D t/a² = `fourier`, from 1 down to 0.
    pub fn left(self, fourier: f64) -> f64 {
        let x = fourier.max(0.0);
        match self {
            Self::Slab { .. } if x < SHORT => 1.0 - 2.0 * (x / PI).sqrt(),
            Self::Slab { .. } => sum(|n| {
                let odd = (2 * n + 1) as f64 * PI / 2.0;
                (2.0 / (odd * odd), odd * odd * x)
            }),
            Self::Cylinder { .. } if x < SHORT => {
                1.0 - 4.0 * (x / PI).sqrt() + x + x * x.sqrt() / (3.0 * PI.sqrt()) + x * x / 8.0
            }
            Self::Cylinder { .. } => sum(|n| {
                let root = root_of_j0(n);
                (4.0 / (root * root), root * root * x)
            }),
        }
    }

    /// D t/a² at which the share `left` of the soluble binder is left; `left` is above 0 and below 1.
    pub fn fourier(self, left: f64) -> f64 {
        bisect(0.0, 4.0, 60, |x| self.left(x) < left)
    }

    /// Time until the share `left` of the soluble binder is left, s, with the diffusivity in m²/s.
    pub fn time(self, left: f64, diffusivity: f64) -> f64 {
        self.fourier(left) * self.depth() * self.depth() / diffusivity
    }
}

/// Sum of factor · exp(−exponent) over the terms of a series.
fn sum(term: impl Fn(usize) -> (f64, f64)) -> f64 {
    let mut left = 0.0;
    for n in 0..TERMS {
        let (factor, exponent) = term(n);
        if exponent > 40.0 {
            break;
        }
        left += factor * (-exponent).exponential();
    }
    left
}

/// The zero number `n`, from 0, of the Bessel function J₀: the first five from tables, the others by McMahon's
/// expansion for large zeros (Abramowitz and Stegun, 9.5.12, from memory), which is right to 1e-9 there.
fn root_of_j0(n: usize) -> f64 {
    const FIRST: [f64; 5] = [
        2.404_825_557_695_773,
        5.520_078_110_286_311,
        8.653_727_912_911_013,
        11.791_534_439_014_281,
        14.930_917_708_487_787,
    ];
    FIRST.get(n).copied().unwrap_or_else(|| {
        let b = (n as f64 + 0.75) * PI;
        let e = 8.0 * b;
        b + 1.0 / e - 124.0 / (3.0 * e * e * e)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const SLAB: Section = Section::Slab { half: 1e-3 };
    const ROD: Section = Section::Cylinder { radius: 1e-3 };

    /// The plain series with 4000 terms.
    fn slab_by_series(x: f64) -> f64 {
        (0..4000)
            .map(|n| {
                let odd = f64::from(2 * n + 1) * PI / 2.0;
                2.0 / (odd * odd) * (-odd * odd * x).exp()
            })
            .sum()
    }

    #[test]
    fn a_slab_follows_its_series_at_all_times() {
        for x in [1e-5, 1e-3, 0.019, 0.021, 0.1, 0.5, 2.0] {
            assert!((SLAB.left(x) - slab_by_series(x)).abs() < 1e-4 * (1.0 - slab_by_series(x)), "{x}");
        }
    }

    /// Values of a published plate: Fe-6Ni-4Cu in hexane at 35 °C, half thickness 2 mm, D = 9.763e-7 cm²/s. The times
    /// follow from the series (closed form); the diffusivity was read in the abstract.
    #[test]
    fn a_plate_in_hexane_takes_hours() {
        let plate = Section::Slab { half: 2e-3 };
        for (left, minutes) in [(0.41, 188.4), (0.20, 387.0), (0.10, 579.0)] {
            let found = plate.time(left, 9.763e-11) / 60.0;
            assert!((found / minutes - 1.0).abs() < 0.003, "{found} min for {left}");
        }
    }

    /// A rod against the finite differences of its own equation, and its short-time form against the series at the
    /// place where one takes over from the other.
    #[test]
    fn a_rod_follows_its_equation_and_has_no_step() {
        let cells = 400;
        let (width, mut x) = (1.0 / f64::from(cells), 0.0);
        let mut left = vec![1.0; cells as usize];
        let dt = 0.2 * width * width;
        while x < 0.1 {
            let before = left.clone();
            for i in 0..left.len() {
                let inner = if i == 0 { 0.0 } else { i as f64 * (before[i] - before[i - 1]) };
                let outer = match before.get(i + 1) {
                    Some(next) => (i + 1) as f64 * (next - before[i]),
                    None => (i + 1) as f64 * (0.0 - before[i]) * 2.0,
                };
                left[i] += dt / (width * width) * (outer - inner) / (i as f64 + 0.5);
            }
            x += dt;
        }
        let mean: f64 = left.iter().enumerate().map(|(i, c)| c * (2 * i + 1) as f64 * width * width).sum();
        assert!((ROD.left(x) - mean).abs() < 2e-4, "{} against {mean}", ROD.left(x));
        let (before, after) = (ROD.left(SHORT - 1e-12), ROD.left(SHORT + 1e-12));
        assert!((before - after).abs() < 2e-5, "{before} and {after}");
        assert!(ROD.left(0.3) < SLAB.left(0.3), "a rod loses its binder faster than a wall of its radius");
    }

    #[test]
    fn the_time_leaves_what_was_asked_for() {
        for section in [SLAB, ROD] {
            for left in [0.95, 0.5, 0.2, 0.01] {
                assert!((section.left(section.fourier(left)) - left).abs() < 1e-9);
            }
        }
    }
}
