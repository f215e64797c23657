//! Critical loading from the resistance to flow: relative viscosity, viscosity at one shear rate or
//! mixing torque follow A(1 − φ/φc)^−m and diverge at φc; m is about 2 for powder injection moulding
//! (handbook; the spread is from memory), and A = 1 for relative viscosity. Fitted in logarithms. In a melt that thins
//! they grow less: by the convention of the scenario, at the flow exponent n of the readings' shear rate
//! (`divergence`).
//!
//! A smaller m makes up for a smaller φc, so m is not held at 2 but goes into the fit as something known
//! to be 2 ± 0.4; the interval of φc carries it.

use super::divergence::{Exponent, ResistanceOptions, grid_above, linear};
use super::peak::{Peak, Rise};
use super::profile::{DENSEST, Found, scan};
use super::{CriticalEstimate, LoadingReading, Resistance};
use gatefrost_core::feedstock::Shift;
use gatefrost_core::format::number;
use gatefrost_core::scenario::LoadingScaling;
use gatefrost_numerics::elementary::Elementary;
use serde::{Deserialize, Serialize};

/// Fit of torques or viscosities.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ResistanceFit {
    /// What was measured.
    pub of: Resistance,
    /// Critical loading φc [vol%].
    pub critical: CriticalEstimate,
    /// Factor A, in the unit of the readings: the value at loading zero; 1, without error, for relative
    /// viscosity.
    pub factor: CriticalEstimate,
    /// Exponent m; without error where it was held.
    pub exponent: CriticalEstimate,
    /// Flow exponent at the shear rate of the readings, as given.
    pub flow_exponent: f64,
    /// What a higher relative viscosity means in a melt that thins.
    pub loading_scaling: LoadingScaling,
    /// Standard deviation of ln of a reading about the fit.
    pub log_scatter: f64,
    /// Readings used.
    pub readings: usize,
    /// Where the readings stopped rising, if they did; the critical loading lies no higher.
    pub peak: Option<Peak>,
    /// Sentences for the user.
    pub remarks: Vec<String>,
}

impl ResistanceFit {
    /// Value of the fitted model at a loading [vol%]; `None` at φc and beyond.
    pub fn at(&self, loading: f64) -> Option<f64> {
        let room = 1.0 - loading / self.critical.value;
        let [of_viscosity, of_binder] = Shift::powers(self.loading_scaling, self.flow_exponent);
        let grown = |room: f64| {
            room.power(-of_viscosity * self.exponent.value) * (1.0 - 0.01 * loading).power(of_binder)
        };
        (room > 0.0).then(|| self.factor.value * grown(room))
    }
}

/// Fits φc, A unless it is known to be 1, and m unless it is held. Readings past a peak are left out, and φc
/// lies no higher than the first of them.
///
/// # Errors
/// Where the readings are too few, all at one loading, or do not rise.
pub fn fit(
    readings: &[(Resistance, LoadingReading)],
    options: &ResistanceOptions,
) -> Result<ResistanceFit, String> {
    fit_rise(&Rise::of(readings, options), options)
}

/// As [`fit`], of readings whose peak has been looked for.
pub(super) fn fit_rise(rise: &Rise, options: &ResistanceOptions) -> Result<ResistanceFit, String> {
    let readings = rise.kept.as_slice();
    let Some(&(of, _)) = readings.first() else {
        return Err("No torques or viscosities were given.".to_owned());
    };
    let exponent = options.of_exponent();
    let relative = of == Resistance::RelativeViscosity;
    let needed = 2 + usize::from(!relative) + usize::from(exponent == Exponent::Free);
    if readings.len() < needed {
        return Err(format!("{} readings of {}; at least {needed} are needed.", readings.len(), of.label()));
    }
    if readings.iter().any(|(_, r)| r.value <= 0.0) {
        return Err(format!("Every {} must be above zero.", of.label()));
    }
    let least = readings.iter().map(|(_, r)| 0.01 * r.loading).fold(f64::INFINITY, f64::min);
    let most = readings.iter().map(|(_, r)| 0.01 * r.loading).fold(0.0, f64::max);
    if most - least < 1e-4 {
        return Err("All readings were taken at the same loading; several are needed.".to_owned());
    }
    let found =
        scanned(readings, options, rise.below()).ok_or("The readings are not distinct enough to fit.")?;
    let (factor, exponent_found) = constants(&found, relative, exponent);
    if found.critical.value > 0.999 * DENSEST || exponent_found.value <= 0.0 {
        return Err(format!(
            "The {} rises too little with loading to show where it would diverge. Take readings at higher loadings.",
            of.label()
        ));
    }
    let mut remarks = Vec::new();
    if found.critical.high.is_none() {
        remarks.push(
            "The readings bound the critical loading from below only: take some at higher loadings."
                .to_owned(),
        );
    }
    if !relative && options.flow_exponent == 1.0 {
        remarks.push(format!(
            "The feedstock is taken as Newtonian at the shear rate of the {}. In a melt that thins it rises less steeply and the critical loading is lower: give the flow exponent at that rate.",
            of.label()
        ));
    }
    remarks.extend(remark_on(exponent, &exponent_found, || {
        let free = ResistanceOptions { exponent: None, ..*options };
        let found = scanned(readings, &free, rise.below())?;
        let (_, m) = constants(&found, relative, Exponent::Free);
        (m.value > 0.0 && found.critical.value < 0.999 * DENSEST).then(|| (m, found.critical.in_percent()))
    }));
    Ok(ResistanceFit {
        of,
        critical: found.critical.in_percent(),
        factor,
        exponent: exponent_found,
        flow_exponent: options.flow_exponent,
        loading_scaling: options.loading_scaling,
        log_scatter: found.scatter,
        readings: readings.len(),
        peak: rise.peak,
        remarks,
    })
}

fn scanned(
    readings: &[(Resistance, LoadingReading)],
    options: &ResistanceOptions,
    below: f64,
) -> Option<Found> {
    let model = linear(readings, options, below);
    scan(&model, &grid_above(model.above, below, 400), None)
}

/// Factor and exponent of a fit.
fn constants(found: &Found, relative: bool, exponent: Exponent) -> (CriticalEstimate, CriticalEstimate) {
    let fixed = |value| CriticalEstimate { value, standard_error: None, low: None, high: None };
    let of = |place: usize| additive(found.linear[place], found.linear_errors[place], found.t);
    let factor = if relative {
        fixed(1.0)
    } else {
        let log = of(0);
        let value = log.value.exponential();
        CriticalEstimate {
            value,
            standard_error: log.standard_error.map(|e| e * value),
            low: log.low.map(f64::exponential),
            high: log.high.map(f64::exponential),
        }
    };
    let exponent = match exponent {
        Exponent::Held(m) => fixed(m),
        _ => of(usize::from(!relative)),
    };
    (factor, exponent)
}

/// What the exponent does to the critical loading, in words. `free` fits both.
fn remark_on(
    exponent: Exponent,
    found: &CriticalEstimate,
    free: impl Fn() -> Option<(CriticalEstimate, CriticalEstimate)>,
) -> Option<String> {
    let said = match exponent {
        Exponent::Free => {
            let loose = found.standard_error.is_none_or(|e| e > 0.5 * found.value);
            return loose.then(|| "The readings hardly separate the exponent from the critical loading. Enter what is known of the exponent, or measure closer to the critical loading.".to_owned());
        }
        Exponent::Held(m) => format!(
            "This critical loading belongs to an exponent of exactly {}; a smaller exponent would lower it.",
            number(m, 3)
        ),
        Exponent::About([m, error]) => format!(
            "The exponent entered the fit as {} ± {}, as is customary. A smaller exponent goes with a lower critical loading, and the interval includes that.",
            number(m, 3),
            number(error, 2)
        ),
    };
    let Some((m, critical)) = free() else { return Some(said) };
    Some(format!(
        "{said} Alone, the readings give an exponent of {} and a critical loading of {}.",
        number(m.value, 3),
        super::text(&critical)
    ))
}

fn additive(value: f64, error: Option<f64>, t: f64) -> CriticalEstimate {
    CriticalEstimate {
        value,
        standard_error: error,
        low: error.map(|e| value - t * e),
        high: error.map(|e| value + t * e),
    }
}
