//! The furnace run of a scenario: its density, and what a deviation does.

use super::{BAND, BandPoint, CurvePoint};
use crate::debinding::kinetics::GAS;
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
    /// Ends of its 95 % band by the standard error of the activation energy.
    pub density_range_percent: [f64; 2],
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
    /// a deviation, or where the last stretch is not held.
    pub longer_if_colder: Option<f64>,
    /// Ends of its 95 % band.
    pub longer_range: Option<[f64; 2]>,
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
    /// Ends of the 95 % band of the change of density, by the standard error of the activation energy.
    pub density_change_range_percent: [f64; 2],
    /// Ends of the 95 % band of the change of a length.
    pub length_change_range_percent: [f64; 2],
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

/// The curve itself, and those with the activation energy at both ends of its 95 % band.
///
/// Without fitted densities each passes through the density that is set. A fitted curve keeps ln Θ_½ + Q/(R T_r), where T_r
/// is the middle temperature of the runs: that is hardly correlated with Q.
pub(super) fn curves(s: &Scenario, nominal: MasterCurve) -> [MasterCurve; 3] {
    let x = &s.sintering;
    let run = schedule(x);
    let hottest = run.iter().map(|stretch| stretch.temperature).fold(START, f64::max);
    let reference = x.fitted_at.map_or(hottest, |celsius| celsius + CELSIUS);
    let moved = |by: f64| {
        let energy = (nominal.energy + by * BAND * x.energy_error * 1e3).max(LEAST_ENERGY);
        let log_half = nominal.log_half - (energy - nominal.energy) / (GAS * reference);
        let kept = MasterCurve { energy, log_half, ..nominal };
        match x.log_half {
            Some(_) => kept,
            None => {
                MasterCurve::through(s.feedstock.sintered_density / 100.0, &run, START, kept).unwrap_or(kept)
            }
        }
    };
    [nominal, moved(-1.0), moved(1.0)]
}

/// Least activation energy at the end of a band, J/mol.
const LEAST_ENERGY: f64 = 20e3;

/// The ends of several numbers.
fn ends(values: [f64; 3]) -> [f64; 2] {
    [values.into_iter().fold(f64::INFINITY, f64::min), values.into_iter().fold(f64::NEG_INFINITY, f64::max)]
}

/// The run, followed. `None` without a curve.
pub(super) fn plan(s: &Scenario) -> Option<SinterPlan> {
    let curve = curve(s)?;
    let curves = curves(s, curve);
    let run = schedule(&s.sintering);
    let longer = longer_if_colder(&run, s.sintering.temperature_scatter, &curves);
    let mut plan = SinterPlan {
        density_percent: 100.0 * density(s),
        density_range_percent: ends(curves.map(|curve| 100.0 * curve.after(&run, START))),
        from_curve: s.sintering.log_half.is_some(),
        log_work: log_work(&run, START, curve.energy),
        density: Vec::new(),
        temperature: Vec::new(),
        length_percent: Vec::new(),
        deviations: deviations(s, &curves, &run),
        longer_if_colder: longer.map(|factors| factors[0]),
        longer_range: longer.map(ends),
    };
    for (time, temperature, part) in followed(&run) {
        let hours = time / 3600.0;
        plan.temperature.push(CurvePoint { x: hours, y: temperature - CELSIUS });
        let [density, length] = after(&curves, &part, hours);
        plan.density.push(density);
        plan.length_percent.push(length);
    }
    Some(plan)
}

/// Density and length after a run, with their bands.
pub(super) fn after(curves: &[MasterCurve; 3], run: &[Stretch], x: f64) -> [BandPoint; 2] {
    let densities = curves.map(|curve| curve.after(run, START));
    let lengths = densities.map(|density| 100.0 * (curves[0].green / density).cube_root());
    let percent = densities.map(|density| 100.0 * density);
    [percent, lengths].map(|list| BandPoint::among(x, list[0], &list[1..]))
}

/// A run whose temperatures are all higher by `by` K.
fn shifted(run: &[Stretch], by: f64) -> Vec<Stretch> {
    run.iter().map(|stretch| Stretch { temperature: stretch.temperature + by, ..*stretch }).collect()
}

/// How much longer the last hold must be for the same work where the whole run is colder by `by` K, for each curve.
fn longer_if_colder(run: &[Stretch], by: f64, curves: &[MasterCurve; 3]) -> Option<[f64; 3]> {
    let last = run.last().filter(|last| by > 0.0 && last.hold > 0.0)?;
    let mut colder = shifted(run, -by);
    let held = colder.pop()?;
    colder.push(Stretch { hold: 0.0, ..held });
    Some(curves.map(|curve| {
        let wanted = log_work(run, START, curve.energy);
        let before = (log_work(&colder, START, curve.energy) - wanted).exponential();
        let second = Stretch { ramp: 0.0, hold: 1.0, ..held };
        let rate = (log_work(&[second], START, curve.energy) - wanted).exponential();
        (1.0 - before) / (rate * last.hold)
    }))
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

/// The whole run hotter and colder by the deviation of the furnace, and the last hold longer and shorter by a tenth.
fn deviations(s: &Scenario, curves: &[MasterCurve; 3], run: &[Stretch]) -> Vec<Deviation> {
    let by = s.sintering.temperature_scatter;
    let of = |what: String, other: &[Stretch]| {
        let both = curves.map(|curve| [curve.after(run, START), curve.after(other, START)]);
        let densities = both.map(|[end, other]| 100.0 * (other - end));
        let lengths = both.map(|[end, other]| 100.0 * ((end / other).cube_root() - 1.0));
        Deviation {
            what,
            density_change_percent: densities[0],
            length_change_percent: lengths[0],
            density_change_range_percent: ends(densities),
            length_change_range_percent: ends(lengths),
        }
    };
    let held = |factor: f64| {
        let mut other = run.to_vec();
        if let Some(last) = other.last_mut() {
            last.hold *= factor;
        }
        other
    };
    let told = |x: f64| gatefrost_scenario::format::number(x, 3);
    let mut all = Vec::new();
    if by > 0.0 {
        all.push(of(format!("{} K hotter", told(by)), &shifted(run, by)));
        all.push(of(format!("{} K colder", told(by)), &shifted(run, -by)));
    }
    if run.last().is_some_and(|last| last.hold > 0.0) {
        all.push(of("last hold a tenth longer".to_owned(), &held(1.1)));
        all.push(of("last hold a tenth shorter".to_owned(), &held(0.9)));
    }
    all
}
