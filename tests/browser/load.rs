//! Opening the page.

use std::time::Duration;

use serde_json::json;

use crate::harness::{Page, browse};

#[test]
#[ignore = "run by cargo xtask test"]
fn page_loads() {
    browse(async |page| {
        page.open("").await;
        let title = page.driver().title().await.unwrap();
        assert!(title.contains("Gatefrost"), "the title is {title:?}");
        page.assert_clean_console().await;
        for request in page.requests() {
            assert_eq!(request.status, "200 OK", "{}", request.target);
        }
    });
}

const SOON: Duration = Duration::from_secs(30);

/// A page whose WebAssembly module comes by halves: the second one, or an error, when `window.finish` says so.
async fn by_halves(page: &Page) {
    let script = "
        const fetched = window.fetch;
        performance.getEntriesByName = () => [];
        window.fetch = async (address, ...rest) => {
            const response = await fetched(address, ...rest);
            if (!String(address).endsWith('_bg.wasm')) return response;
            const bytes = new Uint8Array(await response.arrayBuffer());
            const body = new ReadableStream({
                start(stream) {
                    stream.enqueue(bytes.slice(0, bytes.length / 2));
                    window.finish = (error) => {
                        if (error) return stream.error(new Error(error));
                        stream.enqueue(bytes.slice(bytes.length / 2));
                        stream.close();
                    };
                },
            });
            return new Response(body, { headers: { 'Content-Type': 'application/wasm' } });
        };";
    let source = json!({ "source": script });
    page.driver().cdp().send_raw("Page.addScriptToEvaluateOnNewDocument", source).await.unwrap();
    page.goto("").await;
    page.wait_until("document.querySelector('#loading progress')?.value > 0.4", SOON).await;
}

/// Height of the window's figure, and whether what is told of loading lies within it.
const PLACE: &str = "
    const [canvas, loading] = ['#window-canvas', '#loading'].map((s) => document.querySelector(s)?.getBoundingClientRect());
    return [canvas.height, Boolean(loading) && loading.top > canvas.top && loading.bottom < canvas.bottom];";

#[test]
#[ignore = "run by cargo xtask test"]
fn loading_shows_in_the_figures_own_place_and_the_figure_moves_nothing() {
    browse(async |page| {
        by_halves(page).await;
        let share = page.js("return document.querySelector('#loading progress').value").await;
        assert!((share.as_f64().unwrap() - 0.5).abs() < 0.01, "{share}");
        let before = page.js(PLACE).await;
        assert_eq!(before[1], true);
        page.js("finish()").await;
        page.wait_until("document.documentElement.dataset.ready === 'true'", SOON).await;
        let after = page.js(PLACE).await;
        assert_eq!(after, json!([before[0], false]));
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_module_that_does_not_come_is_told_in_the_figures_own_place() {
    browse(async |page| {
        by_halves(page).await;
        page.js("finish('the line was cut')").await;
        page.wait_until("document.documentElement.dataset.failed === 'true'", SOON).await;
        assert!(page.text("#loading").await.contains("could not start"));
        assert!(page.text("#notices").await.contains("could not start"));
        assert_eq!(page.js(PLACE).await[1], true);
        page.forget_console().await;
    });
}

/// A page on which the module of that name does not come while `window.down` is true.
async fn without(page: &Page, module: &str, file: &str) {
    let script = format!(
        "window.down = true;
        const fetched = window.fetch;
        window.fetch = (address, ...rest) => window.down && String(address).endsWith('{module}_bg.wasm')
            ? Promise.reject(new TypeError('the line was cut'))
            : fetched(address, ...rest);"
    );
    let source = json!({ "source": script });
    page.driver().cdp().send_raw("Page.addScriptToEvaluateOnNewDocument", source).await.unwrap();
    page.open(file).await;
    page.idle().await;
}

/// Of the toolmaker's sheet only the code and the sizes need the module: their places say that they are missing, the page
/// reports no fault, and the next sheet has both.
#[test]
#[ignore = "run by cargo xtask test"]
fn the_sheet_says_what_did_not_come_and_tries_again() {
    browse(async |page| {
        without(page, "studies", "").await;
        page.press("#to-sheet").await;
        let missing =
            "document.querySelector('.sheet-code figcaption')?.textContent.includes('cannot be drawn')";
        page.wait_until(missing, SOON).await;
        let sizes = "document.querySelector('.sheet-margins').textContent.includes('not computed')";
        page.wait_until(sizes, SOON).await;
        assert_eq!(page.count(".notice").await, 0);
        page.press("#sheet-back").await;
        page.js("window.down = false").await;
        page.press("#to-sheet").await;
        page.wait_until("document.querySelector('.sheet-code path')", SOON).await;
        page.wait_until(&format!("!{sizes}"), SOON).await;
        page.assert_clean_console().await;
    });
}

/// Readings whose fit could not be loaded are kept; the next change of a field fits them.
#[test]
#[ignore = "run by cargo xtask test"]
fn the_laboratory_says_that_the_fit_did_not_come_and_tries_again() {
    browse(async |page| {
        without(page, "readings", "laboratory.html").await;
        page.press("#rheometer-text-example").await;
        page.wait_until("document.querySelector('.notice')", SOON).await;
        assert!(page.text(".notice").await.contains("could not be loaded"));
        assert!(page.text("#rheometer-said").await.contains("see the message at the top"));
        page.js("window.down = false").await;
        page.js("document.querySelector('#rheometer-a2').click()").await;
        page.wait_until("!document.querySelector('#rheometer-use').disabled", SOON).await;
        assert_eq!(page.count(".notice").await, 0);
        page.idle().await;
        page.assert_clean_console().await;
    });
}
