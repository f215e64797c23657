//! Checks on whole figures.

mod fixtures;

use super::*;
use crate::hatch::{distance, within};
use crate::sheet::Shape;
use fixtures::{HOSTILE, empty_report, empty_window, report, window};

const SET_POINT: [f64; 2] = [0.5, 165.0];

fn figures<'a>(window: &'a Window, report: &'a Report) -> Vec<Figure<'a>> {
    vec![
        Figure::Window { window, set_point: SET_POINT },
        Figure::Viscosity(report),
        Figure::FillPressure(report),
        Figure::Path(report),
        Figure::Hold(report),
        Figure::Cavity(report, Some(71.0)),
        Figure::Cavity(report, None),
        Figure::Cycle(report),
    ]
}

fn texts(sheet: &Sheet) -> Vec<(String, Rect, f64)> {
    let all = sheet.shapes.iter().filter_map(|s| match s {
        Shape::Text { text, frame, size, .. } => Some((text.clone(), *frame, *size / sheet.scale)),
        _ => None,
    });
    all.collect()
}

#[test]
fn look() {
    let Ok(dir) = std::env::var("LOOK") else { return };
    let (w, r, ew, er) = (window(), report(), empty_window(), empty_report());
    for (set, win, rep) in [("full", &w, &r), ("empty", &ew, &er)] {
        for (i, figure) in figures(win, rep).iter().enumerate() {
            for (tag, width, style) in [
                ("w", 760, Style { title: true, ..Style::default() }),
                ("n", 320, Style { dark: true, ..Style::default() }),
            ] {
                let height = match figure {
                    Figure::Window { .. } => if width > 400 { 520 } else { 360 },
                    Figure::Cycle(_) => 150,
                    Figure::Cavity(..) => 240,
                    _ => if width > 400 { 420 } else { 380 },
                };
                std::fs::write(format!("{dir}/{set}-{i}-{tag}.svg"), svg(figure, width, height, &style).unwrap()).unwrap();
            }
        }
    }
}
