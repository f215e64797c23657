//! The steps in which a machine takes its settings. What is offered as a set point is rounded to them.

use super::{Axis, Scenario};

/// Steps in one MPa: a step is 0.1 MPa, 1 bar.
const PRESSURE: f64 = 10.0;
/// Steps in one second: a step is 0.01 s.
const TIME: f64 = 100.0;

/// The step nearest to a value, with so many steps in a unit.
fn nearest(value: f64, in_a_unit: f64) -> f64 {
    (value * in_a_unit).round() / in_a_unit
}

/// The time \[s\] nearest to this one that a machine can be set to.
pub fn dialled_time(time: f64) -> f64 {
    nearest(time, TIME)
}

/// The pressure \[MPa\] nearest to this one that a machine can be set to which has no more than `most`.
pub fn dialled_pressure(pressure: f64, most: f64) -> f64 {
    let dialled = nearest(pressure, PRESSURE);
    if dialled > most { (most * PRESSURE).floor() / PRESSURE } else { dialled }
}

impl Axis {
    /// The steps of a machine in one edge unit: 1 K, 0.01 s or 0.1 MPa is a step (common practice). `None` if it is no
    /// setting of a machine.
    pub fn steps_in_unit(self) -> Option<f64> {
        match self {
            Self::MeltTemperature | Self::MouldTemperature => Some(1.0),
            Self::InjectionTime | Self::HoldTime => Some(TIME),
            Self::HoldPressure => Some(PRESSURE),
            Self::FlowRate
            | Self::SolidsLoading
            | Self::GateDepth
            | Self::WallThickness
            | Self::ClampForce => None,
        }
    }

    /// The steps below and above a value, in edge units. Twice the value if it is no setting of a machine.
    pub fn steps_about(self, value: f64) -> [f64; 2] {
        let Some(in_a_unit) = self.steps_in_unit() else { return [value; 2] };
        let steps = value * in_a_unit;
        // A value that is a step already may differ from it in its last bit.
        let near = steps.round();
        if (steps - near).abs() < 1e-6 {
            return [near / in_a_unit; 2];
        }
        [steps.floor(), steps.ceil()].map(|step| step / in_a_unit)
    }
}

impl Scenario {
    /// The scenario at a set point that is offered: further steps of the hold keep their ratio and are rounded, too.
    pub fn dialled_at(&self, settings: &[(Axis, f64)]) -> Self {
        let mut there = self.clone();
        there.set_all(settings);
        for step in &mut there.setup.further_hold {
            step.pressure = dialled_pressure(step.pressure, self.machine.max_pressure);
        }
        there
    }
}

#[cfg(test)]
mod tests {
    use super::super::demo;
    use super::*;
    use crate::scenario::HoldStep;

    /// Kelvins, hundredths of a second and tenths of a MPa, written with no more digits than that.
    #[test]
    fn steps_lie_about_a_value() {
        assert_eq!(Axis::MeltTemperature.steps_about(171.4), [171.0, 172.0]);
        assert_eq!(Axis::InjectionTime.steps_about(0.4321), [0.43, 0.44]);
        assert_eq!(Axis::HoldPressure.steps_about(61.27), [61.2, 61.3]);
        // 0.29 · 100 is 28.999999999999996 in binary.
        assert_eq!(Axis::HoldTime.steps_about(0.29), [0.29, 0.29]);
        assert_eq!(Axis::SolidsLoading.steps_about(58.123), [58.123; 2]);
    }

    #[test]
    fn a_machine_is_never_asked_for_more_pressure_than_it_has() {
        assert_eq!(dialled_pressure(119.98, 119.96), 119.9);
        assert_eq!(dialled_pressure(119.96, 120.0), 120.0);
        assert_eq!(dialled_time(1.2345), 1.23);
    }

    #[test]
    fn further_steps_of_the_hold_are_rounded_too() {
        let mut s = demo::default_demo().scenario();
        s.setup.further_hold = vec![HoldStep { pressure: 30.0, time: 2.0 }];
        let pressure = s.setup.hold_pressure + 7.1;
        let there = s.dialled_at(&[(Axis::HoldPressure, pressure)]);
        let exact = 30.0 * pressure / s.setup.hold_pressure;
        let rounded = there.setup.further_hold[0].pressure;
        assert!((rounded - exact).abs() <= 0.05 + 1e-9 && rounded == (10.0 * rounded).round() / 10.0);
    }
}
