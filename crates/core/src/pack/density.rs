//! Density against temperature and pressure as a table over what one hold can meet.

use crate::feedstock::Pvt;
use gatefrost_numerics::interval;

/// Steps of the table: bilinear between them keeps 3e-4 of the density where a binder melts, 1e-5
/// elsewhere.
const KELVIN: f64 = 0.5;
const PASCAL: f64 = 4e6;

/// Most columns and rows: 1000 K and 400 MPa, far beyond what any machine and binder bear.
const MOST: [usize; 2] = [2000, 101];

/// Least rise of a density with pressure \[1/Pa\]: no constants may leave a cell without a pressure. It is that
/// of a solid of 1000 GPa.
const LEAST_SLOPE: f64 = 1e-12;

/// How far the density may fall on cooling at one pressure. More is against nature for a binder: constants of
/// melt and solid that do not fit each other would press a part that cools behind a shut gate to any pressure.
const GREATEST_FALL: f64 = 1e-3;

/// Relative density r(T, p), bilinear and rising with pressure; beyond its temperatures it stays, beyond
/// its pressures it goes on straight.
#[derive(Debug, Clone)]
pub(super) struct DensityTable {
    from: f64,
    columns: usize,
    rows: usize,
    /// At the columns of each stretch between two rows: the density on either row.
    stretches: Vec<[f64; 2]>,
}

/// A stretch of density against pressure between two rows of the table: r = at_zero + slope p.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Chord {
    /// Where it would meet no pressure.
    pub at_zero: f64,
    /// Rise with pressure \[1/Pa\].
    pub slope: f64,
}

impl Chord {
    pub fn at(&self, p: f64) -> f64 {
        self.at_zero + self.slope * p
    }
}

impl DensityTable {
    /// Covers temperatures \[K\] and pressures from none to `most` \[Pa\].
    pub fn new(pvt: &Pvt, [from, to]: [f64; 2], most: f64) -> Self {
        let columns = ((to - from) / KELVIN).ceil().clamp(1.0, MOST[0] as f64) as usize + 1;
        let rows = (most / PASCAL).ceil().clamp(1.0, MOST[1] as f64) as usize + 1;
        let temperatures: Vec<f64> = (0..columns).map(|k| from + KELVIN * k as f64).collect();
        let mut values = Vec::with_capacity(columns * rows);
        for row in 0..rows {
            pvt.densities(&temperatures, PASCAL * row as f64, &mut values);
            let mut densest = 0.0_f64;
            for density in values[row * columns..].iter_mut().rev() {
                densest = densest.max(*density);
                *density = density.max(densest - GREATEST_FALL);
            }
        }
        for k in columns..values.len() {
            values[k] = values[k].max(values[k - columns] + LEAST_SLOPE * PASCAL);
        }
        let pairs = values.iter().zip(&values[columns..]);
        Self { from, columns, rows, stretches: pairs.map(|(&below, &above)| [below, above]).collect() }
    }

    /// How many stretches of pressure there are.
    pub fn stretches(&self) -> usize {
        self.rows - 1
    }

    /// The stretch of the table that holds a pressure, counted from none.
    pub fn stretch(&self, p: f64) -> usize {
        ((p * (1.0 / PASCAL)) as usize).min(self.rows - 2)
    }

    /// Mean density over layers of temperatures `t` \[K\] and shares `area` on a stretch of pressures.
    pub fn mean(&self, t: &[f64], area: &[f64], stretch: usize) -> Chord {
        let columns = &self.stretches[stretch * self.columns..(stretch + 1) * self.columns];
        // Not quite the last column, which begins no interval.
        let last = (columns.len() - 1) as f64 * (1.0 - 1e-12);
        let (mut low, mut high) = (0.0, 0.0);
        for (&t, a) in t.iter().zip(area) {
            let place = ((t - self.from) * (1.0 / KELVIN)).clamp(0.0, last);
            let (k, f) = interval(place);
            let k = k.min(columns.len() - 2);
            let ([low_here, high_here], [low_next, high_next]) = (columns[k], columns[k + 1]);
            low += a * (low_here + f * (low_next - low_here));
            high += a * (high_here + f * (high_next - high_here));
        }
        let slope = (high - low) * (1.0 / PASCAL);
        Chord { at_zero: low - slope * PASCAL * stretch as f64, slope }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::{Feedstock, PvtLaw, TaitConstants};

    #[test]
    fn the_table_keeps_its_stated_error() {
        for law in [PvtLaw::Linear, PvtLaw::Tait(TaitConstants::default())] {
            let pvt = Pvt::resolve(&Feedstock { pvt: law, ..Feedstock::default() });
            let table = DensityTable::new(&pvt, [310.0, 445.0], 90e6);
            for i in 0..540 {
                let t = 310.0 + 0.25 * f64::from(i);
                for p in [0.0, 3e6, 41e6, 88e6] {
                    let chord = table.mean(&[t], &[1.0], table.stretch(p));
                    let ((found, slope), (exact, rise)) = ((chord.at(p), chord.slope), pvt.density(t, p));
                    assert!((found / exact - 1.0).abs() < 3e-4, "{t} K {p} Pa: {found} against {exact}");
                    // A chord over 4 MPa cuts the corner where melting sets in.
                    if !(325.0..355.0).contains(&t) {
                        assert!((slope / rise - 1.0).abs() < 0.1, "{t} K {p} Pa: {slope} against {rise}");
                    }
                }
            }
        }
    }
}
