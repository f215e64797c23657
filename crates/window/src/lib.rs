//! The window: where every limit holds, in a plane of two settings.
//!
//! The plane is evaluated on a coarse grid, and more finely where a limit's line runs (`surface`). On a
//! lattice of interpolated margins the lines are joined by marching squares; the usable region is what is
//! left of each cell when the limits have cut it (`lattice`). Several workers may evaluate side by side
//! (`jobs`).

mod bands;
mod beside;
mod cell;
mod closest;
mod jobs;
mod lattice;
mod outline;
mod place;
mod sample;
mod sizes;
mod surface;
mod sweep;
mod trace;

pub use bands::{Band, Bands, COVERAGE_PERCENT, Moved, bands, bands_of, directions, moved};
pub use beside::{Beside, beside};
pub use closest::{Closest, closest, nearest};
pub use jobs::jobs;
pub use place::{Margins, Place, Wanted, near};
pub use sample::{found_at, margins_at};
pub use sample::{margins_here, margins_of};
pub use sizes::{left_out, size_part, size_parts};
pub use surface::Surface;
pub use sweep::{Input, Swept, Unswept};
pub use trace::{Detail, surface, told, trace, window};

use gatefrost_core::limits::{Limit, Margin};
use gatefrost_core::scenario::Plane;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// The limit lines of one plane.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Window {
    /// The plane.
    pub plane: Plane,
    /// One entry for each limit that crosses the plane.
    pub lines: Vec<LimitLine>,
    /// Limits that are broken everywhere in the plane: no line to draw, and no window.
    pub broken_everywhere: Vec<Limit>,
    /// Limits that hold everywhere in the plane.
    pub held_everywhere: Vec<Limit>,
    /// The usable region as closed outlines: points (x, y) in edge units, holes as outlines of their
    /// own. Going along an outline, the usable side lies on the left (x to the right, y up).
    pub outlines: Vec<Vec<[f64; 2]>>,
    /// Share of the plane (on its own scales) in which every limit holds, 0..1.
    pub usable_share: f64,
    /// Where there is no usable region: the place that comes nearest to one.
    pub nearest: Option<Nearest>,
    /// Evaluations it took.
    pub evaluations: usize,
    /// Evaluations among them that go on to the hold or further; the others end with the fill.
    pub holds: usize,
}

impl Window {
    /// Whether no place of the plane meets every limit, as far as the lines show.
    pub fn is_closed(&self) -> bool {
        self.usable_share <= 0.0
    }
}

/// The line on which one limit is just met.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LimitLine {
    /// Which limit.
    pub limit: Limit,
    /// Short name to label the line with.
    pub label: Cow<'static, str>,
    /// The line's pieces: points (x, y) in edge units. Going along a piece, the side that is out
    /// lies on the left (x to the right, y up).
    pub pieces: Vec<Vec<[f64; 2]>>,
}

/// The place of a closed window where the worst margin is best, max over the plane of min over the limits of g.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Nearest {
    /// Where, in edge units.
    pub place: [f64; 2],
    /// What is missed there and by how much, the worst first: limits that conflict. Those of a full path count where the
    /// fill stops short, too. Empty where the usable region is too small for the lines to show it.
    pub missed: Vec<Margin>,
}
