//! Whether the part is one for moulding: reasons with numbers beside what each route usually does. No verdict.

use crate::press::{Compact, Punches};
use crate::shot::Shot;
use crate::told::{Row, percent, with};
use gatefrost_after::plan::{CurvePoint, Plan, density};
use gatefrost_scenario::format::number;
use gatefrost_scenario::scenario::Scenario;
use serde::Serialize;

/// Words that stand with every usual value.
pub const FROM_MEMORY: &str = "Usual values of the routes are common practice, from memory.";

/// What a route usually does.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Route {
    /// The route.
    pub name: String,
    /// Shapes it makes.
    pub shape: String,
    /// Quantities.
    pub pieces: String,
    /// Tolerance of a length.
    pub tolerance: String,
    /// What speaks in this part's numbers, line by line.
    pub reasons: Vec<Row>,
}

/// The routes, and the pressure along a compact.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct RoutePlan {
    /// Each route with its reasons.
    pub routes: Vec<Route>,
    /// The compact; `None` without its height and width.
    pub compact: Option<CompactPlan>,
}

/// Pressure and density along a compact, from the upper punch down.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CompactPlan {
    /// Height over width.
    pub height_over_width: f64,
    /// Pressure over that of the punch, in per cent, against the depth in mm: one punch moves.
    pub one: Vec<CurvePoint>,
    /// The same if both move.
    pub both: Vec<CurvePoint>,
    /// Relative density in per cent against the depth in mm, one punch; shorter where the law does not reach so far.
    pub density_one: Vec<CurvePoint>,
    /// The same if both move.
    pub density_both: Vec<CurvePoint>,
}

const POINTS: usize = 60;

/// The compact of a scenario in SI; `None` without its sizes.
pub fn compact(s: &Scenario) -> Option<Compact> {
    let p = &s.plan;
    Some(Compact {
        height: p.pressed_height? / 1e3,
        width: p.pressed_width? / 1e3,
        friction: p.wall_friction,
        density: p.pressed_density / 100.0,
        slope: p.density_slope / 100.0,
    })
}

fn along(compact: &Compact) -> CompactPlan {
    let places = || (0..=POINTS).map(|i| i as f64 / POINTS as f64);
    let depth = |at: f64| at * compact.height * 1e3;
    let pressure = |punches| {
        let point = |at| CurvePoint { x: depth(at), y: 100.0 * compact.left(at, punches) };
        places().map(point).collect()
    };
    let density = |punches| {
        let point = |at| Some(CurvePoint { x: depth(at), y: 100.0 * compact.density_at(at, punches)? });
        places().filter_map(point).collect()
    };
    CompactPlan {
        height_over_width: compact.height / compact.width,
        one: pressure(Punches::One),
        both: pressure(Punches::Both),
        density_one: density(Punches::One),
        // Its law may fail in the middle alone: then the curve would jump over it.
        density_both: if compact.density_at(0.5, Punches::Both).is_some() {
            density(Punches::Both)
        } else {
            Vec::new()
        },
    }
}

/// The tightest tolerance that is asked, as a share of its length.
pub(crate) fn tightest(s: &Scenario) -> Option<f64> {
    let shares = s.sizes.dimensions.iter().map(|d| d.tolerance / d.size);
    shares.reduce(f64::min)
}

/// The routes of a scenario. `pays` is the quantity at which a mould pays against another route, where prices tell it.
pub(crate) fn plan(s: &Scenario, shot: Option<&Shot>, after: &Plan, pays: Option<f64>) -> RoutePlan {
    let compact = compact(s);
    let asked = Asked { s, shot, after, pays };
    let routes = vec![
        Route {
            name: "uniaxial pressing".into(),
            shape: "prismatic, height below twice the width, no undercut".into(),
            pieces: "above 20 000".into(),
            tolerance: "±0.05 to 0.1 % of the pressed size".into(),
            reasons: asked.pressing(compact.as_ref()),
        },
        Route {
            name: "dry-bag isostatic pressing".into(),
            shape: "simple, small, round".into(),
            pieces: "many".into(),
            tolerance: "±1 to 2 %".into(),
            reasons: asked.bag(true),
        },
        Route {
            name: "wet-bag isostatic pressing".into(),
            shape: "large or complex, no moulded detail".into(),
            pieces: "few".into(),
            tolerance: "machined afterwards".into(),
            reasons: asked.bag(false),
        },
        Route {
            name: "injection moulding".into(),
            shape: "below 100 g, wall 0.3 to 6 mm, undercuts".into(),
            pieces: "above 5000 a year".into(),
            tolerance: "±0.3 to 0.5 %".into(),
            reasons: asked.moulding(),
        },
    ];
    RoutePlan { routes, compact: compact.as_ref().map(along) }
}

/// What is asked of a route.
struct Asked<'a> {
    s: &'a Scenario,
    shot: Option<&'a Shot>,
    after: &'a Plan,
    pays: Option<f64>,
}

const UNKNOWN: &str = "not stated";

impl Asked<'_> {
    fn tolerance(&self, usual: &str) -> Row {
        let told = tightest(self.s).map(|share| format!("±{}", percent(share)));
        Row::told("tightest tolerance asked", told.unwrap_or_else(|| UNKNOWN.to_owned()), usual)
    }

    fn pieces(&self, usual: &str) -> Row {
        let told = self.s.plan.pieces.map_or_else(|| UNKNOWN.to_owned(), |n| with(n, "a year"));
        Row::told("parts wanted", told, usual)
    }

    fn undercuts(&self, usual: &str) -> Row {
        Row::told("undercuts and cross holes", self.s.plan.undercuts.to_string(), usual)
    }

    fn pressing(&self, compact: Option<&Compact>) -> Vec<Row> {
        let mut rows = Vec::new();
        match compact {
            None => rows.push(Row::told("height over width", UNKNOWN, "below 2")),
            Some(c) => {
                rows.push(Row::told("height over width", number(c.height / c.width, 3), "below 2"));
                for (punches, words, place) in [
                    (Punches::One, "one punch moves", "at the far end"),
                    (Punches::Both, "both punches move", "in the middle"),
                ] {
                    let left = format!("{} {place}", percent(c.least(punches)));
                    rows.push(Row::told(&format!("pressure left, {words}"), left, "100 % at the punch"));
                    rows.push(self.uneven(c, punches, words));
                }
            }
        }
        rows.extend([self.undercuts("none"), self.tolerance("±0.05 to 0.1 %"), self.pieces("above 20 000")]);
        rows
    }

    /// The difference of sintered widths inside one part, against the tolerance that is asked.
    fn uneven(&self, c: &Compact, punches: Punches, words: &str) -> Row {
        let at = if punches == Punches::One { 1.0 } else { 0.5 };
        let here = match (c.density_at(at, punches), c.narrower(punches)) {
            (Some(least), Some(narrower)) => format!(
                "density {} down to {}; sintered width {} smaller there",
                percent(c.density),
                percent(least),
                percent(narrower)
            ),
            _ => "density below half of that at the punch: no sound compact".to_owned(),
        };
        let against = match tightest(self.s) {
            None => "within the tolerance".to_owned(),
            // Both sides of a tolerance together take the whole difference.
            Some(share) => {
                let height = c.height_for((2.0 * share).min(0.5), punches);
                let height = if height.is_finite() { number(height, 2) } else { "any".to_owned() };
                format!("{} between the widths; height over width {height}", percent(2.0 * share))
            }
        };
        Row::told(&format!("shrinks unevenly, {words}"), here, against)
    }

    fn bag(&self, dry: bool) -> Vec<Row> {
        let tolerance = if dry { "±1 to 2 %" } else { "machined afterwards" };
        let pieces = if dry { "many" } else { "few" };
        let even = Row::told("pressure along the part", "the same from all sides", "no die wall takes it up");
        vec![even, self.undercuts("none without machining"), self.tolerance(tolerance), self.pieces(pieces)]
    }

    fn moulding(&self) -> Vec<Row> {
        let s = self.s;
        let mut rows = Vec::new();
        let wall = self.after.walls.iter().map(|wall| wall.thickness_mm).fold(0.0, f64::max);
        rows.push(match self.part_mass() {
            Some(mass) => Row::told("mass of a sintered part", with(mass, "g"), "below 100 g")
                .explained_by("plan.sizes.weights_of_one.sintered_g"),
            None => Row::told("mass of a sintered part", "not known without a full part", "below 100 g"),
        });
        rows.push(Row::told("thickest wall in the cavity", with(wall, "mm"), "0.3 to 6 mm"));
        let debinding = match &self.after.debinding_hours {
            Some(hours) => {
                let here = format!(
                    "{} h ({} to {} h)",
                    number(hours.value, 3),
                    number(hours.low, 2),
                    number(hours.high, 2)
                );
                match s.debinding.longest {
                    Some(longest) => Row::judged(
                        "debinding of this wall",
                        here,
                        format!("at most {} allowed", with(longest, "h")),
                        hours.value <= longest,
                    ),
                    None => Row::told("debinding of this wall", here, "no longest time is stated"),
                }
            }
            None => Row::told("debinding of this wall", "not complete", "see debinding"),
        };
        rows.push(debinding.explained_by("plan.debinding_hours.value"));
        let grain = with(s.feedstock.particle_size, "µm");
        rows.push(Row::told("median of the powder", grain, "below about 20 µm"));
        rows.push(self.undercuts("can be moulded with slides"));
        rows.push(self.tolerance("±0.3 to 0.5 %"));
        rows.push(self.pieces("above 5000"));
        let pays = self.pays.map_or_else(
            || "not known without both prices".to_owned(),
            |pays| format!("from {} parts on", number(pays, 3)),
        );
        rows.push(Row::told("the mould pays against the other route", pays, "your own prices"));
        rows
    }

    /// Mass of one sintered part \[g\].
    fn part_mass(&self) -> Option<f64> {
        let sizes = self.after.sizes.as_ref()?;
        self.shot?;
        Some(sizes.weights.sintered_g / crate::parts_of_a_shot(self.s))
    }
}

/// Relative density of the sintered part, for the sheet.
pub(crate) fn sintered(s: &Scenario) -> f64 {
    density(s)
}
