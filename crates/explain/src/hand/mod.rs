//! Hand estimates: closed forms of a few lines, evaluated with the numbers of the scenario.

mod cavity;
mod debinding;
mod feedstock;
mod flow;
mod gas;
mod heat;
mod law;
mod sintering;
mod sizes;
mod volume;

pub use cavity::*;
pub use debinding::*;
pub use feedstock::*;
pub use flow::*;
pub use gas::*;
pub use heat::*;
pub use law::*;
pub use sintering::*;
pub use sizes::*;
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
