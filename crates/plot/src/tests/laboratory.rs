//! Checks on the figures of the laboratory.

use super::{sheet_of, titled, written};
use crate::display_list::Shape;
use crate::table::DataCell;
use crate::{Drawing, FlowStudy, LoadingStudy, RecipeStudy, Study, Style, svg};
use gatefrost_laboratory::critical::{self, CriticalOptions};
use gatefrost_laboratory::dsc::{self, Direction, ReadOptions};
use gatefrost_laboratory::readings::Scanned;
use gatefrost_laboratory::recipe::{self, EXAMPLES};
use gatefrost_laboratory::rheometry::FlowPoint;
use gatefrost_laboratory::rheometry::fit::{FitOptions, rank};

fn recipe_study() -> RecipeStudy {
    let recipe = EXAMPLES[0].recipe();
    let rates: Vec<f64> = (0..20).map(|i| 10f64.powf(0.25 * f64::from(i))).collect();
    let curve = |t: f64| (t, recipe::flow_curve(&recipe, t, &rates).unwrap());
    RecipeStudy {
        name: "<b>Steel</b>".to_owned(),
        curves: [140.0, 160.0, 180.0].map(curve).to_vec(),
        leading: 1,
        loadings: recipe::loading_curve(&recipe, 1000.0, 160.0).unwrap(),
        loading: 60.0,
        critical: 64.5,
        at: [1000.0, 160.0],
    }
}

fn flow_study() -> FlowStudy {
    let point = |i: u32, temperature: f64| {
        let shear_rate = 10f64.powf(1.0 + 0.25 * f64::from(i));
        let viscosity = 4e3 * shear_rate.powf(-0.5) * (-0.02 * (temperature - 160.0)).exp();
        FlowPoint { temperature, shear_rate, viscosity, stress: viscosity * shear_rate, line: i as usize + 2 }
    };
    let points: Vec<FlowPoint> =
        [150.0, 170.0].into_iter().flat_map(|t| (0..12).map(move |i| point(i, t))).collect();
    let best = rank(&points, &FitOptions::default()).fits.remove(0);
    let law = |t: f64| {
        let of_t = best.residuals.iter().filter(|r| r.point.temperature == t);
        (t, of_t.map(|r| [r.point.shear_rate, r.fitted]).collect())
    };
    FlowStudy {
        name: "Steel".to_owned(),
        law: best.kind.label().to_owned(),
        curves: vec![law(150.0), law(170.0)],
        residuals: best.residuals.clone(),
        rates: vec![("gate".to_owned(), 3000.0)],
        points,
    }
}

fn loading_study() -> LoadingStudy {
    let text = "loading [vol%]; density [kg/m³]; torque [N·m]\n\
        50;4426;1.86\n54;4705;3.52\n57;4923;6.60\n60;5127;16.7\n62;5274;47.6\n66;5466;\n68;5445;\n70;5414;\n";
    let table = critical::read(text).unwrap();
    let found = critical::assess(&table, &CriticalOptions::default());
    LoadingStudy { name: "Steel".to_owned(), table, found }
}

/// Peaks of 8 and 2 J/g over a line; heat flows of either sign.
fn scanned(direction: Direction, middles: [f64; 2], sign: f64) -> Scanned {
    let mut text = "temperature [°C];heat flow [W/g]\n".to_owned();
    for i in 0..=180 {
        let t = f64::from(if direction == Direction::Heating { i } else { 180 - i });
        let peak = |heat: f64, middle: f64| heat / 10.0 * (-0.5 * ((t - middle) / 4.0).powi(2)).exp();
        text += &format!("{t};{:.6}\n", sign * (0.6 + peak(8.0, middles[0]) + peak(2.0, middles[1])) / 6.0);
    }
    let options = ReadOptions { rate: Some(10.0), ..ReadOptions::default() };
    let scan = dsc::read(&text, direction, &options).unwrap();
    let found = dsc::analyse(&scan, 0.07).unwrap();
    Scanned { points: scan.points, found }
}

fn areas(figure: &dyn Drawing) -> Vec<Vec<[f64; 2]>> {
    let (list, _) = sheet_of(figure, 760, 480, &Style::default());
    let band = list.palette.band();
    let all = list.shapes.into_iter().filter_map(|shape| match shape {
        Shape::Area { points, color } if color == band => Some(points),
        _ => None,
    });
    all.collect()
}

#[test]
fn a_band_encloses_its_curve() {
    let study = recipe_study();
    for figure in [Study::RecipeFlow(&study), Study::RecipeLoading(&study)] {
        let (_, layout) = sheet_of(&figure, 760, 480, &Style::default());
        let [band] = areas(&figure).try_into().expect("one band");
        let (at, inside) = match figure {
            Study::RecipeFlow(_) => {
                let p = study.curves[1].1[10];
                ([p.rate, p.viscosity], [p.low, p.high])
            }
            _ => {
                let p = study.loadings[30];
                ([p.loading, p.viscosity], [p.low, p.high])
            }
        };
        let x = layout.to_pixel(at)[0];
        let ys: Vec<f64> = band.iter().filter(|p| (p[0] - x).abs() < 1.0).map(|p| p[1]).collect();
        let top = ys.iter().copied().fold(f64::INFINITY, f64::min);
        let foot = ys.iter().copied().fold(0.0, f64::max);
        let y = layout.to_pixel(at)[1];
        assert!(top < y - 2.0 && foot > y + 2.0, "{top} {y} {foot}");
        assert!((layout.to_pixel([at[0], inside[1]])[1] - top).abs() < 1.0);
        assert!((layout.to_pixel([at[0], inside[0]])[1] - foot).abs() < 1.0);
    }
}

#[test]
fn every_reading_is_drawn_where_it_lies_with_its_temperature_s_sign() {
    let study = flow_study();
    let (list, layout) = sheet_of(&Study::Flow(&study), 760, 480, &Style::default());
    let (mut discs, mut rings) = (Vec::new(), Vec::new());
    for shape in &list.shapes {
        match shape {
            Shape::Disc { center, .. } => discs.push(*center),
            Shape::Ring { center, .. } => rings.push(*center),
            _ => {}
        }
    }
    for point in &study.points {
        let [x, y] = layout.to_pixel([point.shear_rate, point.viscosity]);
        let signs = if point.temperature < 160.0 { &discs } else { &rings };
        assert!(signs.iter().any(|c| (c[0] - x).abs() < 0.5 && (c[1] - y).abs() < 0.5), "{point:?}");
    }
    let texts: Vec<String> = written(&list).into_iter().map(|w| w.text).collect();
    for wanted in ["150 °C", "170 °C", "gate"] {
        assert!(texts.iter().any(|t| t == wanted), "{wanted}: {texts:?}");
    }
}

#[test]
fn the_critical_loading_is_marked_in_both_plots() {
    let study = loading_study();
    let figure = Study::Critical(&study);
    let (list, layout) = sheet_of(&figure, 760, 560, &titled());
    assert_eq!(layout.others.len(), 1);
    let texts: Vec<String> = written(&list).into_iter().map(|w| w.text).collect();
    assert!(texts.iter().any(|t| t.starts_with("φc by density")), "{texts:?}");
    assert!(texts.iter().any(|t| t.starts_with("φc by torque")), "{texts:?}");
    assert_eq!(figure.table().rows.len(), study.table.density.len() + study.table.resistance.len());
}

/// The figure's sense is the divergence: the torque's curve leaves its plot at the top, before φc and with
/// φc inside the frame; each plot has the wash of its interval, over its whole height.
#[test]
fn the_divergence_is_drawn_to_the_top_and_the_intervals_over_the_whole_height() {
    let study = loading_study();
    let figure = Study::Critical(&study);
    let (list, layout) = sheet_of(&figure, 760, 480, &Style::default());
    let below = &layout.others[0];
    let fit = study.found.resistance.as_ref().unwrap();
    let critical = below.to_pixel([fit.critical.value, 1.0])[0];
    assert!(critical < below.rect.right - 10.0, "φc stands on the frame");
    let leaves = list.shapes.iter().any(|shape| match shape {
        Shape::Path { points, color, .. } if *color == list.palette.accent => points
            .iter()
            .any(|p| (p[1] - below.rect.top).abs() < 0.01 && p[0] < critical && p[0] > critical - 60.0),
        _ => false,
    });
    assert!(leaves, "the curve stops inside the plot");
    let intervals = [study.found.density.as_ref().unwrap().critical, fit.critical];
    for (panel, interval) in [&layout.plot, below].into_iter().zip(intervals) {
        let [from, to] =
            [interval.low.unwrap(), interval.high.unwrap()].map(|x| panel.to_pixel([x, panel.y.from])[0]);
        let washed = areas(&figure).into_iter().any(|area| {
            (area[0][0] - from).abs() < 0.01
                && (area[1][0] - to).abs() < 0.01
                && (area[0][1] - panel.rect.top).abs() < 0.01
                && (area[2][1] - panel.rect.bottom).abs() < 0.01
        });
        assert!(washed && to < panel.rect.right, "{from} {to}");
    }
}

#[test]
fn signs_stand_inside_the_frame() {
    let study = flow_study();
    for figure in [Study::Flow(&study), Study::Residuals(&study)] {
        let (list, layout) = sheet_of(&figure, 360, 300, &Style::default());
        let rect = layout.plot.rect;
        for shape in &list.shapes {
            if let Shape::Disc { center, radius, .. } | Shape::Ring { center, radius, .. } = shape {
                assert!(
                    center[0] - radius > rect.left && center[0] + radius < rect.right,
                    "{center:?} {rect:?}"
                );
            }
        }
    }
}

/// Drawn finer, a figure lies where it lay, and what runs along the pixels stays on them.
#[test]
fn a_finer_backend_changes_no_place() {
    let study = flow_study();
    let figure = Study::Flow(&study);
    let layout = |fineness| {
        let mut text = String::new();
        let backend = plotters_svg::SVGBackend::with_string(&mut text, (760, 480));
        let layout = crate::draw_fine(backend, &figure, &Style::default(), fineness).unwrap();
        (layout, text)
    };
    let ((coarse, _), (fine, drawn)) = (layout(1), layout(4));
    assert!((fine.plot.rect.left - coarse.plot.rect.left).abs() < 1e-6 && fine.width == 760.0);
    let frame = format!("{}", 4.0 * (fine.plot.rect.left - 0.5).round() + 2.0);
    assert!(drawn.contains(&format!("{frame},")), "no edge at {frame}");
}

#[test]
fn tables_hold_the_readings_and_files_keep_hostile_text_as_text() {
    let study = flow_study();
    let data = Study::Residuals(&study).table();
    assert_eq!(data.rows.len(), study.points.len());
    assert_eq!(data.rows[3][2], DataCell::Number(study.points[3].shear_rate));
    assert!(data.rows.iter().all(|row| row.len() == data.columns.len() && row[5] != DataCell::Empty));
    let recipe = recipe_study();
    let drawn = svg(&Study::RecipeFlow(&recipe), 760, 480, &titled()).unwrap();
    assert!(!drawn.contains("<b>") && drawn.contains("&lt;b&gt;Steel"));
}

#[test]
fn empty_stations_say_so_on_any_sheet() {
    let flow = FlowStudy::default();
    let loading = LoadingStudy { table: critical::LoadingTable::default(), ..loading_study() };
    for (width, height) in [(900, 480), (320, 300), (60, 40), (1, 1)] {
        for study in [Study::Flow(&flow), Study::Residuals(&flow), Study::Critical(&loading)] {
            let (list, _) = sheet_of(&study, width, height, &Style::default());
            let finite = list.shapes.iter().all(|shape| match shape {
                Shape::Path { points, .. } | Shape::Area { points, .. } => {
                    points.iter().flatten().all(|v| v.is_finite())
                }
                _ => true,
            });
            assert!(finite);
            if width > 400 {
                let said: String = written(&list).into_iter().map(|w| w.text + " ").collect();
                assert!(said.contains("no readings yet") || said.contains("No law"), "{said}");
            }
        }
    }
}

/// Whichever way the instrument draws, peaks stand above the baseline; onset, peak and end have their signs, and the
/// no-flow temperature its line and its band of 95 %.
#[test]
fn a_scan_is_drawn_with_its_peaks_up_and_its_temperatures_marked() {
    let scans =
        [scanned(Direction::Cooling, [55.0, 112.0], -1.0), scanned(Direction::Heating, [60.0, 158.0], 1.0)];
    let figure = Study::Calorimetry(&scans);
    let (list, layout) = sheet_of(&figure, 760, 600, &Style::default());
    let texts: Vec<String> = written(&list).into_iter().map(|w| w.text).collect();
    for wanted in ["no-flow 120", "melted 166", "Heat capacity on cooling", "Heat capacity on heating"] {
        assert!(texts.iter().any(|t| t.contains(wanted)), "{wanted}: {texts:?}");
    }
    let no_flow = scans[0].found.no_flow.unwrap();
    let [band] = areas(&figure).try_into().expect("one band, that of the no-flow temperature");
    let x = |t: f64| layout.to_pixel([t, 1.0])[0];
    let ends = band.iter().map(|p| p[0]).fold((f64::INFINITY, 0.0_f64), |(a, b), v| (a.min(v), b.max(v)));
    let half = 1.96 * no_flow.standard_error;
    assert!((ends.0 - x(no_flow.value - half)).abs() < 1.0 && (ends.1 - x(no_flow.value + half)).abs() < 1.0);
    let discs: Vec<[f64; 2]> = list
        .shapes
        .iter()
        .filter_map(|shape| if let Shape::Disc { center, .. } = shape { Some(*center) } else { None })
        .collect();
    assert_eq!(discs.len(), 4, "an onset for each peak");
    assert!(
        discs.iter().any(|c| (c[0] - x(no_flow.value)).abs() < 1.0),
        "the hottest onset is the no-flow temperature"
    );
    let rings = list.shapes.iter().filter(|shape| matches!(shape, Shape::Ring { .. })).count();
    assert_eq!(rings, 4, "a sign for each peak");
    let table = figure.table();
    assert_eq!(table.rows.len(), 362);
    let above = |row: &Vec<DataCell>| matches!(row[..], [_, _, DataCell::Number(c), DataCell::Number(b)] if c >= b - 0.02);
    assert!(table.rows.iter().all(above));
    assert!(svg(&figure, 760, 600, &Style::default()).unwrap().contains("on heating"));
    assert!(
        written(&sheet_of(&Study::Calorimetry(&[]), 760, 480, &Style::default()).0)
            .iter()
            .any(|w| w.text.contains("no table yet"))
    );
}
