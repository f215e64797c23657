//! A number of the page is opened: what stands behind it, by pointer and keyboard, on a phone, and in the one file.

use std::time::Duration;

use serde_json::{Value, json};
use thirtyfour::prelude::*;

use crate::harness::{Page, browse};

/// The part of the page that explains the number at a path.
async fn opened(page: &Page, key: &str) -> String {
    let button = format!("[data-explains=\"{key}\"]");
    page.js_with(
        "document.querySelector(arguments[0]).scrollIntoView({ block: 'center' })",
        &[json!(button)],
    )
    .await;
    page.find(&button).await.click().await.unwrap();
    told(page, key).await
}

/// Waits until the explanation is there, with the inputs that move the result most; returns its text.
async fn told(page: &Page, key: &str) -> String {
    let button = format!("document.querySelector('[data-explains=\"{key}\"]')");
    let place = format!("document.getElementById({button}.getAttribute('aria-controls'))");
    let done = format!(
        "{place}.querySelectorAll('.moves dd').length > 0 && {place}.querySelectorAll('math').length > 1"
    );
    page.wait_until(&done, Duration::from_secs(60)).await;
    page.js(&format!("return {place}.innerText")).await.as_str().unwrap().to_owned()
}

async fn expanded(page: &Page, key: &str) -> Value {
    page.js(&format!(
        "return document.querySelector('[data-explains=\"{key}\"]').getAttribute('aria-expanded')"
    ))
    .await
}

async fn places_open(page: &Page) -> usize {
    page.js("return document.querySelectorAll('.explanation:not([hidden])').length").await.as_u64().unwrap()
        as usize
}

const FREEZE: &str = "hold.gate_freeze_s";

#[test]
#[ignore = "run by cargo xtask test"]
fn a_number_opens_in_place_and_escape_closes_it() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        assert_eq!(places_open(page).await, 0);
        let said = opened(page, FREEZE).await;
        let shown = page.text(&format!("[data-key=\"{FREEZE}\"]")).await;
        assert!(said.contains(&format!("Gate freeze, from the end of filling: {shown}")), "{shown}: {said}");
        for part in
            ["What is solved", "By hand", "Without creeping melt", "What moves it most", "hold too short"]
        {
            assert!(said.contains(part), "{part}: {said}");
        }
        assert_eq!(expanded(page, FREEZE).await, "true");
        // Another number of the list takes its place.
        opened(page, "fill.nozzle_pressure_mpa").await;
        assert_eq!((places_open(page).await, expanded(page, FREEZE).await), (1, json!("false")));
        // Escape closes it and leaves the focus on the number.
        let button = page.find("[data-explains=\"fill.nozzle_pressure_mpa\"]").await;
        button.send_keys(Key::Escape + "").await.unwrap();
        assert_eq!(places_open(page).await, 0);
        let focused = page.js("return document.activeElement.dataset.explains").await;
        assert_eq!(focused, "fill.nozzle_pressure_mpa");
        // With the keyboard: once to open, once more to close.
        button.send_keys(Key::Enter + "").await.unwrap();
        told(page, "fill.nozzle_pressure_mpa").await;
        button.send_keys(Key::Enter + "").await.unwrap();
        assert_eq!(places_open(page).await, 0);
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn what_is_open_follows_the_scenario_and_the_units() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let before = opened(page, FREEZE).await;
        page.fill("#f-setup-mould_temperature", "45").await;
        page.idle().await;
        page.wait_until(
            "document.querySelector('#headline .explanation').innerText.includes('45 °C')",
            Duration::from_secs(60),
        )
        .await;
        let after = told(page, FREEZE).await;
        assert_ne!(before, after);
        page.js("const units = document.getElementById('units'); units.value = 'inch'; units.dispatchEvent(new Event('change'))")
            .await;
        page.wait_until(
            "document.querySelector('#headline .explanation').innerText.includes('113 °F')",
            Duration::from_secs(60),
        )
        .await;
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn numbers_of_tables_open_too_and_nothing_is_wider_than_a_phone() {
    browse(async |page| {
        page.resize(360, 740, 3.0).await;
        page.open("#1;d=yoke").await;
        page.idle().await;
        for key in
            [FREEZE, "hold.gates.0.hand_mean_s", "fill.passages.0.wall_stress_kpa", "after.oversize_factor"]
        {
            let said = opened(page, key).await;
            assert!(said.contains("By hand") && !said.contains("NaN"), "{key}: {said}");
        }
        assert_eq!(places_open(page).await, 4, "one for each list");
        let wide = page.js("return document.documentElement.scrollWidth").await.as_f64().unwrap();
        assert!(wide <= 360.0, "{wide}");
        let low = page
            .js("return Math.min(...[...document.querySelectorAll('button.number')].filter((b) => b.offsetHeight > 0).map((b) => b.offsetHeight))")
            .await;
        assert!(low.as_f64().unwrap() >= 24.0, "{low}");
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn numbers_of_what_follows_the_mould_open_and_follow_the_scenario() {
    browse(async |page| {
        page.resize(360, 740, 3.0).await;
        page.open("after.html").await;
        planned(page).await;
        page.press("#add-dimension").await;
        planned(page).await;
        for key in [
            "plan.sizes.oversize_factor",
            "plan.sizes.dimensions.0.cavity_mm",
            "plan.steps.0.hours.value",
            "plan.sintering.deviations.1.length_change_percent",
        ] {
            let said = opened(page, key).await;
            let shown = page.text(&format!("[data-explains=\"{key}\"]")).await;
            let shown = shown.split(' ').next().unwrap().trim_start_matches(['+', '-', '−']).to_owned();
            assert!(said.contains("By hand") && said.contains("What moves it most"), "{key}: {said}");
            assert!(said.contains(&shown) && !said.contains("NaN"), "{key}: {shown} in {said}");
        }
        assert_eq!(places_open(page).await, 4, "one for each list");
        let wide = page.js("return document.documentElement.scrollWidth").await.as_f64().unwrap();
        assert!(wide <= 360.0, "{wide}");
        // Another size: what is open is computed again.
        page.fill("#f-sizes-dimensions-0-size", "30").await;
        page.wait_until(
            "document.querySelector('#sizes-outs .explanation').innerText.includes('30 mm')",
            Duration::from_secs(60),
        )
        .await;
        page.assert_clean_console().await;
    });
}

/// Waits until the plan is shown, with what the mould hands on.
async fn planned(page: &Page) {
    let done = "document.documentElement.dataset.ready === 'true' && document.documentElement.dataset.busy === 'false'";
    page.wait_until(done, Duration::from_secs(60)).await;
    page.frames().await;
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_page_asks_for_the_module_once_and_after_its_own() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        opened(page, FREEZE).await;
        opened(page, "cool.cycle_s").await;
        let script = "const of = (name) => performance.getEntriesByType('resource').filter((entry) => entry.name.endsWith(name));
            const [[own], asked] = [of('window_bg.wasm'), of('studies_bg.wasm')];
            return [asked.length, asked[0].startTime > own.responseEnd];";
        assert_eq!(page.js(script).await, json!([1, true]));
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_number_opens_in_the_one_file() {
    browse(async |page| {
        let page = page.single();
        page.open("").await;
        page.idle().await;
        let said = opened(&page, FREEZE).await;
        assert!(said.contains("Without latent heat"), "{said}");
        page.assert_clean_console().await;
    });
}
