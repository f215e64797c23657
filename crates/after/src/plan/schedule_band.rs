//! How uncertain a schedule of a furnace is: the schedule with each number in turn at both ends of its 95 % band.

use super::binder::Binder;
use super::way::Way;
use super::{BAND, Banded};
use crate::debinding::thermal::{Brown, Drive, Schedule};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_scenario::scenario::Scenario;

/// Step of the temperature where only the time counts, K.
pub(super) const COARSE: f64 = 5.0;

/// What is different in a furnace step.
#[derive(Clone, Copy, Default)]
pub(super) struct Change {
    /// A part of the binder, and the change of its activation energy, J/mol.
    pub(super) energy: Option<(usize, f64)>,
    /// Change of the pores, as a share of the volume.
    pub(super) pores: f64,
    /// Factor on the permeability, less 1.
    pub(super) permeability: f64,
}

/// A schedule in coarse steps, and the same with one number at either end of its band at a time; empty for no band.
#[derive(Debug, Default)]
pub(super) struct Shifted {
    pub(super) usual: Schedule,
    pub(super) changed: Vec<[Schedule; 2]>,
}

/// The schedules of a furnace step. The activation energy of each part that is left, the pores before debinding and the
/// permeability are moved by 1.96 standard errors to both sides, one after the other.
pub(super) fn shifted(s: &Scenario, way: Way, binder: &Binder, drive: &Drive) -> Shifted {
    let present = binder.parts.iter().enumerate().filter(|(_, part)| part.left * part.mass > 0.0);
    let energies = present.map(|(i, part)| {
        [1.0, -1.0]
            .map(|side| Change { energy: Some((i, side * BAND * part.energy_error)), ..Change::default() })
    });
    let pores = BAND * s.debinding.open_pores_error / 100.0;
    let open = 1.0 + BAND * s.debinding.permeability_error / 100.0;
    let others = [
        [pores, -pores].map(|pores| Change { pores, ..Change::default() }),
        [open - 1.0, 1.0 / open - 1.0].map(|permeability| Change { permeability, ..Change::default() }),
    ];
    let run = |change: Change| brown(s, way, binder, change).schedule_in_steps(drive, COARSE);
    Shifted {
        usual: run(Change::default()),
        changed: energies.chain(others).map(|both| both.map(run)).collect(),
    }
}

/// Least share of pores at the end of a band: with none no gas leaves.
const LEAST_PORES: f64 = 1e-4;

/// The brown wall in a furnace step, with a change.
pub(super) fn brown(s: &Scenario, way: Way, binder: &Binder, change: Change) -> Brown {
    Brown {
        section: way.section(),
        // The permeability goes with the square of the grain.
        grain: s.feedstock.particle_size * 1e-6 * (1.0 + change.permeability).sqrt(),
        porosity: (binder.porosity() + change.pores).max(LEAST_PORES),
        fuels: binder.fuels(change.energy),
    }
}

/// A list of a schedule, with one entry for each time.
pub(super) type Listed<'a> = &'a dyn Fn(&Schedule) -> &[f64];

impl Shifted {
    /// The band of a step that takes `time`. Of each number the longest and the shortest time count, and their logarithms add
    /// up as independent ones. A schedule that does not end counts with the time after which it is given up.
    pub(super) fn band(&self, time: f64) -> Banded {
        let end = |schedule: &Schedule| schedule.time.last().copied().unwrap_or(0.0);
        let usual = end(&self.usual);
        let [shorter, longer] = self.sides(|schedule| (end(schedule) / usual).logarithm());
        Banded { value: time, low: time * (-shorter).exponential(), high: time * longer.exponential() }
    }

    /// How far the band of a list of the schedule reaches below and above it at a time in s. After its end a schedule stays as
    /// it is.
    pub(super) fn ends(&self, list: Listed<'_>, time: f64) -> [f64; 2] {
        if self.changed.is_empty() {
            return [0.0; 2];
        }
        let usual = at(&self.usual, list, time);
        self.sides(|changed| at(changed, list, time) - usual)
    }

    /// Sums by squares of the falls and of the rises that the numbers make.
    fn sides(&self, change: impl Fn(&Schedule) -> f64) -> [f64; 2] {
        let each = self.changed.iter().map(|both| both.each_ref().map(&change));
        each.fold([0.0; 2], |[below, above]: [f64; 2], [a, b]| {
            [below.hypotenuse(a.min(b).min(0.0)), above.hypotenuse(a.max(b).max(0.0))]
        })
    }
}

/// A list between its times, straight.
fn at(schedule: &Schedule, list: Listed<'_>, time: f64) -> f64 {
    let (times, values) = (&schedule.time, list(schedule));
    let i = times.partition_point(|t| *t <= time);
    match (i.checked_sub(1).and_then(|i| values.get(i)), values.get(i)) {
        (Some(before), Some(after)) => {
            let (from, to) = (times[i - 1], times[i]);
            before + (after - before) * (time - from) / (to - from)
        }
        (Some(last), None) => *last,
        (None, Some(first)) => *first,
        (None, None) => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(end: f64) -> Schedule {
        Schedule {
            time: vec![0.0, end],
            temperature: vec![300.0, 400.0],
            complete: true,
            ..Schedule::default()
        }
    }

    /// Straight schedules of 100 s, and of 110 and 80 and of 95 and 100 s: after 50 s they are at 350, 345.45, 362.5, 352.63 and
    /// 350 K (by hand).
    #[test]
    fn falls_and_rises_add_up_by_their_squares() {
        let changed = vec![[line(110.0), line(80.0)], [line(95.0), line(100.0)]];
        let shifted = Shifted { usual: line(100.0), changed };
        let near =
            |found: f64, by_hand: f64| assert!((found / by_hand - 1.0).abs() < 1e-6, "{found} {by_hand}");
        let [below, above] = shifted.ends(&|s| &s.temperature, 50.0);
        near(below, 50.0 / 11.0);
        near(above, (12.5_f64.powi(2) + (50.0_f64 / 19.0).powi(2)).sqrt());
        // At 100 s the slower one is at 390.9 K, and the faster ones stay at 400 K.
        near(shifted.ends(&|s| &s.temperature, 100.0)[0], 100.0 / 11.0);
        let band = shifted.band(100.0);
        near(band.high, 110.0);
        near(band.low, 100.0 * (-(0.8_f64.ln().powi(2) + 0.95_f64.ln().powi(2)).sqrt()).exp());
    }
}
