//! An estimated number and its band.

use super::blend::Spread;
use super::library::Value;
use gatefrost_core::format::{number, parsed};
use gatefrost_numerics::elementary::Elementary;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// An estimated number with its band.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Estimated {
    /// What it is: the path of a scenario parameter, or a short name.
    pub quantity: Cow<'static, str>,
    /// Unit.
    pub unit: Cow<'static, str>,
    /// The value.
    pub value: f64,
    /// Low end of the band, about 95 % of what is thought likely lying inside.
    pub low: f64,
    /// High end of the band.
    pub high: f64,
    /// Standard error, of the value or of its natural logarithm.
    pub standard_error: f64,
    /// Whether the error is that of the logarithm (log-normal) or of the value (normal).
    pub logarithmic: bool,
    /// How it was obtained.
    pub rule: Cow<'static, str>,
}

/// A normal estimate: band of two standard errors each way.
pub(super) fn normal(quantity: &'static str, unit: &'static str, x: Spread, rule: &'static str) -> Estimated {
    Estimated {
        quantity: quantity.into(),
        unit: unit.into(),
        value: x.value,
        low: x.value - 2.0 * x.error,
        high: x.value + 2.0 * x.error,
        standard_error: x.error,
        logarithmic: false,
        rule: rule.into(),
    }
}

/// A log-normal estimate: band of two standard errors of the logarithm each way.
pub(super) fn by_factor(
    quantity: &'static str,
    unit: &'static str,
    value: f64,
    error: f64,
    rule: &'static str,
) -> Estimated {
    let spread = (2.0 * error).exponential();
    Estimated {
        quantity: quantity.into(),
        unit: unit.into(),
        value,
        low: value / spread,
        high: value * spread,
        standard_error: error,
        logarithmic: true,
        rule: rule.into(),
    }
}

/// An estimate whose band is known before its error.
pub(super) fn banded(
    quantity: &'static str,
    unit: &'static str,
    (value, low, high): (f64, f64, f64),
    rule: impl Into<Cow<'static, str>>,
) -> Estimated {
    Estimated {
        quantity: quantity.into(),
        unit: unit.into(),
        value,
        low,
        high,
        standard_error: (high - low) / 4.0,
        logarithmic: false,
        rule: rule.into(),
    }
}

/// A temperature whose band reaches much further one way: the error is that of the nearer side, 5 K at
/// least, so that a normal spread around the value stays sensible.
pub(super) fn lopsided(
    quantity: &'static str,
    unit: &'static str,
    (value, low, high): (f64, f64, f64),
    rule: impl Into<Cow<'static, str>>,
) -> Estimated {
    let standard_error = (0.5 * (value - low).min(high - value)).max(5.0);
    Estimated { standard_error, ..banded(quantity, unit, (value, low, high), rule) }
}

pub(super) fn from_library(quantity: &'static str, v: &Value) -> Estimated {
    let unit: Cow<'static, str> = v.unit.clone().into();
    Estimated { unit, ..banded(quantity, "", (v.value, v.low, v.high), v.source.clone()) }
}

/// A number to so many significant digits.
pub(crate) fn to_digits(value: f64, digits: usize) -> f64 {
    parsed(&number(value, digits)).unwrap_or(value)
}
