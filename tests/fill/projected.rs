//! The area that melt opens the mould with, against shadows worked out from corners and by closed forms.

use gatefrost_core::case::Case;
use gatefrost_core::scenario::Scenario;
use gatefrost_report::{Report, evaluate};
use gatefrost_tests::build;
use gatefrost_tests::numeric::off;
use serde_json::{Value, json};
use std::f64::consts::PI;

/// One passage with what is said of how it lies.
fn one(form: &Value, says: &Value) -> Scenario {
    let mut passage = json!({ "name": "wall", "role": "part", "form": form });
    build::merge(&mut passage, says);
    let mut changes = build::isothermal();
    build::merge(&mut changes, &json!({ "feedstock": { "flow_law": build::power_law(1000.0, 0.4, 0.0) } }));
    build::scenario(json!([passage]), &changes)
}

fn run(form: &Value, says: &Value) -> Report {
    evaluate(&one(form, says)).expect("valid")
}

/// Projected area \[mm²\].
fn area(form: &Value, says: &Value) -> f64 {
    100.0 * run(form, says).cavity.projected_area_cm2
}

/// Area of the convex hull of points in a plane: the shoelace formula on Andrew's chain.
fn hull_area(mut points: Vec<[f64; 2]>) -> f64 {
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let cross =
        |o: [f64; 2], a: [f64; 2], b: [f64; 2]| (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);
    let chain = |points: &mut dyn Iterator<Item = [f64; 2]>| {
        let mut hull: Vec<[f64; 2]> = Vec::new();
        for p in points {
            while hull.len() > 1 && cross(hull[hull.len() - 2], hull[hull.len() - 1], p) <= 0.0 {
                hull.pop();
            }
            hull.push(p);
        }
        hull
    };
    let mut hull = chain(&mut points.iter().copied());
    hull.pop();
    hull.extend(chain(&mut points.iter().rev().copied()));
    hull.windows(2).map(|w| w[0][0] * w[1][1] - w[1][0] * w[0][1]).sum::<f64>().abs() / 2.0
}

/// Shadow of a plate that is turned about the axis along `axis_length` until its face stands at an angle to the
/// direction of view; `other` is its other size in the face.
fn plate_shadow(axis_length: f64, other: f64, thickness: f64, angle: f64) -> f64 {
    let (sin, cos) = angle.to_radians().sin_cos();
    let corners = [0.0, axis_length].into_iter().flat_map(|x| {
        let around = [[0.0, 0.0], [other, 0.0], [0.0, thickness], [other, thickness]];
        around.map(|[y, z]| [x, y * sin + z * cos])
    });
    hull_area(corners.collect())
}

/// A plate tilted by 30° out of the parting plane has 0.866 of its face there and 0.5 of its edge: its width times
/// its length is 12 % too much.
#[test]
fn a_tilted_plate_has_the_area_of_its_shadow() {
    let form = json!({ "strip": { "length": 50, "width": 20, "thickness": 2 } });
    for angle in [0.0, 5.0, 30.0, 60.0, 85.0, 90.0] {
        let level = area(&form, &json!({ "wall_angle": angle }));
        assert!(off(level, plate_shadow(50.0, 20.0, 2.0, angle)) < 1e-9, "{angle}: {level}");
        let rising = area(&form, &json!({ "wall_angle": angle, "lies": "along" }));
        assert!(off(rising, plate_shadow(20.0, 50.0, 2.0, angle)) < 1e-9, "{angle}: {rising}");
    }
    let tilted = area(&form, &json!({ "wall_angle": 60 }));
    assert!(off(tilted, 1000.0 * 30_f64.to_radians().cos() + 50.0) < 1e-12, "{tilted}");
    assert!(area(&form, &json!({})) / tilted > 1.08);
}

/// The four walls of a square box stand upright: 40 mm outside and 36 mm inside they have 40² − 36² mm². The melt
/// may rise all round, over the perimeter at mid wall, or go round.
#[test]
fn the_upright_walls_of_a_box_have_the_area_of_their_edge() {
    let outline = 40.0 * 40.0 - 36.0 * 36.0;
    let rising = json!({ "strip": { "length": 25, "width": 152, "thickness": 2 } });
    let round = json!({ "strip": { "length": 152, "width": 25, "thickness": 2 } });
    for found in [
        area(&rising, &json!({ "wall_angle": 0, "lies": "along" })),
        area(&rising, &json!({ "lies": "along" })),
        area(&round, &json!({ "wall_angle": 0 })),
    ] {
        assert!(off(found, outline) < 1e-9, "{found} against {outline}");
    }
}

/// A cone's wall, its flow rising: π (r₂² − r₁²) between the circles of its mid wall, and the ring of its edge. A
/// cylinder: D L sin α + π D²/4 cos α. A disc: its face and its edge, 2 (r₂ − r₁) h, beside the hole.
#[test]
fn cones_tubes_and_discs_have_the_areas_of_solid_geometry() {
    let (r1, r2, slope) = (8.0, 14.0, 20.0);
    let angle = (f64::asin((r2 - r1) / slope)).to_degrees();
    let cone = json!({ "strip": {
        "length": slope, "width": 2.0 * PI * r1, "width_end": 2.0 * PI * r2, "thickness": 1.5
    } });
    let found = area(&cone, &json!({ "wall_angle": angle, "lies": "along" }));
    let edge = PI * (r1 + r2) * 1.5 * angle.to_radians().cos();
    assert!(off(found, PI * (r2 * r2 - r1 * r1) + edge) < 1e-4, "{found}");

    let tube = json!({ "tube": { "length": 30, "diameter": 6 } });
    let found = area(&tube, &json!({ "wall_angle": 35 }));
    let (sin, cos) = 35_f64.to_radians().sin_cos();
    assert!(off(found, 180.0 * sin + 9.0 * PI * cos) < 1e-12, "{found}");

    let disc = json!({ "disc": { "inner_radius": 2, "outer_radius": 12, "thickness": 2 } });
    let found = area(&disc, &json!({ "wall_angle": 35 }));
    assert!(off(found, PI * 140.0 * sin + 40.0 * cos) < 1e-12, "{found}");
    let half = json!({ "disc": { "inner_radius": 2, "outer_radius": 12, "thickness": 2, "angle": 60 } });
    let found = area(&half, &json!({ "wall_angle": 35 }));
    assert!(off(found, PI * 140.0 / 6.0 * sin + 20.0 * cos) < 1e-12, "{found}");
}

/// What is stated is what counts, all copies, shared out over a taper as the sizes have it, and the force that
/// opens the mould follows in proportion, filling and holding.
#[test]
fn a_stated_area_sums_exactly_and_the_force_follows() {
    let form = json!({ "strip": {
        "length": 50, "width": 20, "width_end": 7, "thickness": 2, "thickness_end": 1.2
    } });
    let cells = |says: &Value| {
        let case = Case::resolve(&one(&form, says));
        case.cavity.cells.iter().map(|c| c.projected_area * 1e6).collect::<Vec<f64>>()
    };
    let says = |area: f64| json!({ "copies": 3, "projected_area": area });
    let (plain, stated) = (cells(&json!({ "copies": 3 })), cells(&says(4.25)));
    assert!(off(stated.iter().sum(), 3.0 * 425.0) < 1e-12, "{stated:?}");
    // By the sizes: the mean width times the length.
    let whole = 3.0 * 13.5 * 50.0;
    assert!(off(plain.iter().sum(), whole) < 1e-12);
    for (plain, stated) in plain.iter().zip(&stated) {
        assert!(off(stated / plain, 3.0 * 425.0 / whole) < 1e-12);
    }
    let forces = |area: f64| {
        let r = run(&form, &says(area));
        let flash = r.margins.iter().find(|m| m.label == "flash").expect("flash").value;
        [r.fill.opening_force_kn, r.hold.as_ref().expect("the part is full").opening_force_kn, flash]
    };
    for (once, twice) in forces(2.0).into_iter().zip(forces(4.0)) {
        assert!(once > 0.0 && off(twice, 2.0 * once) < 1e-12, "{once} {twice}");
    }
    assert_eq!(forces(0.0), [0.0; 3]);
    let remarks = run(&form, &says(20.0)).remarks;
    assert!(remarks.iter().any(|r| r.contains("projected area stated for wall, 20 cm²")), "{remarks:?}");
    let remarks = run(&form, &says(6.75)).remarks;
    assert!(!remarks.iter().any(|r| r.contains("projected area")), "{remarks:?}");
}

#[test]
fn angles_and_areas_that_cannot_be_are_refused_by_name() {
    let form = json!({ "strip": { "length": 50, "width": 20, "thickness": 2 } });
    let plain = one(&form, &json!({}));
    for (angle, area, path, words) in [
        (Some(-1.0), None, "wall_angle", "is -1; accepted is a number, 0 to 90 °"),
        (Some(90.5), None, "wall_angle", "is 90.5; accepted is a number, 0 to 90 °"),
        (None, Some(-0.1), "projected_area", "is -0.1; accepted is a number, 0 to 100000 cm²"),
        (None, Some(1e6), "projected_area", "accepted is a number, 0 to 100000 cm²"),
        (Some(30.0), Some(5.0), "projected_area", "is 5 cm², and the angle of the wall"),
    ] {
        let mut s = plain.clone();
        (s.cavity.passages[0].wall_angle, s.cavity.passages[0].projected_area) = (angle, area);
        let text = s.validate().expect_err("refused").to_string();
        assert!(text.contains(&format!("cavity.passages.0.{path}: ")) && text.contains(words), "{text}");
    }
}
