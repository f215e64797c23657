//! Parts to begin with: each is whole, and in the window, before a user has changed anything.

use gatefrost_core::scenario::gate::GATES;
use gatefrost_core::scenario::start::Shelf;
use gatefrost_report::{Outcome, evaluate};

#[test]
fn every_part_to_begin_with_fills_and_stands_in_the_window() {
    for start in Shelf::read().parts {
        let r = evaluate(&start.scenario(&[], None).expect("made")).expect("valid");
        let broken: Vec<_> = r.margins.iter().filter(|m| m.g < 0.0).map(|m| &m.sentence).collect();
        assert!(r.inside && broken.is_empty(), "{}: {broken:?}", start.name);
        assert_eq!(r.fill.outcome, Outcome::Full, "{}", start.name);
        let welds = if start.name == "ring" { 1 } else { 0 };
        assert_eq!(r.fill.weld_lines.len(), welds, "{}", start.name);
    }
}

#[test]
fn the_halves_of_a_ring_meet_opposite_the_gate() {
    let ring = Shelf::read().parts.into_iter().find(|p| p.name == "ring").expect("there is a ring");
    let r = evaluate(&ring.scenario(&[], None).expect("made")).expect("valid");
    let weld = &r.fill.weld_lines[0];
    let half = r.cavity.passages[weld.index].length_mm;
    assert!((weld.from_start_mm / half - 1.0).abs() < 0.02, "{} {half}", weld.from_start_mm);
}

#[test]
fn with_any_gate_they_fill_and_say_what_they_break() {
    for start in Shelf::read().parts {
        for gate in GATES {
            let scenario = start.scenario(&[], Some(gate)).expect("made");
            let r = evaluate(&scenario).expect("valid");
            assert_eq!(r.fill.outcome, Outcome::Full, "{} {}", start.name, gate.name);
            for margin in r.margins.iter().filter(|m| m.g < 0.0) {
                assert!(margin.sentence.contains("not met by"), "{}", margin.sentence);
                assert!(!margin.remedy.is_empty(), "{}", margin.label);
            }
        }
    }
}
