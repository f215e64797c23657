//! Reading the window at a place, with the mouse and with a finger.

use serde_json::json;

use crate::harness::{Page, READY, browse};
use crate::reading::{MELT, TIME};

const CANVAS: &str = "#window-canvas";
const CARD: &str = ".card";
const SHOWN: &str = "!document.querySelector('.card').hidden";

async fn loaded(page: &Page) {
    page.idle().await;
    page.wait_until("document.querySelector('.card')", READY).await;
}

async fn point(page: &Page, across: f64, down: f64) -> String {
    let (x, y) = page.place(CANVAS, across, down).await;
    page.driver().action_chain().move_to(x.round() as i64, y.round() as i64).perform().await.unwrap();
    page.frames().await;
    page.text(CARD).await
}

/// The limits that the card calls not met are those that are not met once the set point is there.
#[test]
#[ignore = "run by cargo xtask test"]
fn the_cross_hair_says_what_the_set_point_would() {
    browse(async |page| {
        page.open("").await;
        loaded(page).await;
        let inside = point(page, 0.7, 0.45).await;
        assert!(
            inside.starts_with("Every limit is met here.") && inside.contains("Nearest line: "),
            "{inside}"
        );

        let outside = point(page, 0.3, 0.7).await;
        let missed = outside.lines().next().unwrap().strip_prefix("Not met here: ").unwrap().to_owned();
        let met =
            outside.lines().find(|line| line.starts_with("Met: ")).unwrap_or_else(|| panic!("{outside}"));
        let (x, y) = page.place(CANVAS, 0.3, 0.7).await;
        page.drag((x, y), (x, y), 1).await;
        page.idle().await;
        let labels = page.texts("#margin-list .out h3").await;
        assert!(!labels.is_empty());
        for label in &labels {
            assert!(missed.contains(&label.to_lowercase()), "{label}: {missed}");
            assert!(!met.contains(&label.to_lowercase()), "{label}: {met}");
        }
        assert_eq!(missed.split(", ").count(), labels.len(), "{missed}; {labels:?}");

        // It goes with the pointer.
        let (x, y) = page.place("#verdict", 0.5, 0.5).await;
        page.driver().action_chain().move_to(x as i64, y as i64).perform().await.unwrap();
        page.wait_until(&format!("!({SHOWN})"), READY).await;
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_line_under_the_pointer_is_emphasised_and_the_rest_recede() {
    browse(async |page| {
        page.open("").await;
        loaded(page).await;
        point(page, 0.7, 0.45).await;
        let plain = page.ink(CANVAS).await;
        // Down from inside the window a line is crossed.
        let mut lit = None;
        for step in 0..60 {
            point(page, 0.7, 0.45 + 0.008 * f64::from(step)).await;
            if page
                .js_with("return document.querySelector(arguments[0]).matches('.on-line')", &[json!(CANVAS)])
                .await
                == true
            {
                page.frames().await;
                lit = Some(page.ink(CANVAS).await);
                break;
            }
        }
        let lit = lit.expect("a line below");
        assert_ne!(lit.hash, plain.hash);
        point(page, 0.7, 0.45).await;
        page.frames().await;
        assert_eq!(page.ink(CANVAS).await.hash, plain.hash, "back as it was");
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn how_to_move_the_set_point_is_said_once() {
    browse(async |page| {
        page.open("").await;
        loaded(page).await;
        let hint = page.text("#window-reading").await;
        assert!(hint.starts_with("Drag the ring to move the set point."), "{hint}");
        page.fill(MELT, "166").await;
        page.idle().await;
        let said = page.text("#window-reading").await;
        assert!(said.starts_with("Set point: ") && said.contains("166"), "{said}");
        page.reload().await;
        loaded(page).await;
        let said = page.text("#window-reading").await;
        assert!(said.starts_with("Set point: "), "{said}");
    });
}

async fn touch(page: &Page, kind: &str, at: Option<(f64, f64)>) {
    let points: Vec<_> = at.iter().map(|(x, y)| json!({ "x": x, "y": y })).collect();
    let event = json!({ "type": kind, "touchPoints": points });
    page.driver().cdp().send_raw("Input.dispatchTouchEvent", event).await.unwrap();
}

/// A finger that rests reads and then moves the cross-hair; one that moves at once scrolls the page.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_finger_that_rests_reads_and_one_that_moves_scrolls() {
    browse(async |page| {
        let touching = json!({ "enabled": true });
        page.driver().cdp().send_raw("Emulation.setTouchEmulationEnabled", touching).await.unwrap();
        page.resize(360, 740, 2.0).await;
        page.open("").await;
        loaded(page).await;
        let settings = [page.setting(MELT).await, page.setting(TIME).await];
        page.js("scrollTo(0, 0)").await;
        let scrolled = async || page.js("return scrollY").await.as_f64().unwrap();
        let (x, y) = page.place(CANVAS, 0.3, 0.4).await;
        let from = scrolled().await;

        touch(page, "touchStart", Some((x, y))).await;
        page.wait_until(SHOWN, READY).await;
        let first = page.text("#window-reading").await;
        for step in 1..=8 {
            touch(page, "touchMove", Some((x + 4.0 * f64::from(step), y - 5.0 * f64::from(step)))).await;
        }
        page.frames().await;
        assert_eq!(scrolled().await, from, "reading scrolls nothing");
        let second = page.text("#window-reading").await;
        assert!(
            first.contains("Melt temperature") && second.contains("Melt temperature") && first != second,
            "{second}"
        );
        touch(page, "touchEnd", None).await;
        page.frames().await;
        assert_eq!(page.js(&format!("return {SHOWN}")).await, true, "what was read stays");
        assert_eq!([page.setting(MELT).await, page.setting(TIME).await], settings);

        touch(page, "touchStart", Some((x, y))).await;
        for step in 1..=10 {
            touch(page, "touchMove", Some((x, y - 20.0 * f64::from(step)))).await;
            page.frames().await;
        }
        touch(page, "touchEnd", None).await;
        page.wait_until(&format!("scrollY > {from} + 100"), READY).await;
        assert_eq!(page.js(&format!("return {SHOWN}")).await, false);
        assert_eq!([page.setting(MELT).await, page.setting(TIME).await], settings);
        page.assert_clean_console().await;
    });
}
