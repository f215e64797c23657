//! How far the feedstock's uncertainty moves each limit's line.
//!
//! The uncertain numbers are gone through one principal direction of their covariance after the other,
//! 1.96 standard deviations to either side. The difference of the margins over that distance is what a
//! standard deviation of the direction does; the root of the sum of squares over all directions is the
//! margin's standard error σ, to first order in the uncertainty. Where |g| ≤ 1.96 σ, the line may lie
//! with 95 %. Where a margin has a kink or stands still, that is rough.
//!
//! What is uncertain changes slowly over the plane, so the differences are taken on the rougher model,
//! on the grid that a fine window begins with, and interpolated as margins are.

use crate::lattice::Lattice;
use crate::place::{Margins, Wanted, far, near};
use crate::sample::margins_ruled;
use crate::sizes::{SizeRule, all_parts, left_out};
use crate::surface::Surface;
use crate::{Detail, trace};
use gatefrost_core::limits::{COUNT, Limit};
use gatefrost_core::scenario::{Plane, Scenario, ScenarioError, Span};
use gatefrost_numerics::order;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// Share of feedstocks whose line passes a place within its band, per cent.
pub const COVERAGE_PERCENT: f64 = 95.0;
/// Standard errors to either side for that, by the normal distribution.
const REACH: f64 = 1.96;
/// Margins that move by less than this are certain.
const CERTAIN: f64 = 1e-9;
/// Greatest change of a margin. In a corner where everything has frozen, cubics would otherwise carry changes far
/// from any line into the neighbouring cells.
const MOST: f64 = 1.0;
/// Standard deviations to go in a direction: to where the band ends, less where the plane cannot be
/// computed so far.
const STEPS: [f64; 4] = [REACH, 1.0, 0.5, 0.25];

/// The bands about the lines of one window.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Bands {
    /// The plane.
    pub plane: Plane,
    /// One entry for each limit that the feedstock moves and whose band reaches into the plane, be it
    /// without its line.
    pub bands: Vec<Band>,
    /// Directions in which the plane cannot be computed with any other feedstock: what they do is not in
    /// the bands.
    pub not_followed: usize,
    /// Evaluations it took, of the rougher model.
    pub evaluations: usize,
}

/// Where one limit's line may lie.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Band {
    /// Which limit.
    pub limit: Limit,
    /// Its short name.
    pub label: Cow<'static, str>,
    /// The band as closed outlines, as those of a window.
    pub outlines: Vec<Vec<[f64; 2]>>,
    /// Its edges within the plane: pieces of points (x, y) in edge units, both sides.
    pub edges: Vec<Vec<[f64; 2]>>,
    /// Half its width across and up, in edge units: the median along the line. Absent where the line runs
    /// so that it is not met within the plane.
    pub half_width: [Option<f64>; 2],
}

/// What one direction of the uncertainty does.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Moved {
    /// The direction has no effect: its number has no error or belongs to another flow law.
    NoEffect,
    /// The plane cannot be computed with any other feedstock in this direction.
    NotComputable,
    /// The margins' change for one standard deviation, at the places that a window begins with.
    By(Vec<Margins>),
}

/// Number of directions; 0 if the feedstock's uncertainty is not known.
pub fn directions(scenario: &Scenario) -> usize {
    scenario.feedstock.uncertainty.as_ref().map_or(0, |u| u.numbers.len())
}

/// The places at which directions are looked at: those that a window of this detail begins with.
fn grid(scenario: &Scenario, detail: Detail) -> Vec<Wanted> {
    Surface::new(detail, &left_out(scenario)).wanted()
}

/// Goes in one direction, on the rougher model. Several workers may compute the directions side by side.
///
/// # Errors
/// Whatever [`Scenario::validate_plane`] finds.
pub fn moved(scenario: &Scenario, detail: Detail, direction: usize) -> Result<Moved, ScenarioError> {
    scenario.validate_plane()?;
    let grid = grid(scenario, detail);
    let mut base = Detail::Coarse.scenario(scenario);
    let uncertainty = base.feedstock.uncertainty.take();
    let Some(uncertainty) = uncertainty.filter(|u| direction < u.numbers.len()) else {
        return Ok(Moved::NoEffect);
    };
    let toward = |step: f64| {
        let mut normals = vec![0.0; direction + 1];
        normals[direction] = step;
        uncertainty.draw(&base, &normals)
    };
    if toward(1.0) == base && toward(-1.0) == base {
        return Ok(Moved::NoEffect);
    }
    let farthest =
        |sign: f64| STEPS.into_iter().map(|step| sign * step).find(|s| toward(*s).validate_plane().is_ok());
    let [up, down] = [1.0, -1.0].map(|sign| farthest(sign).unwrap_or(0.0));
    if up == down {
        return Ok(Moved::NotComputable);
    }
    // Whatever the feedstock, the cavities stay as they were cut.
    let sizes = all_parts(&base, Detail::Coarse);
    let rule = SizeRule::of(&base, &sizes);
    let [above, below] = [up, down].map(|step| margins_ruled(&toward(step), &grid, rule.as_ref()));
    let per_deviation = |(a, b): (&Margins, &Margins)| -> Margins {
        std::array::from_fn(|k| ((a[k] - b[k]) / (up - down)).clamp(-MOST, MOST))
    };
    Ok(Moved::By(above.iter().zip(&below).map(per_deviation).collect()))
}

/// The bands about the lines that a surface of this scenario has, at this detail; none where nothing is
/// known of the feedstock's uncertainty. A number that spans the plane is known: it is what the axis says.
///
/// # Errors
/// Whatever [`Scenario::validate_plane`] finds.
pub fn bands(scenario: &Scenario, detail: Detail, surface: &Surface) -> Result<Bands, ScenarioError> {
    scenario.validate_plane()?;
    let all: Result<Vec<Moved>, ScenarioError> =
        (0..directions(scenario)).map(|direction| moved(scenario, detail, direction)).collect();
    Ok(bands_of(scenario, detail, surface, &all?))
}

/// The same from the effects of the directions. An effect on another grid is treated as not computed.
pub fn bands_of(scenario: &Scenario, detail: Detail, surface: &Surface, all: &[Moved]) -> Bands {
    let places = grid(scenario, detail).len();
    let mut found =
        Bands { plane: scenario.window.clone(), bands: Vec::new(), not_followed: 0, evaluations: 0 };
    let mut variances: Option<Vec<Margins>> = None;
    for moved in all {
        match moved {
            Moved::By(moved) if moved.len() == places => {
                found.evaluations += 2 * places;
                let moved = Surface::spread_out(detail, moved);
                let sums = variances.get_or_insert_with(|| vec![[0.0; COUNT]; moved.len()]);
                for (sum, d) in sums.as_flattened_mut().iter_mut().zip(moved.as_flattened()) {
                    *sum += d * d;
                }
            }
            Moved::NoEffect => {}
            Moved::NotComputable | Moved::By(_) => found.not_followed += 1,
        }
    }
    let Some(variances) = variances else { return found };
    let left_out = left_out(scenario);
    for (index, limit) in Limit::ALL.into_iter().enumerate() {
        if left_out.contains(&limit) {
            continue;
        }
        let nodes = surface.lattice.iter().zip(&variances);
        let nodes: Vec<Node> = nodes.map(|(drawn, v)| Node::new(drawn[index], v[index])).collect();
        let uncertain = nodes.iter().any(|node| node.reach >= CERTAIN);
        let strip = Strip { cells: surface.steps, nodes: &nodes, plane: &scenario.window };
        if uncertain && (strip.crossed() || nodes.iter().any(|node| node.margin.abs() <= node.reach)) {
            found.bands.push(strip.band(limit));
        }
    }
    found
}

/// One limit at one node of the lattice.
#[derive(Debug, Clone, Copy)]
struct Node {
    /// Margin on its own scale.
    margin: f64,
    /// Half the band's width in margins: 1.96 standard errors.
    reach: f64,
}

impl Node {
    /// From a margin as a surface has it, drawn together, and a variance of margins that are not: these
    /// change too much from node to node for the cubics as soon as they are.
    fn new(drawn: f64, variance: f64) -> Self {
        Self { margin: far(drawn), reach: REACH * variance.sqrt() }
    }
}

/// The band of one limit on the lattice.
struct Strip<'a> {
    cells: usize,
    nodes: &'a [Node],
    plane: &'a Plane,
}

impl Strip<'_> {
    fn crossed(&self) -> bool {
        self.nodes.iter().any(|n| n.margin < 0.0) && self.nodes.iter().any(|n| n.margin >= 0.0)
    }

    /// Cut out of the plane by two limits: g + 1.96 σ ≥ 0 and 1.96 σ − g ≥ 0.
    fn band(&self, limit: Limit) -> Band {
        let sides: Vec<[f64; 2]> =
            self.nodes.iter().map(|n| [near(n.reach + n.margin), near(n.reach - n.margin)]).collect();
        let joined = Lattice { cells: self.cells, limits: 2, nodes: sides.as_flattened() }.join();
        Band {
            limit,
            label: limit.label().into(),
            outlines: self.plane.values(joined.outlines),
            edges: self.plane.values(joined.lines.into_iter().flatten().collect()),
            half_width: [(&self.plane.x, 0), (&self.plane.y, 1)]
                .map(|(span, side)| self.half_width(span, side)),
        }
    }

    /// Median along the line of 1.96 σ over the margin's slope along one side.
    fn half_width(&self, span: &Span, side: usize) -> Option<f64> {
        let (n, stride) = (self.cells, if side == 0 { 1 } else { self.cells + 1 });
        let mut widths = Vec::new();
        for j in 0..=n {
            for i in 0..=n {
                let (along, index) = (if side == 0 { i } else { j }, j * (n + 1) + i);
                if along == n {
                    continue;
                }
                let (a, b) = (self.nodes[index], self.nodes[index + stride]);
                if (a.margin < 0.0) == (b.margin < 0.0) {
                    continue;
                }
                // Where the line crosses this edge of the lattice.
                let share = a.margin / (a.margin - b.margin);
                let reach = a.reach + share * (b.reach - a.reach);
                let half = reach / (b.margin - a.margin).abs() / n as f64;
                let middle = (along as f64 + share) / n as f64;
                // Wider than the side itself says only that it is not met within the plane.
                let width = 0.5 * (span.at(middle + half) - span.at(middle - half));
                widths.push(if half <= 1.0 { width } else { f64::INFINITY });
            }
        }
        order::sort_by(&mut widths, |w| *w);
        widths.get(widths.len() / 2).copied().filter(|w| w.is_finite())
    }
}

impl Bands {
    /// The bands of a scenario's window, traced for them.
    ///
    /// # Errors
    /// Whatever [`Scenario::validate_plane`] finds.
    pub fn of(scenario: &Scenario, detail: Detail) -> Result<Self, ScenarioError> {
        let uncertain = scenario.feedstock.uncertainty.as_ref().is_some_and(|u| !u.numbers.is_empty());
        // Without an uncertainty no surface is asked for anything.
        let surface = if uncertain { trace::surface(scenario, detail)? } else { Surface::new(detail, &[]) };
        bands(scenario, detail, &surface)
    }
}
