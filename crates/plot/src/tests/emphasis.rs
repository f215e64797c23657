//! One limit of the window picked out: drawn so, and found under a pointer.

use super::fixtures::window;
use super::*;
use crate::display_list::Shape;

use gatefrost_core::limits::Limit;

fn drawn(lit: Option<Limit>, width: u32) -> (DisplayList, Layout) {
    let window = window();
    let over = Over { lit, ..Over::default() };
    sheet_of(&Figure::Window { window: &window, set_point: SET_POINT, over }, width, 480, &Style::default())
}

/// Widths of the strokes in an ink, from thin to thick, each once.
fn widths(list: &DisplayList, ink: Color) -> Vec<f64> {
    let strokes = list.shapes.iter().filter_map(|shape| match shape {
        Shape::Path { points, width, color } if *color == ink && points.len() > 1 => Some(*width),
        _ => None,
    });
    let mut widths: Vec<f64> = strokes.collect();
    widths.sort_by(f64::total_cmp);
    widths.dedup();
    widths
}

#[test]
fn an_emphasised_line_is_the_thickest_and_the_others_are_thinner_and_quiet() {
    let palette = Style::default().palette();
    let (plain, _) = drawn(None, 760);
    let (lit, _) = drawn(Some(Limit::Burning), 760);
    let thickest = |list: &DisplayList, ink| widths(list, ink).last().copied().unwrap_or(0.0);
    assert!(thickest(&lit, palette.ink) > 1.5 * thickest(&plain, palette.ink));
    assert!(
        widths(&lit, palette.quiet).iter().any(|w| *w > 1.0 && *w < 1.9),
        "the others are thin and quiet"
    );
    // A limit without a line here leaves the picture as it is.
    let (none, _) = drawn(Some(Limit::Weld), 760);
    assert_eq!(none.shapes.len(), plain.shapes.len());
    assert_eq!(widths(&none, palette.ink), widths(&plain, palette.ink));
}

#[test]
fn the_limit_under_a_pointer_is_the_one_whose_line_passes_there() {
    let window = window();
    let size = [600.0, 400.0];
    for line in &window.lines {
        // The middle of the piece lies on its own line, and close to no other.
        let [x, y] = line.pieces[0][line.pieces[0].len() / 2];
        let place = window.plane.fraction([x, y]);
        let (limit, far) = nearest_line(&window, size, place).unwrap();
        assert!(far < 1e-6, "{far} px from {}", line.label);
        assert!(limit == line.limit, "{} instead of {}", limit.label(), line.label);
    }
    // The line of the injection rate is upright, so the distance is the difference across.
    let [x, y] = window.plane.fraction([0.09, 112.0]);
    let (limit, far) = nearest_line(&window, size, [x - 3.0 / size[0], y]).unwrap();
    assert!(limit == Limit::Rate && (far - 3.0).abs() < 1e-6, "{} at {far} px", limit.label());
    let bare = Window { lines: vec![], ..window };
    assert!(nearest_line(&bare, size, [0.5, 0.5]).is_none());
}

#[test]
fn the_layout_says_where_each_limit_is_named() {
    let (list, layout) = drawn(None, 760);
    for line in window().lines {
        let names: Vec<_> = layout.names.iter().filter(|name| name.limit == line.limit).collect();
        assert!(!names.is_empty(), "{}", line.label);
        for name in names {
            let written =
                written(&list).into_iter().find(|w| w.text == line.label && w.frame.overlaps(&name.rect));
            assert!(written.is_some(), "{}", line.label);
        }
    }
}

#[test]
fn a_small_picture_has_the_lines_and_the_set_point_but_no_words() {
    let (small, layout) = drawn(None, 120);
    assert!(written(&small).is_empty() && layout.names.is_empty());
    let palette = Style::default().palette();
    assert!(!widths(&small, palette.ink).is_empty() && !widths(&small, palette.accent).is_empty());
    let mark = layout.to_pixel(SET_POINT);
    assert!(small.shapes.iter().any(|shape| matches!(shape, Shape::Ring { center, .. } if *center == mark)));
}
