//! Scenarios and figures as files.

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use gatefrost_core::scenario::{Scenario, demo};
use serde_json::{Value, json};
use tokio::time::sleep;

use crate::harness::{Page, READY, browse};
use crate::reading::{MELT, TIME};

/// The file of that ending, once it has been saved.
pub async fn saved(folder: &Path, ending: &str) -> (String, String) {
    let start = Instant::now();
    loop {
        let files = fs::read_dir(folder).into_iter().flatten().flatten();
        let mut names = files.map(|file| file.file_name().to_string_lossy().into_owned());
        if let Some(name) = names.find(|name| name.ends_with(ending)) {
            let text = fs::read_to_string(folder.join(&name)).unwrap();
            if !text.is_empty() {
                return (name, text);
            }
        }
        assert!(start.elapsed() < READY, "no {ending} was saved");
        sleep(Duration::from_millis(25)).await;
    }
}

async fn open(page: &Page, name: &str, text: &str) -> String {
    let path = page.folder().join(name);
    fs::write(&path, text).unwrap();
    page.js("document.querySelector('#notices').replaceChildren()").await;
    let chooser = page.find("#file").await;
    chooser.send_keys(path.to_str().unwrap()).await.unwrap();
    page.wait_until("document.querySelector('.notice')", READY).await;
    page.idle().await;
    page.text(".notice").await
}

#[test]
#[ignore = "run by cargo xtask test"]
fn what_is_saved_opens_as_it_was() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let folder = page.allow_downloads().await;
        page.fill("#f-name", "Bracket „Ü“ / 2").await;
        page.fill(MELT, "170.5").await;
        page.fill(TIME, "0,25").await;
        page.press("#add-passage").await;
        page.idle().await;
        let (fields, numbers) = (page.fields().await, page.numbers().await);

        page.press("#save").await;
        let (name, text) = saved(&folder, ".json").await;
        assert_eq!(name, "bracket-u-2.json");
        let scenario = Scenario::from_json(&text).expect("the program reads it too");
        assert_eq!(scenario.name, "Bracket „Ü“ / 2");
        assert_eq!(scenario.setup.melt_temperature, 170.5);
        assert_eq!(scenario.setup.injection_time, 0.25);

        page.choose("#demo", "guide").await;
        page.idle().await;
        assert_ne!(page.fields().await, fields);
        let notice = open(page, "again.json", &text).await;
        assert!(notice.starts_with("again.json is open."), "{notice}");
        assert_eq!(page.fields().await, fields);
        assert_eq!(page.numbers().await, numbers);

        // What was there before is one press away.
        page.press(".notice .row button").await;
        page.idle().await;
        let guide = demo::find("guide").unwrap().scenario();
        assert_eq!(page.value("#f-name").await, guide.name);
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_bad_file_is_explained_and_changes_nothing() {
    browse(async |page| {
        page.open("").await;
        page.fill(MELT, "171").await;
        page.idle().await;
        let (fields, numbers) = (page.fields().await, page.numbers().await);

        let good: Value = serde_json::from_str(&demo::default_demo().scenario().to_json()).unwrap();
        let mut two = good.clone();
        two["setup"]["melt_temperature"] = json!(9999);
        two["machine"]["clamp_force"] = json!(-1);
        let mut unknown = good.clone();
        unknown["setup"]["melt_temprature"] = json!(170);
        let mut newer = good.clone();
        newer["gatefrost"] = json!(99);
        let deep = "[".repeat(100_000);
        let huge = " ".repeat(2 << 20);
        let (two, unknown, newer) = (two.to_string(), unknown.to_string(), newer.to_string());
        for (text, words) in [
            (two.as_str(), &["Melt temperature", "9999", "20 to 450 °C", "-1", "kN"][..]),
            (&unknown, &["melt_temprature"]),
            (&newer, &["99"]),
            ("{\"gatefrost\": 1,", &["line 1"]),
            ("no JSON at all", &["line 1"]),
            ("", &["could not be opened"]),
            (&deep, &["could not be opened"]),
            (&huge, &["too large"]),
        ] {
            let notice = open(page, "bad.json", text).await;
            assert!(notice.contains("Nothing was changed"), "{notice}");
            for word in words {
                assert!(notice.contains(word), "{word:?} is not in: {notice}");
            }
            assert_eq!(page.fields().await, fields);
            assert_eq!(page.numbers().await, numbers);
        }
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn figures_are_saved_as_drawings_and_as_tables() {
    browse(async |page| {
        page.open("#1;d=hinge;name=A%3Cb%3E%26B").await;
        page.idle().await;
        let folder = page.allow_downloads().await;
        page.press("[aria-label=\"Window as SVG\"]").await;
        let (_, svg) = saved(&folder, ".svg").await;
        assert!(svg.starts_with("<svg ") && svg.trim_end().ends_with("</svg>"));
        assert!(!svg.contains("<b>"), "names are escaped");
        let parsed = page
            .js_with(
                "return new DOMParser().parseFromString(arguments[0], 'image/svg+xml')
                    .querySelector('parsererror')?.textContent ?? null",
                &[json!(svg)],
            )
            .await;
        assert!(parsed.is_null(), "{parsed}");

        let reading = "details.data:has([aria-label=\"Data: Window\"])";
        page.js_with("document.querySelector(arguments[0]).open = true", &[json!(reading)]).await;
        page.frames().await;
        let rows = page.count(&format!("{reading} tbody tr")).await;
        page.press("[aria-label=\"Window as CSV\"]").await;
        let (_, csv) = saved(&folder, ".csv").await;
        assert!(rows > 20, "{rows}");
        let lines = csv.lines().filter(|line| !line.starts_with('#')).count();
        assert_eq!(lines, rows + 1, "a heading, then the rows of the table");
        page.assert_clean_console().await;
    });
}
