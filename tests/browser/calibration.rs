//! The page that calibrates on shots.

use crate::files::saved;
use crate::harness::{Page, READY, browse};
use crate::laboratory::addressed;
use gatefrost_calibration::table;
use gatefrost_core::scenario::Scenario;
use serde_json::json;
use std::time::Duration;

/// A calibration in a busy browser.
const LONG: Duration = Duration::from_secs(120);

async fn opened(page: &Page) {
    page.open("calibration.html").await;
    page.wait_until("document.documentElement.dataset.ready === 'true'", READY).await;
}

/// Opens the worked example, and waits for its six rows.
pub async fn example(page: &Page) {
    page.press("#log-example").await;
    page.wait_until("document.querySelectorAll('#log-table tbody tr').length === 6", READY).await;
}

async fn calibrated(page: &Page) {
    example(page).await;
    page.press("#calibrate").await;
    page.wait_until("document.querySelector('#use') !== null", LONG).await;
    page.frames().await;
}

/// The log in the page's field of text, written anew.
async fn log_text(page: &Page) -> String {
    page.js("const [box, text] = ['#log-as-text', '#log-text'].map((id) => document.querySelector(id)); box.open = false; text.value = ''; text.dispatchEvent(new Event('input'))").await;
    page.frames().await;
    page.js("document.querySelector('#log-as-text').open = true").await;
    page.wait_until("document.querySelector('#log-text').value !== ''", READY).await;
    page.js("return document.querySelector('#log-text').value").await.as_str().expect("a text").to_owned()
}

/// Reads a text into the log.
async fn read(page: &Page, text: &str) {
    page.js("document.querySelector('#log-as-text').open = true").await;
    page.js_with("const text = document.querySelector('#log-text'); text.value = arguments[0]; text.dispatchEvent(new Event('input'))", &[json!(text)]).await;
    page.press("#log-read").await;
    page.wait_until("document.documentElement.dataset.busy === 'false'", READY).await;
    page.frames().await;
}

/// From the example to the feedstock: remarks, numbers, readings, figures and both windows are shown; the feedstock is taken
/// over and taken back; the link has the bands and not the log; the log stays in the tab on the way to the window and back.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_log_calibrates_the_feedstock() {
    browse(async |page| {
        opened(page).await;
        calibrated(page).await;
        let found = page.text("#found-place").await;
        for words in
            ["Viscosity at", "No-flow temperature", "6 (S6): part mass", "Residuals", "fit the feedstock"]
        {
            assert!(found.contains(words), "{words}: {found}");
        }
        assert!(!found.contains("NaN") && !found.contains("undefined"), "{found}");
        for figure in ["numbers", "readings", "residuals-melt"] {
            let scrolled = format!("document.querySelector('#figure-{figure}').scrollIntoView()");
            page.js(&scrolled).await;
            let drawn = format!(
                "(() => {{ const c = document.querySelector('#figure-{figure}'); return c.width > 0 && c.getContext('2d').getImageData(0, 0, c.width, c.height).data.some((v) => v > 0) }})()"
            );
            page.wait_until(&drawn, READY).await;
        }
        for side in ["before", "after"] {
            page.wait_until(&format!("document.querySelector('#window-{side}').naturalWidth > 0"), LONG)
                .await;
        }
        let windows = page.text(".windows").await;
        assert_eq!(windows.matches("% of this plane is usable").count(), 2, "{windows}");

        let before = addressed(page).await.scenario;
        page.press("#use").await;
        page.wait_until("document.querySelector('#use').disabled", READY).await;
        assert!(page.text("#found-said").await.contains("is in the scenario"));
        page.wait_until("location.hash.includes('p')", READY).await;
        tokio::time::sleep(Duration::from_millis(600)).await;
        let after = addressed(page).await;
        assert_eq!(after.problems, []);
        assert!(after.scenario.feedstock.provenance.starts_with("calibrated on 6 shots, 20"));
        assert_eq!((after.scenario.shots.len(), after.scenario.trials.logged), (0, 6));
        assert!(page.text("#log-table").await.contains("in the calibration"));
        page.press("#undo").await;
        tokio::time::sleep(Duration::from_millis(600)).await;
        assert_eq!(addressed(page).await.scenario.feedstock, before.feedstock);
        page.press("#redo").await;
        tokio::time::sleep(Duration::from_millis(600)).await;

        page.press("#to-window").await;
        page.wait_until("location.pathname.endsWith('/index.html')", READY).await;
        page.idle().await;
        assert!(!page.text("#notices").await.contains("trial log"));
        page.press("[data-way=calibration]").await;
        page.wait_until("location.pathname.endsWith('/calibration.html')", READY).await;
        page.wait_until("document.documentElement.dataset.ready === 'true'", READY).await;
        assert_eq!(page.js("return document.querySelectorAll('#log-table tbody tr').length").await, 6);
        // In another tab the log is missing, and the page says where it is.
        page.js("sessionStorage.clear()").await;
        page.reload().await;
        page.wait_until("document.documentElement.dataset.ready === 'true'", READY).await;
        assert!(
            page.text("#notices")
                .await
                .contains("has 6 shots. It is in the scenario’s file, not in the link")
        );
        page.assert_clean_console().await;
    });
}

/// A stop ends the work and loses nothing.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_calibration_is_stopped() {
    browse(async |page| {
        opened(page).await;
        example(page).await;
        let before = log_text(page).await;
        page.press("#calibrate").await;
        page.wait_until("!document.querySelector('#stop').hidden", READY).await;
        page.press("#stop").await;
        page.wait_until("document.querySelector('#stop').hidden", READY).await;
        assert!(page.text("#estimate-said").await.contains("Stopped"));
        assert_eq!(page.js("return document.querySelector('#use') === null").await, true);
        assert_eq!(log_text(page).await, before);
        page.assert_clean_console().await;
    });
}

/// The log goes out as a table and comes back the same; a cell that is edited is in it; units are the reader's.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_log_goes_out_and_comes_back() {
    browse(async |page| {
        opened(page).await;
        example(page).await;
        page.fill("#f-shots-1-peak_pressure", "53,5").await;
        page.js("document.activeElement.blur()").await;
        page.press("#log-add").await;
        page.fill("#f-shots-6-injection_time", "0.7").await;
        page.js("document.activeElement.blur()").await;
        page.frames().await;
        let text = log_text(page).await;
        let log = table::read(&text).expect("its own table").shots;
        assert_eq!((log.len(), log[1].peak_pressure), (7, Some(53.5)));
        assert_eq!(
            (log[6].injection_time, log[6].peak_pressure, log[6].melt_temperature),
            (0.7, None, 170.0)
        );
        read(page, &text).await;
        assert!(page.text("#log-said").await.contains("7 rows read"));
        assert_eq!(log_text(page).await, text);

        let folder = page.allow_downloads().await;
        page.press("#log-save-scenario").await;
        let (_, file) = saved(&folder, ".json").await;
        let saved = Scenario::from_json(&file).expect("a scenario");
        assert_eq!(saved.shots, log);

        // A table that is pasted into the log takes the place of its rows; undo brings them back.
        page.js_with(
            "const data = new DataTransfer(); data.setData('text/plain', arguments[0]); document.querySelector('#log-table').dispatchEvent(new ClipboardEvent('paste', { clipboardData: data, bubbles: true, cancelable: true }))",
            &[json!("melt temperature [K];coolant temperature [°C];injection time [ms];peak pressure [bar]\n443,15;30;500;512,5\n448,15;30;700;488\n")],
        )
        .await;
        page.wait_until("document.querySelectorAll('#log-table tbody tr').length === 2", READY).await;
        let pasted = table::read(&log_text(page).await).expect("a table").shots;
        assert_eq!((pasted.len(), pasted[0].coolant, pasted[0].peak_pressure), (2, 1, Some(51.25)));
        page.press("#undo").await;
        page.frames().await;
        assert_eq!(log_text(page).await, text);
        page.assert_clean_console().await;
    });
}

/// What is wrong with a log is told in a sentence, and nothing of it is lost.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_bad_log_is_told() {
    const HEADS: &str =
        "melt temperature [°C],steel temperature [°C],injection time [s],peak pressure [MPa],part mass [g]";
    browse(async |page| {
        opened(page).await;
        example(page).await;
        let rows = |row: &str, count: usize| format!("{HEADS}\n{}", format!("{row}\n").repeat(count));
        for (text, told) in [
            (
                "melt temperature [°C],mould temperature [°C],injection time [s]\n165,40,1\n".to_owned(),
                "does not say whose temperature it is",
            ),
            (rows("165,40,0.4,50,3.7", 10_000), "at most 200 are read"),
            (rows("165,40,0.4,fifty,3.7", 1), "Line 2"),
            (rows("9165,40,0.4,50,3.7", 1), "accepted is"),
        ] {
            read(page, &text).await;
            let said = page.text("#log-trouble").await;
            assert!(said.contains(told), "{said}");
            assert_eq!(page.js("return document.querySelectorAll('#log-table tbody tr').length").await, 6);
            assert_eq!(
                page.js("return document.querySelector('#log-text').value.length").await,
                json!(text.chars().count())
            );
        }
        for (text, told) in [
            (rows("165,40,0.4,240,3.7", 1), "above the machine’s greatest"),
            (rows("165,40,0.4,50,37", 1), "more than the cavity can hold"),
        ] {
            read(page, &text).await;
            page.press("#calibrate").await;
            page.wait_until("!document.querySelector('#estimate-trouble').hidden", LONG).await;
            let said = page.text("#estimate-trouble").await;
            assert!(said.contains(told), "{said}");
        }
        // One setting with contradictory readings is calibrated, and both are said.
        let text = format!("{HEADS}\n165,40,0.4,50,3.7\n165,40,0.4,75,3.7\n");
        read(page, &text).await;
        page.press("#calibrate").await;
        page.wait_until("document.querySelector('#use') !== null", LONG).await;
        let said = page.text("#found-remarks").await;
        assert!(
            said.contains("All shots have one setting") && said.contains("have the same setting"),
            "{said}"
        );
        page.fill("#f-shots-0-peak_pressure", "lots").await;
        page.frames().await;
        assert!(page.text("#trouble").await.contains("lots"));
        page.press("#calibrate").await;
        assert!(page.text("#estimate-trouble").await.contains("lots"));
        page.assert_clean_console().await;
    });
}

/// Settings that have not been tried are predicted with their bands, and the next shots are proposed and put into the log.
#[test]
#[ignore = "run by cargo xtask test"]
fn settings_are_predicted_and_the_next_shots_proposed() {
    browse(async |page| {
        opened(page).await;
        page.js("document.querySelector('#next-count').value = '3'").await;
        page.press("#next-ask").await;
        page.wait_until("document.querySelector('#next-out table') !== null", LONG).await;
        let plan = page.text("#next-out").await;
        assert!(
            plan.contains("They narrow the limits near the set point") && !plan.contains("NaN"),
            "{plan}"
        );
        assert_eq!(page.js("return document.querySelectorAll('#next-out tbody tr').length").await, 3);
        page.press("#next-add").await;
        page.frames().await;
        assert_eq!(page.js("return document.querySelectorAll('#log-table tbody tr').length").await, 3);
        page.press("#predict").await;
        page.wait_until("document.querySelector('#predict-out table') !== null", LONG).await;
        assert!(page.text("#predict-out").await.contains("1 (planned 1): peak pressure"));
        page.js("document.querySelector('#figure-ahead').scrollIntoView()").await;
        page.wait_until("(() => { const c = document.querySelector('#figure-ahead'); return c.width > 0 && c.getContext('2d').getImageData(0, 0, c.width, c.height).data.some((v) => v > 0) })()", READY).await;
        page.press("[data-figure=ahead] summary").await;
        page.wait_until("document.querySelectorAll('[data-figure=ahead] tbody tr').length === 3", READY)
            .await;

        // Where a cavity pressure is read is chosen from the sections of the part.
        page.js("const more = document.querySelector('#log-column'); more.value = 'sensor'; more.dispatchEvent(new Event('change'))").await;
        page.js("const section = document.querySelector('#f-shots-1-sensor'); section.selectedIndex = 1; section.dispatchEvent(new Event('change'))").await;
        let chosen = page
            .js("return document.querySelector('#f-shots-1-sensor').selectedOptions[0].textContent")
            .await;
        let chosen = chosen.as_str().expect("a name").to_owned();
        let log = table::read(&log_text(page).await).expect("a log").shots;
        assert_eq!((log[0].sensor.as_ref(), log[1].sensor.as_ref()), (None, Some(&chosen)));
        page.assert_clean_console().await;
    });
}
