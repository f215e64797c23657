//! How safe a set point is, limits that are left out, and a gate's depth across the window.

use crate::harness::{READY, browse};
use crate::reading::{MELT, TIME};
use gatefrost_core::scenario::{demo, link};
use gatefrost_core::uncertainty::{Doubt, Uncertainty};
use serde_json::Value;
use std::time::Duration;

#[test]
#[ignore = "run by cargo xtask test"]
fn the_safest_set_point_nearby_is_worked_out_and_taken() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        page.find("#work-safety-out").await.click().await.unwrap();
        page.wait_until("document.querySelector('#safety-answers h3')", Duration::from_secs(90)).await;
        let number = async |id: &str| -> f64 {
            let value = page.find(id).await.attr("data-value").await.unwrap().unwrap();
            value.parse().unwrap()
        };
        let found = gatefrost_safety::best(&demo::default_demo().scenario()).expect("valid");
        let (now, best) = (number("#bears-now").await, number("#bears-best").await);
        assert!((now / found.present_bears - 1.0).abs() < 1e-3, "{now} {}", found.present_bears);
        assert!((best / found.bears - 1.0).abs() < 1e-2, "{best} {}", found.bears);
        let levers = page.js("return document.querySelectorAll('#safety-levers tbody tr').length").await;
        assert_eq!(levers, Value::from(14));
        for gain in page.texts("#safety-levers td").await {
            assert!(gain != "−0.0" && gain != "-0.0", "what rounds to nothing has no sign of its own");
        }
        assert_eq!(page.count("#best-ample").await, usize::from(found.bears >= 15.0));
        assert_eq!(page.count("#best-certain").await, 0, "all of this feedstock is taken as known");
        let inside = number("#shots-inside").await;
        assert!((0.0..=100.0).contains(&inside));
        let told = page.text("#safety-parts").await;
        assert!(!told.contains("undefined") && !told.contains("null"), "{told}");

        page.press("#take-best").await;
        page.idle().await;
        let seen = "const { top, bottom } = document.querySelector('#window-canvas').getBoundingClientRect();
            return [document.activeElement.id, top >= 0 && bottom <= innerHeight]";
        assert_eq!(
            page.js(seen).await,
            serde_json::json!(["window-canvas", true]),
            "it is seen where it lies"
        );
        let wanted = |k: usize| found.settings[k].1;
        assert!((page.setting(MELT).await / wanted(0) - 1.0).abs() < 0.02);
        assert!((page.setting(TIME).await / wanted(2) - 1.0).abs() < 0.05);
        assert_eq!(page.text("#verdict").await, "Inside: every limit is met.");
        assert!(
            page.text("#safety-said").await.contains("compute it again"),
            "it is said to be of another set point"
        );
        page.assert_clean_console().await;
    });
}

/// A hold pressure so low that every place sinks: the first row says that more of it helps most, no row says that
/// nothing happens, and the interval of the shots has a width.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_closed_window_is_told_what_would_open_it() {
    browse(async |page| {
        let mut scenario = demo::default_demo().scenario();
        scenario.setup.hold_pressure = 4.0;
        page.open(&format!("#{}", link::encode(&scenario))).await;
        page.idle().await;
        page.press("#work-safety-out").await;
        page.wait_until("document.querySelector('#safety-answers h3')", Duration::from_secs(90)).await;
        page.wait_until("document.querySelector('#safety-said').textContent === ''", Duration::from_secs(90))
            .await;
        let rows = page.texts("#safety-levers tbody tr").await;
        assert!(rows.len() > 3 && rows[0].starts_with("hold pressure from 4 to 12 MPa"), "{rows:?}");
        assert!(rows[0].contains("open"), "{}", rows[0]);
        let gains = page.texts("#safety-levers td:nth-child(2)").await;
        assert!(gains.iter().all(|gain| !gain.starts_with("+0,") && !gain.starts_with("−0,")), "{gains:?}");
        assert!(page.text("#closed-now").await.contains("switch-over"));
        assert!(page.text("#closed-still").await.contains("clamp force"));
        let shots = page.text("#safety-shots p").await;
        let numbers: Vec<&str> = shots.split(" % and ").collect();
        assert!(numbers.len() == 2 && !shots.contains("between 0 % and 0 %"), "{shots}");
        assert!(page.text("#highest-loading").await.len() > 4);
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn what_the_search_leaves_out_is_said() {
    browse(async |page| {
        let mut scenario = demo::default_demo().scenario();
        let scatter = &mut scenario.scatter;
        for deviation in [
            &mut scatter.melt_temperature,
            &mut scatter.mould_temperature,
            &mut scatter.injection_time,
            &mut scatter.hold_pressure,
            &mut scatter.hold_time,
            &mut scatter.solids_loading,
        ] {
            *deviation *= 0.1;
        }
        let path = "feedstock.powder_conductivity".to_owned();
        let numbers = vec![Doubt { path, standard_error: 0.1, logarithmic: true }];
        scenario.feedstock.uncertainty = Some(Uncertainty { numbers, correlation: vec![] });
        page.open(&format!("#{}", link::encode(&scenario))).await;
        page.idle().await;
        page.press("#work-safety-out").await;
        page.wait_until("document.querySelector('#safety-best h3')", Duration::from_secs(90)).await;
        // With so little scatter the search has no reason to go on.
        assert!(page.text("#best-ample").await.contains("so the search stopped"));
        assert!(page.text("#best-certain").await.contains("taken as exact"));
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_limit_that_is_left_out_bounds_nothing() {
    browse(async |page| {
        page.open("").await;
        page.fill(TIME, "0.05").await;
        page.idle().await;
        let out = page.text("#verdict").await;
        assert!(out.starts_with("Outside: "), "{out}");
        let broken = page
            .js("return [...document.querySelectorAll('#margin-list li.out')].map((li) => li.dataset.limit)");
        let broken: Vec<String> = serde_json::from_value(broken.await).unwrap();
        assert!(!broken.is_empty());
        for limit in &broken {
            let box_of = format!("#margin-list li[data-limit='{limit}'] input");
            page.unfold(&box_of).await;
            page.press(&box_of).await;
            page.idle().await;
        }
        assert_eq!(page.text("#verdict").await, "Inside: every limit is met.");
        let address = page.js("return location.hash").await;
        assert!(address.as_str().unwrap().contains("ig="), "{address}: the link has it");
        for limit in &broken {
            let state = format!("#margin-list li[data-limit='{limit}'] .state");
            assert_eq!(page.text(&state).await, "left out");
        }
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_depth_of_the_gate_may_span_the_window() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        page.js("document.getElementById('plane-box').open = true;
             const axis = document.querySelector('#plane select');
             axis.value = 'gate_depth';
             axis.dispatchEvent(new Event('change'));")
            .await;
        page.idle().await;
        let gate = demo::default_demo().scenario().cavity.gate_depth().unwrap();
        let words = page.text("#window-reading").await;
        assert!(words.contains(&format!("gate thickness {gate} mm")), "{words}");
        // To the right the gate grows deeper, and its field with it.
        let from = page.place("#window-canvas", 0.5, 0.5).await;
        let to = page.place("#window-canvas", 0.8, 0.5).await;
        page.drag(from, to, 6).await;
        page.idle().await;
        // The pointer rests on the plane: the reading is of its place. The address has the new depth, once nothing
        // has changed for a moment.
        page.wait_until("/;c2[.]h=/.test(location.hash)", READY).await;
        let address = page.js("return location.hash").await;
        let address = address.as_str().unwrap();
        let changed = link::decode(address.trim_start_matches('#')).scenario;
        let depth = changed.cavity.gate_depth().unwrap();
        assert!(depth > 1.2 * gate, "{depth} in {address}");
        page.assert_clean_console().await;
    });
}
