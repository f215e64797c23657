//! Workers that die or hang: their work is done anew, what cannot be done is said, and no verdict is older than
//! the scenario above it.

use std::time::Duration;

use gatefrost_core::scenario::{Scenario, demo, link};
use gatefrost_window::{Detail, trace};
use serde_json::json;
use tokio::time::sleep;

use crate::harness::{Page, READY, browse};
use crate::pool::{assert_same, rows};
use crate::reading::MELT;

/// From the next page on, the driver may say what happens to a job: `fate(message)` gives "die" (the worker ends
/// without a word, as when a browser takes its memory), "hang" (the job is never begun) or nothing. Where it says
/// so, the page's minutes of patience become so many milliseconds (`patience`).
async fn fateful(page: &Page) {
    let script = "
        window.fate = () => null;
        window.jobs = [];
        const end = Worker.prototype.terminate;
        const post = Worker.prototype.postMessage;
        Worker.prototype.postMessage = function (message, ...rest) {
            if (message.call) jobs.push(message.call);
            const fate = message.call && window.fate(message);
            if (fate === 'die') setTimeout(() => end.call(this), 0);
            else if (fate !== 'hang') post.call(this, message, ...rest);
        };
        const later = window.setTimeout;
        window.setTimeout = (work, time, ...rest) => later(work, time > 200000 ? (window.patience ?? time) : time, ...rest);";
    let source = json!({ "source": script });
    page.driver().cdp().send_raw("Page.addScriptToEvaluateOnNewDocument", source).await.unwrap();
    page.open("").await;
    page.idle().await;
}

fn hinge(edit: impl Fn(&mut Scenario)) -> Scenario {
    let mut scenario = demo::default_demo().scenario();
    edit(&mut scenario);
    scenario
}

async fn pressure(page: &Page) -> f64 {
    page.number("fill.nozzle_pressure_mpa").await
}

fn expected_pressure(scenario: &Scenario) -> f64 {
    gatefrost_report::evaluate(scenario).unwrap().fill.nozzle_pressure_mpa
}

async fn assert_current(page: &Page, scenario: &Scenario) {
    assert_eq!(page.js("return document.documentElement.dataset.current").await, "true");
    let (found, wanted) = (pressure(page).await, expected_pressure(scenario));
    assert!((found / wanted - 1.0).abs() < 1e-6, "{found} {wanted}");
    assert_eq!(page.count(".notice").await, 0);
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_set_point_is_computed_by_another_worker_when_its_own_dies_or_hangs() {
    browse(async |page| {
        fateful(page).await;
        for (fate, melt) in [("die", 171.0), ("hang", 173.0)] {
            // Long against what a job takes on a busy machine.
            page.js("window.patience = 20000").await;
            page.js(&format!("let left = 1; window.fate = ({{ call }}) => call === 'evaluate' && left-- > 0 ? '{fate}' : null"))
                .await;
            page.fill(MELT, &melt.to_string()).await;
            page.idle().await;
            assert_current(page, &hinge(|s| s.setup.melt_temperature = melt)).await;
        }
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_window_is_traced_to_its_end_though_workers_die() {
    browse(async |page| {
        fateful(page).await;
        // Five jobs, each once: begun anew they come to their end.
        page.js("const killed = new Set(); window.fate = ({ call, places }) => {
                if (call !== 'margins' || killed.size >= 5 || killed.has(String(places))) return null;
                killed.add(String(places));
                return 'die';
            };")
            .await;
        let scenario = hinge(|s| s.setup.mould_temperature = 46.0);
        page.follow("2;d=hinge;Tw=46").await;
        assert_eq!(page.js("return document.querySelector('#window-figure').dataset.detail").await, "fine");
        assert_same(&rows(page).await, &trace(&scenario, Detail::Fine).unwrap());
        assert_current(page, &scenario).await;
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn what_kills_every_worker_is_said_and_the_page_stays_usable() {
    browse(async |page| {
        fateful(page).await;
        page.js("window.fate = ({ call, args: { scenario } }) => call === 'evaluate' && scenario.includes('\"melt_temperature\":174') ? 'die' : null")
            .await;
        page.fill(MELT, "174").await;
        page.idle().await;
        let notice = page.text(".notice[data-kind=\"failure\"]").await;
        assert!(
            notice.contains("The calculation failed") && notice.contains("Tried 2 times: it was ended"),
            "{notice}"
        );
        assert_eq!(page.text("#verdict").await, "Not computed: see the message.");
        assert_eq!(page.js("return document.documentElement.dataset.current").await, "false");
        let tries = page.js("return jobs.filter((call) => call === 'evaluate').length").await;
        // The sheet would show another scenario's numbers.
        page.press("#to-sheet").await;
        let there = "document.querySelector('.notice[data-kind=\"sheet\"]')";
        page.wait_until(there, Duration::from_secs(20)).await;
        assert!(
            page.text(".notice[data-kind=\"sheet\"]").await.contains("when the scenario has been computed")
        );
        page.js("document.querySelector('.notice[data-kind=\"sheet\"]').remove()").await;

        // Asked for again, it is tried again; and when it can be computed, it is.
        page.js("window.fate = () => null").await;
        page.press(".notice[data-kind=\"failure\"] button").await;
        page.idle().await;
        assert_current(page, &hinge(|s| s.setup.melt_temperature = 174.0)).await;
        assert_eq!(
            page.js("return jobs.filter((call) => call === 'evaluate').length").await.as_u64(),
            tries.as_u64().map(|n| n + 1)
        );
        page.fill(MELT, "168").await;
        page.idle().await;
        assert_current(page, &hinge(|s| s.setup.melt_temperature = 168.0)).await;
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn no_verdict_is_older_than_the_scenario_above_it() {
    browse(async |page| {
        fateful(page).await;
        let before = page.text("#verdict").await;
        assert!(before.starts_with("Inside"), "{before}");
        page.js("window.fate = ({ call, args: { scenario } }) => call === 'evaluate' && !scenario.includes('\"melt_temperature\":168') ? 'hang' : null").await;
        // Another scenario is opened: its name stands there at once, and no verdict.
        page.js("location.hash = '#1;d=sleeve'").await;
        page.frames().await;
        let sleeve = demo::find("sleeve").unwrap().scenario();
        assert_eq!(page.value("#f-name").await, sleeve.name);
        assert_eq!(page.text("#verdict").await, "Computing…");
        assert_eq!(page.js("return document.documentElement.dataset.current").await, "false");
        // A hung worker does not hold up what is set next.
        page.js("location.hash = '#2;d=hinge;T=168'").await;
        page.wait_until("document.documentElement.dataset.current === 'true'", READY).await;
        page.idle().await;
        assert_current(page, &hinge(|s| s.setup.melt_temperature = 168.0)).await;
        // A value is changed: after a moment.
        page.fill(MELT, "169").await;
        sleep(Duration::from_millis(400)).await;
        assert_eq!(page.text("#verdict").await, "Computing…");
        // And what is taken back has its verdict again.
        page.fill(MELT, "168").await;
        page.idle().await;
        assert!(!page.text("#verdict").await.starts_with("Computing"));
        assert_current(page, &hinge(|s| s.setup.melt_temperature = 168.0)).await;
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn safety_is_worked_out_though_workers_die() {
    browse(async |page| {
        fateful(page).await;
        page.js("const done = new Set(); window.fate = ({ call }) => {
                if (!['tried', 'shots', 'levers', 'answers', 'usable_with'].includes(call) || done.has(call)) return null;
                done.add(call);
                return 'die';
            };")
            .await;
        page.press("#work-safety-out").await;
        page.wait_until("document.querySelector('#safety-answers h3')", Duration::from_secs(120)).await;
        page.wait_until(
            "document.querySelector('#safety-said').textContent === ''",
            Duration::from_secs(120),
        )
        .await;
        let found: f64 =
            page.find("#bears-now").await.attr("data-value").await.unwrap().unwrap().parse().unwrap();
        let expected = gatefrost_safety::best(&demo::default_demo().scenario()).expect("valid").present_bears;
        assert!((found / expected - 1.0).abs() < 1e-3, "{found} {expected}");
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn readings_are_fitted_though_a_worker_dies() {
    browse(async |page| {
        fateful(page).await;
        page.driver().goto(format!("{}laboratory.html", page.address())).await.unwrap();
        page.wait_until("document.documentElement.dataset.ready === 'true'", READY).await;
        page.js("let left = 1; window.fate = ({ call }) => call === 'study' && left-- > 0 ? 'die' : null")
            .await;
        page.press("#rheometer-text-example").await;
        page.idle().await;
        assert!(page.text("#rheometer-said").await.contains("Chosen:"));
        // Readings on which every worker dies are kept, and the page says so.
        page.js("window.fate = ({ call }) => call === 'study' ? 'die' : null").await;
        page.js("document.querySelector('#rheometer-a2').click()").await;
        page.idle().await;
        let notice = page.text("#notices").await;
        assert!(
            notice.contains("The calculation on these readings failed. The readings are kept."),
            "{notice}"
        );
        page.assert_clean_console().await;
    });
}

/// The issue's own link, on the page: one bad text costs no more than itself.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_link_with_one_bad_text_keeps_the_rest() {
    browse(async |page| {
        page.open(&format!("#1;d=hinge;T=172;phi=57;name={}", "x".repeat(200))).await;
        page.idle().await;
        let notice = page.text(".notice[data-kind=\"link\"]").await;
        assert!(notice.starts_with("Some of this link could not be read."), "{notice}");
        assert!(notice.contains("Name of the scenario has 200 characters"), "{notice}");
        assert_eq!(page.value(MELT).await, "172");
        assert_eq!(page.value("#f-feedstock-solids_loading").await, "57");
        // What was pasted opens the same.
        page.follow("1;d=guide").await;
        page.press("#to-shelf").await;
        page.fill("#shelf-link", "1;d=hinge;T=171;zz=1").await;
        page.press("#shelf-open-link").await;
        page.idle().await;
        assert_eq!(page.value(MELT).await, "171");
        assert!(page.text(".notice[data-kind=\"link\"]").await.contains("\"zz\" is not a key"));
        let opened = link::decode("1;d=hinge;T=171;zz=1");
        assert_eq!(opened.kept, 2);
        page.assert_clean_console().await;
    });
}
