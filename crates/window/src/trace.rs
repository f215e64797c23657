//! Tracing the limit lines of a plane.

use crate::closest::nearest;
use crate::place::near;
use crate::sample::found_at;
use crate::sizes::{all_parts, left_out};
use crate::surface::Surface;
use crate::{LimitLine, Window};
use gatefrost_core::limits::{self, Limit};
use gatefrost_core::scenario::{Scenario, ScenarioError};
use serde::{Deserialize, Serialize};

/// How finely a window is traced.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Detail {
    /// While the set point is being dragged: few nodes and a coarse model.
    Coarse,
    /// After that: the scenario's own model, lines to 1 % of the axes.
    Fine,
}

impl Detail {
    /// Cells of the coarse grid along each side, and how often they may be halved.
    pub(super) fn grid(self) -> (usize, u32) {
        match self {
            Self::Coarse => (5, 2),
            Self::Fine => (6, 3),
        }
    }

    /// Whether cells are refined where their lines are inaccurate.
    pub(super) fn tested(self) -> bool {
        self == Self::Fine
    }

    /// The scenario to evaluate for it.
    pub fn scenario(self, scenario: &Scenario) -> Scenario {
        let mut scenario = scenario.clone();
        if self == Self::Coarse {
            scenario.model = scenario.model.at_most(16, 8);
        }
        scenario
    }
}

/// Traces the window of a scenario's plane.
///
/// # Errors
/// Whatever [`Scenario::validate_plane`] finds.
pub fn trace(scenario: &Scenario, detail: Detail) -> Result<Window, ScenarioError> {
    let surface = surface(scenario, detail)?;
    Ok(told(&detail.scenario(scenario), &surface))
}

/// The window that a surface shows; where it is closed, with the place that comes nearest to one.
pub fn told(scenario: &Scenario, surface: &Surface) -> Window {
    let mut window = window(scenario, surface);
    if window.is_closed() {
        window.nearest = nearest(scenario).ok().flatten();
    }
    window
}

/// The margins over a scenario's plane that its window is cut from.
///
/// # Errors
/// Whatever [`Scenario::validate_plane`] finds.
pub fn surface(scenario: &Scenario, detail: Detail) -> Result<Surface, ScenarioError> {
    scenario.validate_plane()?;
    let scenario = detail.scenario(scenario);
    let sizes = all_parts(&scenario, detail);
    let mut surface = Surface::new(detail, &left_out(&scenario));
    surface.take_sizes(&scenario, &sizes);
    Ok(surface.filled_in(|wanted| found_at(&scenario, wanted)))
}

/// The window of a surface, without the limits that the scenario leaves out. Nothing is evaluated for it; the closest
/// place of a closed window comes from [`nearest`].
pub fn window(scenario: &Scenario, surface: &Surface) -> Window {
    let plane = scenario.window.clone();
    let left_out = left_out(scenario);
    let ignored = |limit: Limit| left_out.contains(&limit);
    let mut nodes = surface.lattice.clone();
    for (index, limit) in Limit::ALL.into_iter().enumerate() {
        if ignored(limit) {
            nodes.iter_mut().for_each(|margins| margins[index] = f64::INFINITY);
        }
    }
    let joined = surface.lattice_of(&nodes).join();
    let mut lines = Vec::new();
    let (mut broken_everywhere, mut held_everywhere) = (Vec::new(), Vec::new());
    for (index, (limit, pieces)) in Limit::ALL.into_iter().zip(joined.lines).enumerate() {
        if !pieces.is_empty() {
            lines.push(LimitLine { limit, label: limit.label().into(), pieces: plane.values(pieces) });
        } else if nodes[0][index] < 0.0 {
            broken_everywhere.push(limit);
        } else if !ignored(limit)
            && nodes.iter().any(|margins| margins[index] < near(limits::UNBROKEN) - 1e-6)
        {
            // What nothing in the scenario can break is no limit here.
            held_everywhere.push(limit);
        }
    }
    Window {
        lines,
        broken_everywhere,
        held_everywhere,
        outlines: plane.values(joined.outlines),
        usable_share: joined.usable_share,
        nearest: None,
        evaluations: surface.evaluations,
        holds: surface.holds,
        plane,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cell;
    use crate::place::{Margins, Place, Wanted};
    use gatefrost_core::limits::COUNT;
    use gatefrost_core::scenario::{Axis, Dimension, Span};
    use gatefrost_core::stages::Stage;

    /// Two limits with known zeros: a circle to stay within, and a line to stay above.
    fn margins([x, y]: Place) -> Margins {
        let mut g = [1.0; COUNT];
        g[0] = 0.4 - (x - 0.5).hypot(y - 0.5);
        g[1] = (3.0 * (y - 0.45 - 0.2 * x * x)).sinh();
        g
    }

    fn surface(of: impl Fn(Place) -> Margins) -> Surface {
        Surface::by(Detail::Fine, &[], |wanted| wanted.iter().map(|w| of(w.place)).collect())
    }

    #[test]
    fn lines_lie_within_one_per_cent_of_the_axis() {
        let surface = surface(margins);
        let joined = surface.lattice_of(&surface.lattice).join();
        assert_eq!(joined.lines[0].len(), 1, "the circle is one closed line");
        for [x, y] in &joined.lines[0][0] {
            let off = (x - 0.5).hypot(y - 0.5) - 0.4;
            assert!(off.abs() < 0.01, "{x}, {y}: {off}");
        }
        for [x, y] in &joined.lines[1][0] {
            let off = y - 0.45 - 0.2 * x * x;
            assert!(off.abs() < 0.01, "{x}, {y}: {off}");
        }
        let uniform = (surface.steps + 1) * (surface.steps + 1);
        assert!(surface.evaluations < uniform / 8, "{} of {uniform}", surface.evaluations);
    }

    /// An island smaller than the coarse grid shows where the cubics foresee it, or not at all; a jump is
    /// found to the finest division.
    #[test]
    fn a_jump_is_traced_too() {
        let surface = surface(|[x, y]| {
            let mut g = [1.0; COUNT];
            g[0] = if x + 0.3 * y > 0.617 { 1.0 } else { -2.0 };
            g
        });
        let joined = surface.lattice_of(&surface.lattice).join();
        for [x, y] in joined.lines[0].concat() {
            assert!((x + 0.3 * y - 0.617).abs() < 1.1 / surface.steps as f64, "{x}, {y}");
        }
    }

    #[test]
    fn cells_that_no_line_crosses_are_left_alone() {
        let surface = surface(|[x, y]| {
            let mut g = [1.0 + x + y; COUNT];
            g[3] = -1.0 - x * y;
            g
        });
        let (cells, _) = Detail::Fine.grid();
        assert_eq!(surface.evaluations, (cells + 1) * (cells + 1));
        let joined = surface.lattice_of(&surface.lattice).join();
        assert!(joined.lines.iter().all(Vec::is_empty) && joined.usable_share == 0.0);
        let everywhere = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];
        assert!((cell::area(&everywhere) - 1.0).abs() < 1e-12);
    }

    /// A line of a limit that the fill alone decides takes no hold beyond those of the grid; what is not
    /// computed there stays as it was foreseen.
    #[test]
    fn a_line_takes_the_stages_that_its_limit_takes() {
        let bent = |[x, y]: Place| [(6.0 * x).sin() - 3.0 * (y - 0.4), 1.0 + x * x + y];
        let limits = [Limit::ShortShot, Limit::Sink].map(|l| l as usize);
        let mut stages = Vec::new();
        let surface = Surface::by(Detail::Fine, &[], |wanted| {
            stages.push(wanted.iter().map(|w| w.stage).collect::<Vec<_>>());
            let of = |w: &Wanted| {
                let mut g = [1.0; COUNT];
                let [fill, hold] = bent(w.place);
                (g[limits[0]], g[limits[1]]) = (fill, if w.stage == Stage::Hold { hold } else { f64::NAN });
                g
            };
            wanted.iter().map(of).collect()
        });
        assert!(stages.len() > 1 && stages[0].iter().all(|s| *s == Stage::Hold), "{stages:?}");
        assert!(stages[1..].concat().iter().all(|s| *s == Stage::Fill), "{stages:?}");
        let (cells, _) = Detail::Fine.grid();
        assert_eq!(surface.holds, (cells + 1) * (cells + 1));
        assert!(surface.lattice.iter().flatten().all(|g| g.is_finite()));
    }

    /// Where another limit is broken throughout, a line takes less, and still lies about where it should.
    #[test]
    fn a_line_that_bounds_nothing_takes_less() {
        let [bounds, buried] = [1.0, -1.0].map(|other| {
            surface(|[x, y]| {
                let mut g = [1.0; COUNT];
                (g[0], g[1]) = (if x + 0.3 * y > 0.617 { 1.0 } else { -2.0 }, other);
                g
            })
        });
        let (cells, _) = Detail::Fine.grid();
        let beyond = |surface: &Surface| surface.evaluations - (cells + 1) * (cells + 1);
        assert!(2 * beyond(&buried) < beyond(&bounds), "{} {}", beyond(&buried), beyond(&bounds));
        for [x, y] in buried.lattice_of(&buried.lattice).join().lines[0].concat() {
            assert!((x + 0.3 * y - 0.617).abs() < 0.5 / cells as f64, "{x}, {y}");
        }
    }

    /// On the line of sizes Cpk is the wanted one within 0.02, or the line is within 1 % of the axis: here the hold pressure
    /// moves the mean through the nominal size, so that Cpk has a ridge.
    #[test]
    fn the_line_of_sizes_lies_where_the_wanted_capability_is() {
        let mut s = gatefrost_core::scenario::demo::default_demo().scenario();
        s.model = s.model.at_most(12, 6);
        s.sizes.dimensions = vec![Dimension { size: 25.0, tolerance: 0.11, ..Dimension::default() }];
        (s.sizes.density_scatter, s.scatter.hold_pressure) = (0.15, 3.0);
        s.window.x = Span { axis: Axis::HoldPressure, from: 30.0, to: 70.0 };
        s.window.y = Span { axis: Axis::MeltTemperature, from: 155.0, to: 172.0 };
        let window = trace(&s, Detail::Fine).expect("valid");
        let line = window.lines.iter().find(|line| line.limit == Limit::Size).expect("a line");
        let parts = all_parts(&s, Detail::Fine);
        let at = |place: Place| {
            let wanted = Wanted { place: place.map(|x| x.clamp(0.0, 1.0)), stage: Stage::LAST };
            crate::margins_at(&s, &[wanted], &parts)[0][Limit::Size as usize]
        };
        let points: Vec<Place> = line.pieces.concat().iter().map(|p| s.window.fraction(*p)).collect();
        assert!(points.len() > 10);
        for [x, y] in points.into_iter().step_by(3) {
            let [left, here, right] = [-0.01, 0.0, 0.01].map(|by| at([x + by, y]));
            assert!(here.abs() < 0.021 || left * right < 0.0, "{x} {y}: {left} {here} {right}");
        }
        let without = Scenario { ignored: vec![Limit::Size], ..s.clone() };
        let without = trace(&without, Detail::Fine).expect("valid");
        let effort = |w: &Window| (w.evaluations + 2 * w.holds) as f64;
        assert!(effort(&window) < 1.2 * effort(&without), "{} {}", effort(&window), effort(&without));
    }

    /// What is ignored is not evaluated, and makes no line.
    #[test]
    fn ignored_limits_take_nothing() {
        let mut scenario = gatefrost_core::scenario::demo::default_demo().scenario();
        scenario.model = scenario.model.at_most(12, 6);
        scenario.ignored = Limit::ALL.into_iter().filter(|l| limits::stage(*l) == Stage::Hold).collect();
        let fills = trace(&scenario, Detail::Fine).expect("valid");
        assert!(fills.evaluations > 0 && fills.holds == 0, "{} {}", fills.evaluations, fills.holds);
        let mut whole = scenario.clone();
        whole.ignored.clear();
        let whole = trace(&whole, Detail::Fine).expect("valid");
        assert!(whole.holds > 0 && fills.lines.len() < whole.lines.len());
        let decided_by_the_fill = |line: &&LimitLine| limits::stage(line.limit) < Stage::Hold;
        assert_eq!(fills.lines.len(), whole.lines.iter().filter(decided_by_the_fill).count());
        scenario.ignored = Limit::ALL.to_vec();
        let none = trace(&scenario, Detail::Fine).expect("valid");
        assert_eq!((none.evaluations, none.lines.len()), (0, 0));
    }
}
