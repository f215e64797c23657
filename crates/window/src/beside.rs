//! Another scenario's window in the same plane, and which limits bound a window.

use crate::{Detail, Window, trace};
use gatefrost_core::case::Case;
use gatefrost_core::limits::{self, Limit, Margin};
use gatefrost_core::scenario::{Plane, Scenario, ScenarioError};
use gatefrost_numerics::elementary::Elementary;
use serde::{Deserialize, Serialize};

/// A scenario seen in the plane of another.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Beside {
    /// Its name.
    pub name: String,
    /// Its window in that plane.
    pub window: Window,
    /// Its set point (x, y) there, in edge units.
    pub set_point: [f64; 2],
    /// Margins at its set point.
    pub margins: Vec<Margin>,
}

/// Traces a scenario in the plane of another.
///
/// # Errors
/// Whatever [`Scenario::validate_plane`] finds there.
pub fn beside(scenario: &Scenario, plane: &Plane, detail: Detail) -> Result<Beside, ScenarioError> {
    let scenario = Scenario { window: plane.clone(), ..scenario.clone() };
    let window = trace(&scenario, detail)?;
    Ok(Beside {
        set_point: plane.place_of(&scenario),
        margins: limits::explain_sized(&scenario, &Case::resolve(&scenario).evaluate()),
        name: scenario.name,
        window,
    })
}

impl Window {
    /// The limits whose lines the usable region ends at.
    pub fn bounded_by(&self) -> Vec<Limit> {
        let fraction = |p: &[f64; 2]| self.plane.fraction(*p);
        let middles: Vec<[f64; 2]> = self
            .outlines
            .iter()
            .flat_map(|outline| outline.windows(2))
            .map(|pair| {
                let [a, b] = [fraction(&pair[0]), fraction(&pair[1])];
                [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])]
            })
            .collect();
        let meets = |line: &&super::LimitLine| {
            line.pieces.iter().any(|piece| {
                let points: Vec<[f64; 2]> = piece.iter().map(fraction).collect();
                points.windows(2).any(|pair| middles.iter().any(|p| lies_on(*p, pair[0], pair[1])))
            })
        };
        self.lines.iter().filter(meets).map(|line| line.limit).collect()
    }
}

/// Whether a point lies on a stroke, to rounding.
fn lies_on(p: [f64; 2], a: [f64; 2], b: [f64; 2]) -> bool {
    const SAME: f64 = 1e-7;
    let (along, off) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
    let length = along[0].hypotenuse(along[1]);
    let reached = (along[0] * off[0] + along[1] * off[1]) / length.max(SAME);
    let beside = (along[0] * off[1] - along[1] * off[0]) / length.max(SAME);
    beside.abs() < SAME && reached > -SAME && reached < length + SAME
}
