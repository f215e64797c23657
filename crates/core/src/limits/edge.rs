//! The units of the trade in which limits are told. Inside, every limit is in SI.

use crate::feedstock::ZERO_CELSIUS;

/// A unit of the trade: told is (SI value − `zero`)/`size`.
#[derive(Debug, Clone, Copy)]
pub(super) struct EdgeUnit {
    /// Its sign, as in the catalogue.
    pub sign: &'static str,
    /// One of it in SI.
    size: f64,
    /// The SI value that is told as 0.
    zero: f64,
}

pub(super) const CELSIUS: EdgeUnit = EdgeUnit { sign: "°C", size: 1.0, zero: ZERO_CELSIUS };
pub(super) const KELVIN: EdgeUnit = EdgeUnit::scaled("K", 1.0);
pub(super) const MEGAPASCAL: EdgeUnit = EdgeUnit::scaled("MPa", 1e6);
pub(super) const KILONEWTON: EdgeUnit = EdgeUnit::scaled("kN", 1e3);
pub(super) const PASCAL_SECOND: EdgeUnit = EdgeUnit::scaled("Pa·s", 1.0);
pub(super) const PER_SECOND: EdgeUnit = EdgeUnit::scaled("1/s", 1.0);
pub(super) const SECOND: EdgeUnit = EdgeUnit::scaled("s", 1.0);
pub(super) const MINUTE: EdgeUnit = EdgeUnit::scaled("min", 60.0);
pub(super) const HOUR: EdgeUnit = EdgeUnit::scaled("h", 3600.0);
pub(super) const METRE_PER_SECOND: EdgeUnit = EdgeUnit::scaled("m/s", 1.0);
pub(super) const CUBIC_CENTIMETRE: EdgeUnit = EdgeUnit::scaled("cm³", 1e-6);
pub(super) const CUBIC_CENTIMETRE_PER_SECOND: EdgeUnit = EdgeUnit::scaled("cm³/s", 1e-6);
pub(super) const MILLIMETRE: EdgeUnit = EdgeUnit::scaled("mm", 1e-3);
pub(super) const PERCENT: EdgeUnit = EdgeUnit::scaled("%", 1e-2);
pub(super) const VOLUME_PERCENT: EdgeUnit = EdgeUnit::scaled("vol%", 1e-2);
pub(super) const NUMBER: EdgeUnit = EdgeUnit::scaled("", 1.0);

impl EdgeUnit {
    const fn scaled(sign: &'static str, size: f64) -> Self {
        Self { sign, size, zero: 0.0 }
    }

    /// An SI value in this unit. 1/`size` of a small unit is a whole number, `size` itself is not one in binary.
    pub fn told(&self, si: f64) -> f64 {
        let above = si - self.zero;
        if self.size < 1.0 { above * (1.0 / self.size) } else { above / self.size }
    }

    /// The SI value of so many of this unit, not counted from `zero`.
    pub fn times(&self, count: f64) -> f64 {
        count * self.size
    }
}
