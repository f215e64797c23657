//! The workers that trace the window: how many, what they find, and what a change does to them.

use gatefrost_core::scenario::{Scenario, demo, link};
use gatefrost_window::{Detail, Window, trace};
use serde_json::{Value, json};

use crate::harness::{Page, READY, browse};

/// Keeps a list of the workers of every page that is opened from now on: how many were hired, and what was
/// asked of them and when one was ended.
async fn watch(page: &Page, cores: u32) {
    let cdp = page.driver().cdp();
    let script = "
        window.workers = { hired: 0, log: [] };
        const Plain = Worker;
        window.Worker = class extends Plain {
            constructor(...from) {
                super(...from);
                workers.hired += 1;
            }
            postMessage(message, ...rest) {
                if (message.call) workers.log.push([message.call, message.args.scenario ?? message.args]);
                super.postMessage(message, ...rest);
            }
            terminate() {
                workers.log.push(['ended', '']);
                super.terminate();
            }
        };";
    cdp.send_raw("Page.addScriptToEvaluateOnNewDocument", json!({ "source": script })).await.unwrap();
    let cores = json!({ "hardwareConcurrency": cores });
    cdp.send_raw("Emulation.setHardwareConcurrencyOverride", cores).await.unwrap();
}

/// The rows of the window's data: limit, where, piece and the two values.
pub async fn rows(page: &Page) -> Vec<[String; 5]> {
    let data = "details.data:has([aria-label=\"Data: Window\"])";
    page.js_with("document.querySelector(arguments[0]).open = true", &[json!(data)]).await;
    page.frames().await;
    let script = "return [...document.querySelectorAll(arguments[0])].map((row) =>
        [...row.children].map((cell) => cell.textContent))";
    let rows = page.js_with(script, &[json!(format!("{data} tbody tr"))]).await;
    serde_json::from_value(rows).unwrap()
}

/// The page's lines are those of the command line, point by point.
pub fn assert_same(rows: &[[String; 5]], window: &Window) {
    let points = window
        .lines
        .iter()
        .flat_map(|line| line.pieces.iter().flatten().map(|point| (line.label.as_ref(), *point)))
        .collect::<Vec<_>>();
    let on_lines: Vec<_> = rows.iter().filter(|row| row[1] == "on the line").collect();
    assert!(points.len() > 30, "{} points", points.len());
    assert_eq!(on_lines.len(), points.len());
    for (row, (label, point)) in on_lines.iter().zip(points) {
        assert_eq!(row[0], label);
        for (text, value) in row[3..].iter().zip(point) {
            let shown: f64 = text.parse().unwrap_or_else(|_| panic!("{row:?}"));
            assert!((shown / value - 1.0).abs() < 2e-3, "{row:?}, natively {point:?}");
        }
    }
    let everywhere = rows.len() - on_lines.len();
    assert_eq!(everywhere, window.broken_everywhere.len() + window.held_everywhere.len());
}

#[test]
#[ignore = "run by cargo xtask test"]
fn any_number_of_workers_draws_the_window_of_the_command_line() {
    let window = trace(&demo::default_demo().scenario(), Detail::Fine).unwrap();
    let mut first = None;
    // One for the set point and one for each core, eight at most.
    for (cores, workers) in [(1, 2), (3, 4), (64, 9)] {
        browse(async |page| {
            watch(page, cores).await;
            page.open("").await;
            page.idle().await;
            assert_eq!(page.js("return workers.hired").await, Value::from(workers), "{cores} cores");
            let jobs = page.js("return workers.log.filter(([call]) => call === 'margins').length").await;
            assert!(jobs.as_u64().unwrap() >= 2 * (workers - 1), "{jobs} jobs");
            let rows = rows(page).await;
            assert_same(&rows, &window);
            assert_eq!(&rows, first.get_or_insert_with(|| rows.clone()), "{cores} cores");
            page.assert_clean_console().await;
        });
    }
}

#[test]
#[ignore = "run by cargo xtask test"]
fn where_nothing_is_usable_it_is_said_what_is_missed_least() {
    let mut scenario = demo::default_demo().scenario();
    // Too hot not to burn where it is hot enough not to freeze.
    scenario.limits.cold_front_reserve = 80.0;
    scenario.limits.binder_loss = 0.05;
    let window = trace(&scenario, Detail::Fine).unwrap();
    assert!(window.broken_everywhere.is_empty());
    let nearest = window.nearest.expect("no usable region");
    assert!(nearest.missed.len() >= 2, "{nearest:?}");
    browse(async |page| {
        page.open(&format!("#{}", link::encode(&scenario))).await;
        page.idle().await;
        rows(page).await;
        let caption = page.text("details.data[open] caption").await;
        for missed in &nearest.missed {
            assert!(caption.contains(missed.label.as_ref()), "{} in {caption}", missed.label);
        }
        page.assert_clean_console().await;
    });
}

/// A scenario whose fine window takes long.
fn slow() -> Scenario {
    let mut scenario = demo::default_demo().scenario();
    scenario.model.axial_cells = 600;
    scenario.model.layers = 60;
    scenario
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_change_ends_the_workers_at_once_and_progress_is_told_quietly() {
    browse(async |page| {
        watch(page, 2).await;
        page.open(&format!("#{}", link::encode(&slow()))).await;
        let shown = "!document.querySelector('#working').hidden && document.querySelector('#refined').value";
        page.wait_until(&format!("({shown}) > 0"), READY).await;
        page.js("window.before = document.querySelector('#refined').value").await;
        page.wait_until(&format!("({shown}) > before"), READY).await;
        assert_eq!(page.js("return document.querySelector('#refined').value < 1").await, Value::Bool(true));
        // What changes many times a second is not read out.
        let live = "return document.querySelector('#refined').closest('[aria-live], [role=status]') === null";
        assert_eq!(page.js(live).await, Value::Bool(true));

        // Two are at it; both are ended by the change, and no more is asked of any for what was before.
        page.js("workers.log.length = 0").await;
        page.follow("1;d=hinge;T=170").await;
        let log = page.js("return workers.log").await;
        let log: Vec<(String, String)> = serde_json::from_value(log).unwrap();
        let old = |(_, scenario): &&(String, String)| scenario.contains("\"axial_cells\":600");
        let ended = |(call, _): &(String, String)| call == "ended";
        assert_eq!(log.iter().filter(|entry| ended(entry)).count(), 2, "{log:#?}");
        let first = log.iter().position(ended).unwrap();
        assert_eq!(log[first..].iter().filter(old).count(), 0);
        let detail = page.js("return document.querySelector('#window-figure').dataset.detail").await;
        assert_eq!(detail, "fine");
        let mut scenario = demo::default_demo().scenario();
        scenario.setup.melt_temperature = 170.0;
        assert_same(&rows(page).await, &trace(&scenario, Detail::Fine).unwrap());
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn stopping_keeps_the_first_draft() {
    browse(async |page| {
        page.open(&format!("#{}", link::encode(&slow()))).await;
        page.wait_until("!document.querySelector('#working').hidden", READY).await;
        // The report of the set point, that comes meanwhile, does not take the offer back.
        page.wait_until("document.documentElement.dataset.inside", READY).await;
        page.frames().await;
        page.press("#stop").await;
        page.wait_until("document.querySelector('#working').hidden", READY).await;
        page.idle().await;
        let detail = page.js("return document.querySelector('#window-figure').dataset.detail").await;
        assert_eq!(detail, "coarse");
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_worker_that_fails_is_told_and_replaced() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        // Asked for what the core does not have.
        page.js("window.plain = Worker.prototype.postMessage;
            Worker.prototype.postMessage = function (message, ...rest) {
                plain.call(this, message.call === 'margins' ? { ...message, call: 'nothing' } : message, ...rest);
            };")
            .await;
        page.follow("1;d=hinge;Tw=45").await;
        let said = page.text("#notices").await;
        assert!(said.contains("The calculation failed") && said.contains("not a function"), "{said}");

        page.js("Worker.prototype.postMessage = plain").await;
        page.follow("1;d=hinge;Tw=46").await;
        let detail = page.js("return document.querySelector('#window-figure').dataset.detail").await;
        assert_eq!(detail, "fine");
        let mut scenario = demo::default_demo().scenario();
        scenario.setup.mould_temperature = 46.0;
        assert_same(&rows(page).await, &trace(&scenario, Detail::Fine).unwrap());
        assert_eq!(page.texts("#trouble li").await, [""; 0]);
        page.assert_clean_console().await;
    });
}
