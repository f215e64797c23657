//! How a reader sees numbers.

use gatefrost_core::format;
use gatefrost_core::units::Units;
use gatefrost_formula::Writing;

/// The units of the reader.
#[derive(Debug, Clone, Copy, Default)]
pub struct View {
    /// The set of units.
    pub units: Units,
}

impl Writing for View {
    fn number(&self, value: f64, digits: usize) -> String {
        format::number(value, digits).replace('-', "−")
    }

    fn quantity(&self, value: f64, unit: &str, digits: usize) -> (String, String) {
        let shown = self.units.shown(unit);
        (self.number(shown.of(value), digits), shown.unit.to_owned())
    }
}

impl View {
    /// A value with its unit.
    pub fn told(&self, value: f64, unit: &str, digits: usize) -> String {
        let (number, unit) = self.quantity(value, unit, digits);
        if unit.is_empty() { number } else { format!("{number} {unit}") }
    }

    /// A change of a value, with its sign. Changes of temperatures are in kelvin.
    pub fn change(&self, value: f64, unit: &str, digits: usize) -> String {
        let unit = if unit == "°C" { "K" } else { unit };
        format!("{}{}", if value < 0.0 { "−" } else { "+" }, self.told(value.abs(), unit, digits))
    }
}
