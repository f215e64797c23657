//! The readings of the rheometer's exercise, reduced by the laboratory's own program: another way from the same table.

use gatefrost_classroom::draw::StudentId;
use gatefrost_classroom::exercises;
use gatefrost_laboratory::rheometry::{CapillaryReading, Readings, reduce};
use std::f64::consts::PI;

#[test]
fn the_laboratory_finds_what_a_student_finds_by_hand() {
    for k in 1..=30 {
        let task = exercises::find("rheometer").unwrap().task(&StudentId::read(&format!("s{k:03}")).unwrap());
        let diameter = 1e-3 * task.given[0].value;
        let rows = &task.readings.as_ref().unwrap().rows;
        let reading = |(line, row): (usize, &Vec<f64>)| CapillaryReading {
            line,
            temperature: 160.0,
            diameter,
            length: 1e-3 * row[0],
            flow: row[1] * PI * diameter.powi(3) / 32.0,
            pressure: 1e6 * row[2],
        };
        let found = reduce(&Readings::Capillary(rows.iter().enumerate().map(reading).collect()));
        let point = found.points.last().unwrap();
        let by_program = [
            found.ends[0].length,
            point.shear_rate * point.viscosity,
            found.exponents.last().unwrap().n,
            point.viscosity,
        ];
        for (asked, other) in task.asked.iter().zip(by_program) {
            let by_hand = asked.by_hand();
            assert!((by_hand / other - 1.0).abs() < 1e-6, "s{k:03}: {by_hand} against {other}");
        }
    }
}
