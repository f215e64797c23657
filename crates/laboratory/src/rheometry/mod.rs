//! From capillary rheometer readings to a flow law.
//!
//! [`read`] takes the text of a table, [`reduce`] makes the corrections that the readings allow and
//! says which it could not make and why, [`fit::fit`] and [`fit::rank`] find the constants of the flow
//! laws with their uncertainty. Quantities are named as in ISO 11443.

mod cells;
pub mod corrections;
pub mod fit;
pub(crate) mod problem;
mod reading;
pub mod table;
pub(crate) mod text;
pub mod units;

pub use corrections::{Reduction, WallFlow, reduce};
pub use problem::{TableError, TableProblem};
pub use reading::{CapillaryReading, FORM, FlowPoint, ReadingTable, Readings, read};
pub use table::MAX_ROWS;
pub use text::{MAX_BYTES, decode};
