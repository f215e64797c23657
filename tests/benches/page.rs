//! What a user of the page waits for, in one worker and in as many as the machine has cores, beside the same
//! computed natively in the same run.
//!
//! `cargo xtask bench` builds the page and says where it and the browser are; without it there is nothing to
//! measure.
#![allow(clippy::print_stdout, reason = "a benchmark prints what it has measured")]

#[path = "../browser/chromium.rs"]
mod chromium;
#[path = "../browser/devtools.rs"]
mod devtools;
#[path = "../browser/driver.rs"]
mod driver;
#[path = "../browser/harness.rs"]
#[allow(dead_code, reason = "a tool box: no measurement needs every tool")]
mod harness;
#[path = "../../crates/xtask/src/http.rs"]
mod http;

use gatefrost_core::scenario::{Scenario, demo};
use gatefrost_window::{Detail, Margins, Surface, Window, jobs, left_out, margins_at, trace, window};
use harness::{Page, browse};
use serde_json::{Value, json};
use std::hint::black_box;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;
use std::time::{Duration, Instant};

/// What is measured: its name, how often, the page's call and the native ones, in one thread and in several.
struct Task {
    name: &'static str,
    times: usize,
    page: &'static str,
    native: fn(&Scenario),
    shared: fn(&Scenario, usize),
}

const TASKS: [Task; 3] = [
    Task {
        name: "fine window",
        times: 7,
        page: "trace(pool, scenario, true)",
        native: |s| drop(black_box(trace(s, Detail::Fine))),
        shared: |s, workers| drop(black_box(trace_by(s, Detail::Fine, workers))),
    },
    Task {
        name: "coarse window",
        times: 31,
        page: "trace(pool, scenario, false)",
        native: |s| drop(black_box(trace(s, Detail::Coarse))),
        shared: |s, workers| drop(black_box(trace_by(s, Detail::Coarse, workers))),
    },
    Task {
        name: "best set point with yield",
        times: 5,
        page: "workOut(studies, scenario, ['best', 'shots'], () => {})",
        native: |s| drop(black_box((gatefrost_safety::best(s), gatefrost_safety::yields(s)))),
        shared: |s, _| {
            thread::scope(|scope| {
                scope.spawn(|| black_box((gatefrost_safety::present(s), gatefrost_safety::yields(s))));
                black_box(gatefrost_safety::found(s)).is_ok()
            });
        },
    },
];

/// The window by threads, as the page's workers trace it: what this machine gains by them.
fn trace_by(scenario: &Scenario, detail: Detail, workers: usize) -> Window {
    let scenario = detail.scenario(scenario);
    let surface = Surface::by(detail, &left_out(&scenario), |wanted| {
        let jobs = jobs(&scenario, wanted, workers);
        let next = AtomicUsize::new(0);
        let found = Mutex::new(vec![Margins::default(); wanted.len()]);
        let work = || {
            while let Some(job) = jobs.get(next.fetch_add(1, Ordering::Relaxed)) {
                let places: Vec<_> = job.iter().map(|k| wanted[*k]).collect();
                let margins = margins_at(&scenario, &places, &[]);
                let mut found = found.lock().expect("no other thread has panicked");
                job.iter().zip(margins).for_each(|(k, margins)| found[*k] = margins);
            }
        };
        thread::scope(|scope| (0..workers).for_each(|_| drop(scope.spawn(work))));
        found.into_inner().expect("no thread has panicked")
    });
    window(&scenario, &surface)
}

/// Opens the page's own modules; two pools for each WebAssembly module, and a scenario to work on.
const READY: &str = "
    const names = ['app/shared/core', 'app/shared/pool', 'app/window/tracing', 'app/shared/worker', 'app/window/results/work-out'];
    return Promise.all(names.map((name) => import(name))).then(async ([{ load, loadStudies }, { Pool }, { trace }, { PageWorker }, { workOut }]) => {
        const [spawn, further] = await Promise.all([load(), loadStudies()]);
        const pools = (start) => [new Pool(start, 1), new Pool(start)];
        window.bench = { trace, workOut, scenario: arguments[0], pools: pools(spawn), ofStudies: pools(further), worker: new PageWorker(spawn) };
        return window.bench.pools[1].size;
    });";

fn main() {
    // `cargo test --benches` and a plain `cargo bench` come by without a page.
    if std::env::var_os("GATEFROST_SITE").is_none() {
        println!("the page is measured by `cargo xtask bench`");
        return;
    }
    let mut scenario = demo::default_demo().scenario();
    scenario.ignored.clear();
    browse(async |page| measure(page, &scenario).await);
    browse(work_of_a_drag);
}

async fn measure(page: &Page, scenario: &Scenario) {
    page.open("").await;
    page.idle().await;
    let workers = page.js_with(READY, &[json!(scenario.to_json())]).await;
    let workers = workers.as_u64().and_then(|n| usize::try_from(n).ok()).expect("how many workers it has");
    println!("{}, every limit; medians, ms; N = {workers}", scenario.name);
    let heads = ["native: 1", "N", "N / 1", "page: 1", "N", "N / 1", "page / native: 1", "N"];
    print_row("", &heads.map(String::from));
    for task in &TASKS {
        // By turns, so that a machine that is busy with something else is so for all of them.
        let mut times = [const { Vec::new() }; 4];
        for _ in 0..task.times {
            times[0].push(milliseconds(|| (task.native)(scenario)));
            times[1].push(milliseconds(|| (task.shared)(scenario, workers)));
            times[2].push(on_page(page, task.page, 0).await);
            times[3].push(on_page(page, task.page, 1).await);
        }
        let [one, all, page_one, page_all] = times.map(median);
        let (time, ratio) = (|ms: f64| format!("{ms:.1}"), |r: f64| format!("{r:.2}"));
        let native = [time(one), time(all), ratio(all / one)];
        let page = [time(page_one), time(page_all), ratio(page_all / page_one)];
        let both = [ratio(page_one / one), ratio(page_all / all)];
        print_row(task.name, &[&native[..], &page, &both].concat());
    }
    let hired = "worker.run({ call: 'margins', args: { scenario, detail: 'coarse', places: [] } })";
    let mut times = Vec::new();
    for _ in 0..15 {
        // Stopped in the middle of something long, then asked for something short.
        page.js(
            "bench.worker.run({ call: 'levers', args: { scenario: bench.scenario } }); bench.worker.stop();",
        )
        .await;
        times.push(on_page(page, hired, 0).await);
    }
    println!("a worker hired anew answers after {:.1} ms", median(times));
    first_window(page).await;
    frames_of_a_drag(page).await;
}

/// Screens on which a drag is traced: width, height, device pixels to each, and how many times the processor is slowed.
const SCREENS: [(u32, u32, f64, u32); 2] = [(1366, 768, 1.0, 1), (390, 844, 3.0, 4)];
/// A task of the page's thread that is longer is felt, in ms.
const FELT: f64 = 50.0;

/// What the page's own thread works while the set point is dragged. It is processor time, so that other work on the
/// machine does not count.
async fn work_of_a_drag(page: &Page) {
    for (width, height, scale, slowed) in SCREENS {
        page.resize(width, height, scale).await;
        page.open(&format!("?{width}")).await;
        page.idle().await;
        slow(page, slowed).await;
        // The ground for the mark is drawn, and what the load did is not counted.
        tokio::time::sleep(Duration::from_secs(1)).await;
        let ends = ends_of_a_drag(page).await;
        let recording = page.record();
        page.drag(ends[0], ends[1], 40).await;
        let tasks = page_tasks(&recording.end().expect("what was recorded"));
        slow(page, 1).await;
        let (felt, longest) =
            (tasks.iter().filter(|ms| **ms > FELT).count(), tasks.iter().fold(0.0, |a: f64, b| a.max(*b)));
        let sum: f64 = tasks.iter().sum();
        println!(
            "dragging at {width} px, slowed {slowed} times: {sum:.0} ms of work for 40 moves, the longest task {longest:.0} ms, \
             {felt} over {FELT:.0} ms"
        );
    }
}

/// Slows the processor so many times.
async fn slow(page: &Page, times: u32) {
    let wanted = json!({ "rate": times });
    page.driver().cdp().send_raw("Emulation.setCPUThrottlingRate", wanted).await.expect("another speed");
}

/// Processor time of each task of the thread that draws the page, in ms.
fn page_tasks(trace: &[Value]) -> Vec<f64> {
    let thread = |event: &Value| (event["pid"].as_u64(), event["tid"].as_u64());
    let draws = trace.iter().find(|event| event["name"] == "FireAnimationFrame").map(thread);
    let tasks = trace.iter().filter(|event| event["name"] == "RunTask" && Some(thread(event)) == draws);
    tasks.filter_map(|event| Some(event["tdur"].as_f64()? / 1e3)).collect()
}

/// From the beginning of the load, nothing in any cache, until the first window is drawn.
async fn first_window(page: &Page) {
    let cdp = page.driver().cdp();
    for (method, wanted) in [
        ("Network.enable", json!({})),
        ("Network.setCacheDisabled", json!({ "cacheDisabled": true })),
        ("Network.setBypassServiceWorker", json!({ "bypass": true })),
        ("Page.addScriptToEvaluateOnNewDocument", json!({ "source": LOOK })),
    ] {
        cdp.send_raw(method, wanted).await.expect(method);
    }
    let mut times = Vec::new();
    for load in 0..5 {
        page.open(&format!("?{load}")).await;
        page.idle().await;
        times.push(page.js("return window.drawnAt").await.as_f64().expect("a time"));
    }
    println!("the first window is drawn {:.0} ms after a load begins", median(times));
}

const LOOK: &str = "(function look() {
    if (document.documentElement?.dataset.ready) window.drawnAt = performance.now();
    else requestAnimationFrame(look);
})()";

/// What a hand that drags the set point sees: time from frame to frame.
async fn frames_of_a_drag(page: &Page) {
    page.js("window.frames_ = [];
        const count = (now) => {
            window.frames_.push(now);
            requestAnimationFrame(count);
        };
        requestAnimationFrame(count);")
        .await;
    let ends = ends_of_a_drag(page).await;
    page.js("window.frames_.length = 0").await;
    for [from, to] in [[ends[0], ends[1]], [ends[1], ends[0]]] {
        page.drag(from, to, 60).await;
    }
    let frames: Vec<f64> = serde_json::from_value(page.js("return window.frames_").await).expect("times");
    let mut steps: Vec<f64> = frames.windows(2).map(|pair| pair[1] - pair[0]).collect();
    steps.sort_by(f64::total_cmp);
    let [half, most] = [0.5, 0.95].map(|share| steps[(share * (steps.len() - 1) as f64) as usize]);
    let rate = steps.len() as f64 / steps.iter().sum::<f64>() * 1e3;
    println!(
        "dragging: {rate:.0} frames a second; {half:.1} ms from one to the next, {most:.1} or less for 19 in 20"
    );
}

/// Two places in the window, in the viewport.
async fn ends_of_a_drag(page: &Page) -> [(f64, f64); 2] {
    let place = "const { left, top, width, height } = document.querySelector('#window-canvas').getBoundingClientRect();
        return [[0.5, 0.5], [0.75, 0.3]].map(([x, y]) => [left + x * width, top + y * height]);";
    serde_json::from_value(page.js(place).await).expect("two places")
}

fn print_row(name: &str, cells: &[String]) {
    let cells: String = cells.iter().map(|cell| format!("{cell:>9}")).collect::<Vec<_>>().join("  ");
    println!("{name:26}{cells}");
}

fn milliseconds(work: impl FnOnce()) -> f64 {
    let start = Instant::now();
    work();
    start.elapsed().as_secs_f64() * 1e3
}

/// Milliseconds until a call on the page with one of its pools is answered.
async fn on_page(page: &Page, call: &str, pool: usize) -> f64 {
    let script = format!(
        "const {{ trace, workOut, scenario, pools, ofStudies, worker }} = window.bench;
         const [pool, studies] = [pools[{pool}], ofStudies[{pool}]];
         const start = performance.now();
         return {call}.then((answer) => [performance.now() - start, JSON.stringify(answer).slice(0, 200)]);"
    );
    let answer = page.js(&script).await;
    let said = answer[1].as_str().unwrap_or_default();
    assert!(!said.contains("failure") && !said.contains("problems"), "{call}: {said}");
    answer[0].as_f64().unwrap_or_else(|| panic!("{call}: {answer}"))
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}
