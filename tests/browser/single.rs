//! The page in one file, opened from a folder.

use gatefrost_core::scenario::link;
use serde_json::json;
use thirtyfour::Key;

use crate::harness::{Page, READY, browse};
use crate::hostile::{elements, hostile, unharmed};
use crate::laboratory::{EXAMPLE, addressed};
use crate::reading::MELT;

/// The window becomes fine with workers, shows what the site shows, and keeps an edit in its address.
pub async fn computes(site: &Page) {
    let link = "#2;d=guide;T=171";
    site.open(link).await;
    site.idle().await;
    let (fields, numbers) = (site.fields().await, site.numbers().await);
    assert!(numbers.len() >= 20);

    let page = site.single();
    page.open(link).await;
    page.idle().await;
    assert_eq!(page.js("return document.querySelector('#window-figure').dataset.detail").await, "fine");
    assert_eq!(page.fields().await, fields);
    assert_eq!(format!("{:?}", page.numbers().await), format!("{numbers:?}"));
    assert_eq!(page.count("#starting").await, 0);
    assert_eq!(page.count(".notice").await, 0);

    page.fill(MELT, "173").await;
    page.wait_until("location.hash === '#2;d=guide;T=173'", READY).await;
    page.idle().await;
    let after = page.numbers().await;
    assert_ne!(format!("{after:?}"), format!("{numbers:?}"));
    page.reload().await;
    assert_eq!(page.value(MELT).await, "173");
    assert_eq!(format!("{:?}", page.numbers().await), format!("{after:?}"));

    // The file's address leads nowhere else: the text behind # is copied, and an address of a host is asked for once.
    page.js("navigator.clipboard.writeText = async (text) => { window.copied = text; }").await;
    page.press("#copy-link").await;
    page.wait_until("window.copied === '2;d=guide;T=173'", READY).await;
    assert!(page.text("#link-elsewhere").await.contains("Open the link"));
    page.find("#hosted-address").await.send_keys("https://example.org/gatefrost/#old").await.unwrap();
    let over = page
        .js("const box = document.querySelector('#link-elsewhere');
            return [...box.querySelectorAll('p, input, button')].some((e) => e.getBoundingClientRect().right > innerWidth + 0.5)")
        .await;
    assert_eq!(over, false, "the words wrap");
    page.find("#hosted-address").await.send_keys(Key::Enter + "").await.unwrap();
    page.wait_until("window.copied === 'https://example.org/gatefrost/#2;d=guide;T=173'", READY).await;
    page.js("localStorage.removeItem('gatefrost.address')").await;

    let asked = "return performance.getEntriesByType('resource').map((e) => e.name)
        .filter((name) => !/^(data|blob):/.test(name))";
    assert_eq!(page.js(asked).await, json!([]));
}

/// The laboratory is in the file too: the way there and back, with what is handed over.
pub async fn holds_the_laboratory(site: &Page) {
    let page = site.single();
    page.open("#1;d=guide;T=171").await;
    page.idle().await;
    page.press("#to-laboratory").await;
    let fitted = "document.querySelector('#rheometer-use')?.disabled === false";
    page.wait_until("document.querySelector('#rheometer-text-example')", READY).await;
    assert_eq!(page.js("return location.search").await, "?laboratory");
    assert!(page.driver().title().await.unwrap().contains("laboratory"));
    assert_eq!(page.count("#window-canvas").await, 0);
    assert!((addressed(&page).await.scenario.setup.melt_temperature - 171.0).abs() < 1e-9);
    let wide = "return getComputedStyle(document.querySelector('.bench')).display";
    assert_eq!(page.js(wide).await, "grid", "its own style sheet is there");
    page.press(EXAMPLE).await;
    page.wait_until(fitted, READY).await;
    // The solver comes from the window's page in the same file.
    let shown = "document.querySelector('#rheometer-coverage').textContent";
    page.wait_until(&format!("!{shown}.includes('being computed')"), READY).await;
    let said = page.text("#rheometer-coverage").await;
    assert!(!said.contains("not known"), "{said}");
    page.idle().await;
    page.press("#rheometer-use").await;
    let window = "document.querySelector('#window-canvas') && document.documentElement.dataset.ready";
    page.wait_until(window, READY).await;
    page.idle().await;
    let opened = addressed(&page).await;
    assert_eq!(opened.problems, []);
    assert!(opened.scenario.feedstock.provenance.starts_with("fitted to your data"));
    assert!((opened.scenario.setup.melt_temperature - 171.0).abs() < 1e-9);
    assert_eq!(page.js("return location.search").await, "");

    // Back in the browser's sense: the readings are still there, and are fitted again.
    page.driver().back().await.unwrap();
    page.wait_until(fitted, READY).await;
    assert!(page.value("#rheometer-text").await.contains("die"), "the readings were kept");
    page.press("#to-window").await;
    page.wait_until(window, READY).await;

    // A link to it, as one may be written down.
    page.goto("?laboratory#1;d=sleeve").await;
    page.wait_until("document.querySelector('#recipe-said')?.textContent.includes('Pa·s')", READY).await;
    assert_eq!(page.count(".notice").await, 0);
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_one_file_computes_what_the_site_does_and_keeps_an_edit() {
    browse(async |site| {
        computes(site).await;
        site.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_one_file_holds_the_laboratory_and_the_way_back() {
    browse(async |site| {
        holds_the_laboratory(site).await;
        site.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn markup_in_a_link_stays_text_in_the_one_file() {
    browse(async |site| {
        let page = site.single();
        page.open("").await;
        page.idle().await;
        let clean = elements(&page).await;
        page.driver().goto("about:blank").await.unwrap();
        page.open(&format!("?<img src=x onerror=alert(1)>#{}", link::encode(&hostile()))).await;
        unharmed(&page, &clean).await;
    });
}

/// A browser that does not run the file's modules, whatever keeps it from it, leaves the words that it
/// begins with.
#[test]
#[ignore = "run by cargo xtask test"]
fn where_it_cannot_start_the_one_file_says_what_it_needs() {
    browse(async |site| {
        let page = site.single();
        let off = json!({ "value": true });
        page.driver().cdp().send_raw("Emulation.setScriptExecutionDisabled", off).await.unwrap();
        page.goto("?laboratory").await;
        let said = page.text("body").await;
        assert!(said.contains("JavaScript is off") && said.contains("2025"), "{said}");
        assert!(said.len() < 300, "nothing else is shown: {said}");
    });
}
