//! The limit of sizes against Monte Carlo: at places on both sides of its line, shots whose settings, loading, lot and
//! furnace are drawn, each filled, packed and sintered by the whole chain in a cavity that stays.

use gatefrost_after::dimensions::Chain;
use gatefrost_after::plan::{CutSizes, directions, lie, plan};
use gatefrost_after::{Furnace, cavity_over_green};
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Axis, DISTURBED, Dimension, Flow, Scenario, Span, demo};
use gatefrost_core::sizes::filled;
use gatefrost_core::stages::Stage;
use gatefrost_numerics::statistics::normal_quantile;
use gatefrost_report::evaluate;
use gatefrost_safety::from_mould;
use gatefrost_tests::random::Random;
use gatefrost_window::{Detail, Wanted, margins_at, size_part, size_parts, trace};

/// Shots at each place.
const SHOTS: usize = 2000;

/// Lots that a shot may be of: their viscosities stand for equal shares of a normal distribution.
const LOTS: usize = 64;

/// Sizes whose mean the hold pressure moves across the line, on a coarse grid.
fn toleranced() -> Scenario {
    let mut s = demo::default_demo().scenario();
    s.model = s.model.at_most(8, 6);
    let dimension =
        |size: f64, tolerance: f64, flow: Flow| Dimension { size, tolerance, flow, ..Dimension::default() };
    s.sizes.dimensions = vec![dimension(25.0, 0.11, Flow::Along), dimension(6.0, 0.0264, Flow::Across)];
    s.sizes.density_scatter = 0.15;
    s.scatter.hold_pressure = 3.0;
    s.window.x = Span { axis: Axis::HoldPressure, from: 30.0, to: 70.0 };
    s.window.y = Span { axis: Axis::MeltTemperature, from: 155.0, to: 172.0 };
    s
}

/// Cpk of the shots of one scenario, the least of its dimensions, and its standard error: √(1/9n + Cpk²/2n) (Bissell,
/// Appl. Stat. 39 (1990) 331, from memory).
fn of_shots(s: &Scenario, cavities: &[f64], seed: u64) -> [f64; 2] {
    let lots = s.lots();
    let kinds = (0..LOTS).map(|k| normal_quantile((k as f64 + 0.5) / LOTS as f64));
    let kinds: Vec<Scenario> = kinds.map(|z| lots.draw(s, &vec![z; lots.numbers.len()])).collect();
    let mut random = Random::new(seed);
    let mut sizes = vec![Vec::with_capacity(SHOTS); cavities.len()];
    for _ in 0..SHOTS {
        let z: [f64; 8] = std::array::from_fn(|_| normal_quantile(random.between(1e-12, 1.0)));
        let mut shot = kinds[random.below(LOTS as u64) as usize].clone();
        for (&axis, z) in DISTURBED.iter().zip(z) {
            let value = s.get(axis);
            shot.set(axis, value + s.scatter_of(axis, value) * z);
        }
        let furnace = Furnace::resolve(&shot);
        let density = furnace.sintered_density + s.sizes.density_scatter / 100.0 * z[6];
        let in_furnace = Furnace { sintered_density: density, ..furnace }.green_over_final().expect("powder");
        let over_green = cavity_over_green(filled(&shot));
        for ((d, cavity), sizes) in s.sizes.dimensions.iter().zip(cavities).zip(&mut sizes) {
            let chain = Chain::from(*cavity, lie(d), directions(s), over_green, over_green * in_furnace);
            sizes.push(chain.sintered * (1.0 + s.sizes.measuring_scatter / 100.0 * z[7]));
        }
    }
    let n = SHOTS as f64;
    let cpk = |(d, sizes): (&Dimension, &Vec<f64>)| {
        let mean = sizes.iter().sum::<f64>() / n;
        let variance = sizes.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0);
        (d.tolerance - (mean - d.size).abs()) / (3.0 * variance.sqrt())
    };
    let least = s.sizes.dimensions.iter().zip(&sizes).map(cpk).fold(f64::INFINITY, f64::min);
    [least, (1.0 / (9.0 * n) + least * least / (2.0 * n)).sqrt()]
}

#[test]
fn the_line_is_where_many_shots_have_it() {
    let s = toleranced();
    let parts: Vec<f64> = (0..size_parts(&s, Detail::Fine)).map(|k| size_part(&s, Detail::Fine, k)).collect();
    let cavities: Vec<f64> = CutSizes::of(&s, parts[0]).expect("sizes").cavities().collect();
    let lines = trace(&s, Detail::Fine).expect("valid").lines;
    assert!(lines.iter().any(|line| line.limit == Limit::Size), "{lines:?}");
    let (mut sides, mut within) = ([0; 2], 0);
    for k in 0..10 {
        let place = [[0.06, 0.27, 0.49, 0.71, 0.94][k % 5], [0.2, 0.75][k / 5]];
        let wanted = Wanted { place, stage: Stage::LAST };
        let g = margins_at(&s, &[wanted], &parts)[0][Limit::Size as usize];
        let mut there = s.clone();
        let [x, y] = s.window.value(place);
        there.set_all(&[(Axis::HoldPressure, x), (Axis::MeltTemperature, y)]);
        let [found, error] = of_shots(&there, &cavities, k as u64);
        let off = (g + s.sizes.capability - found) / error;
        sides[usize::from(g < 0.0)] += 1;
        assert!(off.abs() < 2.81, "{place:?}: {g} by the limit, {found} ± {error} of the shots");
        within += usize::from(off.abs() < 1.96);
    }
    assert!(sides[0] >= 3 && sides[1] >= 3, "{sides:?}");
    // One in twenty may lie outside of 95 %.
    assert!(within >= 9, "{within} of 10");
}

/// The report tells the Cpk of the plan, whose scatter is of the scenario's own model; without sizes nothing is told.
#[test]
fn the_report_tells_the_capability_of_the_plan() {
    let mut s = toleranced();
    s.model = demo::default_demo().scenario().model;
    let told =
        |s: &Scenario| evaluate(s).expect("valid").margins.into_iter().find(|m| m.limit == Limit::Size);
    let mould = from_mould(&s).expect("valid").expect("a part");
    let sizes = plan(&s, Some(&mould)).sizes.expect("sizes").dimensions;
    let least = sizes.iter().map(|d| d.cpk).fold(f64::INFINITY, f64::min);
    let margin = told(&s).expect("sizes");
    assert!((margin.value / least - 1.0).abs() < 0.05, "{} against {least}", margin.value);
    assert!(margin.at_least && margin.threshold == s.sizes.capability && !margin.ignored);
    s.sizes.dimensions.clear();
    assert!(told(&s).is_none());
}
