//! How much work the solvers do for the demos: counts, which a busy machine does not change.
//!
//! A change that makes the solvers do more shows as a difference in `counts.txt`. Where more is meant,
//! write the table anew: `GATEFROST_COUNTS=write cargo test -p gatefrost-tests --test effort`.

use std::fmt::Write;
use std::path::Path;

use gatefrost_core::case::Case;
use gatefrost_core::scenario::{Dimension, demo};
use gatefrost_window::{Detail, trace};

/// Rounding differs from one processor's mathematics to another's: an iteration more here or there.
const LET_PASS: f64 = 0.01;

fn counts() -> String {
    let mut out = String::new();
    let mut line = |demo: &str, what: &str, count: u32| {
        writeln!(out, "{demo:<8} {what:<28} {count:>6}").expect("text takes text");
    };
    for d in demo::DEMOS {
        let scenario = d.scenario();
        let case = Case::resolve(&scenario);
        let point = case.evaluate();
        let (fill, hold) = (point.fill.end.effort, point.hold.as_ref().expect("the part is full").effort);
        for (what, count) in [
            ("fill: steps", fill.steps),
            ("fill: sections", fill.sections),
            ("fill: iterations", fill.iterations),
            ("hold: steps", hold.steps),
            ("hold: sections", hold.sections),
            ("hold: solutions", hold.solutions),
            ("hold: stirred", hold.stirred),
            ("hold: lines", hold.lines),
        ] {
            line(d.name, what, count);
        }
        let mut sized = scenario.clone();
        sized.sizes.dimensions = vec![Dimension { size: 25.0, tolerance: 0.125, ..Dimension::default() }];
        let window = trace(&sized, Detail::Fine).expect("a demo is valid");
        line(d.name, "with a size: evaluations", window.evaluations as u32);
        line(d.name, "with a size: holds", window.holds as u32);
        for (what, detail) in [("coarse", Detail::Coarse), ("fine", Detail::Fine)] {
            let window = trace(&scenario, detail).expect("a demo is valid");
            line(d.name, &format!("{what} window: evaluations"), window.evaluations as u32);
            line(d.name, &format!("{what} window: holds"), window.holds as u32);
        }
    }
    out
}

/// Each line's words and its count.
fn table(text: &str) -> Vec<(&str, f64)> {
    let line = |l: &'_ str| l.rsplit_once(' ').and_then(|(words, n)| Some((words.len(), n.parse().ok()?)));
    text.lines().filter_map(|l| line(l).map(|(end, n)| (l[..end].trim_end(), n))).collect()
}

#[test]
fn the_solvers_do_no_more_work_than_they_did() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("effort/counts.txt");
    let found = counts();
    if std::env::var("GATEFROST_COUNTS").is_ok_and(|v| v == "write") {
        std::fs::write(&path, &found).expect("the folder is there");
    }
    let kept = std::fs::read_to_string(&path).expect("the table is there");
    let (found, kept) = (table(&found), table(&kept));
    let names = |t: &[(&str, f64)]| t.iter().map(|(what, _)| (*what).to_owned()).collect::<Vec<_>>();
    assert_eq!(names(&found), names(&kept));
    assert!(found.len() >= 40, "{found:?}");
    let differ = |((what, now), (_, then)): (&(&str, f64), &(&str, f64))| {
        ((now / then - 1.0).abs() > LET_PASS).then(|| format!("{what}: {then} before, {now} now"))
    };
    let differences: Vec<String> = found.iter().zip(&kept).filter_map(differ).collect();
    assert!(differences.is_empty(), "{differences:#?}");
}
