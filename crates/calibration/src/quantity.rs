//! What can be read of a shot.

use gatefrost_core::scenario::{Shot, Trials};
use gatefrost_numerics::elementary::Elementary;
use serde::{Deserialize, Serialize};

/// Standard deviation of the filled share of one short shot \[%\], assumed.
const FILLED: f64 = 2.0;
/// Spread of the margin at which flash or a sink is seen, assumed.
const SEEN: f64 = 0.15;

/// A quantity that is read of a shot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Read {
    /// Greatest injection pressure \[MPa\].
    PeakPressure,
    /// Injection pressure at the switch-over \[MPa\].
    SwitchPressure,
    /// Greatest pressure in the cavity \[MPa\].
    CavityPressure,
    /// Share of the path that is filled \[%\].
    Filled,
    /// Mass of the green parts \[g\].
    PartMass,
    /// Mean temperature of the part as the mould opens \[°C\].
    PartTemperature,
    /// Whether flash was seen: 1 or 0. What is predicted is the margin of its limit.
    Flash,
    /// Whether a sink or a void was seen.
    Sink,
}

impl Read {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::PeakPressure,
        Self::SwitchPressure,
        Self::CavityPressure,
        Self::Filled,
        Self::PartMass,
        Self::PartTemperature,
        Self::Flash,
        Self::Sink,
    ];

    /// Name in a sentence.
    pub fn label(self) -> &'static str {
        match self {
            Self::PeakPressure => "peak pressure",
            Self::SwitchPressure => "switch-over pressure",
            Self::CavityPressure => "cavity pressure",
            Self::Filled => "filled share",
            Self::PartMass => "part mass",
            Self::PartTemperature => "part temperature",
            Self::Flash => "flash",
            Self::Sink => "sink",
        }
    }

    /// Unit.
    pub fn unit(self) -> &'static str {
        match self {
            Self::PeakPressure | Self::SwitchPressure | Self::CavityPressure => "MPa",
            Self::Filled => "%",
            Self::PartMass => "g",
            Self::PartTemperature => "°C",
            Self::Flash | Self::Sink => "",
        }
    }

    /// Unit of its errors: per cent where they are shares of it.
    pub fn unit_of_error(self) -> &'static str {
        match self {
            _ if self.is_relative() => "%",
            Self::PartTemperature => "K",
            _ => self.unit(),
        }
    }

    /// Whether it is seen or not, instead of measured.
    pub fn is_seen(self) -> bool {
        matches!(self, Self::Flash | Self::Sink)
    }

    /// The reading of a shot.
    pub fn of(self, shot: &Shot) -> Option<f64> {
        match self {
            Self::PeakPressure => shot.peak_pressure,
            Self::SwitchPressure => shot.switch_pressure,
            Self::CavityPressure => shot.cavity_pressure,
            Self::Filled => shot.filled,
            Self::PartMass => shot.part_mass,
            Self::PartTemperature => shot.part_temperature,
            Self::Flash => shot.flash,
            Self::Sink => shot.sink,
        }
    }

    /// Sets the reading of a shot.
    pub fn put(self, shot: &mut Shot, value: f64) {
        let place = match self {
            Self::PeakPressure => &mut shot.peak_pressure,
            Self::SwitchPressure => &mut shot.switch_pressure,
            Self::CavityPressure => &mut shot.cavity_pressure,
            Self::Filled => &mut shot.filled,
            Self::PartMass => &mut shot.part_mass,
            Self::PartTemperature => &mut shot.part_temperature,
            Self::Flash => &mut shot.flash,
            Self::Sink => &mut shot.sink,
        };
        *place = Some(value);
    }

    /// Everything that was read of a shot.
    pub fn all_of(shot: &Shot) -> Vec<Self> {
        Self::ALL.into_iter().filter(|read| read.of(shot).is_some()).collect()
    }

    /// The scale on which errors are normal: the logarithm of pressures and masses, the value itself otherwise.
    pub fn scaled(self, value: f64) -> f64 {
        if self.is_relative() { value.max(1e-9).logarithm() } else { value }
    }

    /// The value of a scaled one.
    pub fn value(self, scaled: f64) -> f64 {
        if self.is_relative() { scaled.exponential() } else { scaled }
    }

    /// Whether its errors are shares of it.
    pub fn is_relative(self) -> bool {
        matches!(self, Self::PeakPressure | Self::SwitchPressure | Self::CavityPressure | Self::PartMass)
    }

    /// Standard deviation of a reading of one shot on that scale; for what is seen, the spread of the margin.
    pub fn error(self, trials: &Trials) -> f64 {
        match self {
            Self::PeakPressure | Self::SwitchPressure | Self::CavityPressure => trials.pressure_error / 100.0,
            Self::Filled => FILLED,
            Self::PartMass => trials.mass_error / 100.0,
            Self::PartTemperature => trials.temperature_error,
            Self::Flash | Self::Sink => SEEN,
        }
    }

    /// Standard deviation of the mean of so many readings on that scale.
    pub fn error_of_mean(self, trials: &Trials, repeats: u32) -> f64 {
        self.error(trials) / f64::from(repeats.max(1)).sqrt()
    }

    /// Standard deviation of the model on that scale, which repeats do not average out.
    pub fn of_model(self, trials: &Trials) -> f64 {
        match self {
            Self::PeakPressure | Self::SwitchPressure | Self::CavityPressure => trials.pressure_model / 100.0,
            Self::PartMass => trials.mass_model / 100.0,
            Self::PartTemperature => trials.temperature_model,
            Self::Filled | Self::Flash | Self::Sink => 0.0,
        }
    }

    /// Standard deviation of the mean of so many readings about the model: √(σ²/N + τ²). What is seen does not repeat.
    pub fn spread(self, trials: &Trials, repeats: u32) -> f64 {
        match self.is_seen() {
            true => self.error(trials),
            false => self.error_of_mean(trials, repeats).hypotenuse(self.of_model(trials)),
        }
    }
}
