//! Parts to begin with: each is whole, and in the window, before a user has changed anything.

use gatefrost_core::scenario::gate::GATES;
use gatefrost_core::scenario::start::{self, Shelf};
use gatefrost_core::scenario::{Family, PvtLaw, Scenario};
use gatefrost_report::{Outcome, evaluate};

#[test]
fn every_part_to_begin_with_fills_and_stands_in_the_window() {
    for start in Shelf::read().parts {
        let r = evaluate(&start.scenario(&[], None, None).expect("made")).expect("valid");
        let broken: Vec<_> = r.margins.iter().filter(|m| m.g < 0.0).map(|m| &m.sentence).collect();
        assert!(r.inside && broken.is_empty(), "{}: {broken:?}", start.name);
        assert_eq!(r.fill.outcome, Outcome::Full, "{}", start.name);
        let welds = if start.name == "ring" { 1 } else { 0 };
        assert_eq!(r.fill.weld_lines.len(), welds, "{}", start.name);
    }
}

/// A family is where a practitioner begins: on every usual part, with no number changed, every limit is met, whether the
/// part is made with the family, gets it afterwards, or is put into a scenario of the family.
#[test]
fn a_familys_numbers_meet_every_limit_on_every_part_to_begin_with() {
    for family in Family::ALL {
        for part in Shelf::read().parts {
            let made = part.scenario(&[], None, Some(family)).expect("made");
            let mut taken = part.scenario(&[], None, None).expect("made");
            family.take(&mut taken);
            // The hinge's flow law is one for high pressure.
            if family == Family::WaxLowPressure {
                family.take_flow_law(&mut taken);
            }
            let mut put = Shelf::read().parts[0].scenario(&[], None, Some(family)).expect("made");
            let sizes: Vec<f64> = part.sizes.iter().map(|size| size.default).collect();
            let gate = gatefrost_core::scenario::gate::find(&part.gate).expect("a gate");
            start::find(&part.name).expect("a part").put(&mut put, &sizes, gate);
            for (how, mut s) in [("made", made), ("taken", taken), ("put", put)] {
                // A usual part stands alone in its mould: how much of the machine it uses is the user's choice.
                s.limits.shot_share = 0.0;
                meets_every_limit(&s, &format!("{} {} {how}", family.name(), part.name));
            }
        }
    }
}

fn meets_every_limit(s: &Scenario, what: &str) {
    let r = evaluate(s).unwrap_or_else(|e| panic!("{what}: {e}"));
    assert_eq!(r.fill.outcome, Outcome::Full, "{what}");
    let near: Vec<_> = r.margins.iter().filter(|m| m.g < 0.1).map(|m| (m.g, &m.sentence)).collect();
    assert!(near.is_empty() && r.inside, "{what}: {near:?}");
    // The pvT has the step of the family's binder, and no melt flows below it.
    let PvtLaw::Tait(pvt) = &s.feedstock.pvt else { panic!("{what}: no step") };
    assert!(pvt.b7 > 0.02 * pvt.b1m && pvt.b5 <= s.feedstock.no_flow_temperature, "{what}: {pvt:?}");
}

#[test]
fn the_halves_of_a_ring_meet_opposite_the_gate() {
    let ring = Shelf::read().parts.into_iter().find(|p| p.name == "ring").expect("there is a ring");
    let r = evaluate(&ring.scenario(&[], None, None).expect("made")).expect("valid");
    let weld = &r.fill.weld_lines[0];
    let half = r.cavity.passages[weld.index].length_mm;
    assert!((weld.from_start_mm / half - 1.0).abs() < 0.02, "{} {half}", weld.from_start_mm);
}

#[test]
fn with_any_gate_they_fill_and_say_what_they_break() {
    for start in Shelf::read().parts {
        for gate in GATES {
            let scenario = start.scenario(&[], Some(gate), None).expect("made");
            let r = evaluate(&scenario).expect("valid");
            assert_eq!(r.fill.outcome, Outcome::Full, "{} {}", start.name, gate.name);
            for margin in r.margins.iter().filter(|m| m.g < 0.0) {
                assert!(margin.sentence.contains("not met by"), "{}", margin.sentence);
                assert!(!margin.remedy.is_empty(), "{}", margin.label);
            }
        }
    }
}
