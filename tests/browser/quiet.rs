//! The page keeps to itself.

use std::time::{Duration, Instant};

use thirtyfour::prelude::*;
use tokio::time::sleep;

use crate::harness::{Page, browse};
use crate::reading::{MELT, TIME};

/// A session with everything in it that a person can do.
async fn session(page: &Page) {
    page.fill(MELT, "172").await;
    page.fill(TIME, "x").await;
    page.fill(TIME, "0.5").await;
    let from = page.place("#window-canvas", 0.5, 0.5).await;
    let to = page.place("#window-canvas", 0.7, 0.3).await;
    page.drag(from, to, 6).await;
    let canvas = page.find("#window-canvas").await;
    canvas.send_keys(Key::Right + "").await.unwrap();
    page.unfold("#f-window-x-axis").await;
    page.choose("#f-window-x-axis", "hold_pressure").await;
    page.press("#add-passage").await;
    page.choose("#demo", "guide").await;
    page.js("for (const box of document.querySelectorAll('details')) box.open = true").await;
    page.idle().await;
    let slider = page.find("#moment-time").await;
    slider.send_keys(Key::Left + "").await.unwrap();
    let file = page.folder().join("sleeve.json");
    let sleeve = gatefrost_core::scenario::demo::find("sleeve").unwrap();
    std::fs::write(&file, sleeve.scenario().to_json()).unwrap();
    let chooser = page.find("#file").await;
    chooser.send_keys(file.to_str().unwrap()).await.unwrap();
    page.dark(true).await;
    page.resize(390, 844, 2.0).await;
    page.idle().await;
    page.js("scrollTo(0, document.body.scrollHeight)").await;
    page.follow("1;d=hinge;T=169").await;
    page.press("#to-cautions").await;
    page.dark(false).await;
    page.js("dispatchEvent(new Event('beforeprint')); dispatchEvent(new Event('afterprint'))").await;
    page.follow("1;zz=1").await;
}

/// Invariant: the page makes no request after it has loaded. What a service worker sets aside for use
/// without a network belongs to the load; it keeps the files of the site and nothing of the user's.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_whole_session_asks_for_nothing_and_leaves_nothing_behind() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        assert!(page.requests().len() > 1, "the server has seen the page load");
        page.js("return navigator.serviceWorker.ready.then(() => true)").await;
        let loaded = Instant::now();
        session(page).await;
        // For anything put off.
        sleep(Duration::from_millis(500)).await;
        page.idle().await;
        let requests = page.requests();
        let later: Vec<_> = requests.iter().filter(|r| r.at > loaded).collect();
        assert!(later.is_empty(), "asked for after the load: {later:?}");
        // Other servers as well: the browser's own list.
        let elsewhere = page
            .js("return performance.getEntriesByType('resource').map((e) => e.name)
                    .filter((name) => !name.startsWith(location.origin) && !/^(data|blob):/.test(name))")
            .await;
        assert_eq!(elsewhere, serde_json::json!([]));
        page.assert_clean_console().await;

        // What was last worked on, to go on with, and that the hint of the ring was shown; nothing else.
        let kept = page
            .js("return Promise.all([indexedDB.databases(), caches.keys()])
                .then((lists) => [document.cookie, Object.keys(localStorage).join(), sessionStorage.length,
                    ...lists.map((list) => list.length)])")
            .await;
        assert_eq!(kept, serde_json::json!(["", "gatefrost.last,gatefrost.hinted", 0, 0, 1]));
        let aside = page
            .js("return caches.keys().then(([name]) => caches.open(name)).then((cache) => cache.keys())
                .then((list) => list.map(({ url }) => new URL(url).pathname))")
            .await;
        let served: Vec<String> = page.requests().into_iter().map(|request| request.target).collect();
        let aside: Vec<String> = serde_json::from_value(aside).unwrap();
        assert!(aside.len() > 30 && aside.iter().all(|name| served.contains(name)), "{aside:?}");
    });
}
