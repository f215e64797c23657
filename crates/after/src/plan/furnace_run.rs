//! The furnace run of a scenario: its density, and what a deviation does.

use super::{BandPoint, CurvePoint, by_temperature};
use crate::debound_density;
use crate::sintering::{MasterCurve, Stretch, log_work};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_scenario::scenario::{Scenario, Sintering};
use serde::Serialize;

const CELSIUS: f64 = 273.15;

/// Temperature at the beginning of a furnace run, K.
pub const START: f64 = 23.0 + CELSIUS;

/// Sintering, in the units of the trade.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SinterPlan {
    /// Density at the end, relative to that of the solid.
    pub density_percent: f64,
    /// Whether it follows from the curve; otherwise it is the density that is set, and the curve passes through it.
    pub from_curve: bool,
    /// ln Θ of the run, Θ in s/K.
    pub log_work: f64,
    /// Density against time during the run.
    pub density: Vec<BandPoint>,
    /// Temperature against time during the run.
    pub temperature: Vec<CurvePoint>,
    /// Length over that of the debound part, against time.
    pub length_percent: Vec<BandPoint>,
    /// What deviations of the run do.
    pub deviations: Vec<Deviation>,
    /// How much longer the last hold takes for the same density if the furnace is colder by its deviation; absent without
    /// a deviation.
    pub longer_if_colder: Option<f64>,
}

/// A furnace run that is not as it was set.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Deviation {
    /// What is different, in words.
    pub what: String,
    /// Change of the density, in per cent of the solid's.
    pub density_change_percent: f64,
    /// Change of a length.
    pub length_change_percent: f64,
}

/// The furnace run in SI.
pub fn schedule(s: &Sintering) -> Vec<Stretch> {
    let stretch = |x: &gatefrost_scenario::scenario::FurnaceStretch| Stretch {
        ramp: x.ramp / 60.0,
        temperature: x.temperature + CELSIUS,
        hold: x.hold * 60.0,
    };
    s.stretches.iter().map(stretch).collect()
}

/// The master curve of a scenario: the one that was fitted, or one through the density that is set after the run that is
/// set. `None` without a run, or where the density that is set is that of a long time or more.
pub fn curve(s: &Scenario) -> Option<MasterCurve> {
    let x = &s.sintering;
    let like = MasterCurve {
        energy: x.energy * 1e3,
        log_half: x.log_half.unwrap_or(0.0),
        width: x.width,
        green: debound_density(s),
        full: x.full_density / 100.0,
    };
    if x.stretches.is_empty() {
        return None;
    }
    match x.log_half {
        Some(_) => Some(like),
        None => MasterCurve::through(s.feedstock.sintered_density / 100.0, &schedule(x), START, like),
    }
}

/// Relative density of the sintered part: by the fitted curve if there is one, otherwise as it is set.
pub fn density(s: &Scenario) -> f64 {
    let fitted = s.sintering.log_half.and_then(|_| curve(s));
    fitted.map_or(s.feedstock.sintered_density / 100.0, |curve| curve.after(&schedule(&s.sintering), START))
}

/// Points in a ramp and in a hold.
const POINTS: usize = 30;

/// The run, followed. `None` without a curve.
pub(super) fn plan(s: &Scenario) -> Option<SinterPlan> {
    let curve = curve(s)?;
    let run = schedule(&s.sintering);
    let end = density(s);
    let mut plan = SinterPlan {
        density_percent: 100.0 * end,
        from_curve: s.sintering.log_half.is_some(),
        log_work: log_work(&run, START, curve.energy),
        density: Vec::new(),
        temperature: Vec::new(),
        length_percent: Vec::new(),
        deviations: deviations(s, &curve, &run, end),
        longer_if_colder: None,
    };
    let curves = by_temperature::curves(s, &run)?;
    for (time, temperature, part) in followed(&run) {
        let hours = time / 3600.0;
        plan.temperature.push(CurvePoint { x: hours, y: temperature - CELSIUS });
        let [density, length] = by_temperature::after(&curves, &part, hours);
        plan.density.push(density);
        plan.length_percent.push(length);
    }
    let colder = s.sintering.temperature_scatter;
    if let Some(last) = run.last().filter(|last| colder > 0.0 && last.hold > 0.0) {
        let rate = |temperature: f64| {
            log_work(&[Stretch { ramp: 0.0, temperature, hold: 1.0 }], START, curve.energy)
        };
        plan.longer_if_colder =
            Some((rate(last.temperature) - rate(last.temperature - colder)).exponential());
    }
    Some(plan)
}

/// Times in a run, with the temperature then and the run up to then.
fn followed(run: &[Stretch]) -> Vec<(f64, f64, Vec<Stretch>)> {
    let (mut time, mut at) = (0.0, START);
    let mut done: Vec<Stretch> = Vec::new();
    let mut points = Vec::new();
    for stretch in run {
        let rise = (stretch.temperature - at).max(0.0);
        for i in 1..=POINTS {
            let temperature = at + rise * i as f64 / POINTS as f64;
            let mut part = done.clone();
            part.push(Stretch { temperature, hold: 0.0, ..*stretch });
            points.push((time + (temperature - at) / stretch.ramp, temperature, part));
        }
        time += rise / stretch.ramp;
        for i in 1..=POINTS {
            let hold = stretch.hold * i as f64 / POINTS as f64;
            let mut part = done.clone();
            part.push(Stretch { hold, ..*stretch });
            points.push((time + hold, stretch.temperature, part));
        }
        time += stretch.hold;
        at = stretch.temperature;
        done.push(*stretch);
    }
    points
}

/// The furnace hotter and colder by its deviation, and the last hold longer and shorter by a tenth.
fn deviations(s: &Scenario, curve: &MasterCurve, run: &[Stretch], end: f64) -> Vec<Deviation> {
    let by = s.sintering.temperature_scatter;
    let of = |what: String, change: &dyn Fn(&mut Stretch)| {
        let mut other = run.to_vec();
        // Only the hottest stretch decides.
        if let Some(last) = other.last_mut() {
            change(last);
        }
        let density = curve.after(&other, START);
        Deviation {
            what,
            density_change_percent: 100.0 * (density - end),
            length_change_percent: 100.0 * ((end / density).cube_root() - 1.0),
        }
    };
    let told = |x: f64| gatefrost_scenario::format::number(x, 3);
    let mut all = Vec::new();
    if by > 0.0 {
        all.push(of(format!("{} K hotter", told(by)), &|last| last.temperature += by));
        all.push(of(format!("{} K colder", told(by)), &|last| last.temperature -= by));
    }
    all.push(of("last hold a tenth longer".to_owned(), &|last| last.hold *= 1.1));
    all.push(of("last hold a tenth shorter".to_owned(), &|last| last.hold *= 0.9));
    all
}
