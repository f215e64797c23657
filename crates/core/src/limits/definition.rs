//! What a limit is: how it is measured, and how its measure becomes a margin.

use super::edge::EdgeUnit;
use crate::stages::Needs;
use gatefrost_numerics::elementary::Elementary;

/// What a limit is.
pub(super) struct Definition {
    /// The unit in which it is told.
    pub unit: EdgeUnit,
    /// What is found and what is allowed, in SI, from the last stage that this needs.
    pub measure: Needs<Measure>,
    /// What was found, as the beginning of a sentence.
    pub found: &'static str,
    /// What happens beyond the limit, as a clause.
    pub beyond: &'static str,
    /// What helps.
    pub remedy: &'static str,
}

/// What is found and what is allowed, in SI.
#[derive(Debug, Clone, Copy)]
pub(super) struct Measure {
    pub value: f64,
    pub threshold: f64,
    pub scale: Scale,
    /// Whether the value stands for anything beyond it.
    pub beyond_reckoning: bool,
    /// Whether nothing that the limit's own setting may be would meet it here: the threshold stands for any.
    pub out_of_reach: bool,
    /// Whether there is nothing to measure, so that nothing is told of the limit. Its margin is still a number.
    pub absent: bool,
}

/// How value and threshold become a margin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Scale {
    /// At most the threshold: g = ln(threshold/value), at most [`MOST`].
    RatioBelow,
    /// At least the threshold: g = ln(value/threshold).
    RatioAbove,
    /// The same, but no lower than minus this.
    RatioAboveTo(f64),
    /// At most the threshold: g = (threshold − value)/unit, with the unit in SI.
    Below(f64),
    /// At least the threshold: g = (value − threshold)/unit, with the unit in SI.
    Above(f64),
}

/// Logarithmic margins are capped at this value: the speed of a strand may be zero.
const MOST: f64 = 5.0;

/// Ratios take values below this, in the limit's unit, as this: a threshold may be zero.
pub(super) const LEAST: f64 = 1e-12;

/// Margin of a limit that nothing in the scenario can break.
pub const UNBROKEN: f64 = 100.0;

impl Measure {
    /// Nothing in this scenario can break the limit.
    pub const ABSENT: Self = Self {
        value: 0.0,
        threshold: UNBROKEN,
        scale: Scale::Below(1.0),
        beyond_reckoning: false,
        out_of_reach: false,
        absent: true,
    };

    pub const fn new(value: f64, threshold: f64, scale: Scale) -> Self {
        Self { value, threshold, scale, beyond_reckoning: false, out_of_reach: false, absent: false }
    }

    /// The margin g, for a limit told in `unit`.
    pub fn margin(&self, unit: &EdgeUnit) -> f64 {
        let least = unit.times(LEAST);
        let ratio = |above: f64, below: f64| (above.max(least) / below.max(least)).logarithm();
        match self.scale {
            Scale::RatioAbove => ratio(self.value, self.threshold),
            Scale::RatioAboveTo(lowest) => ratio(self.value, self.threshold).max(-lowest),
            Scale::RatioBelow => ratio(self.threshold, self.value).min(MOST),
            Scale::Below(unit) => (self.threshold - self.value) / unit,
            Scale::Above(unit) => (self.value - self.threshold) / unit,
        }
    }
}
