//! What can be changed: the tool, the feedstock, the machine, and for a closed window the settings too.

use gatefrost_core::catalogue;
use gatefrost_core::format::number;
use gatefrost_core::scenario::{Axis, Role, Scenario, Setup, dialled_pressure, dialled_time};
use std::borrow::Cow;

/// A change of tool, feedstock or machine: its words, the axis that spans the same, and how it is made.
type Lasting = (&'static str, Option<Axis>, fn(&mut Scenario));

/// How many changes of tool, feedstock and machine there are.
pub const LASTING: usize = TOOL.len();

pub(super) const TOOL: [Lasting; 14] = [
    ("gate 10 % thicker", Some(Axis::GateDepth), |s| s.cavity.scale_depth(Role::Gate, 1.1)),
    ("gate 10 % thinner", Some(Axis::GateDepth), |s| s.cavity.scale_depth(Role::Gate, 0.9)),
    ("walls of the part 5 % thicker", Some(Axis::WallThickness), |s| s.cavity.scale_depth(Role::Part, 1.05)),
    ("walls of the part 5 % thinner", Some(Axis::WallThickness), |s| s.cavity.scale_depth(Role::Part, 0.95)),
    ("sprue and runners 10 % thicker", None, |s| {
        s.cavity.scale_depth(Role::Sprue, 1.1);
        s.cavity.scale_depth(Role::Runner, 1.1);
    }),
    ("sprue and runners 10 % thinner", None, |s| {
        s.cavity.scale_depth(Role::Sprue, 0.9);
        s.cavity.scale_depth(Role::Runner, 0.9);
    }),
    ("1 vol% more powder", Some(Axis::SolidsLoading), |s| s.feedstock.solids_loading += 1.0),
    ("1 vol% less powder", Some(Axis::SolidsLoading), |s| s.feedstock.solids_loading -= 1.0),
    ("mould 5 K hotter", Some(Axis::MouldTemperature), |s| s.setup.mould_temperature += 5.0),
    ("mould 5 K colder", Some(Axis::MouldTemperature), |s| s.setup.mould_temperature -= 5.0),
    ("machine with 10 % more pressure", None, |s| s.machine.max_pressure *= 1.1),
    ("machine with 10 % less pressure", None, |s| s.machine.max_pressure *= 0.9),
    ("10 % more clamp force", Some(Axis::ClampForce), |s| s.machine.clamp_force *= 1.1),
    ("10 % less clamp force", Some(Axis::ClampForce), |s| s.machine.clamp_force *= 0.9),
];

/// A change of a setting: its path, the axis that spans it, the number, and what it becomes on a machine of so
/// much pressure, in steps that a machine takes.
type SettingChange = (&'static str, Option<Axis>, fn(&mut Setup) -> Option<&mut f64>, fn(f64, f64) -> f64);

const SETTINGS: [SettingChange; 11] = [
    (
        "setup.melt_temperature",
        Some(Axis::MeltTemperature),
        |s| Some(&mut s.melt_temperature),
        |t, _| (t + 5.0).round(),
    ),
    (
        "setup.melt_temperature",
        Some(Axis::MeltTemperature),
        |s| Some(&mut s.melt_temperature),
        |t, _| (t - 5.0).round(),
    ),
    (
        "setup.injection_time",
        Some(Axis::InjectionTime),
        |s| Some(&mut s.injection_time),
        |t, _| dialled_time(1.25 * t),
    ),
    (
        "setup.injection_time",
        Some(Axis::InjectionTime),
        |s| Some(&mut s.injection_time),
        |t, _| dialled_time(0.8 * t),
    ),
    (
        "setup.hold_pressure",
        Some(Axis::HoldPressure),
        |s| Some(&mut s.hold_pressure),
        |p, most| dialled_pressure(p + 0.1 * most, most),
    ),
    (
        "setup.hold_pressure",
        Some(Axis::HoldPressure),
        |s| Some(&mut s.hold_pressure),
        |p, most| dialled_pressure((p - 0.1 * most).max(0.0), most),
    ),
    ("setup.hold_time", Some(Axis::HoldTime), |s| Some(&mut s.hold_time), |t, _| longer(t)),
    ("setup.hold_time", Some(Axis::HoldTime), |s| Some(&mut s.hold_time), |t, _| dialled_time(0.8 * t)),
    ("setup.cooling_time", None, |s| s.cooling_time.as_mut(), |t, _| longer(t)),
    ("setup.cooling_time", None, |s| s.cooling_time.as_mut(), |t, _| dialled_time(0.8 * t)),
    ("setup.switch_over", None, |s| Some(&mut s.switch_over), |u, _| (5.0 * (u + 100.0)).round() / 10.0),
];

/// A time \[s\] a quarter longer, and a second at least.
fn longer(t: f64) -> f64 {
    dialled_time(t + (0.25 * t).max(1.0))
}

/// How many changes there are for a closed window.
pub const CHANGED: usize = LASTING + SETTINGS.len();

/// A change in words and the scenario with it made, by its place among all of [`CHANGED`]; `None` if it moves
/// what spans the plane, or nothing.
pub(super) fn changed(scenario: &Scenario, place: usize) -> Option<(Cow<'static, str>, Scenario)> {
    let mut changed = scenario.clone();
    let spanned = |axis: Option<Axis>| {
        let spans = |axis: Axis| scenario.window.axes().iter().any(|side| side.moves_with(axis));
        axis.is_some_and(spans)
    };
    let words = match place.checked_sub(LASTING) {
        None => {
            let (words, axis, change) = TOOL[place];
            if spanned(axis) {
                return None;
            }
            change(&mut changed);
            words.into()
        }
        Some(setting) => {
            let (path, axis, number_of, becomes) = SETTINGS.get(setting)?;
            let value = number_of(&mut changed.setup)?;
            let before = *value;
            *value = becomes(before, scenario.machine.max_pressure);
            let after = *value;
            if spanned(*axis) {
                return None;
            }
            let parameter = catalogue::at(path)?;
            let [before, after] = [before, after].map(|v| number(v, 3));
            format!("{} from {before} to {after} {}", parameter.title.to_ascii_lowercase(), parameter.unit)
                .into()
        }
    };
    (changed != *scenario).then_some((words, changed))
}
