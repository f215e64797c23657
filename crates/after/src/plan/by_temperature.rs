//! Density and length against the temperature of the last hold, for the time that is set.
//!
//! The band follows from the standard error of the activation energy. Without fitted densities each curve of it gives the
//! density that is set after the run that is set: the band has no width there and opens away from it.

use super::BandPoint;
use super::furnace_run::{START, after, curve, curves, schedule};
use gatefrost_scenario::scenario::Scenario;
use serde::Serialize;

const CELSIUS: f64 = 273.15;

/// How far the temperature is followed to both sides, K, and in how many steps.
const REACH: f64 = 80.0;
const STEPS: usize = 32;

/// What another temperature of the last hold does.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct TemperaturePlan {
    /// Temperature of the last hold that is set.
    pub set_c: f64,
    /// Time at that temperature.
    pub hold_min: f64,
    /// Density, in per cent of the solid's, against the temperature in °C.
    pub density: Vec<BandPoint>,
    /// Length over that of the debound part, against the temperature in °C.
    pub length_percent: Vec<BandPoint>,
}

/// The plan; `None` without a furnace run.
pub(super) fn plan(s: &Scenario) -> Option<TemperaturePlan> {
    let run = schedule(&s.sintering);
    let curves = curves(s, curve(s)?);
    let last = *run.last()?;
    // A run does not cool.
    let coldest = run.iter().rev().nth(1).map_or(START, |before| before.temperature);
    let from = (last.temperature - REACH).max(coldest);
    let to = last.temperature + REACH;
    let mut plan = TemperaturePlan {
        set_c: last.temperature - CELSIUS,
        hold_min: last.hold / 60.0,
        density: Vec::new(),
        length_percent: Vec::new(),
    };
    for i in 0..=STEPS {
        let temperature = from + (to - from) * i as f64 / STEPS as f64;
        let mut other = run.clone();
        if let Some(stretch) = other.last_mut() {
            stretch.temperature = temperature;
        }
        let [density, length] = after(&curves, &other, temperature - CELSIUS);
        plan.density.push(density);
        plan.length_percent.push(length);
    }
    Some(plan)
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_scenario::scenario::demo;

    /// The band is shut at the set temperature, where the density is the one that is set, and opens to both sides. 20 K hotter
    /// the work grows by Q/R (1/T − 1/T'), and the density follows the sigmoid (closed form; the ramp adds little).
    #[test]
    fn the_band_is_shut_at_the_set_run_and_opens_beside_it() {
        let mut s = demo::default_demo().scenario();
        let plan = plan(&s).expect("a run");
        let at = |celsius: f64| *plan.density.iter().find(|p| (p.x - celsius).abs() < 1e-6).expect("there");
        let set = at(1360.0);
        assert!((set.y - 97.0).abs() < 1e-6 && set.high - set.low < 1e-6, "{set:?}");
        let (hotter, colder) = (at(1380.0), at(1340.0));
        assert!(
            hotter.low > set.y && hotter.high > hotter.low && colder.high < set.y && colder.low < colder.high
        );
        assert!(at(1300.0).high - at(1300.0).low > colder.high - colder.low);
        let logit = |y: f64| ((y - 60.0) / (99.5 - y)).ln();
        let work = 300e3 / 8.314_462_618 * (1.0 / 1633.15 - 1.0 / 1653.15);
        assert!(((logit(hotter.y) - logit(set.y)) * 1.2 / work - 1.0).abs() < 0.1, "{work}");
        let length = plan.length_percent.last().expect("points");
        let density = plan.density.last().expect("points");
        assert!((length.low - 100.0 * (60.0 / density.high).cbrt()).abs() < 1e-9);
        s.sintering.energy_error = 0.0;
        assert!(super::plan(&s).expect("a run").density.iter().all(|p| p.low == p.high));
    }
}
