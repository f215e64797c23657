//! Uncertainties that are typed: the list in the feedstock's chapter, its bands, its link, and the way back.

use gatefrost_core::scenario::{Scenario, demo, link};
use gatefrost_core::uncertainty::{Doubt, Uncertainty};

use thirtyfour::prelude::*;

use crate::harness::{Page, browse};
use crate::reading::MELT;

const NUMBER: &str = "#doubt-number";
const ADD: &str = "#add-doubt";
const CANVAS: &str = "#window-canvas";

fn error(index: usize) -> String {
    format!("#f-feedstock-uncertainty-numbers-{index}-standard_error")
}

fn doubt(path: &str, standard_error: f64, logarithmic: bool) -> Doubt {
    Doubt { path: format!("feedstock.{path}"), standard_error, logarithmic }
}

async fn add(page: &Page, number: &str) {
    page.unfold(ADD).await;
    page.choose(NUMBER, number).await;
    page.press(ADD).await;
}

/// The scenario that the address holds, once it has been written there.
async fn linked(page: &Page) -> Scenario {
    page.idle().await;
    tokio::time::sleep(std::time::Duration::from_millis(600)).await;
    let opened = link::decode(page.js("return location.hash").await.as_str().unwrap());
    assert_eq!(opened.problems, []);
    opened.scenario
}

async fn known(page: &Page) -> Uncertainty {
    linked(page).await.feedstock.uncertainty.unwrap_or_default()
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_viscosity_that_may_be_off_gives_bands_and_can_be_taken_back() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let hidden = "document.querySelector('#bands-choice').hidden";
        let without = page.ink(CANVAS).await;
        add(page, "Melt viscosity as a whole").await;
        // The field is ready to be typed over.
        let first = error(0);
        let at = page.js("return '#' + document.activeElement.id").await;
        assert_eq!(at, first.as_str());
        page.fill(&first, "20").await;
        let both = ["d1", "tau_star"].map(|field| doubt(&format!("flow_law.cross_wlf.{field}"), 0.2, true));
        let whole = Uncertainty { numbers: both.to_vec(), correlation: vec![vec![1.0; 2]; 2] };
        assert_eq!(known(page).await, whole);
        assert_eq!(page.js(&format!("return {hidden}")).await, false);
        assert_ne!(page.ink(CANVAS).await.hash, without.hash, "bands are drawn");
        let widths = "[...document.querySelectorAll('#window-foot td')].some((e) => e.textContent.includes('half width'))";
        page.js("document.querySelector('#window-foot details').open = true").await;
        page.wait_until(widths, crate::harness::READY).await;

        // What was typed, then what was added.
        page.press("#undo").await;
        assert_eq!(known(page).await.numbers.iter().map(|d| d.standard_error).collect::<Vec<_>>(), [0.1; 2]);
        page.press("#undo").await;
        assert_eq!(linked(page).await, demo::default_demo().scenario());
        assert_eq!(page.count(".doubts li").await, 0);
        assert_eq!(page.js(&format!("return {hidden}")).await, true);
        page.press("#redo").await;
        page.press("#redo").await;
        assert_eq!(known(page).await, whole);

        // A link opens to the same list, and the first entry is one row.
        page.open(&format!("?again#{}", link::encode(&linked(page).await))).await;
        page.idle().await;
        page.unfold(&first).await;
        assert_eq!(page.value(&first).await, "20");
        assert_eq!(page.count(".doubts li").await, 1);
        page.press(".doubts button").await;
        assert_eq!(linked(page).await, demo::default_demo().scenario());
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn what_was_fitted_keeps_its_correlation() {
    browse(async |page| {
        page.open("#1;d=pawl").await;
        page.idle().await;
        let fitted = known(page).await;
        page.unfold(ADD).await;
        assert_eq!(page.count(".doubts li").await, 7);
        let first = page.text(".doubts li:first-child").await;
        assert!(first.contains("Correlated: −0.952 with τ*"), "{first}");

        // Without the second of four the three others still go together, and the rest stands after them.
        page.press(".doubts li:nth-child(2) button").await;
        let mut wanted = fitted.clone();
        wanted.numbers.remove(1);
        wanted.correlation.remove(1);
        for row in &mut wanted.correlation {
            row.remove(1);
        }
        assert_eq!(known(page).await, wanted);
        let taken = format!("{NUMBER} option[value='Melt viscosity as a whole']");
        assert_eq!(page.count(&taken).await, 0, "one of its constants has an error of its own");

        // The contact with the mould, in per cent; the link and the core know it too.
        add(page, "setup.contact_conductance").await;
        page.fill(&error(6), "40").await;
        let path = "setup.contact_conductance".to_owned();
        wanted.numbers.push(Doubt { path, standard_error: 0.4, logarithmic: true });
        assert_eq!(known(page).await, wanted);
        assert_eq!(page.js("return document.querySelector('#bands-choice').hidden").await, false);
        let row = page.text(".doubts li:last-child").await;
        assert!(row.contains("Mould contact conductance") && row.contains("of 5000 W/m²K"), "{row}");
        page.press("#undo").await;
        page.press("#undo").await;
        wanted.numbers.pop();

        // A number more, in per cent and in its own unit; what follows it in the list keeps its place.
        add(page, "feedstock.powder_heat_capacity").await;
        page.fill(&error(6), "5").await;
        wanted.numbers.push(doubt("powder_heat_capacity", 0.05, true));
        assert_eq!(known(page).await, wanted);
        let heat = linked(page).await.feedstock.powder_heat_capacity;
        page.choose("#f-feedstock-uncertainty-numbers-6-unit", "own").await;
        let own = known(page).await.numbers[6].clone();
        assert!(!own.logarithmic && (own.standard_error / (0.05 * heat) - 1.0).abs() < 1e-9, "{own:?}");

        // Temperatures are off by degrees, in the reader's unit.
        page.choose("#units", "inch").await;
        page.fill(&error(5), "9").await;
        assert_eq!(known(page).await.numbers[5].standard_error, 5.0, "9 °F are 5 K");
        page.choose("#units", "si").await;
        assert_eq!(page.value(&error(5)).await, "5");

        // Once neither of its constants has an error of its own the whole can be added: it stands behind what goes
        // together, and does not go together with it.
        page.press(".doubts li:nth-child(2) button").await;
        add(page, "Melt viscosity as a whole").await;
        let found = known(page).await;
        let paths: Vec<&str> =
            found.numbers[..5].iter().map(|d| d.path.rsplit('.').next().unwrap()).collect();
        assert_eq!(paths, ["n", "a1", "d1", "tau_star", "critical_loading"]);
        let r = fitted.correlation[0][3];
        let rows = [[1.0, r, 0.0, 0.0], [r, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 1.0], [0.0, 0.0, 1.0, 1.0]];
        assert_eq!(found.correlation, rows.map(|row| row.to_vec()));
        assert_eq!(page.count(".doubts li").await, 7);
        page.press("#undo").await;

        // Under another law its constants are told apart; the whole of that law can be added.
        page.unfold("#f-feedstock-flow_law").await;
        page.choose("#f-feedstock-flow_law", "power_law").await;
        page.idle().await;
        let notes = page.texts(".doubts li").await;
        assert_eq!(notes.iter().filter(|text| text.contains("Not used")).count(), 2, "{notes:?}");
        add(page, "Melt viscosity as a whole").await;
        let last = known(page).await.numbers.pop().unwrap();
        assert_eq!(last, doubt("flow_law.power_law.consistency", 0.1, true));
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn what_is_no_standard_error_is_refused_in_words() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        add(page, "feedstock.no_flow_temperature").await;
        add(page, "feedstock.powder_conductivity").await;
        let before = known(page).await;
        let cases = [
            (0, "-3", "“No-flow temperature” is -3 K; accepted is 0 to 50 K"),
            (0, "51", "is 51 K; accepted is 0 to 50 K"),
            (0, "", "is empty; accepted is 0 to 50 K"),
            (0, "1e999", "is “1e999”, which is not a number"),
            (
                1,
                "<img src=x>",
                "“Powder conductivity” is “<img src=x>”, which is not a number; accepted is 0 to 100 %",
            ),
            (1, "101", "is 101 %; accepted is 0 to 100 %"),
        ];
        for (index, typed, said) in cases {
            page.fill(&error(index), typed).await;
            let found = page.text("#trouble li").await;
            assert!(found.starts_with("Standard error of") && found.contains(said), "{typed}: {found}");
            assert!(page.text(&format!("{}-error", error(index))).await.contains(said));
            page.fill(&error(index), ["2", "10"][index]).await;
            assert_eq!(known(page).await, before, "{typed}");
        }
        // In its own unit a number that is positive is off by no more than itself, as it is now.
        page.choose("#f-feedstock-uncertainty-numbers-1-unit", "own").await;
        page.unfold("#f-feedstock-powder_conductivity").await;
        page.fill("#f-feedstock-powder_conductivity", "20").await;
        page.fill(&error(1), "20.1").await;
        let found = page.text("#trouble li").await;
        assert!(found.contains("is 20.1 W/") && found.contains("accepted is 0 to 20 W/"), "{found}");
        page.fill(&error(1), "20").await;
        assert_eq!(known(page).await.numbers[1].standard_error, 20.0);
        add(page, "feedstock.critical_loading").await;
        page.fill(&error(2), "11").await;
        assert!(page.text("#trouble li").await.contains("is 11 vol%; accepted is 0 to 10 vol%"));

        // A link with more than can be typed opens.
        let wide =
            r#"{"numbers":[{"path":"feedstock.powder_conductivity","standard_error":4,"logarithmic":true}]}"#;
        page.open(&format!("?wide#1;d=hinge;un={}", wide.replace('"', "%22"))).await;
        assert_eq!(known(page).await.numbers[0].standard_error, 4.0);
        assert_eq!((page.value(&error(0)).await.as_str(), page.count("#trouble li").await), ("400", 0));

        // What a link brings is looked at by the core; the rest of the link opens.
        for (bad, said) in [
            (
                r#"{"numbers":[{"path":"feedstock.__proto__","standard_error":1}]}"#,
                "accepted is the path of a number of the feedstock",
            ),
            (r#"{"numbers":[{"path":"feedstock.swell","standard_error":-1}]}"#, "0 or more"),
            (r#"{"numbers":[],"correlation":[[1]]}"#, "square"),
        ] {
            let text = bad.replace('"', "%22");
            page.open(&format!("?{}#1;d=hinge;T=171;un={text}", said.len())).await;
            page.idle().await;
            let notice = page.text("#notices").await;
            assert!(notice.contains(said), "{bad}: {notice}");
            assert_eq!((page.count(".doubts li").await, page.setting(MELT).await), (0, 171.0));
        }
        page.assert_clean_console().await;
    });
}

/// Presses keys wherever the keyboard is.
async fn keys(page: &Page, keys: TypingData) {
    page.driver().active_element().await.unwrap().send_keys(keys).await.unwrap();
    page.frames().await;
}

#[test]
#[ignore = "run by cargo xtask test"]
fn what_is_added_is_taken_back_from_the_field_itself() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        for (path, own) in [("feedstock.ejection_temperature", "2"), ("feedstock.critical_loading", "0.5")] {
            add(page, path).await;
            assert_eq!(page.value(&error(0)).await, own);
            keys(page, Key::Control + "z").await;
            assert_eq!(page.count(".doubts li").await, 0, "{path}");
            assert_eq!(
                page.js("return '#' + document.activeElement.id").await,
                ADD,
                "the keyboard goes on there"
            );
            keys(page, Key::Control + "y").await;
            assert_eq!(page.value(&error(0)).await, own, "{path} is there again");
            keys(page, Key::Control + "z").await;
        }
        // The list still follows.
        page.press(ADD).await;
        assert_eq!(page.count(".doubts li").await, 1);
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn what_is_refused_stays_until_it_is_mended() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        add(page, "feedstock.critical_loading").await;
        add(page, "feedstock.ejection_temperature").await;
        let before = known(page).await;
        page.fill(&error(1), "abc").await;
        add(page, "feedstock.no_flow_temperature").await;
        let stays = async |index: usize| {
            assert_eq!(page.value(&error(index)).await, "abc");
            let said = page.text(&format!("{}-error", error(index))).await;
            assert!(said.contains("“Ejection temperature” is “abc”, which is not a number"), "{said}");
            assert_eq!(page.count("#trouble li").await, 1);
        };
        stays(1).await;
        assert_eq!(page.js("return '#' + document.activeElement.id").await, error(1).as_str());
        assert_eq!(page.count(".doubts li").await, 2, "nothing was added");
        // Another that goes takes nothing of it away.
        page.press(".doubts li:first-child button").await;
        assert_eq!(page.count(".doubts li").await, 1);
        stays(0).await;
        page.fill(&error(0), "3").await;
        let left = Doubt { standard_error: 3.0, ..before.numbers[1].clone() };
        assert_eq!(known(page).await.numbers, [left]);
        add(page, "feedstock.no_flow_temperature").await;
        assert_eq!(page.count(".doubts li").await, 2);
        // Its own going takes it away.
        page.fill(&error(1), "abc").await;
        page.press(".doubts li:last-child button").await;
        assert_eq!((page.count(".doubts li").await, page.count("#trouble li").await), (1, 0));
        page.assert_clean_console().await;
    });
}
