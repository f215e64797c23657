//! Readings that a shop takes after the mould: mass lost in a bath, sizes of measured parts, densities of furnace runs. Each
//! is a table as text, of the same form as that of rheometer readings (`rheometry::read`), and a fit of what it tells.

mod absurd;
pub mod densities;
pub mod mass_loss;
pub mod shrinkage;

use crate::rheometry::problem::TableError;
use crate::rheometry::table::{ParsedRow, ParsedTable};
use crate::rheometry::units::Quantity;
use gatefrost_after::plan::soluble_percent;
use gatefrost_core::scenario::{DebindingStep, Scenario};

/// Readings, their fit, and the scenario with the fit in it, which has not been validated.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted<R, F> {
    /// The readings.
    pub table: R,
    /// The fit.
    pub fit: F,
    /// The scenario with the fit in it.
    pub scenario: Scenario,
}

/// A fit of a scenario to the text of a table.
pub type Fit<R, F> = fn(Scenario, &str) -> Result<Fitted<R, F>, Unfit>;

/// Why there is no fit.
#[derive(Debug, Clone, PartialEq)]
pub enum Unfit {
    /// The table cannot be read.
    Table(TableError),
    /// The readings do not tell what is asked for, in a sentence.
    Readings(String),
}

impl From<TableError> for Unfit {
    fn from(error: TableError) -> Self {
        Self::Table(error)
    }
}

impl From<String> for Unfit {
    fn from(why: String) -> Self {
        Self::Readings(why)
    }
}

/// Fits the diffusivity of the first bath of a scenario to weighings.
///
/// # Errors
/// If the table cannot be read, no step is a bath, or the weighings tell nothing.
pub fn fit_losses(
    mut scenario: Scenario,
    text: &str,
) -> Result<Fitted<mass_loss::Weighings, mass_loss::DiffusivityFit>, Unfit> {
    let table = mass_loss::read(text)?;
    let baths = scenario.debinding.steps.iter().enumerate();
    let mut first = baths.filter_map(|(place, step)| match step {
        DebindingStep::Bath(bath) => Some((place, bath.clone())),
        _ => None,
    });
    let (place, mut bath) = first.next().ok_or_else(|| {
        "No step of debinding is a bath: add one, or these weighings belong to nothing.".to_owned()
    })?;
    let fit = mass_loss::fit(&table.readings, soluble_percent(&scenario, &bath), &bath)?;
    fit.put(&mut bath);
    absurd::bath(&bath, &table.readings)?;
    scenario.debinding.steps[place] = DebindingStep::Bath(bath);
    Ok(Fitted { table, fit, scenario })
}

/// Fits shrinkage, density and the factors of the directions to measured parts.
///
/// # Errors
/// If the table cannot be read, or the sizes tell nothing.
pub fn fit_sizes(
    mut scenario: Scenario,
    text: &str,
) -> Result<Fitted<shrinkage::MeasuredSizes, shrinkage::ShrinkageFit>, Unfit> {
    let table = shrinkage::read(text)?;
    let fit = shrinkage::fit(&table.readings, &scenario)?;
    fit.put(&mut scenario);
    Ok(Fitted { table, fit, scenario })
}

/// Fits the master sintering curve to densities of furnace runs.
///
/// # Errors
/// If the table cannot be read, or the densities tell nothing.
pub fn fit_runs(
    mut scenario: Scenario,
    text: &str,
) -> Result<Fitted<densities::FurnaceRuns, densities::CurveFit>, Unfit> {
    let table = densities::read(text)?;
    let fit = densities::fit(&table.readings, &scenario)?;
    fit.put(&mut scenario.sintering);
    absurd::curve(&scenario.sintering, &table.readings)?;
    Ok(Fitted { table, fit, scenario })
}

/// The columns that a table has, and what each row must hold.
struct Columns<'a> {
    table: &'a ParsedTable,
    problems: TableError,
}

impl Columns<'_> {
    /// The value of a column in a row, if the column is there and the cell is not empty.
    fn optional(&self, row: &ParsedRow, quantity: Quantity) -> Option<f64> {
        row.values[self.table.place(quantity)?]
    }

    /// The same for a cell that must hold a number above zero, and at most `most` (in SI). `accepted` says so in words.
    fn above_zero(&mut self, row: &ParsedRow, quantity: Quantity, most: f64, accepted: &str) -> Option<f64> {
        let value = self.required(row, quantity)?;
        if value > 0.0 && value <= most {
            return Some(value);
        }
        self.refuse(row, quantity, format!("It must be {accepted}."));
        None
    }

    /// The value of a cell that must not be empty.
    fn required(&mut self, row: &ParsedRow, quantity: Quantity) -> Option<f64> {
        let value = self.optional(row, quantity);
        if value.is_none() && self.table.place(quantity).is_some() && !self.told(row) {
            self.refuse(row, quantity, "The cell is empty; a number is needed.");
        }
        value
    }

    /// Whether a problem of this row is listed.
    fn told(&self, row: &ParsedRow) -> bool {
        self.problems.problems.iter().any(|p| p.line == Some(row.line))
    }

    fn refuse(&mut self, row: &ParsedRow, quantity: Quantity, message: impl Into<String>) {
        let header = self.table.place(quantity).map(|place| self.table.columns[place].header.as_str());
        self.problems.push(Some(row.line), header, message);
    }
}

/// Standard deviations of a normal distribution in half of a 95 % interval: the plan's bands are so many standard errors.
const NORMAL_95: f64 = 1.96;

/// Most readings of a table that is fitted.
const MOST_READINGS: usize = 2000;

/// Reports a table with more readings than are fitted. Returns whether it has more.
fn too_many(table: &ParsedTable, problems: &mut TableError) -> bool {
    let many = table.rows.len() > MOST_READINGS;
    if many {
        let line = table.rows[MOST_READINGS].line;
        let told =
            format!("The table has {} readings; at most {MOST_READINGS} are fitted.", table.rows.len());
        problems.push(Some(line), None, told);
    }
    many
}

/// Reports the columns that are missing from a table; of each list one is needed. Returns whether there are any.
fn lacks(table: &ParsedTable, needed: &[&[Quantity]], problems: &mut TableError) -> bool {
    let missing: Vec<String> = needed
        .iter()
        .filter(|any| any.iter().all(|quantity| table.place(*quantity).is_none()))
        .map(|any| any.iter().map(|quantity| quantity.header()).collect::<Vec<_>>().join(" or "))
        .collect();
    if !missing.is_empty() {
        table.lacks(format!("Columns are missing: {}.", missing.join(", ")), problems);
    }
    !missing.is_empty()
}
