//! The plane of the operating space that the window shows.

use super::{Role, Scenario};
use crate::catalogue::{self, Parameter};
use crate::format::number;
use gatefrost_numerics::elementary::Elementary;
use serde::{Deserialize, Serialize};

/// A setting that may span the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Axis {
    /// Melt temperature.
    MeltTemperature,
    /// Mould temperature.
    MouldTemperature,
    /// Injection time, on a logarithmic scale.
    InjectionTime,
    /// Injection time as a rate, on a logarithmic scale: the volume filled over the injection time.
    FlowRate,
    /// Hold pressure of the first step; further steps in proportion.
    HoldPressure,
    /// Hold time, on a logarithmic scale.
    HoldTime,
    /// Solids loading.
    SolidsLoading,
    /// Depth of the first gate; all others in proportion.
    GateDepth,
    /// Wall thickness of the first section of the part; all others in proportion.
    WallThickness,
    /// Clamp force of the machine.
    ClampForce,
}

impl Axis {
    /// Every axis, in the order in which the page offers them.
    pub const ALL: [Self; 10] = [
        Self::MeltTemperature,
        Self::MouldTemperature,
        Self::InjectionTime,
        Self::FlowRate,
        Self::HoldPressure,
        Self::HoldTime,
        Self::SolidsLoading,
        Self::GateDepth,
        Self::WallThickness,
        Self::ClampForce,
    ];

    /// The role of the passages whose depths the axis scales.
    fn scales(self) -> Option<Role> {
        match self {
            Self::GateDepth => Some(Role::Gate),
            Self::WallThickness => Some(Role::Part),
            _ => None,
        }
    }

    /// Path of the number that the axis changes, if it is a single number.
    pub(super) fn path(self) -> Option<&'static str> {
        Some(match self {
            Self::MeltTemperature => "setup.melt_temperature",
            Self::MouldTemperature => "setup.mould_temperature",
            Self::InjectionTime => "setup.injection_time",
            Self::HoldPressure => "setup.hold_pressure",
            Self::HoldTime => "setup.hold_time",
            Self::SolidsLoading => "feedstock.solids_loading",
            Self::ClampForce => "machine.clamp_force",
            Self::FlowRate | Self::GateDepth | Self::WallThickness => return None,
        })
    }

    /// Title, unit and range of the setting.
    pub fn parameter(self) -> &'static Parameter {
        match self {
            Self::FlowRate => &FLOW_RATE,
            Self::GateDepth => &GATE_DEPTH,
            Self::WallThickness => &WALL_THICKNESS,
            _ => self.path().and_then(catalogue::at).expect("every path is catalogued"),
        }
    }

    /// Whether the axis is divided logarithmically.
    pub fn logarithmic(self) -> bool {
        matches!(self, Self::InjectionTime | Self::FlowRate | Self::HoldTime)
    }

    /// Whether two axes change the same setting.
    pub fn moves_with(self, other: Self) -> bool {
        let moved = |axis| if axis == Self::FlowRate { Self::InjectionTime } else { axis };
        moved(self) == moved(other)
    }
}

/// The injection time as a rate.
static FLOW_RATE: Parameter = Parameter::apart(
    "setup",
    "flow_rate",
    "Q_i",
    "cm³/s",
    [1e-6, 1e6],
    "Flow rate",
    "Injection rate that is set: volume of sprue, runners and parts over the injection time.",
);

/// The depth of the gates as one setting.
static GATE_DEPTH: Parameter = Parameter::apart(
    "cavity",
    "gate_depth",
    "h_g",
    "mm",
    [0.05, 50.0],
    "Gate thickness",
    "Thickness or diameter of the first gate; all gates change in proportion.",
);

/// The walls of the part as one setting.
static WALL_THICKNESS: Parameter = Parameter::apart(
    "cavity",
    "wall_thickness",
    "h",
    "mm",
    [0.05, 50.0],
    "Wall thickness",
    "Thickness or diameter of the first section of the part; all sections change in proportion.",
);

/// One side of the window: the setting and the range shown.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
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
            self.from * (self.to / self.from).power(fraction)
        } else {
            self.from + (self.to - self.from) * fraction
        }
    }

    /// Fraction of the span at `value`; below 0 or above 1 outside of the span.
    pub fn fraction(&self, value: f64) -> f64 {
        if self.axis.logarithmic() {
            (value / self.from).logarithm() / (self.to / self.from).logarithm()
        } else {
            (value - self.from) / (self.to - self.from)
        }
    }
}

/// The plane of the window.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(default, deny_unknown_fields)]
pub struct Plane {
    /// Horizontal side.
    pub x: Span,
    /// Vertical side.
    pub y: Span,
}

impl Plane {
    /// The two settings.
    pub fn axes(&self) -> [Axis; 2] {
        [self.x.axis, self.y.axis]
    }

    /// Place of a scenario in the plane, in edge units.
    pub fn place_of(&self, scenario: &Scenario) -> [f64; 2] {
        self.axes().map(|axis| scenario.get(axis))
    }

    /// A point given as fractions of the two sides, in edge units.
    pub fn value(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [self.x.at(x), self.y.at(y)]
    }

    /// A point given in edge units, as fractions of the two sides.
    pub fn fraction(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [self.x.fraction(x), self.y.fraction(y)]
    }

    /// Lines of points given as fractions of the two sides, in edge units.
    pub fn values(&self, lines: Vec<Vec<[f64; 2]>>) -> Vec<Vec<[f64; 2]>> {
        lines.into_iter().map(|line| line.into_iter().map(|p| self.value(p)).collect()).collect()
    }
}

impl Scenario {
    /// Value of a setting that may span the window, in its edge unit; NaN for a depth of passages that do not exist.
    pub fn get(&self, axis: Axis) -> f64 {
        match axis {
            Axis::MeltTemperature => self.setup.melt_temperature,
            Axis::MouldTemperature => self.setup.mould_temperature,
            Axis::InjectionTime => self.setup.injection_time,
            Axis::FlowRate => self.cavity.volume() / self.setup.injection_time,
            Axis::HoldPressure => self.setup.hold_pressure,
            Axis::HoldTime => self.setup.hold_time,
            Axis::SolidsLoading => self.feedstock.solids_loading,
            Axis::ClampForce => self.machine.clamp_force,
            Axis::GateDepth | Axis::WallThickness => {
                axis.scales().and_then(|role| self.cavity.depth_of(role)).unwrap_or(f64::NAN)
            }
        }
    }

    /// Changes several settings. A rate comes last, because it depends on the volume that the others set.
    pub fn set_all(&mut self, settings: &[(Axis, f64)]) {
        for last in [false, true] {
            for (axis, value) in settings.iter().filter(|(axis, _)| (*axis == Axis::FlowRate) == last) {
                self.set(*axis, *value);
            }
        }
    }

    /// Changes a setting that may span the window.
    pub fn set(&mut self, axis: Axis, value: f64) {
        match axis {
            Axis::MeltTemperature => self.setup.melt_temperature = value,
            Axis::MouldTemperature => self.setup.mould_temperature = value,
            Axis::InjectionTime => self.setup.injection_time = value,
            Axis::FlowRate => self.setup.injection_time = self.cavity.volume() / value,
            Axis::HoldPressure => self.scale_hold(value),
            Axis::HoldTime => self.setup.hold_time = value,
            Axis::SolidsLoading => self.feedstock.solids_loading = value,
            Axis::ClampForce => self.machine.clamp_force = value,
            Axis::GateDepth | Axis::WallThickness => {
                if let Some(role) = axis.scales()
                    && let Some(before) = self.cavity.depth_of(role)
                {
                    self.cavity.scale_depth(role, value / before);
                }
            }
        }
    }
}

/// Room between the no-flow temperature and the coldest melt of the window \[K\], and what that melt is rounded up to.
const ABOVE_NO_FLOW: f64 = 2.0;
const ROUNDED_TO: f64 = 5.0;

impl Scenario {
    /// Raises the lower end of the window's melt temperatures above the no-flow temperature, where another feedstock has
    /// moved that into the window. A melt that does not flow cannot be computed. Says what it changed.
    pub fn clear_no_flow(&mut self) -> Option<String> {
        let no_flow = self.feedstock.no_flow_temperature;
        let from = ROUNDED_TO * ((no_flow + ABOVE_NO_FLOW) / ROUNDED_TO).ceil();
        let Plane { x, y } = &mut self.window;
        let melt = |span: &&mut Span| span.axis == Axis::MeltTemperature;
        let span = [x, y].into_iter().find(melt)?;
        if span.from > no_flow || span.to <= from {
            return None;
        }
        span.from = from;
        Some(format!(
            "The window now shows melt temperatures from {} °C, because the feedstock does not flow at {} °C.",
            number(from, 4),
            number(no_flow, 4)
        ))
    }

    /// Sets the pressure of the first step of the hold; further steps keep their ratio to it, up to what the machine has.
    /// A hold without pressure has no ratio: then they stay.
    fn scale_hold(&mut self, pressure: f64) {
        let (ratio, most) = (pressure / self.setup.hold_pressure, self.machine.max_pressure);
        if ratio.is_finite() && ratio > 0.0 {
            for step in &mut self.setup.further_hold {
                step.pressure = (step.pressure * ratio).min(most);
            }
        }
        self.setup.hold_pressure = pressure;
    }

    /// The numbers that change with these settings, by path, with their new values.
    pub fn moves(&self, settings: &[(Axis, f64)]) -> Vec<(String, f64)> {
        let mut moved = self.clone();
        moved.set_all(settings);
        let mut out = Vec::new();
        for &(axis, value) in settings {
            match axis {
                Axis::FlowRate => {
                    out.push(("setup.injection_time".to_owned(), moved.setup.injection_time));
                }
                Axis::GateDepth | Axis::WallThickness => {
                    let all = moved.cavity.passages.iter().enumerate();
                    for (i, p) in all.filter(|(_, p)| axis.scales() == Some(p.role)) {
                        let place = |(field, depth)| (format!("cavity.passages.{i}.form.{field}"), depth);
                        out.extend(p.form.depths().map(place));
                    }
                }
                _ => out.extend(axis.path().map(|path| (path.to_owned(), value))),
            }
            if axis == Axis::HoldPressure {
                let steps = moved.setup.further_hold.iter().enumerate();
                out.extend(
                    steps.map(|(i, step)| (format!("setup.further_hold.{i}.pressure"), step.pressure)),
                );
            }
        }
        out
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::demo;

    /// A hold that steps down still does when its pressure is another, and the paths that move say so.
    #[test]
    fn further_steps_of_the_hold_keep_their_ratio() {
        let mut s = demo::find("rocker").expect("a demo").scenario();
        let before = [s.setup.hold_pressure, s.setup.further_hold[0].pressure];
        let moves = s.moves(&[(Axis::HoldPressure, 0.5 * before[0])]);
        s.set(Axis::HoldPressure, 0.5 * before[0]);
        let after = [s.setup.hold_pressure, s.setup.further_hold[0].pressure];
        assert_eq!(after, before.map(|pressure| 0.5 * pressure));
        let paths = ["setup.hold_pressure", "setup.further_hold.0.pressure"];
        assert_eq!(moves, [0, 1].map(|k| (paths[k].to_owned(), after[k])));
        // No pressure has no ratio, and no step passes what a machine may have.
        s.set(Axis::HoldPressure, 0.0);
        assert_eq!(s.setup.further_hold[0].pressure, after[1]);
        s.set(Axis::HoldPressure, 10.0);
        s.setup.further_hold[0].pressure = 300.0;
        s.set(Axis::HoldPressure, 100.0);
        assert!(s.validate().is_ok() && s.setup.further_hold[0].pressure == s.machine.max_pressure);
    }

    #[test]
    fn all_walls_of_the_part_keep_their_ratio_and_nothing_else_changes() {
        let s = demo::find("rocker").expect("a demo").scenario();
        let mut thick = s.clone();
        thick.set(Axis::WallThickness, 1.25 * s.get(Axis::WallThickness));
        for (before, after) in s.cavity.passages.iter().zip(&thick.cavity.passages) {
            let factor = if before.role == Role::Part { 1.25 } else { 1.0 };
            for ((_, before), (_, after)) in before.form.depths().zip(after.form.depths()) {
                assert!((after / before - factor).abs() < 1e-12, "{after} {before}");
            }
        }
    }

    #[test]
    fn a_flow_rate_does_not_go_with_an_injection_time() {
        let mut s = demo::default_demo().scenario();
        s.window.y = Span { axis: Axis::FlowRate, from: 1.0, to: 20.0 };
        let refused = s.validate_plane().expect_err("one setting on both sides");
        assert_eq!(refused.problems[0].path, "window.y.axis");
        s.window.x = Span { axis: Axis::MeltTemperature, from: 110.0, to: 200.0 };
        assert_eq!(s.validate_plane(), Ok(()));
        // 1.6 cm³ at 0.01 cm³/s take longer than any injection may.
        s.window.y.from = 0.01;
        let refused = s.validate_plane().expect_err("too slow");
        assert!(refused.problems[0].message.contains("Injection time"), "{refused}");
    }

    #[test]
    fn the_window_begins_above_the_no_flow_temperature_of_another_feedstock() {
        let mut s = demo::default_demo().scenario();
        let before = s.window.clone();
        assert_eq!((s.clear_no_flow(), &s.window), (None, &before));
        s.feedstock.no_flow_temperature = s.window.y.from + 8.0;
        assert!(s.validate_plane().is_err());
        let said = s.clear_no_flow().expect("a change");
        assert!(
            s.window.y.from > s.feedstock.no_flow_temperature && said.contains("does not flow"),
            "{said}"
        );
        assert_eq!((s.validate_plane(), s.clear_no_flow()), (Ok(()), None));
        // A melt that never flows in the whole window is left to the check.
        s.feedstock.no_flow_temperature = s.window.y.to;
        assert_eq!(s.clear_no_flow(), None);
    }
}
