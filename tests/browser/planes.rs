//! Other planes of the same scenario, and one input against the window.

use serde_json::json;

use crate::harness::{READY, browse};

const OTHER: &str = "[data-plane='hold_time hold_pressure']";

#[test]
#[ignore = "run by cargo xtask test"]
fn small_windows_are_computed_when_they_are_looked_at_and_one_becomes_large() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        page.wait_until("document.querySelectorAll('.plane').length > 9", READY).await;
        let computed = "document.querySelectorAll('.plane[data-detail]').length";
        assert_eq!(page.js(&format!("return {computed}")).await, 0, "nobody has looked");
        page.js("document.querySelector('#planes').scrollIntoView()").await;
        page.wait_until(&format!("{computed} > 9"), READY).await;
        let large = "[data-plane='injection_time melt_temperature']";
        assert_eq!(
            page.js_with("return document.querySelector(arguments[0]).hidden", &[json!(large)]).await,
            true
        );

        // It shows what the large window then shows.
        // One worker refines all of them, one after the other.
        page.wait_until(&format!("document.querySelector(\"{OTHER}\").dataset.detail === 'fine'"), 3 * READY)
            .await;
        let said = page.text(OTHER).await;
        assert!(said.contains("Hold pressure over hold time") && said.contains("% usable"), "{said}");
        // A figure out of view is drawn when it comes into view.
        let look = "document.querySelector(arguments[0]).scrollIntoView()";
        page.js_with(look, &[json!(OTHER)]).await;
        page.wait_until(&format!("document.querySelector(\"{OTHER} canvas\").width !== 300"), READY).await;
        page.frames().await;
        let ink = page.ink(&format!("{OTHER} canvas")).await;
        assert!(ink.tiles > 10, "{ink:?}");
        let before = page.ink("#window-canvas").await;
        page.press(OTHER).await;
        page.idle().await;
        page.js_with(look, &[json!("#window-canvas")]).await;
        page.frames().await;
        assert_eq!(page.value("#f-window-x-axis").await, "hold_time");
        assert_eq!(page.value("#f-window-y-axis").await, "hold_pressure");
        assert_ne!(page.ink("#window-canvas").await.hash, before.hash);
        page.js_with(look, &[json!("#planes")]).await;
        page.wait_until(&format!("document.querySelector(\"{OTHER}\").hidden"), READY).await;
        page.wait_until(&format!("!document.querySelector(\"{large}\").hidden"), READY).await;
        page.press("#undo").await;
        page.idle().await;
        assert_eq!(page.value("#f-window-x-axis").await, "injection_time");
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn an_input_is_swept_into_curves_and_a_table() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        page.js("document.querySelector('#sweep').open = true").await;
        page.wait_until("document.querySelector('#sweep-start')", READY).await;
        // Its inputs stand in groups.
        let groups = page
            .js("return [document.querySelectorAll('#sweep-input > option').length,
                [...document.querySelectorAll('#sweep-input > optgroup')].map((group) => group.label)]")
            .await;
        assert_eq!(groups[0], 0);
        let labels = groups[1].to_string();
        assert!(labels.contains("Feedstock") && labels.contains("Passage 1: "), "{labels}");
        page.choose("#sweep-input", "machine.clamp_force").await;
        page.fill("#sweep-from", "20").await;
        page.fill("#sweep-to", "60").await;
        page.press("#sweep-start").await;
        page.wait_until("document.querySelectorAll('#sweep tbody tr').length === 9", READY).await;
        page.wait_until("document.querySelector('#sweep-picture').naturalWidth > 100", READY).await;
        let rows = page
            .js("return [...document.querySelectorAll('#sweep tbody tr')].map((tr) =>
                [...tr.children].slice(0, 3).map((td) => Number(td.textContent.replace('−', '-'))))")
            .await;
        let rows: Vec<[f64; 3]> = serde_json::from_value(rows).unwrap();
        assert_eq!([rows[0][0], rows[8][0]], [20.0, 60.0]);
        assert!(rows.windows(2).all(|pair| pair[1][1] >= pair[0][1] - 0.5), "more clamp force: {rows:?}");
        // The picture is that of the SVG file, three times as fine, with ink on it.
        let saved = page.js_with(crate::figures::CATCH, &["[aria-label=\"Sweep as PNG\"]".into()]).await;
        assert_eq!([&saved[1], &saved[2], &saved[3]], [&json!("image/png"), &json!(2700), &json!(1680)]);
        assert!(saved[4].as_f64().is_some_and(|dark| dark > 0.001), "{saved}");
        // What spans the plane cannot be swept.
        page.choose("#sweep-input", "setup.melt_temperature").await;
        page.press("#sweep-start").await;
        page.wait_until(
            "document.querySelector('#sweep-said').textContent.includes('spans the window')",
            READY,
        )
        .await;
        page.assert_clean_console().await;
    });
}
