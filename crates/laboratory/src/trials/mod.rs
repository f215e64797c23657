//! Readings that a shop takes after the mould: mass lost in a bath, sizes of measured parts, densities of furnace runs. Each
//! is a table as text, of the same form as that of rheometer readings (`rheometry::read`), and a fit of what it tells.

pub mod densities;
pub mod mass_loss;
pub mod shrinkage;

use crate::rheometry::problem::TableError;
use crate::rheometry::table::{ParsedRow, ParsedTable};
use crate::rheometry::units::Quantity;

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
