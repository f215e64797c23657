//! The cycle moment by moment: melt, what has set, the nozzle's release, the strip.

use super::fixtures::{moments, report, yoke};
use super::*;

/// Where the wash of the melt begins and ends in each plot, in mm from the nozzle.
fn melt(report: &Report, at: At<'_>) -> Vec<[f64; 2]> {
    let (list, layout) = sheet_of(&Figure::Cavity(report, Some(at)), 760, 320, &Style::default());
    let wash = list.palette.shade;
    let panels: Vec<&Panel> = std::iter::once(&layout.plot).chain(&layout.others).collect();
    let mut found = vec![[f64::INFINITY, f64::NEG_INFINITY]; panels.len()];
    for shape in &list.shapes {
        let Shape::Area { points, color } = shape else { continue };
        for p in points.iter().filter(|_| *color == wash) {
            let Some(k) = panels.iter().position(|panel| panel.rect.contains(*p)) else { continue };
            let mm = panels[k].to_value(*p)[0];
            found[k] = [found[k][0].min(mm), found[k][1].max(mm)];
        }
    }
    found
}

#[test]
fn the_melt_ends_at_the_front() {
    let (r, moments) = (report(), moments());
    for (index, front) in [(1, 20.7), (2, 41.4), (3, 62.1), (4, 82.8), (5, 103.5), (7, 103.5)] {
        let [_, end] = melt(&r, At { moments: &moments, index })[0];
        assert!((end - front).abs() < 0.3, "{front}: {end}");
    }
    let [_, end] = melt(&r, At { moments: &moments, index: 0 })[0];
    assert!(end < 0.0, "dry before injection begins");
}

#[test]
fn two_arms_fill_row_by_row_and_weld_where_they_meet() {
    let (r, moments, study) = yoke();
    let [weld] = &r.fill.weld_lines[..] else { panic!("one weld") };
    let passages = &r.cavity.passages;
    let place = passages[weld.index].start_mm + weld.from_start_mm;
    let filling: Vec<usize> =
        (0..moments.moments.len()).filter(|&i| moments.moments[i].stage == Phase::Fill).collect();
    let mut before = vec![f64::NEG_INFINITY; 2];
    for &index in &filling {
        let now = melt(&r, At { moments: &moments, index });
        assert_eq!(now.len(), 2, "a row for each branch");
        for k in 0..2 {
            assert!(now[k][1] >= before[k] - 0.2, "fronts do not go back: {now:?}");
            before[k] = now[k][1];
        }
        if moments.moments[index].time_s < weld.time_s * 0.9 {
            let row = usize::from(weld.index > 3);
            assert!(now[row][1] < place + 1.0, "no front has passed the weld: {now:?}, {place}");
        }
    }
    let last = *filling.last().unwrap();
    for (k, end) in [3, 6].into_iter().enumerate() {
        let p = &passages[end];
        assert!((before[k] - p.start_mm - p.length_mm).abs() < 0.3, "{before:?}");
    }
    // The figure names the weld; once both have met, its line is unbroken.
    for (width, height) in [(360, 300), (760, 320)] {
        for index in [last / 2, last, moments.moments.len() - 1] {
            for figure in of_report(&r, &moments, &study, index) {
                let (list, _) = sheet_of(&figure, width, height, &Style::default());
                let all = written(&list);
                let apart: Vec<&Written> = all.iter().filter(|w| w.text.parse::<f64>().is_err()).collect();
                for (i, a) in apart.iter().enumerate() {
                    for b in &apart[i + 1..] {
                        let clash = a.frame.grown(-1.0).overlaps(&b.frame.grown(-1.0));
                        assert!(!clash, "{} at {width}: {} / {}", figure.caption(), a.text, b.text);
                    }
                }
                if matches!(figure, Figure::Cavity(..)) {
                    assert!(all.iter().any(|w| w.text == "weld"), "{width}");
                }
            }
        }
    }
}

#[test]
fn what_has_set_grows_from_the_walls() {
    let (r, moments) = (report(), moments());
    let dark = |index: usize| -> f64 {
        let at = At { moments: &moments, index };
        let (list, _) = sheet_of(&Figure::Cavity(&r, Some(at)), 760, 320, &Style::default());
        let color = list.palette.sectioning();
        let areas = list.shapes.iter().filter_map(|shape| match shape {
            Shape::Area { points, color: c } if *c == color => Some(points),
            _ => None,
        });
        let size = |points: &Vec<[f64; 2]>| -> f64 {
            let turned = (0..points.len()).map(|i| (points[i], points[(i + 1) % points.len()]));
            turned.map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum::<f64>().abs() / 2.0
        };
        areas.map(size).sum()
    };
    assert!((dark(6) / dark(5) - 2.5).abs() < 0.01, "10 against 4 per cent of the gap");
    assert!(dark(3) < dark(5), "only where melt stands");
}

#[test]
fn the_nozzle_is_let_off_in_a_step() {
    for figure in [Figure::Hold(&report()), Figure::Trace(&report(), &moments())] {
        let (list, layout) = sheet_of(&figure, 760, 480, &Style::default());
        let zero = layout.plot.to_pixel([1.0, 0.0])[1];
        let held = layout.plot.to_pixel([1.0, 60.0])[1];
        let falls = list.shapes.iter().any(|shape| match shape {
            Shape::Path { points, .. } => points.windows(2).any(|p| {
                (p[0][0] - p[1][0]).abs() < 1e-6
                    && (p[0][1] - held).abs() < 0.1
                    && (p[1][1] - zero).abs() < 0.1
            }),
            _ => false,
        });
        assert!(falls, "{}", figure.caption());
    }
}

#[test]
fn what_runs_inside_a_part_of_the_cycle_begins_with_it() {
    let r = report();
    let shown = Figure::Cycle(&r).table();
    let row = |name: &str| shown.rows.iter().find(|row| row[0] == DataCell::text(name)).unwrap().clone();
    assert_eq!(row("plasticise")[1], row("cool")[1]);
    assert_eq!(row("open and eject")[1], DataCell::Number(1.5 + 0.5 + 3.0 + 9.4));
    let (list, _) = sheet_of(&Figure::Cycle(&r), 360, 176, &Style::default());
    let all: Vec<String> = written(&list).into_iter().map(|w| w.text).collect();
    assert!(all.join(" ").contains("decides the cycle time: cooling of the part"), "{all:?}");
}

#[test]
fn the_path_alone_picks_out_one_passage_and_says_where_each_lies() {
    let r = report();
    let passages = &r.cavity.passages;
    let path = |chosen| sheet_of(&Figure::Passages { passages, chosen }, 400, 240, &Style::default());
    let (plain, layout) = path(None);
    assert_eq!(layout.spots.len(), passages.len());
    for (spot, p) in layout.spots.iter().zip(passages) {
        let panel =
            std::iter::once(&layout.plot).chain(&layout.others).find(|panel| panel.rect.top == spot.top);
        let panel = panel.expect("it lies in a row");
        let [left, right] = [p.start_mm, p.start_mm + p.length_mm].map(|mm| panel.to_pixel([mm, 0.0])[0]);
        assert!((spot.left - left).abs() < 1e-9 && (spot.right - right).abs() < 1e-9, "{}", p.name);
    }
    // No melt before anything has been computed, and one heavy outline where a passage is chosen.
    let areas = |list: &DisplayList, color| {
        list.shapes.iter().filter(|s| matches!(s, Shape::Area { color: c, .. } if *c == color)).count()
    };
    assert_eq!(areas(&plain, plain.palette.shade), 0);
    let heavy = |list: &DisplayList| {
        let strokes = list.shapes.iter().filter_map(|s| match s {
            Shape::Path { points, width, .. } if *width > 3.5 => Some(points.clone()),
            _ => None,
        });
        strokes.collect::<Vec<_>>()
    };
    assert!(heavy(&plain).is_empty());
    for (i, spot) in layout.spots.iter().enumerate() {
        let outlines = heavy(&path(Some(i)).0);
        let [outline] = &outlines[..] else { panic!("{outlines:?}") };
        assert!(outline.iter().all(|p| (spot.left - 1e-9..=spot.right + 1e-9).contains(&p[0])));
    }
    assert!(heavy(&path(Some(99)).0).is_empty());
}
