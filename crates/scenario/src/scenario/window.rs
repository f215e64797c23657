//! Which plane of the operating space the window shows.

use super::{Role, Scenario};
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
    /// Depth of the first gate; all others in proportion.
    GateDepth,
}

impl Axis {
    /// Every axis, in the order in which the page offers them.
    pub const ALL: [Self; 7] = [
        Self::MeltTemperature,
        Self::MouldTemperature,
        Self::InjectionTime,
        Self::HoldPressure,
        Self::HoldTime,
        Self::SolidsLoading,
        Self::GateDepth,
    ];

    /// Path of the scenario number that the axis moves, where it is one.
    fn path(self) -> Option<&'static str> {
        Some(match self {
            Self::MeltTemperature => "setup.melt_temperature",
            Self::MouldTemperature => "setup.mould_temperature",
            Self::InjectionTime => "setup.injection_time",
            Self::HoldPressure => "setup.hold_pressure",
            Self::HoldTime => "setup.hold_time",
            Self::SolidsLoading => "feedstock.solids_loading",
            Self::GateDepth => return None,
        })
    }

    /// Title, unit and range of what the axis moves.
    pub fn parameter(self) -> &'static Parameter {
        self.path().map_or(&GATE_DEPTH, |path| catalogue::at(path).expect("every path is catalogued"))
    }

    /// Whether the axis is divided logarithmically.
    pub fn logarithmic(self) -> bool {
        matches!(self, Self::InjectionTime | Self::HoldTime)
    }
}

/// The depth of the gates as one setting.
static GATE_DEPTH: Parameter = Parameter::apart(
    "cavity",
    "gate_depth",
    "h_g",
    "mm",
    [0.05, 50.0],
    "Gate depth",
    "Thickness or diameter of the first gate; all gates change in proportion.",
);

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

impl Scenario {
    /// Value of a setting that may span the window, in its edge unit; NaN for the depth of a gate where
    /// there is none.
    pub fn get(&self, axis: Axis) -> f64 {
        match axis {
            Axis::MeltTemperature => self.setup.melt_temperature,
            Axis::MouldTemperature => self.setup.mould_temperature,
            Axis::InjectionTime => self.setup.injection_time,
            Axis::HoldPressure => self.setup.hold_pressure,
            Axis::HoldTime => self.setup.hold_time,
            Axis::SolidsLoading => self.feedstock.solids_loading,
            Axis::GateDepth => self.cavity.gate_depth().unwrap_or(f64::NAN),
        }
    }

    /// Moves a setting that may span the window.
    pub fn set(&mut self, axis: Axis, value: f64) {
        match axis {
            Axis::MeltTemperature => self.setup.melt_temperature = value,
            Axis::MouldTemperature => self.setup.mould_temperature = value,
            Axis::InjectionTime => self.setup.injection_time = value,
            Axis::HoldPressure => self.setup.hold_pressure = value,
            Axis::HoldTime => self.setup.hold_time = value,
            Axis::SolidsLoading => self.feedstock.solids_loading = value,
            Axis::GateDepth => {
                if let Some(before) = self.cavity.gate_depth() {
                    self.cavity.scale_depth(Role::Gate, value / before);
                }
            }
        }
    }
}

impl Scenario {
    /// The numbers that change when a setting is moved, by path, and what they become.
    pub fn moves(&self, axis: Axis, value: f64) -> Vec<(String, f64)> {
        if let Some(path) = axis.path() {
            return vec![(path.to_owned(), value)];
        }
        let factor = value / self.get(axis);
        let gates = self.cavity.passages.iter().enumerate().filter(|(_, p)| p.role == Role::Gate);
        gates
            .flat_map(|(i, p)| p.form.depths().map(move |(field, depth)| (i, field, depth * factor)))
            .map(|(i, field, depth)| (format!("cavity.passages.{i}.form.{field}"), depth))
            .collect()
    }
}

impl Default for Plane {
    fn default() -> Self {
        Self {
            x: Span { axis: Axis::InjectionTime, from: 0.05, to: 5.0 },
            y: Span { axis: Axis::MeltTemperature, from: 110.0, to: 210.0 },
        }
    }
}
