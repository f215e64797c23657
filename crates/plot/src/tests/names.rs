//! Names in a window: none covers another, and each line has one, or a number with a key.

use super::fixtures::{empty_window, window};
use super::over::{bands, beside};
use super::*;
use gatefrost_core::limits::Limit;
use gatefrost_window::LimitLine;

/// Fourteen limits whose lines all pass through the middle of the plane.
fn tangle() -> Window {
    let window = window();
    let line = |(k, limit): (usize, Limit)| {
        let turn = std::f64::consts::PI * (k as f64 + 0.5) / 14.0;
        let end = |far: f64| window.plane.value([0.5 + far * turn.cos(), 0.5 + far * turn.sin()]);
        LimitLine { limit, label: limit.label().into(), pieces: vec![vec![end(-0.49), end(0.0), end(0.49)]] }
    };
    let lines = Limit::ALL.into_iter().take(14).enumerate().map(line).collect();
    Window { lines, ..window }
}

/// The texts in the plot, with their places.
fn in_plot(list: &DisplayList, plot: &Rect) -> Vec<Written> {
    written(list).into_iter().filter(|w| plot.contains(w.frame.center())).collect()
}

fn check(window: &Window, over: Over<'_>, width: u32) {
    let figure = Figure::Window { window, set_point: SET_POINT, over };
    let (list, layout) = sheet_of(&figure, width, width.clamp(300, 520), &Style::default());
    let plot = layout.plot.rect;
    let texts = in_plot(&list, &plot);
    for (i, a) in texts.iter().enumerate() {
        for b in &texts[i + 1..] {
            assert!(!a.frame.overlaps(&b.frame), "at {width}: {} on {}", a.text, b.text);
        }
    }
    let foot: Vec<String> =
        written(&list).into_iter().filter(|w| w.frame.top > plot.bottom).map(|w| w.text).collect();
    let foot = foot.join(" ");
    for line in &window.lines {
        let named = layout.names.iter().filter(|name| name.limit == line.limit);
        let mut told = named.filter_map(|name| texts.iter().find(|w| name.rect.contains(w.frame.center())));
        let told = told.next().map(|w| w.text.clone());
        let told = told.unwrap_or_else(|| panic!("at {width}: {} has no name", line.label));
        let start = told.trim_end_matches('…');
        let numbered = foot.contains(&format!("{told}\u{a0}{}", line.label))
            || foot.contains(&format!("{told} {}", line.label));
        assert!(line.label.starts_with(start) || numbered, "at {width}: {} is {told}; {foot}", line.label);
    }
}

#[test]
fn names_never_cover_one_another_and_every_line_has_one() {
    for window in [window(), empty_window(), tangle()] {
        let (bands, other) = (bands(&window), beside(&window));
        let best = Some([window.plane.x.at(0.6), window.plane.y.at(0.4)]);
        for width in [300, 360, 480, 760, 1200] {
            check(&window, Over::default(), width);
            check(&window, Over { bands: Some(&bands), ..Over::default() }, width);
            check(&window, Over { beside: Some(&other), best, ..Over::default() }, width);
            check(
                &window,
                Over {
                    bands: Some(&bands),
                    beside: Some(&other),
                    best,
                    lit: Some(Limit::Sink),
                    mark_in: None,
                },
                width,
            );
        }
    }
}

/// A tangle on a small screen has numbers and a key; a plain window has neither.
#[test]
fn numbers_stand_only_where_there_is_no_room() {
    let key = |window: &Window, width| {
        let figure = Figure::Window { window, set_point: SET_POINT, over: Over::default() };
        let (list, _) = sheet_of(&figure, width, 320, &Style::default());
        written(&list).iter().any(|w| w.text.starts_with("1\u{a0}") || w.text.starts_with("1 "))
    };
    assert!(key(&tangle(), 320));
    assert!(!key(&window(), 760));
}

/// Leader lines begin at a name, end at its line, and cross no other name.
#[test]
fn a_name_that_stands_off_is_tied_to_its_line() {
    let window = tangle();
    let figure = Figure::Window { window: &window, set_point: SET_POINT, over: Over::default() };
    let (list, layout) = sheet_of(&figure, 760, 520, &Style::default());
    let mut led = 0;
    for name in &layout.names {
        let line = window.lines.iter().find(|line| line.limit == name.limit).unwrap();
        let ends = [line.pieces[0][0], line.pieces[0][2]].map(|end| layout.to_pixel(end));
        let along = [ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]];
        let on_line = |p: [f64; 2]| {
            let off = along[0] * (p[1] - ends[0][1]) - along[1] * (p[0] - ends[0][0]);
            off.abs() / along[0].hypot(along[1]) < 1.0
        };
        let at_name = |p| name.rect.grown(0.01).contains(p);
        let leader = list.shapes.iter().find_map(|shape| match shape {
            Shape::Path { points, width, color } if *width == 1.0 && *color == list.palette.ink => {
                let [a, b] = points[..] else { return None };
                (at_name(a) && !at_name(b) && on_line(b)).then_some([a, b])
            }
            _ => None,
        });
        let Some([a, b]) = leader else { continue };
        led += 1;
        let others = layout.names.iter().filter(|other| other.rect != name.rect);
        assert!(
            others.clone().all(|other| hatch::inside_share(a, b, &other.rect).is_none()),
            "{}",
            line.label
        );
    }
    assert!(led > 0, "a tangle has names that stand off");
}
