//! The window: where every limit holds, in a plane of two settings.
//!
//! The plane is evaluated on a grid of nodes. Where a limit changes sign along a grid edge, its zero
//! is searched on that edge with further evaluations; the zeros are joined through the cells by
//! marching squares. The usable region is what is left of each cell when the limits have cut it.

mod cell;
mod outline;
mod sample;
mod trace;

pub use trace::{Detail, trace};

use crate::limits::Limit;
use crate::scenario::Plane;
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
    /// Full evaluations it took.
    pub evaluations: usize,
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
