//! What measured parts say about shrinkage.
//!
//! Each reading is a ratio of lengths, and its logarithm is linear in what is sought:
//!
//!   ln(cavity/green)    = g + a (α − 1/3)
//!   ln(cavity/sintered) = g + s + a (α − 1/3) + v (υ − 1/3)
//!
//! α is 1 for a dimension along the flow, υ for a vertical one; else they are 0. g is the mean shrinkage of the three
//! directions in the mould, S = e^(−3g); s that in the furnace, ρ_s,r = φ (1 − w) e^(3s); e^a and e^v are the factors of the
//! directions (see [`super`]: powder is conserved). A direction that the readings do not tell keeps the factor that is given.
//! The fit is linear least squares over all readings; repeated readings count one by one.

use super::{Directions, Lie};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::least_squares::{Sums, covariance};
use gatefrost_numerics::matrix::{Matrix, Vector};
use gatefrost_numerics::statistics::student_95;

/// One dimension of one measured part, sizes in any one unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// How the dimension lies.
    pub lie: Lie,
    /// Size of the cavity.
    pub cavity: f64,
    /// Size of the cold green part, if it was measured.
    pub green: Option<f64>,
    /// Size of the sintered part, if it was measured.
    pub sintered: Option<f64>,
}

/// A number that was fitted, with half the width of its 95 % interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Banded {
    /// The number.
    pub value: f64,
    /// Half the width of the interval; absent where as many readings as numbers leave none.
    pub half_width: Option<f64>,
}

/// What the readings tell.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// Share S of the cavity that the green part fills when it is cold; absent without green sizes.
    pub filled: Option<Banded>,
    /// Oversize factor, cavity over sintered part, as the mean of the three directions; absent without sintered sizes.
    pub oversize: Option<Banded>,
    /// Green over sintered part, as the mean of the three directions; absent where either is.
    pub in_furnace: Option<Banded>,
    /// Factor along the flow; absent where the readings do not tell it.
    pub along: Option<Banded>,
    /// Factor of a vertical dimension; absent where the readings do not tell it.
    pub vertical: Option<Banded>,
    /// Standard deviation of a length, relative.
    pub scatter: f64,
    /// Readings of lengths, green and sintered together.
    pub readings: usize,
}

/// Fits readings, with the factors of `given` for directions that they do not tell; `None` without any length to fit. All
/// sizes are positive.
pub fn fit(readings: &[Reading], given: Directions) -> Option<Fitted> {
    let columns = Columns::of(readings);
    let count = columns.list.len();
    let mut sums = Sums::new(count);
    let mut lengths = 0;
    for r in readings {
        for (size, sintered) in [(r.green, false), (r.sintered, true)] {
            if let Some(size) = size {
                let ratio = (r.cavity / size).logarithm() - columns.known(r.lie, sintered, given);
                sums.add(&columns.row(r.lie, sintered), ratio);
                lengths += 1;
            }
        }
    }
    if lengths == 0 {
        return None;
    }
    let sums = sums.close();
    let x = sums.solution()?;
    let explained: f64 = (0..count).map(|i| x[i] * sums.gradient[i]).sum();
    let free = lengths - count.min(lengths);
    let variance = if free > 0 { (sums.squares - explained).max(0.0) / free as f64 } else { 0.0 };
    let found =
        Solution { columns: &columns, x, spread: covariance(&sums.normal, count, variance).matrix, free };
    Some(Fitted {
        filled: found.number(-3.0, &[Column::Mould]),
        oversize: found
            .number(1.0, if columns.green { &[Column::Mould, Column::Furnace] } else { &[Column::Furnace] }),
        in_furnace: if columns.green { found.number(1.0, &[Column::Furnace]) } else { None },
        along: found.number(1.0, &[Column::Along]),
        vertical: found.number(1.0, &[Column::Vertical]),
        scatter: variance.sqrt(),
        readings: lengths,
    })
}

/// The numbers that were fitted, with their covariance.
struct Solution<'a> {
    columns: &'a Columns,
    x: Vector,
    spread: Matrix,
    free: usize,
}

impl Solution<'_> {
    /// exp(`power` times the sum of the columns `wanted`), with its band; `None` if one of them was not fitted.
    fn number(&self, power: f64, wanted: &[Column]) -> Option<Banded> {
        let places: Option<Vec<usize>> =
            wanted.iter().map(|w| self.columns.list.iter().position(|c| c == w)).collect();
        let places = places?;
        let value = (power * places.iter().map(|&i| self.x[i]).sum::<f64>()).exponential();
        let variance: f64 =
            places.iter().map(|&i| places.iter().map(|&j| self.spread[i][j]).sum::<f64>()).sum();
        let half_width =
            (self.free > 0).then(|| value * power.abs() * variance.max(0.0).sqrt() * student_95(self.free));
        Some(Banded { value, half_width })
    }
}

/// What a column of the fit stands for. Without green sizes, `Furnace` holds g + s.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Column {
    Mould,
    Furnace,
    Along,
    Vertical,
}

/// The columns that the readings tell.
struct Columns {
    list: Vec<Column>,
    green: bool,
}

impl Columns {
    fn of(readings: &[Reading]) -> Self {
        let green = || readings.iter().filter(|r| r.green.is_some()).map(|r| r.lie);
        let sintered = || readings.iter().filter(|r| r.sintered.is_some()).map(|r| r.lie);
        // A direction is told where the same stage was measured with and without it.
        let along_in_green = differ(green(), |lie| lie.along);
        let along = along_in_green || differ(sintered(), |lie| lie.along);
        // The two directions are told apart only if they do not always come together, or never.
        let apart = !along || along_in_green || differ(sintered(), |lie| lie.along == lie.vertical);
        let vertical = differ(sintered(), |lie| lie.vertical) && apart;
        let all = [
            (Column::Mould, green().next().is_some()),
            (Column::Furnace, sintered().next().is_some()),
            (Column::Along, along),
            (Column::Vertical, vertical),
        ];
        let list = all.into_iter().filter(|&(_, told)| told).map(|(column, _)| column).collect();
        Self { list, green: green().next().is_some() }
    }

    fn row(&self, lie: Lie, sintered: bool) -> Vector {
        std::array::from_fn(|i| match self.list.get(i) {
            Some(Column::Mould) => 1.0,
            Some(Column::Furnace) => f64::from(sintered),
            Some(Column::Along) => lie.in_mould(),
            Some(Column::Vertical) if sintered => lie.in_furnace(),
            Some(Column::Vertical) | None => 0.0,
        })
    }

    /// Logarithm of what the directions make that are given, not fitted.
    fn known(&self, lie: Lie, sintered: bool, given: Directions) -> f64 {
        let factor = |column: Column, factor: f64| if self.list.contains(&column) { 1.0 } else { factor };
        let along = factor(Column::Along, given.along);
        let vertical = if sintered { factor(Column::Vertical, given.vertical) } else { 1.0 };
        Directions { along, vertical }.of(lie).logarithm()
    }
}

/// Whether a property of the lies is true for some and false for others.
fn differ(mut lies: impl Iterator<Item = Lie>, of: impl Fn(Lie) -> bool) -> bool {
    let first = lies.next().map(&of);
    first.is_some_and(|first| lies.any(|lie| of(lie) != first))
}

#[cfg(test)]
mod tests {
    use super::*;

    const ACROSS: Lie = Lie { along: false, vertical: false };
    const ALONG: Lie = Lie { along: true, vertical: false };
    const UP: Lie = Lie { along: false, vertical: true };

    const EVEN: Directions = Directions { along: 1.0, vertical: 1.0 };

    /// A part with S = 0.985, a furnace factor of 1.17 by volume and 0.2 % and 0.4 % in the directions.
    fn reading(lie: Lie, cavity: f64, off: f64) -> Reading {
        let g = (0.985_f64 * 1.002).powf(-1.0 / 3.0) * if lie.along { 1.002 } else { 1.0 };
        let s = 1.17 / 1.004_f64.cbrt() * if lie.vertical { 1.004 } else { 1.0 };
        Reading {
            lie,
            cavity,
            green: Some(cavity / g * (1.0 + off)),
            sintered: Some(cavity / (g * s) * (1.0 - off)),
        }
    }

    #[test]
    fn exact_readings_give_the_truth_back() {
        let readings = [reading(ACROSS, 20.0, 0.0), reading(ALONG, 29.0, 0.0), reading(UP, 5.0, 0.0)];
        let fit = fit(&readings, EVEN).expect("readings");
        let near =
            |banded: Option<Banded>, truth: f64| assert!((banded.expect("told").value - truth).abs() < 1e-9);
        near(fit.filled, 0.985);
        near(fit.oversize, 1.17 * (0.985_f64).powf(-1.0 / 3.0));
        near(fit.in_furnace, 1.17);
        near(fit.along, 1.002);
        near(fit.vertical, 1.004);
        assert!(fit.scatter < 1e-9 && fit.readings == 6);
    }

    /// Green and sintered volumes of a measured cube are those of S and of the furnace; a factor that is given counts where
    /// only one direction was measured.
    #[test]
    fn the_fit_conserves_the_powder() {
        let across = [reading(ACROSS, 20.0, 0.0), reading(ACROSS, 9.0, 0.0)];
        let given = Directions { along: 1.002, vertical: 1.004 };
        let told = fit(&across, given).expect("readings");
        assert!(told.along.is_none() && (told.filled.expect("told").value - 0.985).abs() < 1e-9);
        assert!((told.in_furnace.expect("told").value - 1.17).abs() < 1e-9);
        let cube = [reading(ACROSS, 20.0, 0.0), reading(ALONG, 20.0, 0.0), reading(UP, 20.0, 0.0)];
        let green: f64 = cube.iter().map(|r| r.green.expect("measured")).product();
        let sintered: f64 = cube.iter().map(|r| r.sintered.expect("measured")).product();
        let told = fit(&cube, EVEN).expect("readings");
        assert!((told.filled.expect("told").value - green / 8000.0).abs() < 1e-9);
        assert!((told.in_furnace.expect("told").value.powi(3) - green / sintered).abs() < 1e-9);
    }

    #[test]
    fn what_is_not_measured_is_not_told() {
        let only_sintered = [ACROSS, ACROSS].map(|lie| Reading { green: None, ..reading(lie, 20.0, 0.0) });
        let fit = fit(&only_sintered, EVEN).expect("readings");
        assert!(
            fit.filled.is_none() && fit.in_furnace.is_none() && fit.along.is_none() && fit.vertical.is_none()
        );
        let across = 1.17 * (0.985_f64 * 1.002 * 1.004).powf(-1.0 / 3.0);
        assert!((fit.oversize.expect("told").value - across).abs() < 1e-9);
        // One direction cannot stand for two.
        let both = [reading(ACROSS, 20.0, 0.0), reading(Lie { along: true, vertical: true }, 9.0, 0.0)];
        let bare = both.map(|r| Reading { green: None, ..r });
        assert!(super::fit(&bare, EVEN).expect("readings").vertical.is_none());
        assert!(super::fit(&both, EVEN).expect("readings").vertical.is_some(), "green sizes tell them apart");
        assert!(super::fit(&[], EVEN).is_none());
    }

    /// Repeated readings with scatter: the interval holds the truth and narrows with their number.
    #[test]
    fn repeated_readings_narrow_the_band() {
        let many = |n: usize| -> Vec<Reading> {
            (0..n)
                .flat_map(|i| {
                    [ACROSS, ALONG, UP].map(|lie| reading(lie, 20.0, 5e-4 * (2.4 * i as f64 + 0.7).sin()))
                })
                .collect()
        };
        let width = |n: usize| {
            let told = fit(&many(n), EVEN).expect("readings").oversize.expect("told");
            assert!(
                (told.value - 1.17 * (0.985_f64).powf(-1.0 / 3.0)).abs() < told.half_width.expect("free")
            );
            told.half_width.expect("free")
        };
        assert!(width(20) < 0.7 * width(4), "{} against {}", width(20), width(4));
    }
}
