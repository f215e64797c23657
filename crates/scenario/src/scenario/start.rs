//! Parts of usual forms to begin with. A few sizes make a tree of passages, with sprue and runners of usual sizes and a
//! gate of a usual form.

use super::gate::{self, GateForm};
use super::{
    Disc, Family, Form, Lies, Machine, Passage, Problem, Role, Scenario, ScenarioError, Setup, Strip, Tube,
    demo,
};
use crate::document;
use crate::format::number;
use serde::Deserialize;
use std::f64::consts::PI;

mod cavities;

pub use cavities::{CAVITIES, suit_machine};

/// The descriptions of parts and gates, as JSON of a [`Shelf`].
pub static SHELF: &str = include_str!("shelf.json");

/// Parts and gates in words.
#[derive(Debug, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Shelf {
    /// The parts.
    pub parts: Vec<PartWords>,
    /// The forms of gate; the first is the most usual.
    pub gates: Vec<GateWords>,
}

/// A part in words.
#[derive(Debug, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct PartWords {
    /// Short name, that of its [`Start`].
    pub name: String,
    /// Description.
    pub title: String,
    /// How it is divided into passages.
    pub words: String,
    /// Name of its usual gate.
    pub gate: String,
    /// Its sizes, the wall at the gate first.
    pub sizes: Vec<Size>,
}

/// A size that the user gives.
#[derive(Debug, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Size {
    /// Name.
    pub title: String,
    /// Catalogue path of the number that it stands for: symbol, unit and range.
    pub like: String,
    /// Value to begin with \[mm\].
    pub default: f64,
}

/// A form of gate in words.
#[derive(Debug, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct GateWords {
    /// Short name, that of its [`GateForm`].
    pub name: String,
    /// Name in the trade.
    pub title: String,
    /// Its use, and how it is removed.
    pub words: String,
    /// Source of its sizes.
    pub source: String,
}

impl Shelf {
    /// The parts and gates to begin with.
    pub fn read() -> Self {
        document::read(SHELF).expect("the shelf is read by a test")
    }
}

/// A part to begin with.
#[derive(Debug)]
pub struct Start {
    /// Short name.
    pub name: &'static str,
    passages: &'static [Piece],
    rules: &'static [Rule],
}

/// A size that cannot be more than so many times another one: their positions in the list, their names in a sentence, the
/// factor, and what the user may have meant.
type Rule = ([usize; 2], [&'static str; 2], f64, &'static str);

/// A passage; references are positions in the list.
#[derive(Debug)]
struct Piece {
    name: &'static str,
    role: Role,
    /// Its form, from all sizes \[mm\].
    form: fn(&Sizes) -> Form,
    lies: Option<Lies>,
    after: Option<usize>,
    meets: Option<usize>,
}

/// The sizes of a part in their order; the wall at the gate is always the first.
type Sizes = [f64; 5];

/// Rounded to a micrometre, to keep numbers short.
fn round(mm: f64) -> f64 {
    (mm * 1e3).round() / 1e3
}

// Not inlined, because the page's wasm would hold a copy for each passage.
#[inline(never)]
fn tube(length: f64, diameter: f64, end: f64) -> Form {
    let diameter_end = (end != diameter).then_some(round(end));
    Form::Tube(Tube { length, diameter: round(diameter), diameter_end })
}

#[inline(never)]
fn strip(length: f64, width: f64, thickness: f64) -> Form {
    let (length, width) = (round(length), round(width));
    Form::Strip(Strip { length, width, width_end: None, thickness, thickness_end: None })
}

#[inline(never)]
fn disc(inner: f64, outer: f64, thickness: f64, angle: f64) -> Form {
    let (inner_radius, outer_radius) = (round(inner), round(outer));
    Form::Disc(Disc { inner_radius, outer_radius, angle, thickness, thickness_end: None })
}

const fn piece(name: &'static str, role: Role, form: fn(&Sizes) -> Form) -> Piece {
    Piece { name, role, form, lies: None, after: None, meets: None }
}

const fn part(name: &'static str, form: fn(&Sizes) -> Form) -> Piece {
    piece(name, Role::Part, form)
}

/// As thick as the wall and 2 mm more, common practice.
const fn runner(name: &'static str) -> Piece {
    piece(name, Role::Runner, |[h, ..]| tube(20.0, h + 2.0, h + 2.0))
}

impl Piece {
    const fn upright(self) -> Self {
        Self { lies: Some(Lies::Along), ..self }
    }
}

const SPRUE: Piece = piece("sprue", Role::Sprue, |[h, ..]| tube(40.0, 3.5, h + 2.5));
/// Takes the form that is chosen.
const GATE: Piece = piece("gate", Role::Gate, |_| tube(1.0, 1.0, 1.0));
const BAR: fn(&Sizes) -> Form = |&[h, length, width, ..]| strip(length, width, h);
const HALF: fn(&Sizes) -> Form = |&[h, diameter, breadth, ..]| strip(PI / 2.0 * diameter, breadth, h);

const FLAT: &str = "The wall is the smallest size of a part. Exchange the two, or check the sizes";

/// The parts.
pub static STARTS: &[Start] = &[
    Start {
        name: "bar",
        passages: &[SPRUE, runner("runner"), GATE, part("bar", BAR)],
        rules: &[
            ([0, 2], ["wall", "width"], 1.0, FLAT),
            (
                [2, 1],
                ["width", "length"],
                1.0,
                "The length runs with the flow. Exchange the two, or take the plate for a part that is wider than long",
            ),
        ],
    },
    Start {
        name: "plate",
        passages: &[
            SPRUE,
            runner("runner"),
            GATE,
            part("spread", |&[h, _, width, ..]| disc(0.64 * h, width / 2.0, h, 180.0)),
            // The half disc of radius w/2 takes πw/8 of the length at full width.
            part("plate", |&[h, length, width, ..]| strip(length - PI / 8.0 * width, width, h)),
        ],
        rules: &[
            ([0, 2], ["wall", "width"], 0.75, "That is a block, no plate. Exchange the two, or take the bar"),
            ([0, 1], ["wall", "length"], 1.0, FLAT),
            // Beyond 8/π the half disc would be longer than the plate.
            (
                [2, 1],
                ["width", "length"],
                2.5,
                "The width is at most 2.5 times the length, because the melt spreads over half a disc before it runs straight. Exchange the two: feed the shorter edge",
            ),
        ],
    },
    Start {
        name: "disc",
        passages: &[SPRUE, GATE, part("disc", |&[h, diameter, ..]| disc(0.3 * h, diameter / 2.0, h, 360.0))],
        rules: &[([0, 1], ["wall", "diameter"], 1.0, FLAT)],
    },
    Start {
        name: "ring",
        passages: &[
            SPRUE,
            runner("runner"),
            GATE,
            part("one half", HALF),
            Piece { after: Some(2), meets: Some(3), ..part("other half", HALF) },
        ],
        rules: &[
            ([0, 2], ["wall", "width of the ring"], 1.0, FLAT),
            (
                [0, 1],
                ["wall", "mean diameter"],
                0.5,
                "A ring with so thick a wall has hardly a hole. Take the disc, or check the sizes",
            ),
        ],
    },
    Start {
        name: "sleeve",
        passages: &[
            SPRUE,
            GATE,
            part("thick end", |&[h, diameter, length, ..]| strip(length, PI * diameter, h)).upright(),
            part("thin end", |&[_, diameter, _, h, length]| strip(length, PI * diameter, h)).upright(),
        ],
        rules: &[
            (
                [0, 1],
                ["wall at the gate", "mean diameter"],
                0.5,
                "A sleeve with so thick a wall has hardly a bore. Check the sizes",
            ),
            (
                [3, 0],
                ["wall at the far end", "wall at the gate"],
                1.0,
                "The sleeve is fed at its thick end, so that the thin end can be packed. Exchange the two ends",
            ),
        ],
    },
];

/// The part of that name.
pub fn find(name: &str) -> Option<&'static Start> {
    STARTS.iter().find(|s| s.name == name)
}

impl Start {
    /// Checks that the sizes make such a part: that none is more than another one allows, as when two are exchanged.
    ///
    /// # Errors
    /// Names the two sizes as the user does, with their values, and what may have been meant.
    pub fn check(&self, sizes: &[f64]) -> Result<(), ScenarioError> {
        let broken = |&&([small, large], _, times, _): &&Rule| match (sizes.get(small), sizes.get(large)) {
            (Some(&small), Some(&large)) => small > times * large,
            _ => false,
        };
        let Some(&(places, [small, large], _, words)) = self.rules.iter().find(broken) else { return Ok(()) };
        let [a, b] = places.map(|place| number(sizes[place], 4));
        let message = format!("The {small} is {a} mm, and the {large} is {b} mm. {words}");
        Err(ScenarioError { problems: vec![Problem { path: String::new(), message }] })
    }

    /// Replaces the cavity of a scenario by the part with these sizes; a missing size is 1 mm. The injection time follows
    /// from the thinnest wall, 0.25 s for each millimetre, from memory. The hold is a long one, from which
    /// `core::start::hold_until_frozen` finds the one that the gate needs: 2.5 s and 4.4 s for each square millimetre of the
    /// gate's depth, about the setting time of a slot in steel that warms, from memory.
    ///
    /// So many `cavities`, 1, 2, 4 or 8, stand on a balanced runner.
    pub fn put(&self, scenario: &mut Scenario, sizes: &[f64], gate: &GateForm, cavities: u32) {
        let mut all = [1.0; 5];
        for (place, size) in all.iter_mut().zip(sizes) {
            *place = *size;
        }
        let named = |i: Option<usize>| i.and_then(|i| self.passages.get(i)).map(|p| p.name.to_owned());
        let passages = self.passages.iter().map(|p| Passage {
            copies: 1,
            wall_angle: None,
            projected_area: None,
            name: p.name.to_owned(),
            role: p.role,
            lies: p.lies,
            after: named(p.after),
            meets: named(p.meets),
            reached: None,
            form: (p.form)(&all),
        });
        let cavity = &mut scenario.cavity;
        cavity.passages = cavities::on_runner(passages.collect(), all[0], cavities);
        cavity.take_gate(gate);
        let (mut thinnest, mut setting) = (f64::INFINITY, 0.0_f64);
        for p in &cavity.passages {
            let depth = p.form.depths().map(|(_, depth)| depth).fold(f64::INFINITY, f64::min);
            match p.role {
                Role::Part => thinnest = thinnest.min(depth),
                // A cylinder sets in about half the time of a slot, by the first terms of the series.
                Role::Gate => {
                    let rate = if matches!(p.form, Form::Tube(_)) { 2.3 } else { 4.4 };
                    setting = setting.max(rate * depth * depth);
                }
                _ => {}
            }
        }
        let tidy = |seconds: f64, most: f64| ((seconds * 20.0).round() / 20.0).clamp(0.05, most);
        scenario.setup.injection_time = tidy(0.25 * thinnest, 120.0);
        hold_for(&mut scenario.setup, tidy(2.5 + setting, 600.0));
    }
}

/// Makes the whole hold last so many seconds. A hold in steps keeps its pressures, and its last step gets the time that
/// remains: at least 1 s, or its own time if that is shorter.
pub fn hold_for(setup: &mut Setup, seconds: f64) {
    match setup.further_hold.split_last_mut() {
        Some((last, between)) => {
            let before = setup.hold_time + between.iter().map(|step| step.time).sum::<f64>();
            last.time = (seconds - before).max(last.time.min(1.0));
        }
        None => setup.hold_time = seconds,
    }
}

/// Machine and set-up with which parts of usual forms are inside their windows: those of the family of the binder where
/// it is stated, otherwise the catalogue's machine, the first demo's set-up and a hold pressure that packs them.
pub fn make_usual(scenario: &mut Scenario) {
    scenario.machine = Machine::default();
    scenario.setup = Setup { hold_pressure: 71.0, ..demo::default_demo().scenario().setup };
    if let Some(family) = scenario.feedstock.family {
        family.set_up(scenario);
    }
}

impl PartWords {
    /// The part with these sizes and this gate, in the feedstock of the first demo, or in its powder with a binder of a
    /// family. Sizes that are left out have their defaults; without a gate the usual one is taken. `None` for an unknown
    /// part or gate. So many `cavities`, 1, 2, 4 or 8, stand on a balanced runner, in a machine that goes with them.
    pub fn scenario(
        &self,
        sizes: &[f64],
        gate: Option<&GateForm>,
        family: Option<Family>,
        cavities: u32,
    ) -> Option<Scenario> {
        let mut scenario = demo::default_demo().scenario();
        scenario.name.clone_from(&self.title);
        if cavities > 1 {
            scenario.name = format!("{}, {cavities} cavities", self.title);
        }
        scenario.notes.clone_from(&self.words);
        if let Some(family) = family {
            family.take(&mut scenario);
            family.take_flow_law(&mut scenario);
            scenario.feedstock.name = format!("Stainless steel in a usual binder: {}", family.label());
        }
        make_usual(&mut scenario);
        let gate = gate.or_else(|| gate::find(&self.gate))?;
        find(&self.name)?.put(&mut scenario, &self.all_sizes(sizes), gate, cavities);
        suit_machine(&mut scenario);
        Some(scenario)
    }

    /// All its sizes \[mm\]: those that are given, and for those that are left out their defaults.
    pub fn all_sizes(&self, given: &[f64]) -> Vec<f64> {
        let size = |(i, size): (usize, &Size)| given.get(i).copied().unwrap_or(size.default);
        self.sizes.iter().enumerate().map(size).collect()
    }
}

#[cfg(test)]
mod tests;
