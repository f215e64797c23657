//! From shots on the machine to the numbers of the feedstock, with their uncertainty.
//!
//! [`table`] reads and writes the trial log as a table. [`calibrate`] estimates the numbers of the feedstock, the contact
//! and what is lost before the cavity from the log of a scenario; [`predict`] says what shots that have not been made will read;
//! [`fits`] says whether new readings agree with a feedstock; [`plan`] proposes the next shots. Numbers are those of the
//! solvers of `gatefrost_core`.

mod check;
mod estimate;
mod fit;
mod fits;
mod forward;
mod next;
mod numbers;
mod predict;
pub mod prior;
mod quantity;
mod readings;
mod remarks;
mod result;
pub mod search;
pub mod solve;
pub mod table;
mod taken;

pub use estimate::calibrate;
pub use fits::{Agreement, fits};
pub use next::{PlannedShot, ShotPlan, plan};
pub use predict::{ShotPrediction, predict, untried};
pub use quantity::Read;
pub use result::{CalibratedNumber, Calibration, ComparedReading, ReadBand, ReadScatter, Unusable};
