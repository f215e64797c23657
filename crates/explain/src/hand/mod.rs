//! Hand estimates: closed forms of a few lines, evaluated with the numbers of the scenario.

mod cavity;
mod feedstock;
mod flow;
mod heat;
mod law;
mod volume;

pub use cavity::*;
pub use feedstock::*;
pub use flow::*;
pub use heat::*;
pub use law::*;
pub use volume::*;

use gatefrost_formula::Line;

/// A hand estimate: its lines, the last of which gives it; or why there is none.
pub type Hand = Result<Vec<Line>, &'static str>;

/// An estimate of one line.
fn one(line: Line) -> Hand {
    Ok(vec![line])
}

/// Why there is no estimate where the cavity does not fill.
const SHORT: &str = "The cavity does not fill, so there is no part.";
