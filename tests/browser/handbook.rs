//! The handbook as a person reads it, on the site and in the one file.

use gatefrost_core::limits::Limit;
use serde_json::json;

use crate::everyone::{checked, checked_again};
use crate::harness::{Page, READY, browse};

/// The addresses of all chapters from the page that is open.
async fn chapters(page: &Page) -> Vec<String> {
    let found =
        page.js("return [...document.querySelectorAll('#chapters > ol > li > a')].map((a) => a.href)").await;
    serde_json::from_value(found).unwrap()
}

/// What is wrong with the chapter that is open: the ways out of it that lead nowhere, and what is wider than the
/// screen.
async fn faults(page: &Page) -> serde_json::Value {
    page.js(
        "const inside = [...document.querySelectorAll('main a[href^=\"#\"]')];
        const lost = inside.filter((a) => !document.getElementById(decodeURIComponent(a.hash.slice(1)))).map((a) => a.hash);
        const wide = document.documentElement.scrollWidth > innerWidth ? ['wider than the screen'] : [];
        const formula = document.querySelector('math');
        const flat = formula && formula.getBoundingClientRect().height < 5 ? ['a formula is not drawn'] : [];
        return [...lost, ...wide, ...flat]",
    )
    .await
}

#[test]
#[ignore = "run by cargo xtask test"]
fn every_chapter_reads_on_a_phone_and_on_a_desk_in_light_and_dark() {
    browse(async |page| {
        page.goto("handbook/index.html").await;
        let chapters = chapters(page).await;
        assert!(chapters.len() >= 10);
        for (i, chapter) in chapters.into_iter().enumerate() {
            page.driver().goto(&chapter).await.unwrap();
            // All chapters have the same frame.
            if i == 0 {
                checked(page).await;
            } else {
                checked_again(page).await;
            }
            page.resize(320, 640, 1.0).await;
            assert_eq!(faults(page).await, json!([]), "{chapter}");
        }
        assert_eq!(page.count(".notice").await, 0);
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_field_and_a_limit_lead_to_their_place() {
    browse(async |page| {
        page.open("#1;d=yoke").await;
        page.idle().await;
        let links =
            "return [...document.querySelectorAll('#story .source a, #margin-list a')].map((a) => a.href)";
        let links: Vec<String> = serde_json::from_value(page.js(links).await).unwrap();
        assert!(links.len() > 60, "{}", links.len());
        for chapter in ["scenario", "limits"] {
            page.goto(&format!("handbook/{chapter}.html")).await;
            let ids: Vec<String> = serde_json::from_value(
                page.js("return [...document.querySelectorAll('[id]')].map((e) => e.id)").await,
            )
            .unwrap();
            let here = links.iter().filter_map(|link| link.split_once(&format!("handbook/{chapter}.html#")));
            let here: Vec<&str> = here.map(|(_, anchor)| anchor).collect();
            assert!(!here.is_empty());
            for anchor in here {
                assert!(ids.iter().any(|id| id == anchor), "{chapter}: {anchor}");
            }
        }
        let limits = Limit::ALL.len();
        let sections = page.js("return document.querySelectorAll('.facts').length").await;
        assert_eq!(sections, json!(limits));
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_one_file_holds_the_handbook_too() {
    browse(async |site| {
        let page = site.single();
        page.goto("?handbook/scenario#setup.hold_time").await;
        page.wait_until("document.querySelector('main.handbook')", READY).await;
        let seen =
            "const { top, bottom } = document.getElementById('setup.hold_time').getBoundingClientRect();
            return bottom > 0 && top < innerHeight";
        assert_eq!(page.js(seen).await, json!(true), "the anchor is scrolled to");
        assert_eq!(faults(&page).await, json!([]));
        let wide = "return getComputedStyle(document.querySelector('.handbook .scroll')).overflowX";
        assert_eq!(page.js(wide).await, "auto", "its own style sheet is there");
        // From chapter to chapter, and to the window.
        page.js("document.querySelector('#chapters a[href^=\"?handbook/numerics\"]').click()").await;
        page.wait_until("document.querySelector('h1')?.textContent === 'Numerics and accuracy'", READY).await;
        page.js("document.querySelector('.handbook-head a').click()").await;
        page.wait_until("document.documentElement.dataset.ready === 'true'", READY).await;
        assert_eq!(page.count("#window-canvas").await, 1);
    });
}
