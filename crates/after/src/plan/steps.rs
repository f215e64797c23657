//! The steps of debinding, one after the other, for one wall.

use super::binder::Binder;
use super::schedule_band::{COARSE, Change, Listed, Shifted, brown, shifted};
use super::way::Way;
use super::{BAND, BandPoint, Banded, LossCurve};
use crate::debinding::diffusivity::Diffusivity;
use crate::debinding::gas::Atmosphere;
use crate::debinding::thermal::{Drive, STEP, Schedule};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_scenario::format::number;
use gatefrost_scenario::scenario::{Bath, Catalytic, DebindingStep, Leaves, Scenario, Thermal};
use serde::Serialize;

const CELSIUS: f64 = 273.15;
const HOUR: f64 = 3600.0;

/// One step, for the governing wall.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct StepPlan {
    /// "solvent bath", "water bath", "catalytic oven" or "furnace".
    pub name: String,
    /// Temperature of the bath or oven, or at the end of the furnace step.
    pub temperature_c: f64,
    /// How long it takes, with its 95 % band. `None` where it does not come to its end.
    pub hours: Option<Banded>,
    /// Why there is no time, in a sentence.
    pub no_time: Option<String>,
    /// Mass that leaves in it, in per cent of the green part's mass.
    pub mass_loss_percent: f64,
    /// Share of the binder that is left after it.
    pub binder_left_percent: f64,
    /// Open pores after it, in per cent of the part's volume.
    pub pores_percent: f64,
    /// Mass lost against time for several walls; of a bath or an oven.
    pub losses: Vec<LossCurve>,
    /// The fastest schedule; of a furnace.
    pub schedule: Option<SchedulePlan>,
}

/// The fastest schedule of a furnace step. All lists have one entry for each time.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SchedulePlan {
    /// Time.
    pub time_h: Vec<f64>,
    /// Temperature.
    pub temperature_c: Vec<f64>,
    /// Pressure of the gas in the middle of the wall, above that outside.
    pub pressure_kpa: Vec<f64>,
    /// Names of the binder's parts.
    pub parts: Vec<String>,
    /// Share of the green part's binder mass that is left of each part.
    pub left_percent: Vec<Vec<f64>>,
    /// 95 % band of the temperature.
    pub temperature_band_c: Vec<[f64; 2]>,
    /// 95 % band of the pressure.
    pub pressure_band_kpa: Vec<[f64; 2]>,
    /// 95 % band of what is left of each part.
    pub left_band_percent: Vec<Vec<[f64; 2]>>,
    /// Greatest pressure.
    pub greatest_kpa: f64,
    /// Whether the pressure held the temperature back at any time, so that the wall decides how long the step takes.
    pub held_back: bool,
}

/// Depths of the walls for which losses are drawn, over that of the governing wall.
const DRAWN: [f64; 4] = [0.5, 1.0, 1.5, 2.0];

/// Points of a curve of losses.
const POINTS: usize = 40;

/// Points of a schedule that is handed on.
const MOST_POINTS: usize = 240;

/// What a step does: it has taken the binder out when this is told.
pub(super) struct Done {
    /// Time, h; `None` where it does not come to its end.
    hours: Option<f64>,
    /// The schedule of a furnace.
    pub(super) schedule: Option<Schedule>,
}

/// Does one step for one wall. A furnace heats in steps of at most `step` K.
pub(super) fn done(by: &DebindingStep, s: &Scenario, way: Way, binder: &mut Binder, step: f64) -> Done {
    match by {
        DebindingStep::Bath(bath) => {
            let before = way.fourier(binder.left_by(dissolved_in(bath)));
            let after = way.section().fourier(bath.left / 100.0);
            binder.take(dissolved_in(bath), bath.left / 100.0);
            let depth = way.section().depth();
            let d = diffusivity(bath).at(bath.temperature + CELSIUS);
            let time = before.map_or(0.0, |before| (after - before).max(0.0) * depth * depth / d);
            Done { hours: Some(time / HOUR), schedule: None }
        }
        DebindingStep::Catalytic(oven) => {
            let core = way.core(binder.left_by(Leaves::Catalyst));
            binder.take(Leaves::Catalyst, 0.0);
            Done { hours: Some(core * way.depth_mm / oven.speed), schedule: None }
        }
        DebindingStep::Thermal(furnace) => {
            let schedule = brown(s, way, binder, Change::default()).schedule_in_steps(&drive(furnace), step);
            for (part, left) in binder.parts.iter_mut().zip(&schedule.left) {
                part.left *= left.last().copied().unwrap_or(1.0);
            }
            Done { hours: schedule.duration().map(|time| time / HOUR), schedule: Some(schedule) }
        }
    }
}

/// All steps for one wall, with the green part's density \[kg/m³\]. Without `bands` their ends are the numbers themselves.
pub(super) fn steps(s: &Scenario, way: Way, green_density: f64, bands: bool) -> (Vec<StepPlan>, Binder) {
    let mut binder = Binder::of(s);
    let all = binder.mass();
    let mut plans = Vec::new();
    for step in &s.debinding.steps {
        let before = binder.clone();
        let done = done(step, s, way, &mut binder, STEP);
        let mut plan = match step {
            DebindingStep::Bath(bath) => by_bath(bath, way, &before, green_density, &done),
            DebindingStep::Catalytic(oven) => by_vapour(oven, way, &before, green_density, &done),
            DebindingStep::Thermal(furnace) => {
                let drive = drive(furnace);
                let shifted = if bands { shifted(s, way, &before, &drive) } else { Shifted::default() };
                by_heat(furnace, &drive, &before, &done, &shifted)
            }
        };
        if let Some(hours) = plan.hours.as_mut().filter(|_| !bands) {
            *hours = Banded { low: hours.value, high: hours.value, ..*hours };
        }
        plan.mass_loss_percent = 100.0 * (before.mass() - binder.mass()) / green_density;
        plan.binder_left_percent = if all > 0.0 { 100.0 * binder.mass() / all } else { 0.0 };
        plan.pores_percent = 100.0 * binder.porosity();
        plans.push(plan);
    }
    (plans, binder)
}

/// Time of all steps for one wall, h; `None` where one does not come to its end. Furnaces heat in steps of at most `step` K.
pub(super) fn hours(s: &Scenario, way: Way, step: f64) -> Option<f64> {
    let mut binder = Binder::of(s);
    s.debinding.steps.iter().map(|by| done(by, s, way, &mut binder, step).hours).sum()
}

fn plan(name: &str, temperature_c: f64) -> StepPlan {
    StepPlan {
        name: name.to_owned(),
        temperature_c,
        hours: None,
        no_time: None,
        mass_loss_percent: 0.0,
        binder_left_percent: 0.0,
        pores_percent: 0.0,
        losses: Vec::new(),
        schedule: None,
    }
}

/// What a bath takes out.
pub fn dissolved_in(bath: &Bath) -> Leaves {
    if bath.water { Leaves::Water } else { Leaves::Solvent }
}

/// D(T) of a bath, in SI.
pub fn diffusivity(bath: &Bath) -> Diffusivity {
    Diffusivity {
        reference: bath.reference + CELSIUS,
        log_at: (bath.diffusivity * 1e-10).logarithm(),
        energy: bath.energy * 1e3,
        log_error: bath.diffusivity_error / 100.0,
        energy_error: bath.energy_error * 1e3,
    }
}

fn by_bath(bath: &Bath, way: Way, before: &Binder, green_density: f64, done: &Done) -> StepPlan {
    let governing = way;
    let name = if bath.water { "water bath" } else { "solvent bath" };
    let mut plan = plan(name, bath.temperature);
    let temperature = bath.temperature + CELSIUS;
    let d = diffusivity(bath);
    let time = done.hours.unwrap_or_default();
    plan.hours = Some(Banded::of_logarithm(time, BAND * d.log_error_at(temperature)));
    let left = before.left_by(dissolved_in(bath));
    let Some(begin) = way.fourier(left) else { return plan };
    // All that dissolves, whether or not an earlier bath has taken some of it.
    let soluble = 100.0 * before.mass_by(dissolved_in(bath)) / left / green_density;
    plan.losses = losses(
        way,
        |way, hours| {
            let depth = way.depth_mm * 1e-3;
            let fourier = d.at(temperature) * hours * HOUR / (depth * depth);
            // An earlier bath took as long for this wall as for the governing one.
            let begin = begin * (governing.depth_mm / way.depth_mm).powi(2);
            soluble * (way.section().left(begin) - way.section().left(begin + fourier))
        },
        plan.hours,
    );
    plan
}

fn by_vapour(oven: &Catalytic, way: Way, before: &Binder, green_density: f64, done: &Done) -> StepPlan {
    let mut plan = plan("catalytic oven", oven.temperature);
    let time = done.hours.unwrap_or_default();
    plan.hours = Some(Banded::of_logarithm(time, BAND * oven.speed_error / 100.0));
    let left = before.left_by(Leaves::Catalyst);
    if left <= 0.0 {
        return plan;
    }
    let split = 100.0 * before.mass_by(Leaves::Catalyst) / left / green_density;
    // How far the front has come in an earlier oven.
    let ahead = (1.0 - way.core(left)) * way.depth_mm;
    plan.losses = losses(
        way,
        |way, hours| {
            let core = |hours: f64| (1.0 - (ahead + oven.speed * hours) / way.depth_mm).max(0.0);
            // Behind the front all is gone; a rod's front leaves a core.
            let left = |core: f64| if way.rod { core * core } else { core };
            split * (left(core(0.0)) - left(core(hours)))
        },
        plan.hours,
    );
    plan
}

/// Mass lost against time for several walls, up to twice the time of the governing one. The band follows from that of the
/// time, because the loss depends on the time and a speed by their product alone.
fn losses(way: Way, lost: impl Fn(Way, f64) -> f64, hours: Option<Banded>) -> Vec<LossCurve> {
    let Some(Banded { value, low, high }) = hours.filter(|hours| hours.value > 0.0) else {
        return Vec::new();
    };
    let curve = |&factor: &f64| {
        let way = way.scaled(factor);
        let points = (0..=POINTS).map(|i| {
            // Closer together at the beginning, where the loss is fastest.
            let share = i as f64 / POINTS as f64;
            let x = 2.0 * value * share * share;
            let ends = [low, high].map(|end| lost(way, x * value / end));
            BandPoint::among(x, lost(way, x), &ends)
        });
        LossCurve { depth_mm: way.depth_mm, points: points.collect() }
    };
    DRAWN.iter().map(curve).collect()
}

fn drive(furnace: &Thermal) -> Drive {
    Drive {
        from: 23.0 + CELSIUS,
        to: furnace.end_temperature + CELSIUS,
        ramp: furnace.ramp / 60.0,
        allowed: furnace.allowed_pressure * 1e3,
        atmosphere: Atmosphere {
            pressure: furnace.outside_pressure * 1e3,
            viscosity: furnace.gas_viscosity * 1e-6,
            molar_mass: furnace.gas_molar_mass * 1e-3,
        },
    }
}

fn by_heat(furnace: &Thermal, drive: &Drive, before: &Binder, done: &Done, shifted: &Shifted) -> StepPlan {
    let mut plan = plan("furnace", furnace.end_temperature);
    let Some(schedule) = &done.schedule else { return plan };
    match done.hours {
        Some(time) => plan.hours = Some(shifted.band(time)),
        None => {
            plan.no_time = Some(format!(
                "The binder has not gone after {} h: {} °C at the end is too cold for it, or the pressure allowed is too low for this wall.",
                number(schedule.time.last().copied().unwrap_or(0.0) / HOUR, 3),
                number(furnace.end_temperature, 4)
            ));
        }
    }
    plan.schedule = Some(told(schedule, before, drive, shifted));
    plan
}

/// Time of each step for one wall, h, with its 95 % band; `None` where it does not come to its end. It is computed with coarse
/// steps.
pub(super) fn banded_hours(s: &Scenario, way: Way) -> Vec<Option<Banded>> {
    let mut binder = Binder::of(s);
    let each = s.debinding.steps.iter().map(|step| {
        let before = binder.clone();
        let hours = done(step, s, way, &mut binder, COARSE).hours?;
        Some(match step {
            DebindingStep::Bath(bath) => {
                let error = diffusivity(bath).log_error_at(bath.temperature + CELSIUS);
                Banded::of_logarithm(hours, BAND * error)
            }
            DebindingStep::Catalytic(oven) => Banded::of_logarithm(hours, BAND * oven.speed_error / 100.0),
            DebindingStep::Thermal(furnace) => shifted(s, way, &before, &drive(furnace)).band(hours),
        })
    });
    each.collect()
}

/// A schedule in the units of the trade, with at most [`MOST_POINTS`] of its times.
fn told(schedule: &Schedule, binder: &Binder, drive: &Drive, shifted: &Shifted) -> SchedulePlan {
    let count = schedule.time.len();
    let every = count.div_ceil(MOST_POINTS).max(1);
    let places: Vec<usize> = (0..count).filter(|i| i % every == 0 || i + 1 == count).collect();
    let pick = |list: &[f64], change: &dyn Fn(f64) -> f64| places.iter().map(|&i| change(list[i])).collect();
    let all: f64 = binder.parts.iter().map(|part| part.mass).sum();
    let share =
        |part: &super::binder::InPart| if all > 0.0 { 100.0 * part.mass * part.left / all } else { 0.0 };
    let band = |list: Listed<'_>, change: &dyn Fn(f64) -> f64| -> Vec<[f64; 2]> {
        let ends = |&i: &usize| {
            let [below, above] = shifted.ends(list, schedule.time[i]);
            let value = list(schedule)[i];
            [value - below, value + above].map(change)
        };
        places.iter().map(ends).collect()
    };
    let greatest = schedule.pressure.iter().copied().fold(0.0, f64::max);
    SchedulePlan {
        time_h: pick(&schedule.time, &|t| t / HOUR),
        temperature_c: pick(&schedule.temperature, &|t| t - CELSIUS),
        pressure_kpa: pick(&schedule.pressure, &|p| p * 1e-3),
        parts: binder.parts.iter().map(|part| part.name.clone()).collect(),
        left_percent: binder
            .parts
            .iter()
            .zip(&schedule.left)
            .map(|(part, left)| pick(left, &|x| share(part) * x))
            .collect(),
        temperature_band_c: band(&|s| &s.temperature, &|t| t.clamp(drive.from, drive.to) - CELSIUS),
        pressure_band_kpa: band(&|s| &s.pressure, &|p| p.clamp(0.0, drive.allowed.max(greatest)) * 1e-3),
        left_band_percent: binder
            .parts
            .iter()
            .enumerate()
            .map(|(i, part)| band(&|s| &s.left[i], &|x| share(part) * x.clamp(0.0, 1.0)))
            .collect(),
        greatest_kpa: greatest * 1e-3,
        held_back: greatest > 0.99 * drive.allowed,
    }
}
