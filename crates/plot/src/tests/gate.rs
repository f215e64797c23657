//! The detail of the gate.

use super::*;
use crate::GateDetail;
use gatefrost_core::scenario::gate::GATES;
use gatefrost_core::scenario::start::Shelf;
use gatefrost_report::cavity_of;

/// Every form of gate on every usual part: each size that the toolmaker cuts stands at a dimension line, all of it inside the
/// sheet, no text over another.
#[test]
fn the_detail_of_a_gate_names_every_size_that_is_cut() {
    for part in Shelf::read().parts {
        for gate in GATES {
            let cavity = cavity_of(&part.scenario(&[], Some(gate), None, 1).expect("made")).expect("valid");
            let detail = GateDetail::of(HOSTILE, &cavity.passages).expect("a gate");
            let (list, _) = sheet_of(&detail, 210, 200, &Style::default());
            let texts = written(&list);
            let said = texts.iter().map(|w| w.text.clone()).collect::<Vec<_>>().join(" ");
            let p = cavity.passages.iter().find(|p| p.role == "gate").expect("a gate");
            let sizes = [p.length_mm, p.thickness_mm[0], p.thickness_mm[1], p.width_mm[0]];
            for size in sizes.map(axes::reading) {
                assert!(said.contains(&size), "{} {}: {size} in {said}", part.name, gate.name);
            }
            for (i, a) in texts.iter().enumerate() {
                for b in &texts[..i] {
                    assert!(
                        !a.frame.overlaps(&b.frame),
                        "{} {}: {} over {}",
                        part.name,
                        gate.name,
                        a.text,
                        b.text
                    );
                }
            }
            assert_eq!(detail.table().rows.len(), 7);
        }
    }
}

/// The two sides of the gate are drawn at one scale: its depth against its length as in the list.
#[test]
fn the_section_of_a_gate_is_to_scale() {
    let cavity =
        cavity_of(&Shelf::read().parts[0].scenario(&[], None, None, 1).expect("made")).expect("valid");
    let detail = GateDetail::of("", &cavity.passages).expect("a gate");
    let (list, _) = sheet_of(&detail, 420, 400, &Style::default());
    let walls: Vec<_> = list
        .shapes
        .iter()
        .filter_map(|shape| match shape {
            Shape::Path { points, .. } if points.len() == 6 => Some(points),
            _ => None,
        })
        .collect();
    let [upper, lower] = walls[..] else { panic!("{} walls", walls.len()) };
    let (length, depth) = (upper[3][0] - upper[2][0], lower[2][1] - upper[2][1]);
    let gate = cavity.passages.iter().find(|p| p.role == "gate").expect("a gate");
    assert!((depth / length * gate.length_mm / gate.thickness_mm[0] - 1.0).abs() < 1e-9, "{depth} {length}");
    assert!(GateDetail::of("", &cavity.passages[..2]).is_none());
}
