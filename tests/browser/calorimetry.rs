//! Calorimetry in the laboratory: tables in, temperatures and peaks in the window.

use crate::harness::{READY, browse};
use crate::laboratory::{addressed, paste, value};

const SCANNED: &str = "!document.querySelector('#scan-use').disabled";

/// A scan with peaks of 8 and 2 J/g; without units, and in the direction and the sign that are wanted.
fn scan(falling: bool, middles: &[f64], sign: f64) -> String {
    let mut text = "temperature [°C]; heat flow\n".to_owned();
    for i in 0..=180 {
        let t = f64::from(if falling { 180 - i } else { i });
        let peak = |(k, m): (usize, &f64)| [0.8, 0.2][k % 2] * (-0.5 * ((t - m) / 4.0).powi(2)).exp();
        let c = 0.6 + middles.iter().enumerate().map(peak).sum::<f64>();
        text += &format!("{t}; {:.5}\n", sign * c / 6.0);
    }
    text
}

/// One press opens an example; the figure stands with its table, and the no-flow temperature, its standard error and
/// the peaks are in the window.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_scan_of_calorimetry_goes_to_the_window() {
    browse(async |page| {
        page.open("laboratory.html").await;
        assert!(page.text("#scan-said").await.contains("No tables yet"));
        page.press("#scan-cooling-example").await;
        page.wait_until(SCANNED, READY).await;
        let said = page.text("#scan-said").await;
        assert!(said.contains("No-flow temperature 120.1 °C, standard error 5.4 K"), "{said}");
        page.press("#scan-heating-example").await;
        let melted = "document.querySelector('#scan-said').textContent.includes('Melted temperature')";
        page.wait_until(&format!("{melted} && {SCANNED}"), READY).await;
        assert_eq!(value(page, "scan-rate").await, "10");
        let rows = "return document.querySelectorAll('#scan-numbers tbody tr').length";
        assert_eq!(page.js(rows).await, 4);
        let drawn = "return document.querySelector('[data-figure=calorimetry] canvas').width > 0";
        assert_eq!(page.js(drawn).await, true);
        page.press("#scan-use").await;
        page.wait_until(
            "document.querySelector('#window-canvas') && document.documentElement.dataset.ready",
            READY,
        )
        .await;
        let opened = addressed(page).await;
        assert_eq!(opened.problems, []);
        let f = opened.scenario.feedstock;
        assert!((f.no_flow_temperature - 120.06).abs() < 0.1 && f.further_melting.len() == 1, "{f:?}");
        let doubts = f.uncertainty.unwrap().numbers;
        let error = doubts.iter().find(|d| d.path == "feedstock.no_flow_temperature").unwrap().standard_error;
        assert!((error - 5.4).abs() < 0.1, "{error}");
        assert!(opened.scenario.window.y.from > f.no_flow_temperature);
        assert_eq!(page.js("return document.querySelectorAll('.notice').length").await, 0);
        page.assert_clean_console().await;
    });
}

/// Each thing that is wrong with a scan is said in its place, and what was typed stays.
#[test]
#[ignore = "run by cargo xtask test"]
fn what_is_wrong_with_a_scan_is_said_and_the_table_stays() {
    browse(async |page| {
        page.open("laboratory.html").await;
        let trouble = "#scan-cooling-trouble";
        let refused = format!("!document.querySelector('{trouble}').hidden");
        let says = |words: &str| {
            format!("document.querySelector('#scan-cooling-trouble').textContent.includes('{words}')")
        };
        let remarked =
            |words: &str| format!("document.querySelector('#scan-remarks').textContent.includes('{words}')");
        let two = scan(true, &[55.0, 112.0], -1.0);
        paste(page, "scan-cooling", &two, &refused).await;
        assert!(page.text(trouble).await.contains("unit is missing"));
        page.choose("#scan-unit", "watts_per_gram").await;
        page.wait_until(&says("needs the rate"), READY).await;
        page.fill("#scan-rate", "fast").await;
        page.frames().await;
        assert!(page.text("#scan-rate-error").await.contains("not a number"));
        page.choose("#scan-unit", "milliwatts").await;
        page.fill("#scan-rate", "10").await;
        page.wait_until(&says("mass of the sample in mg"), READY).await;
        page.fill("#scan-mass", "1").await;
        page.wait_until(SCANNED, READY).await;
        assert_eq!(value(page, "scan-cooling").await, two);
        let rising = scan(false, &[55.0, 112.0], 1.0);
        paste(page, "scan-cooling", &rising, &says("must fall")).await;
        assert_eq!(value(page, "scan-cooling").await, rising);
        assert!(!page.js(&format!("return {SCANNED}")).await.as_bool().unwrap());
        let one = scan(true, &[55.0], -1.0);
        paste(page, "scan-cooling", &one, &remarked("one peak only")).await;
        let close = scan(true, &[55.0, 70.0], -1.0);
        paste(page, "scan-cooling", &close, &remarked("overlap")).await;
        paste(page, "scan-cooling", &two, SCANNED).await;
        // A table on heating with the sign of the one on cooling.
        paste(page, "scan-heating", &scan(false, &[60.0, 158.0], -1.0), &remarked("point the same way"))
            .await;
        page.driver().refresh().await.unwrap();
        page.wait_until("document.querySelector('#scan-cooling')", READY).await;
        page.wait_until(SCANNED, READY).await;
        assert_eq!(value(page, "scan-cooling").await, two);
        assert_eq!(value(page, "scan-mass").await, "1");
        page.assert_clean_console().await;
    });
}
