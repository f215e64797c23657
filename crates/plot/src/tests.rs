//! Checks on whole figures.

mod cycle;
mod emphasis;
mod fixtures;
mod gate;
mod laboratory;
mod names;
mod over;
mod reading;
mod sweep;

use super::*;
use crate::display_list::Shape;
use crate::hatch::within;
use fixtures::{HOSTILE, empty_report, empty_window, moments, report, study, window};
use std::sync::LazyLock;

const SET_POINT: [f64; 2] = [0.5, 165.0];

fn figures<'a>(window: &'a Window, report: &'a Report) -> Vec<Figure<'a>> {
    let mut all = vec![Figure::Window { window, set_point: SET_POINT, over: Over::default() }];
    all.extend(of_report(report, &HAND_MADE.0, &HAND_MADE.1, 3));
    all
}

/// The window and the passages have places of their own on the page; every other figure is in its list of figures, and
/// is drawn by the tests here.
#[test]
fn the_page_and_these_tests_have_every_figure() {
    let kinds: Vec<FigureKind> = FigureKind::ALL
        .iter()
        .copied()
        .filter(|kind| !matches!(kind, FigureKind::Window | FigureKind::Passages))
        .collect();
    let names: Vec<&str> = kinds.iter().map(|kind| kind.name()).collect();
    let script = include_str!("../../../www/js/window/results/figures.js");
    let list = script.split_once("const FIGURES = [").unwrap().1.split_once("\n];").unwrap().0;
    let on_page: Vec<&str> =
        list.split("\n  [\"").skip(1).map(|line| line.split_once('"').unwrap().0).collect();
    assert_eq!(on_page, names);
    let report = report();
    let drawn = of_report(&report, &HAND_MADE.0, &HAND_MADE.1, 3);
    for kind in kinds {
        assert!(drawn.iter().any(|figure| figure.kind() == kind), "{kind:?}");
    }
}

static HAND_MADE: LazyLock<(Moments, HoldStudy)> = LazyLock::new(|| (moments(), study()));

fn of_report<'a>(
    report: &'a Report,
    moments: &'a Moments,
    study: &'a HoldStudy,
    index: usize,
) -> Vec<Figure<'a>> {
    let at = Some(At { moments, index });
    vec![
        Figure::Viscosity(report),
        Figure::Pressures(report),
        Figure::Path { report, at: None, end: None },
        Figure::Path { report, at, end: Some(4) },
        Figure::Hold(report),
        Figure::Trace(report, moments),
        Figure::Mass(report, study),
        Figure::Cavity(report, at),
        Figure::Cavity(report, None),
        Figure::Passages { passages: &report.cavity.passages, chosen: Some(1) },
        Figure::Cycle(report),
    ]
}

fn titled() -> Style {
    Style { title: true, ..Style::default() }
}

fn sheet_of(figure: &dyn Drawing, width: u32, height: u32, style: &Style) -> (DisplayList, Layout) {
    lay_out(figure, width, height, style).unwrap()
}

struct Written {
    text: String,
    frame: Rect,
    css_size: f64,
}

fn written(list: &DisplayList) -> Vec<Written> {
    let all = list.shapes.iter().filter_map(|shape| match shape {
        Shape::Text { text, frame, size, .. } => {
            Some(Written { text: text.clone(), frame: *frame, css_size: size / list.scale })
        }
        _ => None,
    });
    all.collect()
}

/// The hatching of a window: its only short strokes in the quiet ink that are not level or upright.
fn hatching(list: &DisplayList, plot: &Rect) -> Vec<[[f64; 2]; 2]> {
    let all = list.shapes.iter().filter_map(|shape| match shape {
        Shape::Path { points, color, .. } if *color == list.palette.quiet && points.len() == 2 => {
            let inside = points.iter().all(|p| plot.grown(0.5).contains(*p));
            inside.then_some([points[0], points[1]])
        }
        _ => None,
    });
    all.collect()
}

#[test]
fn hatching_lies_outside_the_region_that_the_lines_enclose() {
    // A closed limit line around a disc in the plane, out being outside: the line runs clockwise.
    let mut window = window();
    let ring: Vec<[f64; 2]> = (0..=72)
        .map(|i| {
            let a = -f64::from(i) * 5f64.to_radians();
            [window.plane.x.at(0.5 + 0.3 * a.cos()), window.plane.y.at(0.5 + 0.3 * a.sin())]
        })
        .collect();
    window.outlines = vec![ring.clone()];
    window.lines.truncate(1);
    window.lines[0].pieces = vec![ring.clone()];
    for (width, scale) in [(760, 1.0), (320, 1.0), (2280, 3.0)] {
        let style = Style { scale, ..Style::default() };
        let (list, layout) = sheet_of(
            &Figure::Window { window: &window, set_point: SET_POINT, over: Over::default() },
            width,
            width,
            &style,
        );
        let outline: Vec<[f64; 2]> = ring.iter().map(|v| layout.to_pixel(*v)).collect();
        let strokes = hatching(&list, &layout.plot.rect);
        assert!(strokes.len() > 40, "{width}: {}", strokes.len());
        for [foot, tip] in strokes {
            assert!(!within(&outline, tip), "{width}: {foot:?} {tip:?}");
        }
    }
}

#[test]
fn each_line_of_a_full_window_is_hatched_away_from_the_usable_side() {
    let window = window();
    let (list, layout) = sheet_of(
        &Figure::Window { window: &window, set_point: SET_POINT, over: Over::default() },
        760,
        520,
        &Style::default(),
    );
    // "short shot" has its out side below, "burning" above: look next to the set point's column.
    let near = |y: f64| {
        let at = layout.to_pixel([0.5, y]);
        let close = hatching(&list, &layout.plot.rect)
            .into_iter()
            .filter(move |[foot, _]| (foot[0] - at[0]).abs() < 30.0 && (foot[1] - at[1]).abs() < 12.0);
        close.collect::<Vec<_>>()
    };
    assert!(!near(139.6).is_empty() && near(139.6).iter().all(|[foot, tip]| tip[1] > foot[1]));
    assert!(!near(194.2).is_empty() && near(194.2).iter().all(|[foot, tip]| tip[1] < foot[1]));
}

#[test]
fn pixels_and_values_map_back_and_forth() {
    let (w, r) = (window(), report());
    for figure in figures(&w, &r) {
        let (_, layout) = sheet_of(&figure, 760, 480, &Style::default());
        for panel in std::iter::once(&layout.plot).chain(&layout.others) {
            for fx in [0.0, 0.31, 1.0] {
                for fy in [0.0, 0.77, 1.0] {
                    let value = [panel.x.at(fx), panel.y.at(fy)];
                    let pixel = panel.to_pixel(value);
                    let back = panel.to_pixel(panel.to_value([pixel[0].round(), pixel[1].round()]));
                    assert!((back[0] - pixel[0]).abs() <= 0.51 && (back[1] - pixel[1]).abs() <= 0.51);
                    assert!(panel.rect.grown(1e-6).contains(pixel), "{pixel:?}");
                }
            }
        }
    }
    let window = figures(&w, &r)[0];
    let (_, layout) = sheet_of(&window, 760, 480, &Style::default());
    let middle = layout.to_value(layout.plot.rect.center());
    assert!((middle[0] - 0.4).abs() < 1e-9, "the middle of 0.04..4 on a logarithmic axis is 0.4");
    assert!((middle[1] - 165.0).abs() < 1e-9);
}

#[test]
fn text_stays_on_the_sheet_and_is_never_small() {
    let (w, ew, r, er) = (window(), empty_window(), report(), empty_report());
    for (window, report) in [(&w, &r), (&ew, &er), (&w, &er)] {
        for figure in figures(window, report) {
            for (width, height, scale) in
                [(320, 300, 1.0), (760, 500, 1.0), (960, 900, 3.0), (2400, 1500, 3.0)]
            {
                let (list, _) = sheet_of(&figure, width, height, &Style { scale, ..titled() });
                let all = written(&list);
                assert!(!all.is_empty());
                for w in all {
                    assert!(w.frame.left >= -0.01 && w.frame.right <= f64::from(width) + 0.01, "{}", w.text);
                    assert!(w.frame.top >= -0.01 && w.frame.bottom <= f64::from(height) + 0.01, "{}", w.text);
                    assert!(w.css_size >= 11.0, "{}", w.text);
                }
            }
        }
    }
}

#[test]
fn limit_names_are_all_there_inside_the_plot_and_apart() {
    let window = window();
    for (width, height) in [(760, 520), (420, 420), (320, 360)] {
        let figure = Figure::Window { window: &window, set_point: SET_POINT, over: Over::default() };
        let (list, layout) = sheet_of(&figure, width, height, &Style::default());
        let names: Vec<Written> =
            written(&list).into_iter().filter(|w| window.lines.iter().any(|l| l.label == w.text)).collect();
        for line in &window.lines {
            assert!(names.iter().any(|n| n.text == line.label), "{width}: {}", line.label);
        }
        let mark = layout.to_pixel(SET_POINT);
        for (i, a) in names.iter().enumerate() {
            assert!(layout.plot.rect.contains([a.frame.left, a.frame.top]), "{}", a.text);
            assert!(layout.plot.rect.contains([a.frame.right, a.frame.bottom]), "{}", a.text);
            assert!(!a.frame.contains(mark), "{} hides the set point", a.text);
            assert!(names[i + 1..].iter().all(|b| !a.frame.overlaps(&b.frame)), "{}", a.text);
        }
    }
}

#[test]
fn no_text_overlaps_another_in_a_full_figure() {
    let (w, r) = (window(), report());
    for figure in figures(&w, &r) {
        for (width, height) in [(760, 480), (320, 380)] {
            let (list, _) = sheet_of(&figure, width, height, &titled());
            // Tick labels give way to the tags of the set point, which are drawn over them.
            let all: Vec<Written> =
                written(&list).into_iter().filter(|w| w.text.parse::<f64>().is_err()).collect();
            for (i, a) in all.iter().enumerate() {
                for b in &all[i + 1..] {
                    assert!(
                        !a.frame.grown(-1.0).overlaps(&b.frame.grown(-1.0)),
                        "{width}: {} / {}",
                        a.text,
                        b.text
                    );
                }
            }
        }
    }
}

#[test]
fn an_svg_names_every_limit_and_keeps_hostile_text_as_text() {
    let (w, r) = (window(), report());
    let drawn = svg(
        &Figure::Window { window: &w, set_point: SET_POINT, over: Over::default() },
        760,
        520,
        &Style::default(),
    )
    .unwrap();
    assert!(drawn.starts_with("<svg ") && drawn.trim_end().ends_with("</svg>"));
    assert!(drawn.contains("width=\"760\" height=\"520\" viewBox=\"0 0 6080 4160\""));
    for line in &w.lines {
        assert!(drawn.contains(line.label.as_ref()), "{}", line.label);
    }
    assert!(HOSTILE.contains("<b>"));
    for figure in figures(&w, &r).into_iter().skip(1) {
        let drawn = svg(&figure, 760, 520, &titled()).unwrap();
        assert!(!drawn.contains("<b>"));
        // The path alone does not know its scenario.
        let named = drawn.contains("&lt;b&gt;Hinge&lt;/b&gt; &amp;");
        assert!(named || matches!(figure, Figure::Passages { .. }));
        assert!(!drawn.contains('\u{0}') && !drawn.contains('\u{202e}'));
        assert_eq!(drawn.matches("<text").count(), drawn.matches("</text>").count());
    }
}

#[test]
fn an_empty_window_says_so_and_names_what_breaks() {
    let window = empty_window();
    let figure = Figure::Window { window: &window, set_point: SET_POINT, over: Over::default() };
    let (list, _) = sheet_of(&figure, 320, 360, &Style::default());
    let all = written(&list).iter().map(|w| w.text.clone()).collect::<Vec<_>>().join(" ");
    assert!(all.contains("No set point in this plane is usable."), "{all}");
    for limit in &window.broken_everywhere {
        assert!(all.contains(limit.label()), "{all}");
    }
    let shown = figure.table();
    assert!(shown.caption.contains("No set point"));
    assert!(shown.rows.iter().any(|r| r[1] == DataCell::Text("not met anywhere".to_owned())));
}

#[test]
fn everything_draws_at_any_size_on_full_and_empty_input() {
    let (w, ew, r, er) = (window(), empty_window(), report(), empty_report());
    let mut bad = report();
    bad.scenario = "x".repeat(5000);
    bad.fill.history.nozzle_mpa[3] = f64::NAN;
    bad.fill.history.rate_cm3_s = vec![f64::INFINITY; 61];
    bad.cavity.passages[1].thickness_mm = [0.0, f64::NAN];
    bad.feedstock.curves[0].viscosity_pa_s = vec![-1.0; 41];
    bad.cool.cycle[0].seconds = f64::NAN;
    let mut odd = window();
    odd.lines[0].pieces =
        vec![vec![], vec![[0.1, 150.0]], vec![[f64::NAN, 1.0], [1e300, -1e300], [-1.0, 0.0]]];
    odd.outlines.push(vec![[0.1, 120.0], [0.2, f64::NAN]]);
    odd.plane.x.from = -1.0;
    for (window, report) in [(&w, &r), (&ew, &er), (&odd, &bad)] {
        for figure in figures(window, report) {
            for (width, height) in [(1, 1), (40, 30), (320, 200), (760, 500), (1400, 90)] {
                for style in
                    [Style::default(), Style { dark: true, ..titled() }, Style { print: true, ..titled() }]
                {
                    svg(&figure, width, height, &style).unwrap();
                    sheet_of(&figure, width * 3, height * 3, &Style { scale: 3.0, ..style });
                }
            }
        }
    }
    for set_point in [[f64::NAN, 165.0], [0.0, 165.0], [1e9, -1e9]] {
        svg(&Figure::Window { window: &w, set_point, over: Over::default() }, 320, 300, &Style::default())
            .unwrap();
    }
    let figure = Figure::Cycle(&r);
    assert_eq!(svg(&figure, 0, 10, &titled()), Err(PlotError::Size { width: 0, height: 10 }));
    assert!(svg(&figure, u32::MAX, 10, &titled()).is_err());
}

#[test]
fn a_thin_gate_is_enlarged_and_the_figure_says_so() {
    let mut r = report();
    let words = |r: &Report| {
        let (list, _) = sheet_of(&Figure::Cavity(r, None), 760, 420, &Style::default());
        written(&list)
            .into_iter()
            .map(|w| w.text)
            .find(|t| t.contains("rawn") || t.contains("times"))
            .unwrap()
    };
    assert_eq!(words(&r), "Drawn to scale");
    r.cavity.passages[2].thickness_mm = [0.3, 0.3];
    assert_eq!(words(&r), "Thickness 5 times the scale of the length");
}

#[test]
fn tables_hold_the_lists_of_the_report() {
    let (w, r) = (window(), report());
    let column = |table: &DataTable, i: usize| -> Vec<f64> {
        let cells = table.rows.iter().map(|row| match row[i] {
            DataCell::Number(v) => v,
            _ => f64::NAN,
        });
        cells.collect()
    };
    let shown = Figure::Pressures(&r).table();
    assert_eq!(column(&shown, 0), r.fill.history.time_s);
    assert_eq!(column(&shown, 1), r.fill.history.nozzle_mpa);
    assert_eq!(column(&shown, 6), r.fill.history.front_temperature_c);
    let shown = Figure::Hold(&r).table();
    assert_eq!(column(&shown, 3), r.hold.as_ref().expect("holds").history.ends_mpa[0].values);
    let shown = Figure::Path { report: &r, at: None, end: None }.table();
    assert_eq!(column(&shown, 5), r.fill.paths[0].frozen_percent);
    let points: usize = w.lines.iter().flat_map(|l| &l.pieces).map(Vec::len).sum();
    assert_eq!(
        Figure::Window { window: &w, set_point: SET_POINT, over: Over::default() }.table().rows.len(),
        points
    );
    let shown = Figure::Cycle(&r).table();
    assert_eq!(shown.rows[2][1], DataCell::Number(2.0), "hold begins when closing and filling are over");
    for figure in figures(&w, &r) {
        let shown = figure.table();
        assert!(shown.rows.iter().all(|row| row.len() == shown.columns.len()));
    }
}

#[test]
fn csv_quotes_what_must_be_quoted_and_disarms_formulas() {
    let mut r = report();
    r.cavity.passages[0].name = "=1+1, \"x\"".to_owned();
    let csv = Figure::Cavity(&r, None).table().to_csv();
    let mut lines = csv.split("\r\n");
    assert!(lines.next().unwrap().starts_with("Passage,Role,Shape,Follows,Meets,Start [mm],"));
    assert_eq!(lines.next().unwrap(), "\"'=1+1, \"\"x\"\"\",sprue,tube,,,0,40,3.5,5,3.5,5,1,0.3");
}

#[test]
fn a_layout_reaches_the_page_with_rectangle_and_spans() {
    let w = window();
    let (_, layout) = sheet_of(
        &Figure::Window { window: &w, set_point: SET_POINT, over: Over::default() },
        760,
        520,
        &Style::default(),
    );
    let json = serde_json::to_value(&layout).unwrap();
    assert_eq!(json["plot"]["x"]["log"], true);
    assert_eq!(json["plot"]["y"]["from"], 110.0);
    assert_eq!(json["plot"]["rect"]["left"].as_f64(), Some(layout.plot.rect.left));
}

#[test]
fn drawing_on_a_backend_covers_it_at_its_own_scale() {
    let w = window();
    let figure = Figure::Window { window: &w, set_point: SET_POINT, over: Over::default() };
    let mut out = String::new();
    let style = Style { scale: 3.0, ..Style::default() };
    let layout = draw(SVGBackend::with_string(&mut out, (960, 1080)), &figure, &style).unwrap();
    assert_eq!((layout.width, layout.height), (960.0, 1080.0));
    let (_, single) = sheet_of(&figure, 320, 360, &Style::default());
    assert!(
        (layout.plot.rect.left - 3.0 * single.plot.rect.left).abs() < 1e-6,
        "margins grow with the scale"
    );
    assert!(out.contains("short shot"));
}

/// While only the mark moves, it is drawn over a picture without it.
#[test]
fn the_mark_alone_is_that_of_the_whole_figure() {
    let w = window();
    let figure = |set_point, over| Figure::Window { window: &w, set_point, over };
    for (width, height) in [(760, 520), (120, 80)] {
        let sheet = |figure| sheet_of(&figure, width, height, &Style::default());
        let (whole, layout) = sheet(figure(SET_POINT, Over::default()));
        let over = Over { mark_in: Some(layout.plot.rect), ..Over::default() };
        let (mark, placed) = sheet(figure(SET_POINT, over));
        assert_eq!(placed.plot.rect, layout.plot.rect);
        assert!(mark.shapes.len() > 5 && mark.shapes.iter().all(|shape| whole.shapes.contains(shape)));
        let (ground, _) = sheet(figure([f64::NAN; 2], Over::default()));
        assert!(!ground.shapes.contains(mark.shapes.last().unwrap()));
        let names = |list: &DisplayList| written(list).iter().filter(|w| w.text == "short shot").count();
        assert_eq!(names(&ground), names(&whole), "a name, not a number in its place");
    }
}

#[test]
fn a_second_long_piece_far_away_is_named_again() {
    let mut window = window();
    window.lines.truncate(1);
    window.lines[0].pieces = vec![vec![[0.06, 110.0], [0.06, 220.0]], vec![[2.5, 220.0], [2.5, 110.0]]];
    let (list, _) = sheet_of(
        &Figure::Window { window: &window, set_point: SET_POINT, over: Over::default() },
        760,
        520,
        &Style::default(),
    );
    assert_eq!(written(&list).iter().filter(|w| w.text == "short shot").count(), 2);
}
