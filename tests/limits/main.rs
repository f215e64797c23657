//! Each limit's value, threshold and margin against numbers worked out by hand, on either side of its threshold.

mod fill;
mod fork;
mod front;
mod hold;
mod report;
mod setting;
mod told;

use gatefrost_core::limits::Margin;
use gatefrost_tests::numeric::off;

/// How a limit compares what was found with what is allowed.
#[derive(Debug, Clone, Copy)]
enum Scale {
    /// At most the threshold; g is the logarithm of threshold over value.
    AtMost,
    /// At least the threshold; g is the logarithm of value over threshold.
    AtLeast,
    /// At most the threshold; g is their distance in so many units.
    Below(f64),
    /// At least the threshold; g is their distance in so many units.
    Above(f64),
}

impl Scale {
    fn margin(self, value: f64, threshold: f64) -> f64 {
        match self {
            Self::AtMost => (threshold / value).ln(),
            Self::AtLeast => (value / threshold).ln(),
            Self::Below(unit) => (threshold - value) / unit,
            Self::Above(unit) => (value - threshold) / unit,
        }
    }
}

/// Checks a limit against value and threshold by hand: both within a share of themselves, the margin within what
/// that share leaves, and its sign.
#[track_caller]
fn check(m: &Margin, value: f64, threshold: f64, scale: Scale, within: f64) {
    let what = format!("{:?}: {} against {value}, {} against {threshold}", m.limit, m.value, m.threshold);
    assert!(off(m.value, value) < within, "value of {what}");
    assert!(off(m.threshold, threshold) < within, "threshold of {what}");
    let g = scale.margin(value, threshold);
    let slack = match scale {
        Scale::AtMost | Scale::AtLeast => 2.0 * within,
        Scale::Below(unit) | Scale::Above(unit) => within * (value.abs() + threshold.abs()) / unit,
    };
    assert!((m.g - g).abs() <= slack + 1e-9, "margin {} against {g} of {what}", m.g);
    assert!(g.abs() > slack, "the case is too near to its threshold to tell the side: {what}");
    assert_eq!(m.g > 0.0, g > 0.0, "side of {what}");
    assert_eq!(m.at_least, matches!(scale, Scale::AtLeast | Scale::Above(_)), "{what}");
}
