//! Limits that the fronts decide: how cold they get, and how cold they are where they meet.
//!
//! A thin section that fills slowly through a poor contact has one temperature across its gap. Then a front cools along its
//! way as dθ/dt = −κθ, with κ = 2h_c/ρc_p h in a strip and 4h_c/ρc_p D in a tube. The melt is Newtonian and its viscosity does
//! not change with temperature, so that the branches share the flow as their resistance has it: both are integrated here.

use super::fork::{Shape, absent_or, found};
use super::{Scale, check};
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::Scenario;
use gatefrost_report::evaluate;
use gatefrost_tests::build::{self, power_law};
use serde_json::{Value, json};

/// Contact \[W/m²K\], heat capacity by volume \[J/m³K\], injection time \[s\], melt and wall \[°C\].
const CONTACT: f64 = 15.0;
const HEAT: f64 = 3.38e6;
const TIME: f64 = 120.0;
const MELT: f64 = 160.0;
const WALL: f64 = 40.0;
const NO_FLOW: f64 = 20.0;

const FEED: Shape = Shape::Tube(5e-3, [3e-3, 3e-3]);
const RUNNERS: [Shape; 2] =
    [Shape::Strip(10e-3, [6e-3, 7e-3], [3e-3, 2.6e-3]), Shape::Strip(60e-3, [6e-3, 7e-3], [3e-3, 2.6e-3])];
const ARMS: [Shape; 2] = [
    Shape::Strip(40e-3, [8e-3, 9e-3], [1.6e-3, 1.2e-3]),
    Shape::Strip(50e-3, [10e-3, 9e-3], [1.8e-3, 1.2e-3]),
];

/// Where a front is on its way through some shapes, and how it has fared.
struct Walk<'a> {
    way: &'a [Shape],
    passage: usize,
    place: f64,
    /// Pressure per flow so far, with a viscosity of one.
    resistance: f64,
    /// ln of its temperature above the wall, over the melt's.
    cooled: f64,
}

impl Walk<'_> {
    fn shape(&self) -> Shape {
        self.way[self.passage]
    }

    /// Fills a volume in a time, both small.
    fn on(&mut self, volume: f64, time: f64) {
        let shape = self.shape();
        let step = volume / shape.area(self.place);
        self.resistance += shape.gradient(1.0, 1.0, self.place) * step;
        let walls = if matches!(shape, Shape::Tube(..)) { 4.0 } else { 2.0 };
        self.cooled -= walls * CONTACT / (HEAT * shape.depth(self.place)) * time;
        self.place += step / shape.length();
        if self.place >= 1.0 {
            (self.passage, self.place) = (self.passage + 1, 0.0);
        }
    }

    fn temperature(&self) -> f64 {
        WALL + (MELT - WALL) * self.cooled.exp()
    }
}

/// Temperatures \[°C\] of the two fronts where they meet, by hand.
fn fronts() -> [f64; 2] {
    let ways = [0, 1].map(|k| [RUNNERS[k], ARMS[k], ARMS[1 - k].turned()]);
    let (branches, feed) = ([RUNNERS, ARMS].concat().iter().map(|s| s.volume()).sum::<f64>(), FEED.volume());
    let rate = (feed + branches) / TIME;
    let steps = 40_000;
    let mut walks = [0, 1].map(|k| {
        let mut walk = Walk { way: &ways[k], passage: 0, place: 0.0, resistance: 0.0, cooled: 0.0 };
        walk.cooled = -4.0 * CONTACT / (HEAT * FEED.depth(0.0)) * feed / rate;
        walk
    });
    let step = branches / f64::from(steps);
    for _ in 0..steps {
        // The flow goes as the conductance; what little lies before the fronts at first is alike.
        let open = walks.each_ref().map(|w| 1.0 / (w.resistance + 1e-6 * RUNNERS[0].gradient(1.0, 1.0, 0.0)));
        for (walk, open_here) in walks.iter_mut().zip(open) {
            walk.on(step * open_here / (open[0] + open[1]), step / rate);
        }
    }
    walks.map(|w| w.temperature())
}

fn scenario(reserve: &str, above: f64) -> Scenario {
    let form = |shape: Shape| shape.form();
    let passages = json!([
        { "name": "feed", "role": "runner", "form": form(FEED) },
        { "name": "short runner", "role": "runner", "form": form(RUNNERS[0]) },
        { "name": "near arm", "role": "part", "form": form(ARMS[0]) },
        { "name": "long runner", "role": "runner", "after": "feed", "form": form(RUNNERS[1]) },
        { "name": "far arm", "role": "part", "meets": "near arm", "form": form(ARMS[1]) }
    ]);
    let mut limits = Value::default();
    limits[reserve] = json!(above);
    let changes = json!({
        "feedstock": { "flow_law": power_law(100.0, 1.0, 0.0), "no_flow_temperature": NO_FLOW, "binder_conductivity": 5 },
        "setup": {
            "melt_temperature": MELT, "mould_temperature": WALL, "contact_conductance": CONTACT, "injection_time": TIME,
            "hold_pressure": 1, "hold_time": 0.1, "cooling_time": 0
        },
        "limits": limits,
        "model": { "axial_cells": 240, "layers": 8, "viscous_heating": false }
    });
    build::scenario(passages, &changes)
}

/// Both fronts, and the limit by the colder of them: also where the warmer would still weld.
#[test]
fn a_weld_is_as_strong_as_its_colder_front() {
    let [one, other] = fronts();
    let (colder, warmer) = (one.min(other), one.max(other));
    assert!(warmer - colder > 12.0, "{one} {other}");
    let welds = evaluate(&scenario("weld_reserve", 25.0)).expect("valid").fill.weld_lines;
    assert_eq!(welds.len(), 1);
    let mut found_both = welds[0].front_temperatures_c;
    found_both.sort_by(f64::total_cmp);
    let off = [found_both[0] - colder, found_both[1] - warmer];
    assert!(off.iter().all(|o| (0.0..3.0).contains(o)), "{one} {other} {found_both:?}");
    for threshold in [colder - 8.0, 0.5 * (colder + warmer), warmer + 8.0] {
        let m = found(&scenario("weld_reserve", threshold - NO_FLOW), Limit::Weld);
        check(&m, colder, threshold, Scale::Above(10.0), 0.03);
    }
}

/// The coldest front of all branches is the colder at the very end, where the two meet.
#[test]
fn the_coldest_front_is_that_of_the_colder_branch() {
    let colder = fronts().into_iter().fold(f64::INFINITY, f64::min);
    for threshold in [colder - 8.0, colder + 8.0] {
        let m = found(&scenario("cold_front_reserve", threshold - NO_FLOW), Limit::ColdFront);
        check(&m, colder, threshold, Scale::Above(10.0), 0.03);
    }
}

/// Where no fronts meet there is no weld line.
#[test]
fn without_a_meeting_there_is_no_weld() {
    assert!(absent_or(&super::fork::FORK.filled(100.0, &json!({})), Limit::Weld).is_none());
}
