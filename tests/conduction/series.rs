//! The series, written out, and their check against a textbook table.

use gatefrost_core::cavity::Kind;
use gatefrost_tests::numeric::{bessel, bisect};
use std::f64::consts::PI;

/// Temperature of a slab (|y| ≤ 1) or cylinder (r ≤ 1), 1 at the start, with Biot number `biot` at
/// its surface and surroundings at 0.
pub struct Series {
    kind: Kind,
    /// Eigenvalue, coefficient at the middle, coefficient of the mean.
    terms: Vec<[f64; 3]>,
}

impl Series {
    /// The first fifty terms: ζ tan ζ = Bi for the slab, ζ J₁(ζ) = Bi J₀(ζ) for the cylinder.
    pub fn new(kind: Kind, biot: f64) -> Self {
        let condition = |z: f64| match kind {
            Kind::Flat => z * z.sin() - biot * z.cos(),
            Kind::Round => z * bessel(1, z) - biot * bessel(0, z),
        };
        let mut terms = Vec::new();
        let mut z = 1e-6;
        while terms.len() < 50 {
            if condition(z) * condition(z + 0.1) < 0.0 {
                terms.push(Self::term(kind, bisect(condition, z, z + 0.1)));
            }
            z += 0.1;
        }
        Self { kind, terms }
    }

    fn term(kind: Kind, z: f64) -> [f64; 3] {
        match kind {
            Kind::Flat => {
                let a = 4.0 * z.sin() / (2.0 * z + (2.0 * z).sin());
                [z, a, a * z.sin() / z]
            }
            Kind::Round => {
                let (j0, j1) = (bessel(0, z), bessel(1, z));
                let a = 2.0 / z * j1 / (j0 * j0 + j1 * j1);
                [z, a, a * 2.0 * j1 / z]
            }
        }
    }

    /// Temperature at y (or r) and Fourier number αt/H².
    pub fn at(&self, y: f64, fourier: f64) -> f64 {
        let shape = |z: f64| match self.kind {
            Kind::Flat => (z * y).cos(),
            Kind::Round => bessel(0, z * y),
        };
        self.living(fourier).map(|[z, a, _]| a * shape(*z) * (-z * z * fourier).exp()).sum()
    }

    /// Mean temperature.
    pub fn mean(&self, fourier: f64) -> f64 {
        self.living(fourier).map(|[z, _, a]| a * (-z * z * fourier).exp()).sum()
    }

    /// The terms that have not died away below rounding.
    fn living(&self, fourier: f64) -> impl Iterator<Item = &[f64; 3]> {
        self.terms.iter().take_while(move |[z, ..]| z * z * fourier < 40.0)
    }
}

/// Biot number, then λ₁ and A₁ of slab and cylinder: a heat-transfer textbook's table of the one-term
/// approximation (read).
pub const TABLE: [(f64, [f64; 2], [f64; 2]); 3] = [
    (0.1, [0.3111, 1.0161], [0.4417, 1.0246]),
    (1.0, [0.8603, 1.1191], [1.2558, 1.2071]),
    (10.0, [1.4289, 1.2620], [2.1795, 1.5677]),
];

#[test]
fn first_terms_match_the_textbook_table() {
    for (biot, slab, cylinder) in TABLE {
        for (kind, expected) in [(Kind::Flat, slab), (Kind::Round, cylinder)] {
            let [z, a, _] = Series::new(kind, biot).terms[0];
            assert!(
                (z - expected[0]).abs() < 6e-5 && (a - expected[1]).abs() < 6e-5,
                "{kind:?} {biot}: {z} {a}"
            );
        }
    }
}

#[test]
fn the_series_starts_at_one_and_ends_at_nothing() {
    for kind in [Kind::Flat, Kind::Round] {
        let series = Series::new(kind, 3.0);
        assert!((series.at(0.0, 1e-3) - 1.0).abs() < 1e-6 && (series.at(0.5, 1e-3) - 1.0).abs() < 1e-6);
        assert!(series.mean(20.0) < 1e-9);
        // The mean is the mean of the profile.
        let profile = |y: f64| series.at(y, 0.1) * if kind == Kind::Round { 2.0 * y } else { 1.0 };
        let mean = gatefrost_tests::numeric::simpson(profile, 0.0, 1.0, 50);
        assert!((series.mean(0.1) - mean).abs() < 1e-7);
    }
    // A slab's slowest mode, π²/4, for a wall at the surroundings' temperature.
    let z = Series::new(Kind::Flat, 1e7).terms[0][0];
    assert!((z - PI / 2.0).abs() < 1e-6);
}
