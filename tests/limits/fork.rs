//! A tapering, branched path whose flow and pressures follow by hand.
//!
//! A sprue that widens and a runner that narrows feed two branches, each a tapering gate and a tapering plate. The
//! near branch is short and is full first. From then on the whole flow goes into the far one, which stands there
//! twice: each copy takes half. So at the end of filling every flow is known, whatever the branches did before.

use gatefrost_core::case::Case;
use gatefrost_core::limits::{self, Limit, Margin};
use gatefrost_core::scenario::Scenario;
use gatefrost_tests::build::{self, isothermal, merge, power_law};
use gatefrost_tests::numeric::simpson;
use serde_json::{Value, json};
use std::f64::consts::PI;

/// Copies of the far branch.
pub const COPIES: f64 = 2.0;
/// Injection time \[s\].
pub const TIME: f64 = 0.5;

/// A section that changes evenly along its length; lengths in metres.
#[derive(Debug, Clone, Copy)]
pub enum Shape {
    /// Length, diameters at entry and exit.
    Tube(f64, [f64; 2]),
    /// Length, widths and thicknesses at entry and exit.
    Strip(f64, [f64; 2], [f64; 2]),
}

use Shape::{Strip, Tube};

pub const SPRUE: Shape = Tube(30e-3, [4e-3, 6e-3]);
pub const RUNNER: Shape = Tube(20e-3, [5e-3, 4e-3]);
pub const NEAR_GATE: Shape = Strip(2e-3, [12e-3, 10e-3], [1.2e-3, 0.9e-3]);
pub const NEAR_PLATE: Shape = Strip(15e-3, [10e-3, 14e-3], [2e-3, 1.6e-3]);
/// Narrows towards the plate, in both directions.
pub const FAR_GATE: Shape = Strip(3e-3, [5e-3, 3e-3], [1e-3, 0.7e-3]);
pub const FAR_PLATE: Shape = Strip(40e-3, [12e-3, 10e-3], [1.8e-3, 1.2e-3]);

impl Shape {
    pub fn form(self) -> Value {
        let mm = |v: f64| v * 1e3;
        match self {
            Tube(l, [a, b]) => {
                json!({ "tube": { "length": mm(l), "diameter": mm(a), "diameter_end": mm(b) } })
            }
            Strip(l, [w, w2], [h, h2]) => json!({ "strip": {
                "length": mm(l), "width": mm(w), "width_end": mm(w2), "thickness": mm(h), "thickness_end": mm(h2)
            } }),
        }
    }

    /// The same, entered from the other end.
    pub fn turned(self) -> Self {
        match self {
            Tube(l, [a, b]) => Tube(l, [b, a]),
            Strip(l, [w, w2], [h, h2]) => Strip(l, [w2, w], [h2, h]),
        }
    }

    fn along([a, b]: [f64; 2], x: f64) -> f64 {
        a + (b - a) * x
    }

    /// Mean over the length of something of width and thickness (diameter twice, for a tube).
    fn mean(self, f: impl Fn(f64, f64) -> f64) -> f64 {
        let at = |x: f64| match self {
            Tube(_, d) => f(Self::along(d, x), Self::along(d, x)),
            Strip(_, w, h) => f(Self::along(w, x), Self::along(h, x)),
        };
        simpson(at, 0.0, 1.0, 400)
    }

    pub fn length(self) -> f64 {
        match self {
            Tube(l, _) | Strip(l, ..) => l,
        }
    }

    /// Flow area at a share of the length \[m²\].
    pub fn area(self, x: f64) -> f64 {
        match self {
            Tube(_, d) => PI / 4.0 * Self::along(d, x).powi(2),
            Strip(_, w, h) => Self::along(w, x) * Self::along(h, x),
        }
    }

    /// Thickness (diameter) at a share of the length \[m\].
    pub fn depth(self, x: f64) -> f64 {
        match self {
            Tube(_, h) | Strip(_, _, h) => Self::along(h, x),
        }
    }

    /// Volume of one copy \[m³\].
    pub fn volume(self) -> f64 {
        self.length() * simpson(|x| self.area(x), 0.0, 1.0, 400)
    }

    /// Outline of one copy in the parting plane, were it to lie there \[m²\].
    pub fn outline(self) -> f64 {
        self.length() * self.mean(|w, _| w)
    }

    /// Apparent shear rate at the wall, 6Q/wh² or 4Q/πR³, at a share of the length \[1/s\].
    pub fn shear_rate(self, q: f64, x: f64) -> f64 {
        match self {
            Tube(_, d) => 4.0 * q / (PI * (Self::along(d, x) / 2.0).powi(3)),
            Strip(_, w, h) => 6.0 * q / (Self::along(w, x) * Self::along(h, x).powi(2)),
        }
    }

    /// Pressure gradient \[Pa/m\] of a Newtonian fluid at a share of the length: 12ηQ/wh³, 128ηQ/πD⁴.
    pub fn gradient(self, eta: f64, q: f64, x: f64) -> f64 {
        match self {
            Tube(_, d) => 128.0 * eta * q / (PI * Self::along(d, x).powi(4)),
            Strip(_, w, h) => 12.0 * eta * q / (Self::along(w, x) * Self::along(h, x).powi(3)),
        }
    }

    /// Pressure drop between two shares of the length \[Pa\].
    pub fn drop(self, eta: f64, q: f64, from: f64, to: f64) -> f64 {
        self.length() * simpson(|x| self.gradient(eta, q, x), from, to, 400)
    }

    /// ∫p dA \[N\] over one copy that lies across the opening direction and ends at a pressure.
    pub fn force(self, eta: f64, q: f64, end: f64) -> f64 {
        let width = |x: f64| match self {
            Tube(_, w) | Strip(_, w, _) => Self::along(w, x),
        };
        self.length() * simpson(|x| width(x) * (end + self.drop(eta, q, x, 1.0)), 0.0, 1.0, 100)
    }
}

/// What may vary of the path: its sprue and its gates.
#[derive(Debug, Clone, Copy)]
pub struct Fork {
    pub sprue: Shape,
    pub near: Shape,
    pub far: Shape,
}

/// The path of the shapes above.
pub const FORK: Fork = Fork { sprue: SPRUE, near: NEAR_GATE, far: FAR_GATE };

impl Fork {
    pub fn passages(self) -> Value {
        let passage = |name: &str, role: &str, shape: Shape, copies: f64| json!({ "name": name, "role": role, "form": shape.form(), "copies": copies as u32 });
        let mut all = json!([
            passage("sprue", "sprue", self.sprue, 1.0),
            passage("runner", "runner", RUNNER, 1.0),
            passage("near gate", "gate", self.near, 1.0),
            passage("near plate", "part", NEAR_PLATE, 1.0),
            passage("far gate", "gate", self.far, COPIES),
            passage("far plate", "part", FAR_PLATE, COPIES),
        ]);
        all[4]["after"] = json!("runner");
        all
    }

    /// Volume of all copies \[m³\].
    pub fn volume(self) -> f64 {
        let single: f64 = [self.sprue, RUNNER, self.near, NEAR_PLATE].map(Shape::volume).iter().sum();
        single + COPIES * (self.far.volume() + FAR_PLATE.volume())
    }

    /// Flow rate \[m³/s\].
    pub fn rate(self) -> f64 {
        self.volume() / TIME
    }

    /// A Newtonian fluid at one temperature fills it in the injection time. `changes` come on top.
    pub fn filled(self, eta: f64, changes: &Value) -> Scenario {
        let mut all = isothermal();
        merge(
            &mut all,
            &json!({
                "feedstock": { "flow_law": power_law(eta, 1.0, 0.0), "swell": 1.1, "no_flow_temperature": 70 },
                "setup": { "injection_time": TIME, "hold_pressure": 5, "hold_time": 1, "cooling_time": 0 }
            }),
        );
        merge(&mut all, changes);
        build::scenario(self.passages(), &all)
    }
}

/// What a limit finds; it must be there.
pub fn found(s: &Scenario, limit: Limit) -> Margin {
    absent_or(s, limit).unwrap_or_else(|| panic!("{limit:?} is absent"))
}

/// What a limit finds, where the scenario can break it.
pub fn absent_or(s: &Scenario, limit: Limit) -> Option<Margin> {
    assert_eq!(s.validate(), Ok(()));
    limits::explain(&Case::resolve(s).evaluate()).into_iter().find(|m| m.limit == limit)
}
