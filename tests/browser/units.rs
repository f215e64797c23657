//! Numbers in the units of the shop.

use gatefrost_core::scenario::link;
use serde_json::Value;

use crate::harness::{Page, browse};
use crate::reading::MELT;

const PRESSURE: &str = "fill.nozzle_pressure_mpa";
const HOLD: &str = "#f-setup-hold_pressure";

/// The scenario that the address holds.
async fn scenario(page: &Page) -> gatefrost_core::scenario::Scenario {
    page.wait_until("!document.querySelector('#trouble li')", crate::harness::READY).await;
    tokio::time::sleep(std::time::Duration::from_millis(600)).await;
    let hash = page.js("return location.hash").await;
    link::decode(hash.as_str().unwrap()).scenario
}

#[test]
#[ignore = "run by cargo xtask test"]
fn what_is_typed_in_psi_and_fahrenheit_is_the_same_scenario() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let mpa = page.text(&format!("[data-key=\"{PRESSURE}\"]")).await;
        page.choose("#units", "inch").await;
        page.idle().await;
        assert_eq!(page.value(MELT).await, "329", "165 °C");
        let psi = page.text(&format!("[data-key=\"{PRESSURE}\"]")).await;
        let number = |text: &str, unit: &str| -> f64 {
            text.strip_suffix(unit)
                .unwrap_or_else(|| panic!("{text} is not in {unit}"))
                .trim()
                .parse()
                .unwrap()
        };
        // To the three digits shown: 1 MPa is 145.04 psi.
        assert!((number(&psi, "psi") / number(&mpa, "MPa") / 145.037_7 - 1.0).abs() < 0.01, "{psi}, {mpa}");

        page.fill(MELT, "338").await;
        page.fill(HOLD, "10 000").await;
        page.idle().await;
        let held = scenario(page).await.setup;
        assert_eq!(held.melt_temperature, 170.0);
        assert!((held.hold_pressure - 68.947_572_93).abs() < 1e-7, "{}", held.hold_pressure);
        assert_eq!(page.value(HOLD).await, "10000");
        let reading = page.text("#window-reading").await;
        assert!(reading.contains("338 °F"), "{reading}");

        // What is refused is told in the unit that was typed.
        page.fill(MELT, "2000").await;
        let said = page.text("#trouble li").await;
        assert!(said.contains("2000 °F") && said.contains("68 to 842 °F"), "{said}");
        page.press("#undo").await;
        page.idle().await;

        // A comma may group thousands there: it is asked about, in a field and at an end of the window.
        let end = "#f-window-y-to";
        page.unfold(end).await;
        for field in [HOLD, end] {
            page.fill(field, "9,400").await;
            let said = page.text("#trouble li").await;
            assert!(said.contains("may mean 9400 or 9.400"), "{said}");
            page.press("#undo").await;
            page.idle().await;
        }

        // Nothing waits for what has come already.
        page.frames().await;
        page.choose("#units", "bar").await;
        page.choose("#units", "inch").await;
        page.frames().await;
        assert_eq!(page.count(".waiting").await, 0);
        assert!(!page.text("#moment-words").await.contains("computing"));

        // No sentence of the page is left behind, save where a source is cited.
        let left = page
            .js("for (const box of document.querySelectorAll('details')) box.open = true;
                const cited = document.querySelectorAll('.source, #notices, select');
                const walker = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT);
                const left = [];
                while (walker.nextNode()) {
                    const { textContent, parentElement } = walker.currentNode;
                    if ([...cited].some((box) => box.contains(parentElement))) continue;
                    if (/[0-9] (MPa|°C|mm(?![²³])|kN)(?![^ .,;:)])/.test(textContent)) left.push(textContent);
                }
                return left")
            .await;
        assert_eq!(left, Value::Array(Vec::new()));

        // They stay; bar is ten to the megapascal; and back.
        page.open("?again").await;
        page.idle().await;
        assert_eq!(page.value(MELT).await, "329");
        page.choose("#units", "bar").await;
        assert_eq!(page.value(MELT).await, "165");
        assert_eq!(page.value(HOLD).await, "650");
        page.choose("#units", "si").await;
        assert_eq!(page.value(HOLD).await, "65");
        page.assert_clean_console().await;
    });
}
