//! What the solver says of a shot: the scenario with the settings of the shot, and what would be read of it.
//!
//! The machine shows p + p₀, where p is the pressure of the melt at the nozzle and p₀ is lost before it. A set hold pressure or
//! pressure limit is what the machine shows, so the melt has p₀ less. A balance shows f_m times the mass of the model. The
//! mass of a short shot is that of the full part times the share of the part's volume that is filled.

use crate::quantity::Read;
use gatefrost_core::case::Case;
use gatefrost_core::feedstock::ZERO_CELSIUS;
use gatefrost_core::fill::{self, Fill};
use gatefrost_core::limits::{Limit, margins_so_far};
use gatefrost_core::pack::{self, Hold};
use gatefrost_core::scenario::{HoldStep, Role, Scenario, Shot};
use gatefrost_core::stages::Reached;
use gatefrost_numerics::curves::interpolate_linearly;

/// Least pressure that the melt is taken to have at the nozzle \[MPa\].
const LEAST: f64 = 0.01;
/// Greatest pressure of a machine in the catalogue \[MPa\].
const GREATEST: f64 = 400.0;
/// A peak pressure below this share of the machine's greatest was not limited by it.
const UNLIMITED: f64 = 0.98;

/// The cells and layers of a model for derivatives, at most.
pub const COARSE: [u32; 2] = [18, 10];

/// A scenario with the settings of a shot. Its log is left out.
pub fn at(base: &Scenario, shot: &Shot) -> Scenario {
    let mut s = base.clone();
    s.shots.clear();
    let lost = s.trials.pressure_loss;
    let melt = |shown: f64| (shown - lost).clamp(0.0, GREATEST);
    let rise = if shot.coolant == 1 { s.trials.steel_rise } else { 0.0 };
    s.setup.melt_temperature = shot.melt_temperature;
    s.setup.mould_temperature = shot.mould_temperature + rise;
    s.setup.injection_time = shot.injection_time;
    s.setup.hold_pressure = melt(shot.hold_pressure);
    s.setup.hold_time = shot.hold_time;
    s.setup.further_hold = match (shot.second_hold_pressure, shot.second_hold_time) {
        (Some(pressure), Some(time)) => vec![HoldStep { pressure: melt(pressure), time }],
        _ => Vec::new(),
    };
    s.setup.cooling_time = shot.cooling_time.or(s.setup.cooling_time);
    s.setup.switch_over = shot.switch_over.unwrap_or(s.setup.switch_over);
    let own = shot.pressure_limit.unwrap_or(s.machine.max_pressure);
    let free = shot.pressure_limit.is_none() && shot.peak_pressure.is_some_and(|peak| peak < UNLIMITED * own);
    s.machine.max_pressure = if free { GREATEST } else { melt(own).max(LEAST) };
    s
}

/// What would be read of a shot in a scenario of [`at`], for each quantity asked for, on the scale of [`Read::scaled`];
/// margins of what is seen. `shared` holds feedstock and path of the same numbers.
pub fn readings(shared: &Case, s: &Scenario, shot: &Shot, asked: &[Read]) -> Vec<f64> {
    let case = shared.at(s);
    let sensor = asked.contains(&Read::CavityPressure).then(|| sensor_cell(&case, s, shot));
    let mut cavity_peak = 0.0_f64;
    let fill = match sensor {
        Some(cell) => fill::watched(&case.material, &case.cavity, case.drive, &mut |march, _| {
            cavity_peak = cavity_peak.max(march.pressure[cell]);
        }),
        None => fill::actual(&case.material, &case.cavity, case.drive),
    };
    let holds =
        asked.iter().any(|read| !matches!(read, Read::PeakPressure | Read::SwitchPressure | Read::Filled));
    let held = holds.then(|| hold(&case, &fill, sensor, &mut cavity_peak));
    let lost = s.trials.pressure_loss;
    let shown = |pressure: f64| (pressure / 1e6 + lost).max(LEAST);
    let margin = |limit: Limit| {
        let hold = held.as_ref().map(|(hold, _)| hold);
        margins_so_far(Reached { case: &case, fill: Some(&fill), hold })[limit as usize]
    };
    let one = |read: &Read| match (read, &held) {
        (Read::PeakPressure, _) => shown(peak(&case, &fill)),
        (Read::SwitchPressure, _) => shown(at_switch_over(&case, &fill)),
        (Read::Filled, _) => 100.0 * fill.end.volume() / case.cavity.volume,
        (Read::CavityPressure, _) => (cavity_peak / 1e6).max(LEAST),
        (Read::PartMass, Some((hold, _))) => {
            1e3 * hold.part_mass * filled_part(&case, &fill) * s.trials.mass_scale
        }
        (Read::PartTemperature, Some((_, opened))) => *opened,
        (Read::Flash, Some(_)) => margin(Limit::Flash),
        (Read::Sink, Some(_)) => margin(Limit::Sink),
        _ => f64::NAN,
    };
    asked.iter().map(|read| read.scaled(one(read))).collect()
}

/// Greatest nozzle pressure of the fill \[Pa\]: what the set rate needs, as far as the machine has it.
fn peak(case: &Case, fill: &Fill<'_>) -> f64 {
    fill.need.max(fill.peak).min(case.drive.max_pressure)
}

/// Nozzle pressure where the volume of the switch-over is filled \[Pa\].
fn at_switch_over(case: &Case, fill: &Fill<'_>) -> f64 {
    let h = &fill.history;
    let volume = case.drive.switch_over * case.cavity.volume;
    let after =
        h.volume.iter().position(|v| *v >= volume * (1.0 - 1e-9)).unwrap_or(h.volume.len().saturating_sub(1));
    let before = after.saturating_sub(1);
    let (Some(from), Some(to)) = (h.nozzle.get(before), h.nozzle.get(after)) else { return 0.0 };
    let step = h.volume[after] - h.volume[before];
    // The step that begins at the switch-over is already at the hold pressure.
    if step > 0.0 && after + 1 < h.volume.len() { *from } else { from.max(*to) }
}

/// Share of the parts' volume that is filled.
fn filled_part(case: &Case, fill: &Fill<'_>) -> f64 {
    if fill.full {
        return 1.0;
    }
    let of = |filled: bool| -> f64 {
        parts(case)
            .map(|i| case.cavity.cells[i].whole_volume() * if filled { fill.end.share[i] } else { 1.0 })
            .sum()
    };
    of(true) / of(false)
}

/// The cells of the parts.
fn parts(case: &Case) -> impl Iterator<Item = usize> + '_ {
    let c = &case.cavity;
    (0..c.cells.len()).filter(|&i| c.passages[c.cells[i].passage].role == Role::Part)
}

/// First cell of the section of the sensor; of the first section of the part if none is named.
fn sensor_cell(case: &Case, s: &Scenario, shot: &Shot) -> usize {
    let named = |p: &gatefrost_core::scenario::Passage| {
        p.role == Role::Part && shot.sensor.as_ref().is_none_or(|name| *name == p.name)
    };
    let passage = s.cavity.passages.iter().position(named).unwrap_or(0);
    case.cavity.ranges[passage].start
}

/// The hold, and the mean temperature of the parts as the mould opens \[°C\]: the mean over their volume, between moments on
/// the straight line.
fn hold(case: &Case, fill: &Fill<'_>, sensor: Option<usize>, cavity_peak: &mut f64) -> (Hold, f64) {
    let c = &case.cavity;
    let volume: f64 = parts(case).map(|i| c.cells[i].whole_volume()).sum();
    let mean = |temperature: &[f64]| -> f64 {
        let at = |i: usize| {
            let n = c.layers(i).count();
            c.cells[i].whole_volume() * c.layers(i).mean(&temperature[i * n..(i + 1) * n])
        };
        parts(case).map(at).sum::<f64>() / volume - ZERO_CELSIUS
    };
    let mut moments: Vec<(f64, f64)> = Vec::new();
    let hold = pack::hold_watched(&case.material, c, fill.whole(), &case.hold, &mut |m| {
        moments.push((m.time, mean(m.temperature)));
        if let Some(cell) = sensor {
            *cavity_peak = cavity_peak.max(m.pressure[cell]);
        }
    });
    let opens = case.hold.opens.unwrap_or(hold.opened.time);
    let opened = if moments.is_empty() { f64::NAN } else { interpolate_linearly(&moments, opens) };
    (hold, opened)
}
