//! A table of temperature and heat flow, as text.

use crate::rheometry::problem::TableError;
use crate::rheometry::table;
use crate::rheometry::units::Quantity;
use gatefrost_core::format::number;
use serde::{Deserialize, Serialize};

/// The form of a table in words, for whoever has to write one.
pub const FORM: &[&str] = &[
    "One header line, then one line for each reading, in the order in which they were taken.",
    "temperature [°C], and heat flow [W/g or mW/mg], which needs the rate in K/min, or heat capacity [J/gK].",
    "On heating temperatures rise, on cooling they fall. Peaks may point up or down.",
];

/// Least number of readings.
const FEWEST: usize = 20;

/// Whether the sample is heated or cooled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Direction {
    /// Temperatures rise.
    Heating,
    /// Temperatures fall.
    Cooling,
}

impl Direction {
    /// The word for a sentence.
    pub fn word(self) -> &'static str {
        match self {
            Self::Heating => "heating",
            Self::Cooling => "cooling",
        }
    }
}

/// A scan: apparent heat capacity against temperature, by rising temperature, with any sign.
#[derive(Debug, Clone, PartialEq)]
pub struct Scan {
    /// Whether the sample was heated or cooled.
    pub direction: Direction,
    /// Temperature \[°C\] and apparent heat capacity of the sample \[J/gK\].
    pub points: Vec<[f64; 2]>,
    /// Sentences on how the text was understood.
    pub notes: Vec<String>,
}

impl Scan {
    /// Coldest and hottest reading \[°C\].
    pub fn range(&self) -> [f64; 2] {
        [self.points[0][0], self.points[self.points.len() - 1][0]]
    }
}

/// Reads the text of a table; its form is that of [`FORM`]. `rate` is the rate of heating or cooling \[K/min\], needed where
/// the table holds a heat flow.
///
/// # Errors
/// Every problem found, up to 20, with line and column and what is needed.
pub fn read(text: &str, direction: Direction, rate: Option<f64>) -> Result<Scan, TableError> {
    let wanted = [Quantity::Temperature, Quantity::HeatFlow, Quantity::HeatCapacity];
    let mut problems = TableError::default();
    let Some(table) = table::read(text, &wanted, &mut problems) else {
        return Err(problems);
    };
    let place = |quantity| table.place(quantity);
    let (flow, capacity) = (place(Quantity::HeatFlow), place(Quantity::HeatCapacity));
    let signal = capacity.or(flow);
    let (Some(temperature), Some(signal)) = (place(Quantity::Temperature), signal) else {
        table.lacks(
            "Columns are missing: temperature [°C], and heat flow [W/g] or heat capacity [J/gK].".to_owned(),
            &mut problems,
        );
        return Err(problems);
    };
    // W/kg over K/s, or J/kgK.
    let per = match (capacity, rate) {
        (Some(_), _) => 1.0,
        (None, Some(rate)) if rate.is_finite() && rate > 0.0 => rate / 60.0,
        (None, Some(rate)) => {
            return Err(TableError::whole(format!(
                "The rate is {}; accepted is a number above 0 K/min.",
                number(rate, 6)
            )));
        }
        (None, None) => {
            return Err(TableError::whole(
                "The heat flow is given by time: its table needs the rate of heating or cooling in K/min. Without it no heat follows.",
            ));
        }
    };
    let mut points: Vec<[f64; 2]> = Vec::with_capacity(table.rows.len());
    let sign = if direction == Direction::Heating { 1.0 } else { -1.0 };
    for row in &table.rows {
        let (Some(t), Some(q)) = (row.values[temperature], row.values[signal]) else { continue };
        let t = t - 273.15;
        if let Some(&[before, _]) = points.last()
            && sign * (t - before) < 0.0
        {
            let (does, other) =
                if direction == Direction::Heating { ("rise", "cooling") } else { ("fall", "heating") };
            problems.push(
                Some(row.line),
                Some(&table.columns[temperature].header),
                format!("{} °C after {} °C: on {} temperatures must {does}. Cut the table there, or give it as one on {other}.", number(t, 5), number(before, 5), direction.word()),
            );
            return Err(problems);
        }
        // Readings at one temperature are one.
        if points.last().is_none_or(|last| last[0] != t) {
            points.push([t, q / per / 1e3]);
        }
    }
    if points.len() < FEWEST && problems.problems.is_empty() {
        problems.push(
            None,
            None,
            format!("{} readings; at least {FEWEST} at different temperatures are needed.", points.len()),
        );
    }
    if direction == Direction::Cooling {
        points.reverse();
    }
    problems.or(Scan { direction, points, notes: table.notes() })
}
