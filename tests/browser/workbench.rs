//! Taking back, and scenarios kept in the browser.

use gatefrost_core::scenario::{Scenario, demo};
use serde_json::{Value, json};
use thirtyfour::prelude::*;

use crate::files::saved;
use crate::harness::{Page, READY, browse};
use crate::reading::{MELT, MOULD, TIME};

async fn settings(page: &Page) -> [f64; 3] {
    [page.setting(MELT).await, page.setting(MOULD).await, page.setting(TIME).await]
}

#[test]
#[ignore = "run by cargo xtask test"]
fn each_change_is_taken_back_and_done_again() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        assert!(!page.find("#undo").await.is_enabled().await.unwrap());
        let fresh = page.fields().await;
        let start = settings(page).await;

        // Typed key by key, and one change; then another; then a drag of many moves.
        page.fill(MELT, "171.5").await;
        page.fill(MOULD, "45").await;
        let from = page.place("#window-canvas", 0.5, 0.5).await;
        let to = page.place("#window-canvas", 0.65, 0.35).await;
        page.drag(from, to, 8).await;
        page.idle().await;
        let dragged = settings(page).await;
        assert_ne!(dragged[0], 171.5);
        page.press("#add-passage").await;
        page.idle().await;
        let (last, rows) = (page.fields().await, page.count(".passages > li").await);

        page.press("#undo").await;
        assert_eq!(page.count(".passages > li").await, rows - 1);
        assert_eq!(settings(page).await, dragged);
        page.press("#undo").await;
        assert_eq!(settings(page).await, [171.5, 45.0, start[2]], "the drag as a whole");
        page.press("#undo").await;
        assert_eq!(settings(page).await, [171.5, start[1], start[2]]);
        page.press("#undo").await;
        page.idle().await;
        assert_eq!(page.fields().await, fresh);
        assert!(!page.find("#undo").await.is_enabled().await.unwrap());

        for _ in 0..4 {
            page.press("#redo").await;
        }
        page.idle().await;
        assert_eq!(page.fields().await, last);
        assert!(!page.find("#redo").await.is_enabled().await.unwrap());

        // By keys, from within a field; a new change ends what could be done again.
        let field = page.find(TIME).await;
        field.send_keys(Key::Control + "z").await.unwrap();
        assert_eq!(page.count(".passages > li").await, rows - 1);
        page.fill(TIME, "0.7").await;
        assert!(!page.find("#redo").await.is_enabled().await.unwrap());
        assert_eq!(page.setting(TIME).await, 0.7);
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_text_that_is_no_value_and_another_demo_are_taken_back_too() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let start = settings(page).await;
        page.fill(MELT, "hot").await;
        assert_eq!(page.count("#trouble li").await, 1);
        page.press("#undo").await;
        page.idle().await;
        assert_eq!(page.count("#trouble li").await, 0);
        assert_eq!(settings(page).await, start);

        page.choose("#demo", "guide").await;
        page.idle().await;
        page.press("#undo").await;
        page.idle().await;
        assert_eq!(page.value("#f-name").await, demo::default_demo().scenario().name);
        assert_eq!(page.value("#demo").await, "hinge");
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn scenarios_are_kept_opened_removed_and_moved_as_a_file() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        page.fill("#f-name", "First <b>try</b>").await;
        page.fill(MELT, "171.5").await;
        page.idle().await;
        let first = page.fields().await;
        page.press("#to-shelf").await;
        page.press("#shelf-keep").await;
        assert_eq!(page.texts("#shelf .opens").await, ["First <b>try</b>"]);
        page.press("#shelf .heading button").await;

        // A second one beside it, under a name of its own.
        page.fill(MELT, "175").await;
        page.idle().await;
        page.press("#to-shelf").await;
        page.press("#shelf-beside").await;
        assert_eq!(page.texts("#shelf .opens").await, ["First <b>try</b> 2", "First <b>try</b>"]);
        let folder = page.allow_downloads().await;
        page.press("#shelf-export").await;
        let (_, file) = saved(&folder, "scenarios.json").await;
        let collection: Value = serde_json::from_str(&file).unwrap();
        assert_eq!(collection["gatefrost_scenarios"], 1);
        let melts: Vec<f64> = (collection["scenarios"].as_array().unwrap().iter())
            .map(|s| Scenario::from_json(&s.to_string()).unwrap().setup.melt_temperature)
            .collect();
        assert_eq!(melts, [175.0, 171.5]);

        // They outlive the page. What was worked on last is offered; what is kept opens as it was.
        page.open("?again").await;
        page.idle().await;
        let offered = page.text(".notice[data-kind=\"last\"]").await;
        assert!(offered.contains("Open “First <b>try</b> 2”"), "{offered}");
        page.press("#to-shelf").await;
        page.press("#shelf li:last-child .opens").await;
        page.idle().await;
        assert_eq!(page.fields().await, first);

        // Removed, put back, removed; brought in again from the file.
        page.press("#to-shelf").await;
        page.press("#shelf li:last-child .quiet").await;
        assert_eq!(page.count("#shelf .opens").await, 1);
        page.press("#shelf p button").await;
        assert_eq!(page.count("#shelf .opens").await, 2);
        for _ in 0..2 {
            page.press("#shelf li:last-child .quiet").await;
        }
        assert_eq!(page.count("#shelf .opens").await, 0);
        bring(page, "all.json", &file).await;
        assert_eq!(page.texts("#shelf .opens").await.len(), 2);

        // A link, whole or what stands behind its #; one that cannot be read is told.
        for (typed, melt) in
            [("https://example.org/x/#1;d=guide;T=163.5", "163.5"), ("1;d=guide;T=164.5", "164.5")]
        {
            page.fill("#shelf-link", typed).await;
            page.press("#shelf-open-link").await;
            page.idle().await;
            assert_eq!(page.value(MELT).await, melt);
            page.press("#to-shelf").await;
        }
        page.fill("#shelf-link", "https://example.org/#7;d=guide;T=170").await;
        page.press("#shelf-open-link").await;
        let said = page.text("#shelf [role=status]").await;
        assert!(said.contains("Not opened: The link begins with \"7\""), "{said}");
        assert_eq!(page.value(MELT).await, "164.5");

        // A bad file: nothing of it is kept, and why is said.
        let mut newer = collection.clone();
        newer["gatefrost_scenarios"] = json!(9);
        let mut bad = collection.clone();
        bad["scenarios"][1]["setup"]["melt_temperature"] = json!(9999);
        for (file, words) in
            [(newer, "version 9"), (bad, "20 to 450 °C"), (json!({"gatefrost_scenarios": 1}), "list")]
        {
            let said = bring(page, "bad.json", &file.to_string()).await;
            assert!(said.contains(words) && said.contains("Nothing of it was saved"), "{said}");
            assert_eq!(page.count("#shelf .opens").await, 2);
        }
        page.assert_clean_console().await;
    });
}

/// Brings a file in; what the page says to it.
async fn bring(page: &Page, name: &str, text: &str) -> String {
    let path = page.folder().join(name);
    std::fs::write(&path, text).unwrap();
    page.js("document.querySelector('#shelf [role=status]').replaceChildren()").await;
    page.find("#shelf input[type=file]").await.send_keys(path.to_str().unwrap()).await.unwrap();
    page.wait_until("document.querySelector('#shelf [role=status]').textContent", READY).await;
    page.text("#shelf [role=status]").await
}
