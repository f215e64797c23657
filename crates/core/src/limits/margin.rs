//! The margin of one limit, told in the units of the trade.

use super::definition::{Definition, Measure, Scale};
use crate::format::number;
use gatefrost_scenario::units::Units;
use gatefrost_scenario::{Ground, Limit};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// A value below this share of what is allowed is rounding and told as zero: the heat in a mould at melt
/// temperature, say.
const ROUNDING: f64 = 1e-9;

/// How far a set point is from one limit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
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
    /// Whether no value at all would meet it at this set point: the threshold stands for any.
    #[serde(default)]
    pub out_of_reach: bool,
    /// Unit of value and threshold.
    pub unit: Cow<'static, str>,
    /// What happens, and by how much it is cleared or missed, in a sentence.
    pub sentence: String,
    /// What would help most.
    pub remedy: Cow<'static, str>,
    /// What the threshold rests on.
    pub ground: Ground,
    /// The version of the document in which the limit began.
    pub since: u32,
    /// Whether the scenario leaves this limit out.
    #[serde(default)]
    pub ignored: bool,
}

/// A number and its unit; a pure number has none.
fn with_unit(number: String, unit: &str) -> String {
    if unit.is_empty() { number } else { number + " " + unit }
}

impl Margin {
    /// Tells a measure in the limit's unit.
    pub(super) fn of(limit: Limit, definition: &Definition, m: Measure, ignored: bool) -> Self {
        let unit = &definition.unit;
        let (value, threshold) = (unit.told(m.value), unit.told(m.threshold));
        let mut margin = Self {
            limit,
            label: limit.label().into(),
            g: m.margin(unit),
            value: if value.abs() < ROUNDING * threshold.abs() { 0.0 } else { value },
            threshold,
            at_least: matches!(m.scale, Scale::Above(_) | Scale::RatioAbove | Scale::RatioAboveTo(_)),
            beyond_reckoning: m.beyond_reckoning,
            out_of_reach: m.out_of_reach,
            unit: unit.sign.into(),
            sentence: String::new(),
            remedy: if m.out_of_reach { super::out_of_reach(limit)[1] } else { definition.remedy }.into(),
            ground: limit.ground(),
            since: limit.since(),
            ignored,
        };
        margin.sentence = margin.told(Units::Si);
        margin
    }

    /// How far what was found is from what is allowed, with its unit.
    pub fn distance(&self, digits: usize) -> String {
        self.distance_in(Units::Si, digits)
    }

    fn distance_in(&self, units: Units, digits: usize) -> String {
        // A difference of temperatures is in kelvin.
        let view = units.shown(if self.unit == "°C" { "K" } else { &self.unit });
        with_unit(number(view.of((self.value - self.threshold).abs()), digits), view.unit)
    }

    /// What happens, and by how much it is cleared or missed, in a sentence with its quantities in a reader's
    /// units.
    pub fn told(&self, units: Units) -> String {
        let Definition { found, beyond, .. } = super::definition(self.limit);
        if self.out_of_reach {
            return format!("{}: not met, so {beyond}.", super::out_of_reach(self.limit)[0]);
        }
        let view = units.shown(&self.unit);
        let shown = |v: f64| with_unit(number(view.of(v), 3), view.unit);
        let allowed = if self.at_least {
            format!("at least {} is needed", shown(self.threshold))
        } else {
            format!("at most {} is allowed", shown(self.threshold))
        };
        let more = if self.beyond_reckoning { "more than " } else { "" };
        let distance = format!("{more}{}", self.distance_in(units, 3));
        let verdict = if self.g >= 0.0 {
            format!("met, with {distance} to spare")
        } else {
            format!("not met by {distance}, so {beyond}")
        };
        format!("{found} {more}{}; {allowed}: {verdict}.", shown(self.value))
    }
}
