//! The order in which branches are written does not matter.

use gatefrost_core::scenario::{Scenario, demo};
use gatefrost_report::Report;
use gatefrost_report::evaluate;
use gatefrost_tests::numeric::off;

/// The demo with two gates, its branches in another order; every passage says whom it follows.
fn reordered(order: &[usize]) -> Scenario {
    let mut s = demo::find("yoke").expect("is a demo").scenario();
    let feeders: Vec<Option<usize>> =
        (0..s.cavity.passages.len()).map(|i| s.cavity.feeder(i).expect("valid")).collect();
    let names: Vec<String> = s.cavity.passages.iter().map(|p| p.name.clone()).collect();
    for (p, feeder) in s.cavity.passages.iter_mut().zip(feeders) {
        p.after = feeder.map(|k| names[k].clone());
    }
    s.cavity.passages = order.iter().map(|&i| s.cavity.passages[i].clone()).collect();
    s.validate().expect("valid in any order in which feeders come first");
    s
}

fn compare(a: &Report, b: &Report) {
    let [h, k] = [a, b].map(|r| r.hold.as_ref().expect("the part is full"));
    let same = |what: &str, x: f64, y: f64, allowed: f64| assert!(off(x, y) < allowed, "{what}: {x} and {y}");
    same("pressure", a.fill.required_pressure_mpa, b.fill.required_pressure_mpa, 1e-4);
    same("front", a.fill.front_temperature_min_c, b.fill.front_temperature_min_c, 1e-4);
    same("mass", h.part_mass_g, k.part_mass_g, 3e-5);
    same("force", h.opening_force_kn, k.opening_force_kn, 1e-4);
    for gate in &h.gates {
        let other = k.gates.iter().find(|g| g.name == gate.name).expect("is there");
        same("freeze", gate.freeze_s.expect("freezes"), other.freeze_s.expect("freezes"), 1e-3);
    }
    for end in &h.ends {
        let other = k.ends.iter().find(|e| e.name == end.name).expect("is there");
        assert_eq!(end.gate, other.gate);
        same("shrinkage", end.shrinkage_percent, other.shrinkage_percent, 1e-3);
    }
    let (x, y) = (&a.fill.weld_lines[0], &b.fill.weld_lines[0]);
    assert_eq!(x.passage, y.passage);
    same("weld", x.from_start_mm, y.from_start_mm, 1e-3);
    for (m, n) in a.margins.iter().zip(&b.margins) {
        assert_eq!(m.limit, n.limit);
        assert!((m.g - n.g).abs() < 1e-3, "{}: {} and {}", m.label, m.g, n.g);
    }
}

/// Every number to what the split is solved to: 3e-4 of the flow.
#[test]
fn the_order_of_the_passages_does_not_matter() {
    let as_given = evaluate(&demo::find("yoke").expect("is a demo").scenario()).expect("valid");
    // Written out; the far branch first; the branches interleaved.
    for order in [[0, 1, 2, 3, 4, 5, 6], [0, 4, 5, 6, 1, 2, 3], [0, 4, 1, 5, 2, 3, 6]] {
        let report = evaluate(&reordered(&order)).expect("valid");
        compare(&as_given, &report);
    }
}
