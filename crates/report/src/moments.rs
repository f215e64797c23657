//! The cycle moment by moment: the state of every cell of the path.

use super::build::frozen_share;
use super::edge::{celsius, scaled};
use gatefrost_core::case::Case;
use gatefrost_core::cavity::Cavity;
use gatefrost_core::fill;
use gatefrost_core::pack;
use gatefrost_core::scenario::{Scenario, ScenarioError};
use serde::{Deserialize, Serialize};

/// Numbers of moments kept of the fill, and of hold and cooling.
const KEPT: [usize; 2] = [48, 48];

/// Part of the cycle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Phase {
    /// The melt fills the cavity.
    Fill,
    /// The hold pressure is on.
    Hold,
    /// The pressure is off, the part cools.
    Cool,
}

/// The place of a cell.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct CellPlace {
    /// Position of its passage in the list.
    pub passage: usize,
    /// Distance from the nozzle at which it begins and ends.
    pub span_mm: [f64; 2],
}

/// One moment; lists have one entry for each cell.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Moment {
    /// Time since injection began.
    pub time_s: f64,
    /// Part of the cycle.
    pub stage: Phase,
    /// Pressure at the nozzle. While filling it is that of this moment, later that from this moment on.
    pub nozzle_mpa: f64,
    /// Share of the whole volume that is full.
    pub filled_percent: f64,
    /// Share of each cell that is full.
    pub filled: Vec<f64>,
    /// Whether the melt fills each cell from its far end.
    pub backwards: Vec<bool>,
    /// Pressure.
    pub pressure_mpa: Vec<f64>,
    /// Mean temperature over the section.
    pub mean_temperature_c: Vec<f64>,
    /// Temperature in the middle of the gap.
    pub centre_temperature_c: Vec<f64>,
    /// Share of the half gap below the no-flow temperature.
    pub frozen_percent: Vec<f64>,
}

/// The cycle from the first melt to the ejected part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Moments {
    /// The places of the cells.
    pub cells: Vec<CellPlace>,
    /// The moments in order.
    pub moments: Vec<Moment>,
}

/// Follows one cycle: the fill as the machine can do it, then hold and cooling.
///
/// # Errors
/// Whatever [`Scenario::validate`] finds.
pub fn moments(scenario: &Scenario) -> Result<Moments, ScenarioError> {
    scenario.validate()?;
    let case = Case::resolve(scenario);
    let (material, cavity) = (&case.material, &case.cavity);
    let mut filling = Vec::new();
    let mut note = |march: &fill::March<'_>, pressure: f64| filling.push(during_fill(&case, march, pressure));
    let fill = fill::watched(material, cavity, case.drive, &mut note);
    let mut moments = thinned(filling, KEPT[0]);
    if fill.full {
        let mut holding = Vec::new();
        pack::hold_watched(material, cavity, &fill.end, &case.hold, &mut |m| {
            holding.push(during_hold(&case, m, fill.end.time));
        });
        moments.extend(thinned(holding, KEPT[1]));
    }
    let cells = cavity.cells.iter().map(|c| CellPlace {
        passage: c.passage,
        span_mm: [(c.distance - 0.5 * c.length) * 1e3, (c.distance + 0.5 * c.length) * 1e3],
    });
    Ok(Moments { cells: cells.collect(), moments })
}

/// About `most` of the moments, evenly picked, with the first, the last and those at which the hold
/// pressure changes among them.
fn thinned(all: Vec<Moment>, most: usize) -> Vec<Moment> {
    let last = all.len().saturating_sub(1);
    if last < most {
        return all;
    }
    let changes =
        |i: usize| i > 0 && all[i].stage != Phase::Fill && all[i].nozzle_mpa != all[i - 1].nozzle_mpa;
    let even = (0..most).map(|k| k * last / (most - 1));
    let kept: Vec<usize> = even.chain((0..=last).filter(|&i| changes(i))).collect();
    all.into_iter().enumerate().filter(|(i, _)| kept.contains(i)).map(|(_, m)| m).collect()
}

fn during_fill(case: &Case, march: &fill::March<'_>, pressure: f64) -> Moment {
    let cells = &case.cavity.cells;
    let wet = |i: usize| march.share[i] > 0.0;
    let mut moment = sections(case, &march.temperature, &wet);
    moment.time_s = march.time;
    moment.nozzle_mpa = pressure / 1e6;
    moment.filled_percent = 100.0 * march.volume() / case.cavity.volume;
    moment.backwards = (0..cells.len()).map(|i| wet(i) && march.feeder[i] != cells[i].feeder).collect();
    moment.pressure_mpa =
        (0..cells.len()).map(|i| if wet(i) { march.pressure[i] / 1e6 } else { 0.0 }).collect();
    moment.filled.clone_from(&march.share);
    moment
}

fn during_hold(case: &Case, m: pack::Moment<'_>, filled_after: f64) -> Moment {
    let mut moment = sections(case, m.temperature, &|_| true);
    moment.time_s = filled_after + m.time;
    moment.stage = if m.time < case.hold.time() * (1.0 - 1e-9) { Phase::Hold } else { Phase::Cool };
    moment.nozzle_mpa = m.nozzle / 1e6;
    moment.pressure_mpa = scaled(m.pressure, 1e-6).into_iter().map(|p| p.max(0.0)).collect();
    moment
}

/// Temperatures and frozen layer of every cell; an empty cell has the temperature of the wall.
fn sections(case: &Case, temperature: &[f64], wet: &dyn Fn(usize) -> bool) -> Moment {
    let c: &Cavity = &case.cavity;
    let (n, cells) = (c.flat.count(), c.cells.len());
    let layers = |i: usize| &temperature[i * n..(i + 1) * n];
    let of = |value: &dyn Fn(usize) -> f64, dry: f64| -> Vec<f64> {
        (0..cells).map(|i| if wet(i) { value(i) } else { dry }).collect()
    };
    let mean = |i: usize| c.layers(i).mean(layers(i));
    Moment {
        time_s: 0.0,
        stage: Phase::Fill,
        nozzle_mpa: 0.0,
        filled_percent: 100.0,
        filled: vec![1.0; cells],
        backwards: vec![false; cells],
        pressure_mpa: Vec::new(),
        mean_temperature_c: celsius(of(&mean, case.drive.wall)),
        centre_temperature_c: celsius(of(&|i| layers(i)[0], case.drive.wall)),
        frozen_percent: of(&|i| 100.0 * frozen_share(case, layers(i), i), 0.0),
    }
}
