//! What matters most, in Firefox too: one browser for all of it, because it takes long to start.
//!
//! There is no console to read and no screen to emulate here. That something broke off is told by the
//! page itself, in a notice.

use gatefrost_core::scenario::{demo, link};
use serde_json::json;

use crate::harness::{Page, READY, browse_firefox};
use crate::hostile::hostile;
use crate::reading::{MELT, TIME};
use crate::{laboratory, offline, single};

async fn nothing_broke(page: &Page) {
    assert_eq!(page.texts(".notice").await, [""; 0]);
    assert!(page.js("return document.documentElement.dataset.failed ?? null").await.is_null());
}

/// The window is drawn, follows the mouse and the fields, and keeps what was set in the address.
async fn window(page: &Page) {
    page.open("").await;
    page.idle().await;
    assert_eq!(page.js("return document.querySelector('#window-figure').dataset.detail").await, "fine");
    let ink = page.ink("#window-canvas").await;
    assert!((0.01..0.4).contains(&ink.share) && ink.tiles >= 20, "{ink:?}");
    let before = page.numbers().await;

    let (time, melt) = (page.setting(TIME).await, page.setting(MELT).await);
    let from = page.place("#window-canvas", 0.5, 0.5).await;
    let to = page.place("#window-canvas", 0.7, 0.3).await;
    page.drag(from, to, 6).await;
    page.idle().await;
    assert!(page.setting(TIME).await > time && page.setting(MELT).await > melt, "the set point moved");
    assert_ne!(format!("{:?}", page.numbers().await), format!("{before:?}"));

    page.fill(MELT, "168,5").await;
    page.idle().await;
    assert_eq!(page.value(MELT).await, "168.5");
    page.wait_until("location.hash.includes(';T=168.5')", READY).await;
    page.fill(MELT, "hot").await;
    page.frames().await;
    assert!(page.texts("#trouble li").await.join("").contains("hot"));
    page.fill(MELT, "168.5").await;
    page.idle().await;
    let after = format!("{:?}", page.numbers().await);
    page.reload().await;
    assert_eq!(format!("{:?}", page.numbers().await), after);
    nothing_broke(page).await;
}

/// A link and a file bring a scenario; markup in them stays text.
async fn links_and_files(page: &Page) {
    page.driver().goto("about:blank").await.unwrap();
    page.open(&format!("#{}", link::encode(&hostile()))).await;
    page.idle().await;
    assert_eq!(page.value("#f-name").await, hostile().name);
    assert!(page.js("return window.hit ?? null").await.is_null());
    assert_eq!(page.count("img:not(#sweep-picture)").await, 0);
    page.follow("2;d=guide;T=171").await;
    assert_eq!(page.value(MELT).await, "171");
    nothing_broke(page).await;

    let file = page.folder().join("sleeve.json");
    let sleeve = demo::find("sleeve").unwrap().scenario();
    std::fs::write(&file, sleeve.to_json()).unwrap();
    page.find("#file").await.send_keys(file.to_str().unwrap()).await.unwrap();
    page.wait_until("document.querySelector('.notice')", READY).await;
    page.idle().await;
    assert!(page.text(".notice").await.starts_with("sleeve.json is open."));
    assert_eq!(page.value("#f-name").await, sleeve.name);
}

/// The policy is kept to.
async fn policy(page: &Page) {
    page.open("").await;
    let stopped = page
        .js("const broken = new Set();
            addEventListener('securitypolicyviolation', (e) => broken.add(e.effectiveDirective));
            const box = document.createElement('div');
            box.innerHTML = '<img src=\"data:,\" onerror=\"window.hit = true\"><b style=\"color: red\">x</b>';
            document.body.append(box);
            for (const properties of [{ textContent: 'window.hit = true' }, { src: 'data:,hit=true' }])
                document.body.append(Object.assign(document.createElement('script'), properties));
            const asked = fetch('http://127.0.0.1:9/').then(() => 'reached', () => 'refused');
            return asked.then((answer) => new Promise((done) =>
                setTimeout(() => done([answer, window.hit ?? false, ...[...broken].sort()]), 300)))")
        .await;
    let stops = ["connect-src", "script-src-attr", "script-src-elem", "style-src-attr"];
    let mut wanted = vec![json!("refused"), json!(false)];
    wanted.extend(stops.map(|directive| json!(directive)));
    assert_eq!(stopped, json!(wanted));
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_site_and_the_one_file_work_in_firefox_too() {
    browse_firefox(async |page| {
        window(page).await;
        links_and_files(page).await;
        laboratory::takes_a_feedstock_along(page).await;
        policy(page).await;
        offline::works_without_a_network(page).await;
        offline::a_newer_version_takes_over(page).await;
        single::computes(page).await;
        single::holds_the_laboratory(page).await;
        policy(&page.single()).await;
    });
}
