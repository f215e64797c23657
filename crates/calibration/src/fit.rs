//! The fit: search, scatter of the readings, and search again.

use crate::quantity::Read;
use crate::readings::Readings;
use crate::result::{ReadScatter, variance};
use crate::search::{Place, Progress, ROUGH, descend, settled};
use crate::solve::{DEGREES, Datum, Found, Model};
use gatefrost_numerics::elementary::Elementary;

/// A scatter counts as found only if there are so many readings more than unknowns that they settle.
const LEAST_FREEDOM: f64 = 0.5;
/// The stated error of a reading counts like so many readings when its scatter is estimated.
const STATED: f64 = 1.0;
/// Readings that scatter so many times more than stated make the search begin again.
const SIDE_VALLEY: f64 = 1.8;
/// Scatters whose logarithms differ by less are the same.
const SAME: f64 = 0.1;
/// Rounds of fit and scatter.
const ROUNDS: usize = 6;

/// A fit with the scatter of each quantity.
pub(crate) struct Fit {
    pub found: Found,
    /// Quantity, factor by which it scatters more than stated, degrees of freedom behind that.
    pub wider: Vec<(Read, f64, f64)>,
}

impl Fit {
    pub fn factor(&self, read: Read) -> f64 {
        factor_of(&self.wider, read)
    }

    /// The greatest factor.
    fn worst(&self) -> f64 {
        self.wider.iter().map(|w| w.1).fold(1.0, f64::max)
    }

    /// Of two fits, the one with less of this is more probable: what was minimised, and ln of the scatter for each degree of
    /// freedom.
    fn badness(&self) -> f64 {
        self.found.cost + self.wider.iter().map(|w| w.2 * w.1.logarithm()).sum::<f64>()
    }

    /// Readings less the unknowns that they settle.
    pub fn total_freedom(&self) -> f64 {
        self.wider.iter().map(|w| w.2 - STATED).sum()
    }

    pub fn freedom(&self, read: Read) -> f64 {
        self.wider.iter().find(|w| w.0 == read).map_or(f64::INFINITY, |w| w.2)
    }

    pub fn data(&self, readings: &Readings) -> Vec<Datum> {
        readings.data(|read| self.factor(read))
    }

    pub fn scatters(&self, readings: &Readings) -> Vec<ReadScatter> {
        let one = |(read, factor, freedom): &(Read, f64, f64)| {
            let unit = if read.is_relative() { 100.0 } else { 1.0 };
            let of: Vec<f64> = readings.list.iter().filter(|l| l.1 == *read).map(|l| l.3).collect();
            let stated = unit * (of.iter().map(|s| s * s).sum::<f64>() / of.len() as f64).sqrt();
            ReadScatter { read: *read, readings: of.len(), stated, found: stated * factor, freedom: *freedom }
        };
        self.wider.iter().map(one).collect()
    }
}

fn factor_of(wider: &[(Read, f64, f64)], read: Read) -> f64 {
    wider.iter().find(|w| w.0 == read).map_or(1.0, |w| w.1)
}

/// Fits and scatters in turn. Where readings then scatter far more than stated, the search may have ended in a side valley:
/// it begins again from elsewhere, and what fits best is taken.
pub(crate) fn fitted(
    model: &impl Model,
    readings: &Readings,
    at: Place,
    progress: Progress<'_>,
) -> Option<Fit> {
    let count = at.z.len();
    let mut best = searched(model, readings, at, &mut |share| progress(0.6 * share))?;
    let starts = if best.worst() > SIDE_VALLEY { 2.min(count) } else { 0 };
    for k in 0..starts {
        let mut z = best.found.z.clone();
        // From the other side of what has moved most, then from the middle of what was known.
        match k {
            0 => z.iter_mut().for_each(|z| *z *= -0.5),
            _ => z.iter_mut().enumerate().for_each(|(i, z)| *z = if i % 2 == 0 { 0.7 } else { -0.7 }),
        }
        let part = |share: f64| 0.6 + 0.2 * (k as f64 + share);
        let again = searched(model, readings, Place::at(model, z), &mut |share| progress(part(share)))?;
        if again.badness() < best.badness() {
            best = again;
        }
    }
    Some(best)
}

/// Fits and scatters in turn: first without robustness and with wide errors, so that a vague beginning finds the valley, then
/// with weights and with the scatter that the residuals show.
fn searched(model: &impl Model, readings: &Readings, mut at: Place, progress: Progress<'_>) -> Option<Fit> {
    let mut kinds: Vec<Read> = Vec::new();
    for (_, read, _, _) in readings.list.iter().filter(|l| !l.1.is_seen()) {
        if !kinds.contains(read) {
            kinds.push(*read);
        }
    }
    let mut wider: Vec<(Read, f64, f64)> = kinds.iter().map(|read| (*read, 4.0, 1.0)).collect();
    for round in 0..ROUNDS {
        let data = readings.data(|read| factor_of(&wider, read));
        let part = |share: f64| 0.8 * (round as f64 + share) / ROUNDS as f64;
        let way = (round > 0, ROUGH);
        let next = descend(model, &data, &mut at, way, &mut |share| progress(part(share)))?;
        let before = wider.clone();
        wider = scatter(&next, readings, &data, &wider, round > 0);
        let same = before.iter().zip(&wider).all(|(a, b)| (a.1 / b.1).logarithm().abs() < SAME);
        if same && round > 0 {
            break;
        }
        at.renew(model);
    }
    let data = readings.data(|read| factor_of(&wider, read));
    let found = settled(model, &data, &mut at, true, &mut |share| progress(0.8 + 0.2 * share))?;
    let wider = scatter(&found, readings, &data, &wider, true);
    Some(Fit { found, wider })
}

/// The factor of each quantity by the likelihood of Student's t, in which the stated error counts like one more reading:
/// s² = (1 + Σ w u²)/(1 + n − p), not below 1, with p the unknowns that its readings settle.
fn scatter(
    found: &Found,
    readings: &Readings,
    data: &[Datum],
    wider: &[(Read, f64, f64)],
    robust: bool,
) -> Vec<(Read, f64, f64)> {
    let covariance = found.covariance(data, robust);
    let one = |(read, factor, _): &(Read, f64, f64)| {
        let (mut squares, mut freedom) = (STATED, STATED);
        for (i, (_, kind, _, error)) in readings.list.iter().enumerate() {
            let (Datum::Measured(y, sigma), true) = (data[i], kind == read) else { continue };
            let u = (y - found.predicted[i]) / sigma;
            let weight = if robust { (DEGREES + 1.0) / (DEGREES + u * u) } else { 1.0 };
            squares += weight * ((y - found.predicted[i]) / error).powi(2);
            freedom +=
                (1.0 - weight * variance(&found.slopes[i], &covariance) / (sigma * sigma)).clamp(0.0, 1.0);
        }
        let seen = freedom - STATED;
        let square = if seen > LEAST_FREEDOM { squares / freedom } else { 1.0 };
        // From wide errors inwards step by step, so that a bad beginning leaves no reading out for good.
        let next = square.sqrt().max(1.0).max(if robust { 1.0 } else { 0.5 * factor });
        (*read, next, freedom)
    };
    wider.iter().map(one).collect()
}
