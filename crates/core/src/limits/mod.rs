//! The limits that bound the window: signed, continuous margins of one evaluated set point.
//!
//! Each limit is one file with one `Definition`: how it is measured, what happens beyond it and
//! what would help. Margins g are positive inside, zero on the line, negative outside: the logarithm
//! of allowed over found for pressures, rates, speeds, forces, viscosities, volumes, times in the barrel and
//! the water's rise, at most 5; the distance in tens of kelvin for temperatures and in per cent for shrinkage.

mod burning;
mod cold_front;
mod cooling_water;
mod ejection;
mod flash;
mod hold_cover;
mod jetting;
mod rate;
mod residence;
mod residual;
mod separation;
mod short_shot;
mod shot;
mod sink;
mod stiff_gate;
mod switch_over;
mod venting;
mod weld;

pub use gatefrost_scenario::Limit;

use crate::case::{Case, Point};
use crate::elementary::Elementary;
use crate::fill::Fill;
use crate::format::number;
use crate::pack::Hold;
use gatefrost_scenario::units::Units;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// How many limits there are.
pub const COUNT: usize = Limit::COUNT;

/// How clear of one limit a set point is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Margin {
    /// Which limit.
    pub limit: Limit,
    /// Short name, as it stands beside the limit's line.
    pub label: Cow<'static, str>,
    /// Signed margin g on the limit's own scale: positive inside, zero on the line, negative outside.
    pub g: f64,
    /// What was found, in `unit`.
    pub value: f64,
    /// What is allowed, in `unit`.
    pub threshold: f64,
    /// Whether at least as much as is allowed is needed; at most so much is, otherwise.
    #[serde(default)]
    pub at_least: bool,
    /// Whether the value stands for anything beyond it.
    #[serde(default)]
    pub beyond_reckoning: bool,
    /// Unit of value and threshold.
    pub unit: Cow<'static, str>,
    /// What happens, and by how much it is cleared or missed, in a sentence.
    pub sentence: String,
    /// What would help most.
    pub remedy: Cow<'static, str>,
    /// Whether the scenario leaves this limit out.
    #[serde(default)]
    pub ignored: bool,
}

/// The stages of an evaluation, one after the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// What is set; nothing has been solved.
    Setting,
    /// The fill.
    Fill,
    /// Hold and cooling.
    Hold,
}

impl Stage {
    /// All of them, in their order.
    pub const ALL: [Self; 3] = [Self::Setting, Self::Fill, Self::Hold];
}

/// What a limit is.
struct Definition {
    unit: &'static str,
    /// Found and allowed, and how they compare.
    measure: Measured,
    /// What was found, as the beginning of a sentence.
    found: &'static str,
    /// What happens beyond the limit, as a clause.
    beyond: &'static str,
    remedy: &'static str,
}

/// How a limit is measured, by the last stage that it takes.
enum Measured {
    Setting(fn(&Case) -> Measure),
    Fill(fn(&Case, &Fill<'_>) -> Measure),
    Hold(fn(&Case, &Fill<'_>, &Hold) -> Measure),
}

impl Measured {
    fn stage(&self) -> Stage {
        match self {
            Self::Setting(_) => Stage::Setting,
            Self::Fill(_) => Stage::Fill,
            Self::Hold(_) => Stage::Hold,
        }
    }
}

/// Found and allowed values in the limit's unit.
#[derive(Debug, Clone, Copy)]
struct Measure {
    value: f64,
    threshold: f64,
    scale: Scale,
    /// Whether the value stands for anything beyond it.
    beyond_reckoning: bool,
    /// Whether there is nothing to measure, so that nothing is said of the limit. Its margin is still a number.
    absent: bool,
}

/// How found and allowed turn into a margin.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Scale {
    /// At most the threshold; ln(threshold/value).
    RatioBelow,
    /// At least the threshold; ln(value/threshold).
    RatioAbove,
    /// At most the threshold; (threshold − value)/unit.
    Below(f64),
    /// At least the threshold; (value − threshold)/unit.
    Above(f64),
}

impl Measure {
    /// Nothing in this scenario can break the limit.
    const ABSENT: Self = Self {
        value: 0.0,
        threshold: UNBROKEN,
        scale: Scale::Below(1.0),
        beyond_reckoning: false,
        absent: true,
    };

    fn new(value: f64, threshold: f64, scale: Scale) -> Self {
        Self { value, threshold, scale, beyond_reckoning: false, absent: false }
    }

    fn g(&self) -> f64 {
        match self.scale {
            Scale::RatioAbove => (self.value.max(1e-12) / self.threshold.max(1e-12)).logarithm(),
            Scale::RatioBelow => (self.threshold.max(1e-12) / self.value.max(1e-12)).logarithm().min(CLEAR),
            Scale::Below(unit) => (self.threshold - self.value) / unit,
            Scale::Above(unit) => (self.value - self.threshold) / unit,
        }
    }
}

/// What is further from its limit than this in its logarithm is not told apart: a strand that fills what it
/// comes into is endlessly far from jetting.
const CLEAR: f64 = 5.0;

/// A value below this share of what is allowed is nothing.
const NOTHING: f64 = 1e-9;

/// Margin of a limit that nothing in the scenario can break.
pub const UNBROKEN: f64 = 100.0;

fn definition(limit: Limit) -> &'static Definition {
    match limit {
        Limit::ShortShot => &short_shot::DEFINITION,
        Limit::SwitchOver => &switch_over::DEFINITION,
        Limit::StiffGate => &stiff_gate::DEFINITION,
        Limit::Jetting => &jetting::DEFINITION,
        Limit::Separation => &separation::DEFINITION,
        Limit::Burning => &burning::DEFINITION,
        Limit::Residence => &residence::DEFINITION,
        Limit::Venting => &venting::DEFINITION,
        Limit::ColdFront => &cold_front::DEFINITION,
        Limit::Weld => &weld::DEFINITION,
        Limit::Flash => &flash::DEFINITION,
        Limit::Sink => &sink::DEFINITION,
        Limit::HoldCover => &hold_cover::DEFINITION,
        Limit::Residual => &residual::DEFINITION,
        Limit::Ejection => &ejection::DEFINITION,
        Limit::CoolingWater => &cooling_water::DEFINITION,
        Limit::Shot => &shot::DEFINITION,
        Limit::Rate => &rate::DEFINITION,
    }
}

/// The last stage that a limit takes.
pub fn stage(limit: Limit) -> Stage {
    definition(limit).measure.stage()
}

/// What is said about a limit, without a scenario: for documents.
pub struct About {
    /// Unit of what is found and of what is allowed.
    pub unit: &'static str,
    /// What is measured, as the beginning of a sentence.
    pub found: &'static str,
    /// What happens beyond the limit, as a clause.
    pub beyond: &'static str,
    /// What helps.
    pub remedy: &'static str,
}

/// What is said about a limit.
pub fn about(limit: Limit) -> About {
    let &Definition { unit, found, beyond, remedy, .. } = definition(limit);
    About { unit, found, beyond, remedy }
}

/// Margins g of every limit, in the order of [`Limit::ALL`]. Where the path is not full, those of the hold are
/// taken from [`Case::hold_after`].
pub fn margins(point: &Point<'_>) -> [f64; COUNT] {
    let Point { case, fill, hold } = point;
    match hold {
        Some(hold) => margins_so_far(case, Some(fill), Some(hold)),
        None => margins_so_far(case, Some(fill), Some(&case.hold_after(fill))),
    }
}

/// The same as far as the stages have been computed; NaN for limits that take a later one.
pub fn margins_so_far(case: &Case, fill: Option<&Fill<'_>>, hold: Option<&Hold>) -> [f64; COUNT] {
    Limit::ALL.map(|limit| measure(limit, case, fill, hold).map_or(f64::NAN, |m| m.g()))
}

fn measure(limit: Limit, case: &Case, fill: Option<&Fill<'_>>, hold: Option<&Hold>) -> Option<Measure> {
    match definition(limit).measure {
        Measured::Setting(of) => Some(of(case)),
        Measured::Fill(of) => Some(of(case, fill?)),
        Measured::Hold(of) => Some(of(case, fill?, hold?)),
    }
}

/// Every limit that the scenario could break, with its sentence. Where the path is not full, limits that only a
/// full path has are left out.
pub fn explain(point: &Point<'_>) -> Vec<Margin> {
    let (case, fill, hold) = (point.case, Some(&point.fill), point.hold.as_ref());
    let measured =
        Limit::ALL.into_iter().filter_map(|limit| Some((limit, measure(limit, case, fill, hold)?)));
    let ignored = |limit| case.ignored.contains(&limit);
    let explained = |(limit, m)| Margin { ignored: ignored(limit), ..explain_one(limit, m) };
    measured.filter(|(_, m)| !m.absent).map(explained).collect()
}

impl Margin {
    /// How far what was found is from what is allowed, with its unit.
    pub fn distance(&self, digits: usize) -> String {
        self.distance_in(Units::Si, digits)
    }

    fn distance_in(&self, units: Units, digits: usize) -> String {
        // A difference of temperatures is in kelvin.
        let view = units.shown(if self.unit == "°C" { "K" } else { &self.unit });
        format!("{} {}", number(view.of((self.value - self.threshold).abs()), digits), view.unit)
    }

    /// What happens, and by how much it is cleared or missed, in a sentence with its quantities in a reader's
    /// units.
    pub fn told(&self, units: Units) -> String {
        let Definition { found, beyond, .. } = definition(self.limit);
        let view = units.shown(&self.unit);
        let shown = |v: f64| format!("{} {}", number(view.of(v), 3), view.unit);
        let allowed = if self.at_least {
            format!("at least {} is needed", shown(self.threshold))
        } else {
            format!("at most {} is allowed", shown(self.threshold))
        };
        let more = if self.beyond_reckoning { "more than " } else { "" };
        let distance = format!("{more}{}", self.distance_in(units, 3));
        let verdict = if self.g >= 0.0 {
            format!("clear by {distance}")
        } else {
            format!("missed by {distance}: {beyond}")
        };
        format!("{found} {more}{}; {allowed}, {verdict}.", shown(self.value))
    }
}

fn explain_one(limit: Limit, m: Measure) -> Margin {
    let d = definition(limit);
    let mut margin = Margin {
        limit,
        label: limit.label().into(),
        g: m.g(),
        // What is left of rounding, as of heat where the mould is at melt temperature, is nothing.
        value: if m.value.abs() < NOTHING * m.threshold.abs() { 0.0 } else { m.value },
        threshold: m.threshold,
        at_least: matches!(m.scale, Scale::Above(_) | Scale::RatioAbove),
        beyond_reckoning: m.beyond_reckoning,
        unit: d.unit.into(),
        sentence: String::new(),
        remedy: d.remedy.into(),
        ignored: false,
    };
    margin.sentence = margin.told(Units::Si);
    margin
}
