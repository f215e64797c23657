//! Typing into the fields.

use crate::harness::browse;
use crate::reading::{MELT, MOULD};

const PRESSURE: &str = "fill.nozzle_pressure_mpa";
const COOLING: &str = "cool.cooling_time_s";
const FRONT: &str = "fill.front_temperature_min_c";
const VISCOSITY: &str = "feedstock.viscosity_at_1000_pa_s";

#[test]
#[ignore = "run by cargo xtask test"]
fn a_hotter_melt_fills_at_less_pressure_and_cools_longer() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let cold = page.numbers().await;
        let shown = page.text("[data-key=\"fill.nozzle_pressure_mpa\"]").await;

        // With a comma, as half of the world writes it.
        page.fill(MELT, "185,5").await;
        page.idle().await;
        assert_eq!(page.value(MELT).await, "185.5");
        let hot = page.numbers().await;
        assert!(hot[PRESSURE] < cold[PRESSURE], "{hot:?}");
        assert!(hot[VISCOSITY] < cold[VISCOSITY]);
        assert!(hot[FRONT] > cold[FRONT]);
        assert!(hot[COOLING] > cold[COOLING]);
        let now = page.text("[data-key=\"fill.nozzle_pressure_mpa\"]").await;
        assert_ne!(now, shown);
        assert!(now.ends_with(" MPa"), "{now}");

        // With a point, half way back: everything lies between.
        page.fill(MELT, "175.5").await;
        page.idle().await;
        let between = page.numbers().await;
        for key in [PRESSURE, VISCOSITY, FRONT, COOLING] {
            let (low, high) = (cold[key].min(hot[key]), cold[key].max(hot[key]));
            assert!(between[key] > low && between[key] < high, "{key}");
        }

        // What does not depend on the melt has not moved.
        let volume = "cavity.volume_cm3";
        assert_eq!(hot[volume], cold[volume]);
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_bad_value_is_explained_and_the_last_picture_stays() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let numbers = page.numbers().await;
        let picture = page.ink("#window-canvas").await;

        for (typed, named) in [("-20", "-20"), ("4e9", "4e9"), ("hot", "hot"), ("", "empty")] {
            // None of these is good on the way, as 99 would be on the way to 9999.
            page.fill(MELT, typed).await;
            page.frames().await;
            for place in ["#f-setup-melt_temperature-error", "#trouble li"] {
                let message = page.text(place).await;
                for part in ["Melt temperature", named, "20 to 450 °C"] {
                    assert!(message.contains(part), "{place} at {typed:?}: {message}");
                }
            }
            assert_eq!(page.value(MELT).await, typed, "what was typed stays");
            assert_eq!(page.numbers().await, numbers);
            assert_eq!(page.ink("#window-canvas").await.hash, picture.hash);
            let verdict = page.text("#verdict").await;
            assert!(verdict.starts_with("Not computed"), "{verdict}");
        }
        let invalid = page.count("[aria-invalid=\"true\"]").await;
        assert_eq!(invalid, 1, "only this field is marked");

        page.press("#trouble button").await;
        let focus = page.js("return document.activeElement.id").await;
        assert_eq!(focus, "f-setup-melt_temperature", "the message leads to its field");

        page.fill(MELT, "165").await;
        page.idle().await;
        assert_eq!(page.count("[aria-invalid=\"true\"]").await, 0);
        assert_eq!(page.texts("#trouble li").await, [""; 0]);
        assert_eq!(page.numbers().await, numbers);
        assert_eq!(page.ink("#window-canvas").await.hash, picture.hash);
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn values_that_only_clash_are_named_together_and_computing_resumes() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let numbers = page.numbers().await;
        page.fill(MOULD, "200").await;
        page.frames().await;
        let said = page.texts("#trouble li").await.join("\n");
        let lower = said.to_lowercase();
        assert!(lower.contains("mould") && lower.contains("melt") && said.contains("165"), "{said}");

        // A range of the window that is turned around.
        page.fill(MOULD, "40").await;
        page.unfold("#f-window-y-from").await;
        page.fill("#f-window-y-from", "300").await;
        page.frames().await;
        let said = page.text("#plane-error").await;
        assert!(said.contains("Vertical axis, to is 220") && said.contains("300"), "{said}");
        page.fill("#f-window-y-from", "110").await;
        page.idle().await;
        assert_eq!(page.texts("#trouble li").await, [""; 0]);
        assert_eq!(page.numbers().await, numbers);
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn passages_can_be_added_reshaped_and_removed() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let before = page.numbers().await;
        let passages = page.count(".passages > li").await;

        page.press("#add-passage").await;
        page.idle().await;
        assert_eq!(page.count(".passages > li").await, passages + 1);
        let longer = page.numbers().await;
        for key in ["cavity.volume_cm3", "cavity.flow_length_mm", PRESSURE] {
            assert!(longer[key] > before[key], "{key}");
        }

        let form = format!("#f-cavity-passages-{passages}-form");
        page.unfold(&form).await;
        page.choose(&form, "disc").await;
        page.idle().await;
        assert!(page.number("cavity.volume_cm3").await > before["cavity.volume_cm3"]);

        let last = format!("[aria-label=\"Remove passage {}\"]", passages + 1);
        page.press(&last).await;
        page.idle().await;
        assert_eq!(page.numbers().await, before);
        page.assert_clean_console().await;
    });
}
