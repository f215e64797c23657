//! What the lines say of a place, against regions that are known, and against the model.

use super::fixtures::window;
use super::*;
use crate::{Reading, nearest_line, reading};
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::demo;
use gatefrost_window::{Detail, LimitLine, Wanted, margins_at};

const SIZE: [f64; 2] = [600.0, 400.0];

/// A window with one line, given in fractions of the plane.
fn with_line(points: &[[f64; 2]]) -> Window {
    let window = window();
    let pieces = vec![points.iter().map(|p| window.plane.value(*p)).collect()];
    let lines = vec![LimitLine { limit: Limit::Burning, label: "burning".into(), pieces }];
    Window { lines, ..window }
}

fn places() -> impl Iterator<Item = [f64; 2]> {
    (0..40).flat_map(|j| (0..40).map(move |i| [(f64::from(i) + 0.5) / 40.0, (f64::from(j) + 0.5) / 40.0]))
}

fn met(window: &Window, place: [f64; 2]) -> bool {
    let Reading { met, not_met, .. } = reading(window, SIZE, place);
    assert_eq!(met.len() + not_met.len(), 1);
    met == [Limit::Burning]
}

#[test]
fn a_ring_is_met_inside() {
    // Out is outside: the line runs clockwise.
    let ring: Vec<[f64; 2]> = (0..=180)
        .map(|k| -f64::from(k) * 2_f64.to_radians())
        .map(|a| [0.5 + 0.3 * a.cos(), 0.5 + 0.3 * a.sin()])
        .collect();
    let window = with_line(&ring);
    for [x, y] in places() {
        let off = (x - 0.5).hypot(y - 0.5) - 0.3;
        if off.abs() > 1e-3 {
            assert_eq!(met(&window, [x, y]), off < 0.0, "{x}, {y}");
        }
    }
}

/// Near a sharp corner the place is nearest to the corner itself, and the two strokes there disagree on the side.
#[test]
fn a_sharp_corner_does_not_turn_the_side_about() {
    let [left, tip, right] = [[0.30, 1.0], [0.40, 0.1], [0.45, 1.0]];
    let window = with_line(&[right, tip, left]);
    // Between the two strokes is on the right of both.
    let beside = |[ax, ay]: [f64; 2], [bx, by]: [f64; 2], [x, y]: [f64; 2]| {
        (bx - ax) * (y - ay) - (by - ay) * (x - ax)
    };
    for place in places() {
        let sides = [beside(left, tip, place), beside(tip, right, place)];
        if sides.iter().all(|side| side.abs() > 1e-6) {
            let inside = sides.iter().all(|side| *side > 0.0);
            assert_eq!(met(&window, place), inside, "{place:?}");
        }
    }
}

/// Where a place lies further from a line than lines may be off, 1 % of the axes.
#[test]
fn the_lines_say_what_the_model_says() {
    for name in ["hinge", "rocker"] {
        let mut scenario = demo::find(name).unwrap().scenario();
        scenario.model = scenario.model.at_most(12, 6);
        let window = gatefrost_window::trace(&scenario, Detail::Fine).unwrap();
        let wanted: Vec<Wanted> = places()
            .step_by(23)
            .map(|place| Wanted { place, stage: gatefrost_core::stages::Stage::LAST })
            .collect();
        let margins = margins_at(&scenario, &wanted, &[]);
        let mut compared = 0;
        for (Wanted { place, .. }, margins) in wanted.iter().zip(margins) {
            let said = reading(&window, SIZE, *place);
            for line in &window.lines {
                let alone = Window { lines: vec![line.clone()], ..window.clone() };
                let (_, far) = nearest_line(&alone, [1.0, 1.0], *place).unwrap();
                if far > 0.02 {
                    compared += 1;
                    let g = margins[line.limit as usize];
                    // Where another limit is clearly not met, a line bounds nothing and may be further off.
                    let buried = window.lines.iter().any(|other| margins[other.limit as usize] < -0.1);
                    let same = said.met.contains(&line.limit) == (g > 0.0);
                    assert!(same || buried, "{name}, {}: {g} at {place:?}", line.label);
                }
            }
        }
        assert!(compared > 100, "{compared}");
    }
}

#[test]
fn the_nearest_line_is_named_with_its_nearest_point() {
    let window = window();
    // The line of the injection rate is upright at 0.09 s.
    let [x, y] = window.plane.fraction([0.09, 112.0]);
    let (limit, at) = reading(&window, SIZE, [x - 3.0 / SIZE[0], y]).nearest.unwrap();
    assert_eq!(limit, Limit::Rate);
    assert!((at[0] - 0.09).abs() < 1e-9 && (at[1] - 112.0).abs() < 1e-6, "{at:?}");
    // What is met nowhere needs no line.
    let bare = Window { lines: vec![], broken_everywhere: vec![Limit::Sink], ..window };
    let said = reading(&bare, SIZE, [0.5, 0.5]);
    assert_eq!((said.not_met, said.met, said.nearest), (vec![Limit::Sink], vec![], None));
}
