//! Text that would be markup, from a link and from a file.

use std::time::Duration;

use gatefrost_core::scenario::{Scenario, demo, link};
use serde_json::{Value, json};
use tokio::time::sleep;

use crate::harness::{Page, browse};

const IMAGE: &str = "<img src=x onerror=\"window.hit=1;alert(1)\">";
const SCRIPT: &str = "\"><script>window.hit=2;alert(2)</script><svg onload=alert(3)>";

/// A scenario with markup wherever a text may stand.
pub fn hostile() -> Scenario {
    let mut scenario = demo::default_demo().scenario();
    scenario.name = IMAGE.to_owned();
    scenario.notes = SCRIPT.to_owned();
    scenario.feedstock.name = SCRIPT.to_owned();
    scenario.feedstock.provenance = format!("illustrative {IMAGE}");
    for passage in &mut scenario.cavity.passages {
        passage.name = IMAGE.to_owned();
    }
    scenario
}

/// What the page is made of: none of it may come from a text.
pub async fn elements(page: &Page) -> Value {
    page.js("const kinds = {};
        // The sweep's figure is an image that the page makes itself, empty until it is computed.
        for (const e of document.querySelectorAll('*:not(#sweep-picture)')) {
            const on = e.getAttributeNames().filter((name) => name.startsWith('on')).join();
            const kind = `${e.localName} ${on}`;
            kinds[kind] = (kinds[kind] ?? 0) + 1;
        }
        return kinds")
        .await
}

pub async fn unharmed(page: &Page, clean: &Value) {
    // Unfolded, so that nothing lies hidden; the tables of the figures name the passages too.
    page.js("for (const box of document.querySelectorAll('details')) box.open = true").await;
    // An error of an image would come only now.
    sleep(Duration::from_millis(200)).await;
    page.idle().await;
    let now = elements(page).await;
    for kind in ["img ", "img onerror", "svg ", "svg onload", "iframe "] {
        assert_eq!(now.get(kind), None, "{kind}");
    }
    assert_eq!(now["script "], clean["script "], "no script was added");
    assert!(page.js("return window.hit ?? null").await.is_null());
    assert_eq!(page.value("#f-name").await, IMAGE, "the text is there as text");
    let title = page.driver().title().await.unwrap();
    assert!(title.starts_with("<img src=x"), "{title}");
    let passages = page.texts(".passages .name").await;
    assert!(passages.iter().all(|name| name == IMAGE), "{passages:?}");
    page.assert_clean_console().await;
}

#[test]
#[ignore = "run by cargo xtask test"]
fn markup_in_a_link_stays_text() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let clean = elements(page).await;
        let link = link::encode(&hostile());
        // From an empty page, so that it loads anew.
        page.driver().goto("about:blank").await.unwrap();
        page.open(&format!("#{link}")).await;
        unharmed(page, &clean).await;
    });
}

/// The same, by way of a file: its name is hostile too.
#[test]
#[ignore = "run by cargo xtask test"]
fn markup_in_a_file_and_its_name_stays_text() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let clean = elements(page).await;
        let folder = page.folder();
        let path = folder.join("<img src=x onerror=alert(4)>.json");
        std::fs::write(&path, hostile().to_json()).unwrap();
        let chooser = page.find("#file").await;
        chooser.send_keys(path.to_str().unwrap()).await.unwrap();
        page.wait_until("document.title.startsWith('<img')", crate::harness::READY).await;
        page.idle().await;
        let notice = page.text(".notice[data-kind=\"file\"]").await;
        assert!(notice.contains("<img src=x onerror=alert(4)>.json"), "{notice}");
        unharmed(page, &clean).await;

        // What is wrong with a file is quoted as text as well.
        let mut broken = json!({ "gatefrost": 1 });
        broken[IMAGE] = json!(1);
        std::fs::write(&path, broken.to_string()).unwrap();
        chooser.send_keys(path.to_str().unwrap()).await.unwrap();
        page.wait_until(
            "document.querySelector('.notice').textContent.includes('could not be opened')",
            crate::harness::READY,
        )
        .await;
        unharmed(page, &clean).await;

        // An error or a link that quotes it.
        page.follow(&format!("1;d={IMAGE};zz<b>=1;T={SCRIPT}")).await;
        let notice = page.text(".notice[data-kind=\"link\"]").await;
        assert!(notice.contains("<script>window.hit"), "{notice}");
        assert_eq!(elements(page).await.get("img "), None);
        assert!(page.js("return window.hit ?? null").await.is_null());
        page.assert_clean_console().await;
    });
}
