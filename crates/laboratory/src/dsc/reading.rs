//! A table of temperature and heat flow, as text.

use crate::rheometry::problem::TableError;
use crate::rheometry::table::{self, ParsedTable};
use crate::rheometry::units::Quantity;
use gatefrost_core::format::number;
use serde::{Deserialize, Serialize};

/// The form of a table in words, for whoever has to write one.
pub const FORM: &[&str] = &[
    "One header line, then one line for each reading, in the order in which they were taken.",
    "temperature [°C], and heat flow [W/g, mW/mg or mW] or heat capacity [J/gK]. Heat flow needs the rate in K/min; in mW it also needs the mass of the sample.",
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

/// Unit of a heat flow that the header does not state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum HeatFlowUnit {
    /// W/g of the sample.
    WattsPerGram,
    /// mW of the whole sample.
    Milliwatts,
}

/// What a table does not say itself.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ReadOptions {
    /// Rate of heating or cooling \[K/min\]. Needed for a heat flow.
    pub rate: Option<f64>,
    /// Mass of the sample \[mg\]. Needed for a heat flow in mW.
    pub mass: Option<f64>,
    /// Unit of the heat flow. `None`: as the header says.
    pub unit: Option<HeatFlowUnit>,
}

/// A scan: apparent heat capacity against temperature, by rising temperature, with any sign.
#[derive(Debug, Clone, PartialEq)]
pub struct Scan {
    /// Whether the sample was heated or cooled.
    pub direction: Direction,
    /// Temperature \[°C\] and apparent heat capacity of the sample \[J/gK\].
    pub points: Vec<[f64; 2]>,
    /// Whether the table held a heat flow, whose sign is that of the instrument.
    pub heat_flow: bool,
    /// Sentences on how the text was understood.
    pub notes: Vec<String>,
}

impl Scan {
    /// Coldest and hottest reading \[°C\].
    pub fn range(&self) -> [f64; 2] {
        [self.points[0][0], self.points[self.points.len() - 1][0]]
    }
}

/// Reads the text of a table; its form is that of [`FORM`].
///
/// # Errors
/// Every problem found, up to 20, with line and column and what is needed.
pub fn read(text: &str, direction: Direction, options: &ReadOptions) -> Result<Scan, TableError> {
    let wanted = [Quantity::Temperature, Quantity::HeatFlow, Quantity::HeatCapacity];
    let usual = options.unit.map(|unit| match unit {
        HeatFlowUnit::WattsPerGram => "W/g",
        HeatFlowUnit::Milliwatts => "mW",
    });
    let mut problems = TableError::default();
    let Some(table) = table::read(text, &wanted, usual.map(|unit| (Quantity::HeatFlow, unit)), &mut problems)
    else {
        return Err(problems);
    };
    let place = |quantity| table.place(quantity);
    let (flow, capacity) = (place(Quantity::HeatFlow), place(Quantity::HeatCapacity));
    let (Some(temperature), Some(signal)) = (place(Quantity::Temperature), capacity.or(flow)) else {
        table.lacks(
            "Columns are missing: temperature [°C], and heat flow [W/g or mW] or heat capacity [J/gK]."
                .to_owned(),
            &mut problems,
        );
        return Err(problems);
    };
    let column = &table.columns[signal];
    let scale = column.scale.as_ref().map_or("", |scale| scale.text.as_str());
    let heat_flow = capacity.is_none();
    // An unknown unit has been refused above; what follows would only repeat it.
    let per = if scale.is_empty() || !heat_flow {
        1.0
    } else {
        if let Some(chosen) = usual.filter(|chosen| whole(chosen) != whole(scale)) {
            let message =
                format!("The header says {scale}, and {chosen} was chosen: choose the unit of the header.");
            problems.push(Some(table.header_line), Some(&column.header), message);
        }
        per(options, whole(scale), &mut problems)
    };
    let points = points(&table, [temperature, signal], direction, per, &mut problems);
    problems.or(Scan { direction, points, heat_flow, notes: table.notes() })
}

/// Whether a unit of heat flow is for the whole sample.
fn whole(unit: &str) -> bool {
    !unit.contains('/')
}

/// What a heat flow \[W/kg\], or \[W\] of the `whole` sample, is divided by to give a heat capacity \[J/kgK\].
fn per(options: &ReadOptions, whole: bool, problems: &mut TableError) -> f64 {
    let mut positive = |value: Option<f64>, name: &str, unit: &str, missing: &str| match value {
        Some(value) if value.is_finite() && value > 0.0 => value,
        Some(value) => {
            let message = format!("The {name} is {}; accepted is a number above 0 {unit}.", number(value, 6));
            problems.push(None, None, message);
            1.0
        }
        None => {
            problems.push(None, None, missing);
            1.0
        }
    };
    let rate = positive(
        options.rate,
        "rate",
        "K/min",
        "The heat flow is given by time: its table needs the rate of heating or cooling in K/min. Without it no heat follows.",
    );
    let mass = if whole {
        let missing = "The heat flow in mW is that of the whole sample: its table needs the mass of the sample in mg. Without it no heat follows.";
        1e-6 * positive(options.mass, "mass of the sample", "mg", missing)
    } else {
        1.0
    };
    rate / 60.0 * mass
}

/// Temperatures \[°C\] and apparent heat capacities \[J/gK\] by rising temperature, from the two `columns`.
fn points(
    table: &ParsedTable,
    [temperature, signal]: [usize; 2],
    direction: Direction,
    per: f64,
    problems: &mut TableError,
) -> Vec<[f64; 2]> {
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
            return points;
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
    points
}
