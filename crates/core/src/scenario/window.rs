//! Which plane of the operating space the window shows.

use crate::catalogue::{self, Parameter};
use serde::{Deserialize, Serialize};

/// A setting that may span the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Axis {
    /// Melt temperature.
    MeltTemperature,
    /// Mould temperature.
    MouldTemperature,
    /// Injection time, on a logarithmic scale.
    InjectionTime,
    /// Hold pressure.
    HoldPressure,
    /// Hold time, on a logarithmic scale.
    HoldTime,
    /// Solids loading.
    SolidsLoading,
}

impl Axis {
    /// Every axis, in the order in which the page offers them.
    pub const ALL: [Self; 6] = [
        Self::MeltTemperature,
        Self::MouldTemperature,
        Self::InjectionTime,
        Self::HoldPressure,
        Self::HoldTime,
        Self::SolidsLoading,
    ];

    /// Path of the scenario number that the axis moves.
    pub fn path(self) -> &'static str {
        match self {
            Self::MeltTemperature => "setup.melt_temperature",
            Self::MouldTemperature => "setup.mould_temperature",
            Self::InjectionTime => "setup.injection_time",
            Self::HoldPressure => "setup.hold_pressure",
            Self::HoldTime => "setup.hold_time",
            Self::SolidsLoading => "feedstock.solids_loading",
        }
    }

    /// Catalogue entry of that number.
    pub fn parameter(self) -> &'static Parameter {
        catalogue::at(self.path()).expect("every axis moves a catalogued number")
    }

    /// Whether the axis is divided logarithmically.
    pub fn logarithmic(self) -> bool {
        matches!(self, Self::InjectionTime | Self::HoldTime)
    }
}

/// One side of the window: the setting and the range shown.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Span {
    /// The setting.
    pub axis: Axis,
    /// Start of the range, in the setting's edge unit.
    pub from: f64,
    /// End of the range, greater than `from`.
    pub to: f64,
}

impl Span {
    /// Value at a fraction 0..1 of the span.
    pub fn at(&self, fraction: f64) -> f64 {
        if self.axis.logarithmic() {
            self.from * (self.to / self.from).powf(fraction)
        } else {
            self.from + (self.to - self.from) * fraction
        }
    }

    /// Fraction of the span at which `value` lies; outside 0..1 beyond its ends.
    pub fn fraction(&self, value: f64) -> f64 {
        if self.axis.logarithmic() {
            (value / self.from).ln() / (self.to / self.from).ln()
        } else {
            (value - self.from) / (self.to - self.from)
        }
    }
}

/// The plane the window is cut along.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Plane {
    /// Horizontal side.
    pub x: Span,
    /// Vertical side.
    pub y: Span,
}

impl Default for Plane {
    fn default() -> Self {
        Self {
            x: Span { axis: Axis::InjectionTime, from: 0.05, to: 5.0 },
            y: Span { axis: Axis::MeltTemperature, from: 110.0, to: 210.0 },
        }
    }
}
