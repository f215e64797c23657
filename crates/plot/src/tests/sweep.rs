//! A sweep as a figure and a table.

use super::*;
use crate::SweepFigure;
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::demo;
use gatefrost_window::{Input, Swept};

#[test]
fn a_sweep_has_two_curves_its_present_value_and_a_gap_where_nothing_is_computed() {
    let scenario = demo::default_demo().scenario();
    let input = Input::of(&scenario, "machine.max_pressure").unwrap();
    let point = |value: f64, usable_percent: Option<f64>| Swept {
        value,
        usable_percent,
        reserve: usable_percent.map(|share| share / 100.0 - 0.2),
        limit: usable_percent.map(|_| Limit::Flash),
        place: usable_percent.map(|_| [0.4, 165.0]),
        problem: usable_percent.is_none().then(|| "too high".to_owned()),
    };
    let points =
        [point(60.0, Some(10.0)), point(90.0, Some(30.0)), point(120.0, None), point(150.0, Some(40.0))];
    let figure = SweepFigure {
        name: HOSTILE,
        plane: &scenario.window,
        input: &input,
        present: Some(100.0),
        points: &points,
    };
    let (list, layout) = sheet_of(&figure, 760, 420, &Style::default());
    assert_eq!(layout.others.len(), 1);
    let said = written(&list).into_iter().map(|w| w.text).collect::<Vec<_>>().join(" ");
    for words in ["Usable share, %", "Best reserve", "now"] {
        assert!(said.contains(words), "{words}: {said}");
    }
    // No stroke bridges the value that was not computed.
    let [from, to] = [90.0, 150.0].map(|x| layout.plot.to_pixel([x, 30.0])[0]);
    let bridged = list.shapes.iter().any(|shape| match shape {
        Shape::Path { points, color, .. } if *color == list.palette.accent => points
            .windows(2)
            .any(|pair| pair[0][0].min(pair[1][0]) < from + 1.0 && pair[0][0].max(pair[1][0]) > to - 1.0),
        _ => false,
    });
    assert!(!bridged);
    let table = figure.table();
    assert_eq!(table.rows.len(), 4);
    assert_eq!(table.rows[0][3], DataCell::Text("flash".to_owned()));
    assert_eq!(
        (&table.rows[2][1], &table.rows[2][6]),
        (&DataCell::Empty, &DataCell::Text("too high".to_owned()))
    );
    assert!(!svg(&figure, 760, 420, &titled()).unwrap().contains("<b>"));
}
