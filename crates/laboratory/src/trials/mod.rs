//! Readings that a shop takes after the mould: mass lost in a bath, sizes of measured parts, densities of furnace runs. Each
//! is a table as text, of the same form as that of rheometer readings (`rheometry::read`), and a fit of what it tells.

mod absurd;
pub mod densities;
pub mod mass_loss;
pub mod shrinkage;

use crate::rheometry::problem::TableError;
use crate::rheometry::table::{ParsedRow, ParsedTable};
use crate::rheometry::units::{Measured, Quantity};
use gatefrost_after::plan::soluble_percent;
use gatefrost_core::catalogue;
use gatefrost_core::format::number;
use gatefrost_core::scenario::{Bath, DebindingStep, Scenario};

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

/// A fit of a scenario to the text of a table; of weighings, for a step of debinding counted from 1.
pub type Fit<R, F> = fn(Scenario, &str, Option<usize>) -> Result<Fitted<R, F>, Unfit>;

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

/// Fits the diffusivity of a bath of a scenario to weighings: that of `step`, counted from 1, or of the first bath.
///
/// # Errors
/// If the table cannot be read, the step is no bath, or the weighings tell nothing.
pub fn fit_losses(
    mut scenario: Scenario,
    text: &str,
    step: Option<usize>,
) -> Result<Fitted<mass_loss::Weighings, mass_loss::DiffusivityFit>, Unfit> {
    let table = mass_loss::read(text)?;
    let (place, mut bath) = bath_of(&scenario, step)?;
    let soluble = soluble_percent(&scenario, &bath);
    let mut fit = mass_loss::fit(&table.readings, soluble, &bath)
        .map_err(|why| format!("Step {}, {}: {why}", place + 1, named(&bath)))?;
    fit.step = place + 1;
    if step.is_none() && scenario.debinding.steps.iter().filter(|step| is_bath(step)).count() > 1 {
        let told = "The scenario has more than one bath: these weighings were taken for step";
        fit.remarks.push(format!("{told} {}, {}.", place + 1, named(&bath)));
    }
    fit.put(&mut bath);
    absurd::bath(&bath, &table.readings)?;
    scenario.debinding.steps[place] = DebindingStep::Bath(bath);
    Ok(Fitted { table, fit, scenario })
}

fn is_bath(step: &DebindingStep) -> bool {
    matches!(step, DebindingStep::Bath(_))
}

fn named(bath: &Bath) -> String {
    let liquid = if bath.water { "water" } else { "solvent" };
    format!("{liquid} bath at {} °C", number(bath.temperature, 3))
}

/// A bath and its place in the list: that of `step`, counted from 1, or the first.
fn bath_of(scenario: &Scenario, step: Option<usize>) -> Result<(usize, Bath), String> {
    let steps = &scenario.debinding.steps;
    let none = "No step of debinding is a bath: add one, or these weighings belong to nothing.";
    let first = steps.iter().position(is_bath).ok_or(none)?;
    let place = step.map_or(first, |step| step.wrapping_sub(1));
    match steps.get(place) {
        Some(DebindingStep::Bath(bath)) => Ok((place, bath.clone())),
        _ => Err(format!(
            "Step {} is no bath. Steps that are: {}.",
            place.wrapping_add(1),
            steps
                .iter()
                .enumerate()
                .filter(|(_, step)| is_bath(step))
                .map(|(i, _)| (i + 1).to_string())
                .collect::<Vec<_>>()
                .join(", ")
        )),
    }
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

/// The standard error that a scenario takes over for a half width, and a remark where it holds no such wide one.
fn taken(path: &str, half_width: f64) -> (f64, Option<String>) {
    let error = half_width / NORMAL_95;
    match catalogue::at(path) {
        Some(known) if error > known.max => (
            known.max,
            Some(format!(
                "The readings hardly tell it: “{}” would be {} {unit}, and a scenario holds {} {unit} at most. Take more of them.",
                known.title,
                number(error, 3),
                number(known.max, 4),
                unit = known.unit
            )),
        ),
        _ => (error, None),
    }
}

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

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_core::scenario::demo;

    /// Weighings belong to the step that is named: the first bath, of water, can take out little of this binder.
    #[test]
    fn a_bath_is_chosen_by_its_step() {
        let mut s = demo::find("hinge").expect("a demo").scenario();
        let water = Bath { water: true, diffusivity: 7.0, ..Bath::default() };
        s.debinding.steps.insert(0, DebindingStep::Bath(water));
        s.debinding.parts[2].leaves = gatefrost_core::scenario::Leaves::Water;
        let text = "temperature [°C],time [h],wall [mm],mass loss [%]\n40,1,4,1\n40,3,4,2\n40,5,4,2.5\n";
        let of = |step: Option<usize>| fit_losses(s.clone(), text, step);
        let second = of(Some(2)).expect("a fit");
        let diffusivity = |place: usize| match &second.scenario.debinding.steps[place] {
            DebindingStep::Bath(bath) => bath.diffusivity,
            _ => panic!("a bath"),
        };
        assert_eq!((second.fit.step, diffusivity(0), diffusivity(1)), (2, 7.0, second.fit.diffusivity));
        let told = |step: Option<usize>| match of(step) {
            Err(Unfit::Readings(why)) => why,
            other => panic!("{other:?}"),
        };
        assert!(told(None).starts_with("Step 1, water bath at 45 °C: Line 2: 1 % of the mass is lost"));
        assert_eq!(told(Some(3)), "Step 3 is no bath. Steps that are: 1, 2.");
        assert!(told(Some(0)).contains("Steps that are: 1, 2."));
    }
}
