//! A table of rheometer readings, as text, to readings in SI.
//!
//! [`FORM`] describes the table in words. Units are in the header, in brackets or parentheses, or in a line of their own
//! below it; `super::units` lists them.

use super::problem::TableError;
use super::table::{self, ParsedRow};
use super::units::{Measured, Quantity};
use gatefrost_numerics::elementary::Elementary;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// One reading of a capillary rheometer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CapillaryReading {
    /// Temperature \[°C\].
    pub temperature: f64,
    /// Die diameter D \[m\].
    pub diameter: f64,
    /// Die length L \[m\]; 0 for an orifice.
    pub length: f64,
    /// Volume flow rate Q \[m³/s\].
    pub flow: f64,
    /// Pressure before the die p \[Pa\].
    pub pressure: f64,
    /// Line of the text it was read from, from 1.
    pub line: usize,
}

impl CapillaryReading {
    /// Apparent shear rate 4Q/πR³ \[1/s\] (ISO 11443).
    pub fn apparent_rate(&self) -> f64 {
        4.0 * self.flow / (PI * (0.5 * self.diameter).powi(3))
    }

    /// Apparent wall stress pR/2L \[Pa\] (ISO 11443).
    pub fn apparent_stress(&self) -> f64 {
        self.pressure * self.diameter / (4.0 * self.length)
    }
}

/// One point of a flow curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FlowPoint {
    /// Temperature \[°C\].
    pub temperature: f64,
    /// Shear rate at the wall \[1/s\].
    pub shear_rate: f64,
    /// Viscosity \[Pa·s\].
    pub viscosity: f64,
    /// Shear stress at the wall \[Pa\].
    pub stress: f64,
    /// Line of the text it comes from, from 1 (of the longest die where several gave one point).
    pub line: usize,
}

/// What a table of readings holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Readings {
    /// Pressure and flow per die: to be reduced.
    Capillary(Vec<CapillaryReading>),
    /// Shear rate and viscosity, corrected by whoever measured them.
    Pairs(Vec<FlowPoint>),
}

/// Readings, and how the text was understood.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ReadingTable {
    /// The readings.
    pub readings: Readings,
    /// Sentences for the user: columns not used, decimal commas.
    pub notes: Vec<String>,
    /// Separator found.
    pub separator: char,
}

/// The form of a table in words, for its author.
pub const FORM: &[&str] = &[
    "One header line that names the columns with their units in brackets, then one line for each reading. Columns may stand in any order; other columns are ignored. Up to 100 000 rows.",
    "Capillary readings: temperature [°C], die diameter [mm] (or die radius [mm]), die length [mm] (or L/D), pressure [MPa], and one of flow rate [mm³/s], apparent shear rate [1/s], or piston speed [mm/s] with barrel diameter [mm].",
    "Or reduced readings: temperature [°C], shear rate [1/s], and viscosity [Pa·s] or shear stress [kPa].",
    "Separated by commas, semicolons or tabs; decimal commas where the separator is no comma. # begins a comment. Other units are understood: K, cm, bar, kPa, psi, cm³/s, per minute.",
];

const WANTED: &[Quantity] = &[
    Quantity::Temperature,
    Quantity::DieDiameter,
    Quantity::DieRadius,
    Quantity::DieLength,
    Quantity::DieRatio,
    Quantity::FlowRate,
    Quantity::PistonSpeed,
    Quantity::BarrelDiameter,
    Quantity::Pressure,
    Quantity::ApparentRate,
    Quantity::ShearRate,
    Quantity::ShearStress,
    Quantity::Viscosity,
];

/// Reads the text of a table; its form is that of [`FORM`].
///
/// # Errors
/// Every problem found, up to 20, with line and column and what is needed.
pub fn read(text: &str) -> Result<ReadingTable, TableError> {
    let mut problems = TableError::default();
    let Some(table) = table::read(text, WANTED, None, &mut problems) else {
        return Err(problems);
    };
    let mut notes = table.notes();
    let has = |quantity| table.place(quantity).is_some();
    let dies = [Quantity::DieDiameter, Quantity::DieRadius, Quantity::DieLength, Quantity::Pressure];
    let rate = has(Quantity::ShearRate) || has(Quantity::ApparentRate) && !dies.into_iter().any(has);
    let pairs = rate && (has(Quantity::Viscosity) || has(Quantity::ShearStress));
    let lacking = lacking_capillary(&has);
    let capillary = lacking.is_empty();
    let mut cells = RowReader { table: &table, problems: &mut problems };
    let readings = if capillary && has(Quantity::Temperature) {
        if pairs {
            notes.push("Pressure and flow are given, so the columns of shear rate, stress and viscosity are not used.".to_owned());
        }
        Readings::Capillary(table.rows.iter().filter_map(|row| cells.capillary(row)).collect())
    } else if pairs && has(Quantity::Temperature) {
        let mut off = Disagreement::default();
        let points = table.rows.iter().filter_map(|row| cells.pair(row, &mut off)).collect();
        if has(Quantity::ShearStress) && has(Quantity::Viscosity) {
            notes.push(off.note());
        }
        if !has(Quantity::ShearRate) {
            notes.push("Apparent shear rates without die and pressure cannot be corrected and are taken as they are. For a shear-thinning melt the viscosity then comes out too high.".to_owned());
        }
        Readings::Pairs(points)
    } else {
        table.lacks(missing_text(&has, &lacking), &mut problems);
        return Err(problems);
    };
    problems.or(ReadingTable { readings, notes, separator: table.separator })
}

/// The columns that capillary readings still need, as headers.
fn lacking_capillary(has: &impl Fn(Quantity) -> bool) -> Vec<String> {
    let mut lacking = Vec::new();
    let mut need = |any: &[Quantity]| {
        if !any.iter().any(|&quantity| has(quantity)) {
            lacking.push(any.iter().map(|q| q.header()).collect::<Vec<_>>().join(" or "));
        }
    };
    need(&[Quantity::DieDiameter, Quantity::DieRadius]);
    need(&[Quantity::DieLength, Quantity::DieRatio]);
    need(&[Quantity::Pressure]);
    if has(Quantity::PistonSpeed) && !has(Quantity::FlowRate) && !has(Quantity::ApparentRate) {
        need(&[Quantity::BarrelDiameter]);
    } else {
        need(&[Quantity::FlowRate, Quantity::PistonSpeed, Quantity::ApparentRate]);
    }
    lacking
}

/// Names the missing columns of the form that the header comes closest to.
fn missing_text(has: &impl Fn(Quantity) -> bool, lacking: &[String]) -> String {
    let mut missing = Vec::new();
    if !has(Quantity::Temperature) {
        missing.push(Quantity::Temperature.header().to_owned());
    }
    let capillary = [Quantity::DieDiameter, Quantity::DieRadius, Quantity::DieLength, Quantity::Pressure];
    let begun = has(Quantity::ShearRate) || has(Quantity::Viscosity) || has(Quantity::ShearStress);
    let complete = has(Quantity::ShearRate) && (has(Quantity::Viscosity) || has(Quantity::ShearStress));
    if complete || lacking.is_empty() {
        return format!("A column is missing: {}.", missing.join(", "));
    }
    if begun && !capillary.iter().any(|&quantity| has(quantity)) {
        if !has(Quantity::ShearRate) {
            missing.push(Quantity::ShearRate.header().to_owned());
        }
        if !has(Quantity::Viscosity) && !has(Quantity::ShearStress) {
            missing.push("viscosity [Pa·s] or shear stress [kPa]".to_owned());
        }
        return format!("Columns are missing: {}.", missing.join(", "));
    }
    missing.extend_from_slice(lacking);
    format!(
        "Columns are missing: {}. Reduced readings need temperature [°C], shear rate [1/s] and viscosity [Pa·s] instead.",
        missing.join(", ")
    )
}

/// Rows whose shear stress is not viscosity times shear rate.
#[derive(Default)]
struct Disagreement {
    rows: usize,
    /// Factor and line of the worst.
    worst: Option<(f64, usize)>,
}

impl Disagreement {
    fn take(&mut self, factor: f64, line: usize) {
        let off = |factor: f64| if factor > 0.0 { factor.logarithm().abs() } else { f64::INFINITY };
        if off(factor) > 1.05_f64.logarithm() {
            self.rows += 1;
            if self.worst.is_none_or(|(worst, _)| off(factor) > off(worst)) {
                self.worst = Some((factor, line));
            }
        }
    }

    fn note(&self) -> String {
        let used = "Shear stress and viscosity are both given; the viscosity is used.";
        match self.worst {
            None => format!("{used} They agree within 5 %."),
            Some((factor, line)) => format!(
                "{used} In {} the stress is not viscosity times shear rate, most of all on line {line}, where it is {} times that: check their units and which of them is corrected.",
                if self.rows == 1 { "1 row".to_owned() } else { format!("{} rows", self.rows) },
                gatefrost_core::format::number(factor, 3)
            ),
        }
    }
}

/// Reads values of rows and reports those that are absent or impossible.
struct RowReader<'a> {
    table: &'a table::ParsedTable,
    problems: &'a mut TableError,
}

impl RowReader<'_> {
    /// The value of a column in a row, if the column exists; reports an empty cell and a value outside
    /// `range`, which is in SI.
    fn get(
        &mut self,
        row: &ParsedRow,
        quantity: Quantity,
        fits: impl Fn(f64) -> bool,
        need: &str,
    ) -> Option<f64> {
        let place = self.table.place(quantity)?;
        let column = &self.table.columns[place];
        match row.values[place] {
            Some(value) if fits(value) => Some(value),
            Some(value) => {
                let scale = column.scale.as_ref();
                let shown = scale.map_or(value, |scale| (value - scale.offset) / scale.factor);
                let unit = scale.map_or(String::new(), |scale| format!(" {}", scale.text));
                let found = gatefrost_core::format::number(shown, 6);
                self.problems.push(
                    Some(row.line),
                    Some(&column.header),
                    format!("{need}; {found}{unit} was found."),
                );
                None
            }
            // A cell that is not a number has been reported already.
            None if self
                .problems
                .problems
                .iter()
                .any(|p| p.line == Some(row.line) && p.column.as_deref() == Some(column.header.as_str())) =>
            {
                None
            }
            None => {
                self.problems.push(
                    Some(row.line),
                    Some(&column.header),
                    "The cell is empty; a number is needed.",
                );
                None
            }
        }
    }

    fn above_zero(&mut self, row: &ParsedRow, quantity: Quantity) -> Option<f64> {
        // Far beyond any rheometer, but below the values that a wrong unit in the header gives.
        let (most, need) = match quantity {
            Quantity::Pressure => (1e9, "It must be above zero and at most 1000 MPa (is the unit right?)"),
            Quantity::ShearStress => (1e9, "It must be above zero and at most 1000 MPa (is the unit right?)"),
            Quantity::ShearRate | Quantity::ApparentRate => {
                (1e8, "It must be above zero and at most 1e8 1/s (is the unit right?)")
            }
            Quantity::Viscosity => (1e9, "It must be above zero and at most 1e9 Pa·s (is the unit right?)"),
            _ => (f64::INFINITY, "It must be above zero"),
        };
        self.get(row, quantity, |value| value > 0.0 && value <= most, need)
    }

    fn temperature(&mut self, row: &ParsedRow) -> Option<f64> {
        let fits = |t: f64| (223.15..=873.15).contains(&t);
        let t = self.get(
            row,
            Quantity::Temperature,
            fits,
            "It must lie between −50 and 600 °C (is the unit right?)",
        )?;
        Some(t - gatefrost_core::feedstock::ZERO_CELSIUS)
    }

    fn capillary(&mut self, row: &ParsedRow) -> Option<CapillaryReading> {
        let temperature = self.temperature(row);
        let bore = |d: f64| d > 0.0 && d <= 0.05;
        let diameter = match self.table.place(Quantity::DieDiameter) {
            Some(_) => self.get(row, Quantity::DieDiameter, bore, "It must be above zero and at most 50 mm"),
            None => {
                let radius = self.get(
                    row,
                    Quantity::DieRadius,
                    |r| bore(2.0 * r),
                    "It must be above zero and at most 25 mm",
                );
                radius.map(|r| 2.0 * r)
            }
        };
        let long = |l: f64| (0.0..=1.0).contains(&l);
        let length = match self.table.place(Quantity::DieLength) {
            Some(_) => self.get(row, Quantity::DieLength, long, "It must be zero or above, and at most 1 m"),
            None => {
                let ratio = self.get(
                    row,
                    Quantity::DieRatio,
                    |r| (0.0..=1000.0).contains(&r),
                    "It must be zero or above",
                );
                ratio.zip(diameter).map(|(ratio, d)| ratio * d)
            }
        };
        let flow = if self.table.place(Quantity::FlowRate).is_some() {
            self.above_zero(row, Quantity::FlowRate)
        } else if self.table.place(Quantity::ApparentRate).is_some() {
            let rate = self.above_zero(row, Quantity::ApparentRate);
            rate.zip(diameter).map(|(rate, d)| rate * PI * (0.5 * d).powi(3) / 4.0)
        } else {
            let barrel = self.get(
                row,
                Quantity::BarrelDiameter,
                |d| d > 0.0 && d <= 0.5,
                "It must be above zero and at most 500 mm",
            );
            let speed = self.above_zero(row, Quantity::PistonSpeed);
            speed.zip(barrel).map(|(speed, barrel)| speed * 0.25 * PI * barrel * barrel)
        };
        let pressure = self.above_zero(row, Quantity::Pressure);
        Some(CapillaryReading {
            temperature: temperature?,
            diameter: diameter?,
            length: length?,
            flow: flow?,
            pressure: pressure?,
            line: row.line,
        })
    }

    fn pair(&mut self, row: &ParsedRow, off: &mut Disagreement) -> Option<FlowPoint> {
        let temperature = self.temperature(row);
        let true_rate = self.table.place(Quantity::ShearRate).is_some();
        let shear_rate =
            self.above_zero(row, if true_rate { Quantity::ShearRate } else { Quantity::ApparentRate });
        let viscosity = match self.table.place(Quantity::Viscosity) {
            Some(_) => {
                let viscosity = self.above_zero(row, Quantity::Viscosity);
                let stress = self.table.place(Quantity::ShearStress).and_then(|place| row.values[place]);
                if let (Some(eta), Some(rate), Some(stress)) = (viscosity, shear_rate, stress) {
                    off.take(stress / (eta * rate), row.line);
                }
                viscosity
            }
            None => {
                let stress = self.above_zero(row, Quantity::ShearStress);
                stress.zip(shear_rate).map(|(stress, rate)| stress / rate)
            }
        };
        let (shear_rate, viscosity) = (shear_rate?, viscosity?);
        Some(FlowPoint {
            temperature: temperature?,
            shear_rate,
            viscosity,
            stress: viscosity * shear_rate,
            line: row.line,
        })
    }
}
