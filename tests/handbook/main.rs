//! The figures of the README and of the handbook are what the program draws today.
//!
//! Where a change is meant, draw them anew: `GATEFROST_FIGURES=write cargo test -p gatefrost-tests --test handbook`.

use std::path::PathBuf;

use gatefrost_core::scenario::{Scenario, demo};
use gatefrost_plot::{Figure, Over, Style, svg};
use gatefrost_report::{evaluate, hold_study};
use gatefrost_window::{Detail, Window, bands, surface, told};

/// Size of the figures, in CSS pixels: that of `gatefrost window`.
const SIZE: (u32, u32) = (960, 640);
/// How far a word may stand from its place, in the figure's units of an eighth of a pixel: rounding differs from one
/// processor's mathematics to another's.
const LET_PASS: f64 = 16.0;

fn drawn(figure: &Figure<'_>) -> String {
    let style = Style { title: true, ..Style::default() };
    svg(figure, SIZE.0, SIZE.1, &style).expect("the figure can be drawn")
}

fn scenario(name: &str) -> Scenario {
    demo::find(name).expect("a demo").scenario()
}

/// The window as `gatefrost window` draws it.
fn window(name: &str) -> String {
    let scenario = scenario(name);
    let surface = surface(&scenario, Detail::Fine).expect("a window");
    let window: Window = told(&scenario, &surface);
    let uncertain = scenario.feedstock.uncertainty.is_some();
    let bands = uncertain.then(|| bands(&scenario, Detail::Fine, &surface).expect("bands"));
    let set_point = window.plane.place_of(&scenario);
    let over = Over { bands: bands.as_ref(), beside: None, best: None, lit: None, mark_in: None };
    drawn(&Figure::Window { window: &window, set_point, over })
}

fn mass(name: &str) -> String {
    let scenario = scenario(name);
    let report = evaluate(&scenario).expect("a report");
    drawn(&Figure::Mass(&report, &hold_study(&scenario).expect("a study")))
}

fn viscosity(name: &str) -> String {
    drawn(&Figure::Viscosity(&evaluate(&scenario(name)).expect("a report")))
}

/// The words of a figure, each with its place.
fn words(figure: &str) -> Vec<(String, [f64; 2])> {
    let text = |element: &str| {
        let (tag, rest) = element.split_once('>').expect("a tag");
        let place = |name: &str| {
            let value = tag.split(&format!(" {name}=\"")).nth(1).and_then(|v| v.split('"').next());
            value.and_then(|v| v.parse().ok()).expect("a number")
        };
        (rest.split('<').next().unwrap_or_default().trim().to_owned(), [place("x"), place("y")])
    };
    figure.split("<text").skip(1).map(text).collect()
}

#[test]
fn the_figures_of_the_documents_are_what_the_program_draws() {
    let figures = [
        ("window", window("hinge")),
        ("bands", window("pawl")),
        ("mass", mass("yoke")),
        ("viscosity", viscosity("hinge")),
    ];
    let folder = PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../www/handbook/figures"));
    for (name, found) in figures {
        let path = folder.join(format!("{name}.svg"));
        if std::env::var("GATEFROST_FIGURES").is_ok_and(|v| v == "write") {
            std::fs::write(&path, &found).expect("the folder is there");
        }
        let kept = std::fs::read_to_string(&path).expect("the figure").replace("\r\n", "\n");
        let (kept, found) = (words(&kept), words(&found));
        assert!(!kept.is_empty());
        let near = |a: &[f64; 2], b: &[f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]) <= LET_PASS;
        for ((word, place), (now, at)) in kept.iter().zip(&found) {
            assert!(
                word == now && near(place, at),
                "{name}.svg: {word:?} at {place:?} is now {now:?} at {at:?}"
            );
        }
        assert_eq!(kept.len(), found.len(), "{name}.svg");
    }
}
