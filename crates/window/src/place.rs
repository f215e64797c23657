//! Places of the plane, and the margins found there.

use gatefrost_core::limits::COUNT;
use gatefrost_core::stages::Stage;
use gatefrost_numerics::elementary::Elementary;
use serde::{Deserialize, Serialize};

/// A point of the plane as fractions of its two spans.
pub type Place = [f64; 2];

/// Every limit's margin at a place.
pub type Margins = [f64; COUNT];

/// A place where margins are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Wanted {
    /// Where.
    pub place: Place,
    /// How far the evaluation has to go: the last stage that a limit takes which matters there.
    pub stage: Stage,
}

/// Margins far beyond this are compressed, because only their sign and rough size matter there.
const FAR: f64 = 6.0;

/// A margin as it is interpolated, g/√(1 + (g/6)²): g itself near zero, at most 6, and smooth, so that cubics fit.
pub fn near(g: f64) -> f64 {
    g / 1.0_f64.hypotenuse(g / FAR)
}

/// The margin that [`near`] was made from. Cubics may overshoot 6, which no margin reaches: the result is capped.
pub(super) fn far(drawn: f64) -> f64 {
    drawn / (1.0 - (drawn / FAR).powi(2)).max(1e-6).sqrt()
}
