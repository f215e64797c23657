//! Readings and numbers as figures take them.

use gatefrost_calibration::{CalibratedNumber, ComparedReading, Read, ReadBand, ShotPrediction};
use gatefrost_core::format;
use gatefrost_core::scenario::Shot;
use gatefrost_plot::{TRIAL_QUANTITIES, TrialForecasts, TrialNumber, TrialReading};

/// A reading with the settings of its shot. Shares of it are in per cent.
pub(crate) fn reading(shots: &[Shot], r: &ComparedReading) -> TrialReading {
    let shot = &shots[r.shot];
    let percent = |band: ReadBand| [band.value, band.low, band.high].map(|v| 100.0 * v / r.measured);
    let relative = r.read.is_relative();
    TrialReading {
        shot: r.shot as f64 + 1.0,
        what: r.read.label().to_owned(),
        mark: match r.read {
            Read::PeakPressure | Read::SwitchPressure | Read::CavityPressure => 0,
            Read::PartMass => 1,
            Read::PartTemperature => 2,
            Read::Filled | Read::Flash | Read::Sink => 3,
        },
        before: relative.then(|| percent(r.before)),
        after: relative.then(|| percent(r.after)),
        residual: r.residual,
        settings: [
            shot.melt_temperature,
            shot.mould_temperature,
            shot.injection_time,
            shot.hold_pressure,
            shot.hold_time,
        ],
    }
}

/// A number; the viscosity is named with its shear rate \[1/s\] and temperature \[°C\].
pub(crate) fn number(n: &CalibratedNumber, [rate, temperature]: [f64; 2]) -> TrialNumber {
    let of = |band: ReadBand| [band.value, band.low, band.high];
    let title = match n.path.is_empty() {
        true => {
            format!("Viscosity at {} 1/s and {} °C", format::number(rate, 3), format::number(temperature, 3))
        }
        false => n.title.clone(),
    };
    TrialNumber { title, unit: n.unit.clone(), prior: of(n.prior), posterior: of(n.posterior) }
}

/// The quantities of [`TRIAL_QUANTITIES`].
const PREDICTED: [Read; TRIAL_QUANTITIES.len()] =
    [Read::PeakPressure, Read::SwitchPressure, Read::PartMass, Read::PartTemperature];

/// Predictions, and the readings of the log.
pub(crate) fn forecasts(shots: &[Shot], predictions: &[ShotPrediction]) -> TrialForecasts {
    let mut all = TrialForecasts::default();
    for (quantity, read) in PREDICTED.iter().enumerate() {
        let of = |p: &&ShotPrediction| p.read == *read;
        all.predicted.extend(
            predictions
                .iter()
                .filter(of)
                .map(|p| [p.shot as f64 + 1.0, quantity as f64, p.band.value, p.band.low, p.band.high]),
        );
        let made = shots.iter().enumerate();
        all.read.extend(made.filter_map(|(i, shot)| Some([i as f64 + 1.0, quantity as f64, read.of(shot)?])));
    }
    all
}
