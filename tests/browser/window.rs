//! The window is drawn: on any screen, in either theme, to the fine detail.

use crate::harness::browse;

const CANVAS: &str = "#window-canvas";

#[test]
#[ignore = "run by cargo xtask test"]
fn drawn_sharply_at_every_width_without_scrolling_sideways() {
    browse(async |page| {
        page.open("").await;
        for (width, height, scale) in [(360, 740, 3.0), (768, 1024, 2.0), (1440, 900, 1.0)] {
            page.resize(width, height, scale).await;
            page.idle().await;
            page.frames().await;
            let sizes = page
                .js("const c = document.querySelector('#window-canvas');
                    return [c.clientWidth, c.clientHeight, document.documentElement.scrollWidth]")
                .await;
            let [across, down, whole] = serde_json::from_value::<[f64; 3]>(sizes).unwrap();
            assert!(whole <= f64::from(width), "at {width} the page is {whole} wide");
            assert!(across > 0.4 * f64::from(width).min(700.0), "{across} of {width}");
            let ink = page.ink(CANVAS).await;
            // The sizes of the style are rounded, those of the pixels covered are not.
            for (pixels, css) in ink.size.iter().zip([across, down]) {
                let off = (f64::from(*pixels) - css * scale).abs();
                assert!(
                    off <= 0.5 * scale + 0.6,
                    "at {width}: one canvas pixel for each pixel of the screen"
                );
            }
            // Lines, hatching and words, neither a blank nor a blot.
            assert!((0.01..0.4).contains(&ink.share), "at {width}: {ink:?}");
            assert!(ink.tiles >= 20, "at {width}: {ink:?}");
        }
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn refined_after_the_first_draft_and_legible_in_the_dark() {
    browse(async |page| {
        page.open("").await;
        page.wait_until("document.querySelector('#window-figure').dataset.detail", crate::harness::READY)
            .await;
        page.idle().await;
        let detail = page.js("return document.querySelector('#window-figure').dataset.detail");
        assert_eq!(detail.await, "fine");

        let light = page.ink(CANVAS).await;
        page.dark(true).await;
        let dark = page.ink(CANVAS).await;
        assert!(light.ground > 200.0, "{light:?}");
        assert!(dark.ground < 80.0, "{dark:?}");
        assert!((0.01..0.4).contains(&dark.share), "{dark:?}");
        let [text, ground] = page
            .js("const s = getComputedStyle(document.documentElement);
                return [s.color, s.backgroundColor]
                    .map((c) => c.match(/\\d+/g).slice(0, 3).reduce((a, v) => a + Number(v), 0) / 3)")
            .await
            .as_array()
            .map(|pair| [0, 1].map(|i| pair[i].as_f64().unwrap()))
            .unwrap();
        assert!(text - ground > 120.0, "text {text} on {ground}");

        page.dark(false).await;
        assert_eq!(page.ink(CANVAS).await.hash, light.hash, "back as it was");
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn every_figure_is_drawn_once_it_is_scrolled_to() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let figures: Vec<String> = serde_json::from_value(
            page.js("return [...document.querySelectorAll('#figure-list canvas')].map((c) => c.id)").await,
        )
        .unwrap();
        assert_eq!(figures.len(), 8, "{figures:?}");
        for id in figures {
            let canvas = format!("#{id}");
            page.place(&canvas, 0.5, 0.5).await;
            page.wait_until(&format!("document.getElementById('{id}').width > 300"), crate::harness::READY)
                .await;
            page.frames().await;
            let ink = page.ink(&canvas).await;
            assert!((0.003..0.5).contains(&ink.share), "{id}: {ink:?}");
            assert!(ink.tiles >= 10, "{id}: {ink:?}");
        }
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn other_settings_span_another_window() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let before = page.ink(CANVAS).await;
        page.unfold("#f-window-y-axis").await;
        page.choose("#f-window-y-axis", "mould_temperature").await;
        page.choose("#f-window-x-axis", "hold_pressure").await;
        page.idle().await;
        // A figure out of view is drawn when it comes into view.
        let look = "document.querySelector('#window-canvas').scrollIntoView()";
        page.js(look).await;
        page.frames().await;
        let after = page.ink(CANVAS).await;
        assert_ne!(before.hash, after.hash);
        assert!((0.01..0.4).contains(&after.share), "{after:?}");
        assert_eq!(page.texts("#trouble li").await, [""; 0]);
        let point = page.text("#window-reading").await;
        assert!(
            point.contains("hold pressure 65 MPa") && point.contains("mould temperature 40 °C"),
            "{point}"
        );

        // Whatever is chosen, its first range can be computed.
        let x = ["melt_temperature", "injection_time", "solids_loading", "flow_rate", "flow_rate"];
        let y = ["solids_loading", "hold_pressure", "melt_temperature", "gate_depth", "injection_time"];
        for (x, y) in x.into_iter().zip(y) {
            page.choose("#f-window-x-axis", x).await;
            page.choose("#f-window-y-axis", y).await;
            assert_eq!(page.texts("#trouble li").await, [""; 0], "{x}, {y}");
        }
        let across = page.js("return document.querySelector('#f-window-x-axis').value").await;
        assert_eq!(across, "gate_depth", "a flow rate makes room for the time that it is");
        page.idle().await;
        page.js(look).await;
        page.frames().await;
        let last = page.ink(CANVAS).await;
        assert_ne!(last.hash, after.hash);
        page.assert_clean_console().await;
    });
}
