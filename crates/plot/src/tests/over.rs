//! What lies over a window.

use super::fixtures::{HOSTILE, window};
use super::{SET_POINT, sheet_of, written};
use crate::display_list::Shape;
use crate::{DataCell, Drawing, Figure, Over, Palette, Style, svg};
use gatefrost_core::limits::Limit;
use gatefrost_window::{Band, Bands, Beside, Window};

/// A band of ± 4 K about the line of burning, with a hole that no band has, and one of a limit without
/// a line.
pub(super) fn bands(window: &Window) -> Bands {
    let burning = window.lines.iter().find(|l| l.limit == Limit::Burning);
    let line = &burning.unwrap_or(&window.lines[0]).pieces[0];
    let moved = |by: f64| -> Vec<[f64; 2]> { line.iter().map(|p| [p[0], p[1] + by]).collect() };
    let (low, mut high) = (moved(-4.0), moved(4.0));
    let edges = vec![low.clone(), high.clone()];
    high.reverse();
    let mut around = [low, high].concat();
    around.push(around[0]);
    let square =
        |x: [f64; 2], y: [f64; 2]| vec![[x[0], y[0]], [x[0], y[1]], [x[1], y[1]], [x[1], y[0]], [x[0], y[0]]];
    let hole = square([0.5, 0.6], [194.0, 195.0]);
    let band = |limit: Limit, outlines, edges| Band {
        limit,
        label: limit.label().into(),
        outlines,
        edges,
        half_width: [None, Some(4.0)],
    };
    Bands {
        plane: window.plane.clone(),
        bands: vec![
            band(Limit::Burning, vec![around, hole], edges),
            band(Limit::Ejection, vec![square([1.0, 2.0], [120.0, 130.0])], Vec::new()),
        ],
        not_followed: 0,
        evaluations: 1,
    }
}

pub(super) fn beside(window: &Window) -> Beside {
    Beside { name: HOSTILE.to_owned(), window: window.clone(), set_point: [1.0, 150.0], margins: Vec::new() }
}

fn figure<'a>(window: &'a Window, over: Over<'a>) -> Figure<'a> {
    Figure::Window { window, set_point: SET_POINT, over }
}

fn texts(figure: &Figure<'_>) -> String {
    let (list, _) = sheet_of(figure, 760, 520, &Style::default());
    written(&list).into_iter().map(|w| w.text).collect::<Vec<_>>().join(" ")
}

#[test]
fn a_band_is_tinted_and_dotted_about_its_line_and_explained() {
    let window = window();
    let bands = bands(&window);
    let figure = figure(&window, Over { bands: Some(&bands), ..Over::default() });
    for style in [
        Style::default(),
        Style { dark: true, ..Style::default() },
        Style { print: true, ..Style::default() },
    ] {
        let (list, layout) = sheet_of(&figure, 760, 520, &style);
        let tint = style.palette().tint();
        let tints: Vec<_> = list
            .shapes
            .iter()
            .filter_map(|s| match s {
                Shape::Area { points, color } if *color == tint => Some(points),
                _ => None,
            })
            .collect();
        assert_eq!(tints.len(), 1, "one area, and none without a line");
        assert!(crate::hatch::within(tints[0], layout.to_pixel([0.5, 196.0])));
        assert!(!crate::hatch::within(tints[0], layout.to_pixel([0.55, 194.5])), "the hole stays open");
        // Dots at the edges: short strokes thinner than any line.
        let edge = layout.to_pixel([1.0, 4.0 + 194.2])[1];
        let dots = list.shapes.iter().filter(|s| match s {
            Shape::Path { points, width, .. } => {
                (*width - 1.2).abs() < 1e-9 && points.iter().all(|p| (p[1] - edge).abs() < 60.0)
            }
            _ => false,
        });
        assert!(dots.count() > 100);
    }
    let said = texts(&figure);
    assert!(
        said.contains("dotted edges: 95 % band") && said.contains("reaches into it: ejected too hot"),
        "{said}"
    );
    let shown = figure.table();
    assert_eq!(shown.rows[0][0], DataCell::Text("burning".to_owned()));
    assert_eq!((&shown.rows[0][3], &shown.rows[0][4]), (&DataCell::Empty, &DataCell::Number(4.0)));
}

/// Grey values of tint and ground differ, so that a band shows on paper, and ink on it is far darker.
#[test]
fn a_tint_shows_without_colour() {
    let grey = |c: [u8; 3]| c.iter().map(|v| f64::from(*v)).sum::<f64>() / 3.0;
    for palette in [Palette::LIGHT, Palette::DARK, Palette::PRINT] {
        let tint = grey(palette.tint());
        assert!((tint - grey(palette.lifted)).abs() > 8.0, "{palette:?}");
        assert!((grey(palette.ink) - tint).abs() > 140.0, "{palette:?}");
    }
}

#[test]
fn another_scenario_is_outlined_named_and_marked() {
    let window = window();
    let other = beside(&window);
    let over = Over { beside: Some(&other), ..Over::default() };
    let figure = figure(&window, over);
    let said = texts(&figure);
    assert!(said.contains("double line: usable region of"), "{said}");
    let (list, layout) = sheet_of(&figure, 760, 520, &Style::default());
    let at = layout.to_pixel(other.set_point);
    let square = list.shapes.iter().filter(|s| match s {
        Shape::Path { points, .. } => points.iter().all(|p| (p[0] - at[0]).hypot(p[1] - at[1]) < 10.0),
        _ => false,
    });
    assert!(square.count() >= 4);
    let drawn = svg(&figure, 760, 520, &Style::default()).unwrap();
    assert!(!drawn.contains("<b>") && drawn.contains("&lt;b&gt;"));
    let place = |row: &Vec<DataCell>| row[1] == DataCell::Text("its set point".to_owned());
    assert!(figure.table().rows.iter().any(place));
    // Where it cannot be used the words say so.
    let mut none = other.clone();
    none.window.outlines.clear();
    none.window.usable_share = 0.0;
    let said = texts(&self::figure(&window, Over { beside: Some(&none), ..Over::default() }));
    assert!(said.contains("no set point in this plane is usable"), "{said}");
}

#[test]
fn what_belongs_to_another_plane_is_not_drawn() {
    let window = window();
    let (mut bands, mut other) = (bands(&window), beside(&window));
    bands.plane.x.from = 0.05;
    other.window.plane.x.from = 0.05;
    let over = figure(&window, Over { bands: Some(&bands), beside: Some(&other), ..Over::default() });
    let plain = figure(&window, Over::default());
    let shapes = |figure: &Figure<'_>| sheet_of(figure, 760, 520, &Style::default()).0.shapes;
    assert_eq!(shapes(&over), shapes(&plain));
    assert_eq!(over.table(), plain.table());
}

/// The best set point is named where it stands, in the table too; beyond the plane it is not drawn.
#[test]
fn the_best_set_point_is_named_where_it_stands() {
    let window = window();
    let [x, y] = [window.plane.x.at(0.6), window.plane.y.at(0.4)];
    let said = |best| texts(&figure(&window, Over { best: Some(best), ..Over::default() }));
    assert!(said([x, y]).contains("safest nearby"));
    assert!(!said([x, window.plane.y.at(1.4)]).contains("safest nearby"));
    let table = figure(&window, Over { best: Some([x, y]), ..Over::default() }).table();
    assert!(
        table.rows.iter().any(|row| row.contains(&DataCell::Text("safest nearby".to_owned()))
            && row.contains(&DataCell::Number(y)))
    );
}

/// Parts of a band apart from its line are named once, however many there are; a small one beside the line is not.
#[test]
fn the_parts_of_a_band_are_named_once() {
    let window = window();
    let named = |islands: &[[f64; 2]]| {
        let mut bands = bands(&window);
        let square = |&[x, y]: &[f64; 2]| {
            let (right, upper) = (1.15 * x, y + 3.0);
            vec![[x, y], [x, upper], [right, upper], [right, y], [x, y]]
        };
        bands.bands[0].outlines.extend(islands.iter().map(square));
        let said = texts(&figure(&window, Over { bands: Some(&bands), ..Over::default() }));
        said.matches("burning, band").count()
    };
    let row: Vec<[f64; 2]> = (0..6).map(|k| [0.4 * 1.3_f64.powi(k), 135.0]).collect();
    assert_eq!(named(&[]), 0);
    assert_eq!(named(&row), 1);
    assert_eq!(named(&[[0.8, 186.0]]), 0, "beside its line");
}
