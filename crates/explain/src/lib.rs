//! What stands behind each result of a report: what it means, the equation that is solved, an estimate by hand with the
//! numbers put in, the causes of the difference, the limit that it belongs to, the source, and the inputs that move it
//! most. Page, handbook and command line show these data. All numbers are computed from the scenario.
//!
//! ```
//! use gatefrost_core::scenario::demo;
//! use gatefrost_explain::{View, explain};
//!
//! let scenario = demo::default_demo().scenario();
//! let told = explain(&scenario, "hold.gate_freeze_s", &View::default()).expect("a result of the list");
//! assert!(told.lines[0].text.starts_with("t_g = h²/(π²·α)"));
//! ```

mod causes;
mod chain;
mod entries;
mod entry;
pub mod equations;
mod explanation;
mod facts;
mod hand;
mod results;
mod sensitivity;
mod text;
mod view;

pub use entries::{PAGE, all, at, named};
pub use entry::{Causes, Entry, Rows, Stands};
pub use explanation::{
    Cause, Explanation, LetterTold, LimitTold, LineTold, SymbolTold, Unexplained, explain, explain_of,
};
pub use facts::Facts;
pub use hand::Hand;
pub use results::{Planned, Results};
pub use sensitivity::{Move, Moves};
pub use view::View;

/// The name of the handbook's chapter of results.
pub const CHAPTER: &str = "results";

#[cfg(test)]
mod tests;
#[cfg(test)]
mod tests_after;
