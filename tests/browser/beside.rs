//! What lies over the window: the bands of an uncertain feedstock, and a pinned scenario.

use crate::harness::{Page, browse};
use gatefrost_core::scenario::demo;
use gatefrost_window::{Bands, Detail, beside};

const CANVAS: &str = "#window-canvas";

async fn shown(page: &Page, selector: &str) -> bool {
    let script = format!("const e = document.querySelector('{selector}'); return e.offsetParent !== null");
    page.js(&script).await == true
}

async fn rows(page: &Page, table: &str) -> Vec<Vec<String>> {
    let script = format!(
        "return [...document.querySelectorAll('{table} tbody tr')].map((r) => [...r.children].map((c) => c.textContent))"
    );
    serde_json::from_value(page.js(&script).await).unwrap()
}

#[test]
#[ignore = "run by cargo xtask test"]
fn an_uncertain_feedstock_shows_bands_that_can_be_hidden() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        assert!(!shown(page, "#bands-choice").await, "nothing is known of this feedstock's uncertainty");
        page.choose("#demo", "pawl").await;
        page.idle().await;
        assert!(shown(page, "#bands-choice").await);
        let with = page.ink(CANVAS).await;
        // The widths in the table are those of the core.
        let details = "#window-foot details";
        page.js(&format!("document.querySelector('{details}').open = true")).await;
        page.frames().await;
        let of_page = rows(page, details).await;
        let scenario = demo::find("pawl").unwrap().scenario();
        let bands = Bands::of(&scenario, Detail::Fine).unwrap().bands;
        let first = bands.iter().find(|b| b.half_width[1].is_some()).unwrap();
        let row = of_page.iter().find(|row| row[0] == first.label && row[1].contains("half width")).unwrap();
        let (found, expected) = (row[4].parse::<f64>().unwrap(), first.half_width[1].unwrap());
        assert!((found / expected - 1.0).abs() < 1e-3, "{found} {expected}");
        // Hidden and shown.
        page.press("#bands").await;
        // The picture is drawn where it is seen.
        page.js("document.querySelector('#window-canvas').scrollIntoView()").await;
        page.idle().await;
        page.frames().await;
        let without = page.ink(CANVAS).await;
        assert_ne!(with.hash, without.hash);
        assert!(!rows(page, details).await.iter().any(|row| row[1].contains("half width")));
        page.press("#bands").await;
        // The picture is drawn where it is seen.
        page.js("document.querySelector('#window-canvas').scrollIntoView()").await;
        page.idle().await;
        page.frames().await;
        assert_eq!(page.ink(CANVAS).await.hash, with.hash);
        // Moving the set point leaves the bands; what moves the lines computes them anew.
        page.find(CANVAS).await.send_keys(thirtyfour::Key::Right + "").await.unwrap();
        page.idle().await;
        assert!(rows(page, details).await.iter().any(|row| row[1].contains("half width")));
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_pinned_scenario_is_laid_over_and_compared_and_kept() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        page.press("#pin").await;
        page.idle().await;
        assert!(page.text("#beside").await.contains("the same in every number"));
        assert_eq!(
            page.text("#pin-said").await,
            "Pinned: Hinge bracket, stainless steel. What you change from now on is compared with it."
        );

        // Another gate: one number differs.
        let depth = "#f-cavity-passages-2-form-strip-thickness";
        page.unfold(depth).await;
        page.fill(depth, "1").await;
        page.idle().await;
        let differing = rows(page, "#beside-differences").await;
        assert_eq!(differing.len(), 1, "{differing:?}");
        assert_eq!(differing[0][0], "Thickness, edge gate");
        assert_eq!(differing[0][1..], ["1 mm", "0.8 mm"]);

        // The pinned share is what the core finds in this plane.
        let pinned = demo::default_demo().scenario();
        let expected = beside(&pinned, &pinned.window, Detail::Fine).unwrap();
        let windows = rows(page, "#beside table").await;
        let share: f64 = windows[0][2].split(' ').next().unwrap().parse().unwrap();
        assert!((share - 100.0 * expected.window.usable_share).abs() < 0.06, "{windows:?}");
        assert!(windows[1][2].contains("jetting"), "{windows:?}");
        assert!(rows(page, "#beside-margins").await.len() > 10);
        let over = page.ink(CANVAS).await;

        // A reload keeps it; narrow and dark, nothing sticks out.
        page.driver().refresh().await.unwrap();
        page.idle().await;
        assert_eq!(page.ink(CANVAS).await.hash, over.hash);
        page.js("document.querySelectorAll('#beside details').forEach((d) => { d.open = true; })").await;
        page.dark(true).await;
        page.resize(360, 740, 1.0).await;
        page.frames().await;
        let wide = page.js("return document.documentElement.scrollWidth").await.as_f64().unwrap();
        assert!(wide <= 360.0, "{wide}");
        page.dark(false).await;
        page.resize(1440, 1000, 1.0).await;

        // Another plane: traced anew there, or a reason why not.
        page.unfold("#f-window-y-axis").await;
        page.choose("#f-window-y-axis", "hold_pressure").await;
        page.idle().await;
        assert_eq!(page.texts("#trouble li").await, [""; 0]);
        assert_eq!(rows(page, "#beside table").await[0].len(), 3);

        page.press("#unpin").await;
        page.idle().await;
        assert!(!shown(page, "#beside").await);
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_pinned_scenario_that_cannot_be_computed_here_says_why() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        // Without a gate, pinned beside a plane of gate depths.
        let mut without = demo::default_demo().scenario();
        without.cavity.passages[2].role = gatefrost_core::scenario::Role::Runner;
        without.name = "no gate".to_owned();
        page.js_with("sessionStorage.setItem('gatefrost.pinned', arguments[0])", &[without.to_json().into()])
            .await;
        page.driver().refresh().await.unwrap();
        page.idle().await;
        page.unfold("#f-window-x-axis").await;
        page.choose("#f-window-x-axis", "gate_depth").await;
        page.idle().await;
        let said = page.text("#beside").await;
        assert!(
            said.contains("no gate cannot be shown in this plane") && said.contains("none of the passages"),
            "{said}"
        );
        assert_eq!(page.texts("#trouble li").await, [""; 0], "the present scenario has no problem");
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn hostile_storage_is_read_as_a_file_is() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let mut named = demo::default_demo().scenario();
        named.name = "<img src=x onerror=document.title='owned'>".to_owned();
        let long = format!("\"{}\"", "x".repeat((1 << 20) + 1));
        for (text, taken) in [
            ("{", false),
            ("[1,2]", false),
            (r#"{"gatefrost":1,"name":"x"}"#, false),
            (&long, false),
            (&named.to_json(), true),
        ] {
            page.js_with("sessionStorage.setItem('gatefrost.pinned', arguments[0])", &[text.into()]).await;
            page.driver().refresh().await.unwrap();
            page.idle().await;
            let notices = page.texts(".notice[data-kind=pin] .title").await;
            assert_eq!(notices.is_empty(), taken, "{:.40}", text);
            assert_eq!(shown(page, "#beside").await, taken, "{:.40}", text);
        }
        assert_eq!(page.js("return document.querySelectorAll('#stage img').length").await, 0);
        assert!(page.text("#pin-said").await.contains("<img src=x"));
        page.assert_clean_console().await;
    });
}
