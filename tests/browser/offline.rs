//! The site without a network, and when another version takes its place.

use serde_json::json;

use crate::harness::{Page, READY, browse};
use crate::host::Host;

const SECOND: &str = "2222222222222222";
const THIRD: &str = "3333333333333333";

/// Waits until the site has been set aside whole.
async fn set_aside(page: &Page) {
    page.js("return navigator.serviceWorker.ready.then(({ active }) => active.state === 'activated' ||
                new Promise((done) => active.addEventListener('statechange', done))).then(() => true)")
        .await;
}

/// The versions that the browser has set aside.
async fn kept(page: &Page) -> Vec<String> {
    let names = page.js("return caches.keys()").await;
    let names: Vec<String> = serde_json::from_value(names).unwrap();
    names.iter().map(|name| name.rsplit_once(' ').unwrap().1.to_owned()).collect()
}

/// The versions that the open page is made of; more than one would be a mixture.
async fn made_of(page: &Page) -> Vec<String> {
    let names = page
        .js("const names = performance.getEntriesByType('resource').map((e) => new URL(e.name).pathname);
            return [...new Set(names.filter((name) => name.includes('/js/') || name.includes('gatefrost'))
                .map((name) => name.split('/').find((part) => /^[0-9a-f]{16}$/.test(part)) ?? name))]")
        .await;
    serde_json::from_value(names).unwrap()
}

/// The site in a folder of a host; cut off, it opens and computes as before.
pub async fn works_without_a_network(browser: &Page) {
    let host = Host::start(browser.folder());
    let page = browser.at(&host.address());
    page.open("#1;d=guide;T=171").await;
    page.idle().await;
    let numbers = format!("{:?}", page.numbers().await);
    set_aside(&page).await;

    host.reach(false);
    assert_eq!(page.js("return fetch('elsewhere').then(() => 'there', () => 'away')").await, "away");
    page.reload().await;
    assert_eq!(format!("{:?}", page.numbers().await), numbers);
    page.press("#to-laboratory").await;
    page.wait_until("document.querySelector('#recipe-said')?.textContent.includes('Pa·s')", READY).await;
    page.press("#to-window").await;
    page.wait_until(
        "location.pathname.endsWith('/index.html') && document.documentElement.dataset.ready",
        READY,
    )
    .await;
    page.idle().await;
    assert_eq!(format!("{:?}", page.numbers().await), numbers);
    page.open("?sent=by-mail#1;d=guide;T=171").await;
    page.idle().await;
    assert_eq!(format!("{:?}", page.numbers().await), numbers);

    // What is not of the site is none of its business.
    host.reach(true);
    let above = page.at(host.address().strip_suffix("some/folder/").unwrap());
    above.goto("").await;
    assert_eq!(page.driver().title().await.unwrap(), "Another page of the host");
}

#[test]
#[ignore = "run by cargo xtask test"]
fn in_any_folder_of_a_host_and_without_a_network() {
    browse(works_without_a_network);
}

/// Another build is put on the host while a page of the first is open, then one that is broken.
pub async fn a_newer_version_takes_over(browser: &Page) {
    let host = Host::start(browser.folder());
    let page = browser.at(&host.address());
    page.open("").await;
    page.idle().await;
    set_aside(&page).await;
    let first = made_of(&page).await;
    assert_eq!(kept(&page).await, first);

    host.deploy("Gatefrost anew", SECOND, false);
    let old = page.driver().window().await.unwrap();
    page.open_tab().await;
    page.open("").await;
    page.idle().await;
    assert_eq!(page.text("h1").await, "Gatefrost anew", "nobody gets an old one");
    assert_eq!(made_of(&page).await, [SECOND]);
    let alone = format!("caches.keys().then((k) => k.length === 1 && k[0].endsWith('{SECOND}'))");
    let alone = format!("return {alone}");
    let start = std::time::Instant::now();
    while page.js(&alone).await != json!(true) {
        assert!(start.elapsed() < READY, "{:?}", kept(&page).await);
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    assert_eq!(page.count(".newer").await, 0, "this page is the newer one");

    page.driver().switch_to_window(old).await.unwrap();
    page.wait_until("document.querySelector('.newer')", READY).await;
    assert_eq!(page.text("h1").await, "Gatefrost");
    assert!(page.text(".newer").await.starts_with("A newer version is ready."));
    page.press(".newer button").await;
    page.wait_until("document.querySelector('h1')?.textContent === 'Gatefrost anew'", READY).await;
    page.wait_until("document.documentElement.dataset.ready === 'true'", READY).await;
    assert_eq!(made_of(&page).await, [SECOND]);
    assert_eq!(page.count(".newer").await, 0);

    host.reach(false);
    page.reload().await;
    assert_eq!(page.text("h1").await, "Gatefrost anew");
    assert_eq!(made_of(&page).await, [SECOND]);

    // One that did not arrive as it was built is not set aside.
    host.deploy("Gatefrost in pieces", THIRD, true);
    host.reach(true);
    let state = page
        .js("return navigator.serviceWorker.getRegistration().then((site) => site.update()).then(
                ({ installing }) => new Promise((done) =>
                    installing.addEventListener('statechange', () => done(installing.state))))")
        .await;
    assert_eq!(state, "redundant");
    assert_eq!(kept(&page).await, [SECOND]);
    host.reach(false);
    page.reload().await;
    assert_eq!(page.text("h1").await, "Gatefrost anew");
    assert_eq!(made_of(&page).await, [SECOND]);
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_newer_version_takes_over_whole_and_says_so_where_an_older_one_is_open() {
    browse(a_newer_version_takes_over);
}
