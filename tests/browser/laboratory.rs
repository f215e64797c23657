//! The feedstock laboratory: recipes, readings, and the way into the window and back.

use gatefrost_core::scenario::link;

use crate::harness::{Page, READY, browse};

const EXAMPLE: &str = "#rheometer-text-example";

/// Puts a text into a field of readings as a paste does, and waits for what comes of it.
async fn paste(page: &Page, field: &str, text: &str, then: &str) {
    let script = "const field = document.getElementById(arguments[0]);\n\
        field.value = arguments[1];\n\
        field.dispatchEvent(new Event('input', { bubbles: true }));";
    page.js_with(script, &[field.into(), text.into()]).await;
    page.wait_until(then, READY).await;
}

/// The scenario that the address of the page opens.
async fn addressed(page: &Page) -> link::Opened {
    let hash = page.js("return location.hash").await;
    link::decode(hash.as_str().unwrap())
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_change_of_the_recipe_moves_its_numbers() {
    browse(async |page| {
        page.open("laboratory.html").await;
        page.frames().await;
        let before = page.text("#recipe-said").await;
        assert!(before.contains("Pa·s") && before.contains("between"), "{before}");
        page.fill("#recipe-loading", "62,5").await;
        page.frames().await;
        let after = page.text("#recipe-said").await;
        assert_ne!(after, before);
        // Beyond the critical loading: said at the field, the old numbers kept but dimmed.
        page.fill("#recipe-loading", "64.9").await;
        page.frames().await;
        let message = page.text("#recipe-loading-error").await;
        assert!(message.contains("critical loading"), "{message}");
        assert!(page.text("#recipe-numbers").await.contains("No-flow temperature"));
        page.fill("#recipe-loading", "sixty").await;
        page.frames().await;
        assert!(page.text("#recipe-loading-error").await.contains("not a number"));
        page.fill("#recipe-loading", "60").await;
        page.find("#recipe-add").await.click().await.unwrap();
        page.frames().await;
        assert_eq!(page.text("#recipe-sum").await, "Sum: 100 %");
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn pasted_capillary_readings_are_corrected_and_ranked() {
    browse(async |page| {
        page.open("laboratory.html").await;
        page.find(EXAMPLE).await.click().await.unwrap();
        page.wait_until("document.querySelector('#rheometer-ranking tbody tr')", READY).await;
        // The solution of the exercise: wall rates, wall stress in kPa, viscosity.
        let corrected = page.text("#rheometer-corrected").await;
        for number in ["322.8", "83.4", "258.", "645.", "116.", "180."] {
            assert!(corrected.contains(number), "{number}: {corrected}");
        }
        let notes = page.text("#rheometer-notes").await;
        assert!(notes.contains("Bagley") && notes.contains("one die diameter"), "{notes}");
        assert!(page.text("#rheometer-constants").await.contains("95 % interval"));
        assert!(page.text("#rheometer-ranking").await.contains("AICc"));

        let mut text = "temperature [°C];shear rate [1/s];viscosity [Pa·s]\n".to_owned();
        for temperature in [150.0, 170.0] {
            for i in 0..10 {
                let rate = 10f64.powf(1.0 + 0.3 * f64::from(i));
                let viscosity = 2e4 * rate.powf(-0.6) * (-0.02 * (temperature - 150.0_f64)).exp();
                text += &format!("{temperature};{rate:.4};{viscosity:.4}\n").replace('.', ",");
            }
        }
        let done = "document.querySelector('#rheometer-said').textContent.startsWith('20 points')";
        paste(page, "rheometer-text", &text, done).await;
        let ranking = page.text("#rheometer-ranking").await;
        assert!(ranking.contains("1. Power law"), "{ranking}");
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn bad_readings_are_named_by_line_and_column_and_kept() {
    browse(async |page| {
        page.open("laboratory.html").await;
        let text = "temperature [°C], shear rate [1/s], viscosity [Pa·s]\n160, 100, 900\n160, many, 700\n";
        let refused = "!document.querySelector('#rheometer-text-trouble').hidden";
        paste(page, "rheometer-text", text, refused).await;
        let trouble = page.text("#rheometer-text-trouble").await;
        assert!(trouble.contains("Line 3") && trouble.contains("shear rate"), "{trouble}");
        let kept = page.js("return document.getElementById('rheometer-text').value").await;
        assert_eq!(kept.as_str(), Some(text));

        let hostile = "<img src=x onerror=alert(1)>, loading [vol%]\n1, 50\n";
        paste(page, "critical-text", hostile, "!document.querySelector('#critical-text-trouble').hidden")
            .await;
        assert_eq!(page.js("return document.querySelectorAll('main img').length").await, 0);
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_feedstock_of_the_laboratory_opens_in_the_window() {
    browse(async |page| {
        page.open("#1;d=guide;T=171").await;
        page.idle().await;
        page.find("#to-laboratory").await.click().await.unwrap();
        page.wait_until("document.querySelector('#recipe-said')?.textContent.includes('Pa·s')", READY).await;
        assert!((addressed(page).await.scenario.setup.melt_temperature - 171.0).abs() < 1e-9);
        page.find("#recipe-use").await.click().await.unwrap();
        page.wait_until(
            "document.querySelector('#window-canvas') && document.documentElement.dataset.ready",
            READY,
        )
        .await;
        let opened = addressed(page).await;
        assert_eq!(opened.problems, []);
        assert_eq!(opened.scenario.feedstock.provenance, "estimated from a recipe");
        assert!((opened.scenario.setup.melt_temperature - 171.0).abs() < 1e-9);
        assert_eq!(page.js("return document.querySelectorAll('.notice').length").await, 0);

        page.idle().await;
        page.find("#to-laboratory").await.click().await.unwrap();
        page.wait_until("document.querySelector('#rheometer-text-example')", READY).await;
        page.find(EXAMPLE).await.click().await.unwrap();
        page.wait_until("!document.querySelector('#rheometer-use').disabled", READY).await;
        assert!(page.text("#rheometer-coverage").await.contains("part"));
        page.find("#rheometer-use").await.click().await.unwrap();
        page.wait_until(
            "document.querySelector('#window-canvas') && document.documentElement.dataset.ready",
            READY,
        )
        .await;
        let opened = addressed(page).await;
        assert_eq!(opened.problems, []);
        let provenance = &opened.scenario.feedstock.provenance;
        assert!(
            provenance.starts_with("fitted to your data") && provenance.ends_with("3 points"),
            "{provenance}"
        );
        page.assert_clean_console().await;
    });
}
