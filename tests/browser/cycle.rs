//! Hold, gates, cycle, and cavities that branch.

use gatefrost_core::scenario::link;
use serde_json::json;
use thirtyfour::prelude::*;

use crate::harness::{Page, READY, browse};

const SLIDER: &str = "#moment-time";
const CAVITY: &str = "#figure-cavity";
const ALONG: &str = "#figure-path";

/// Both figures of a moment, once they have been drawn.
async fn pictures(page: &Page) -> [String; 2] {
    page.place(CAVITY, 0.5, 0.5).await;
    page.frames().await;
    let cavity = page.ink(CAVITY).await;
    page.place(ALONG, 0.5, 0.5).await;
    page.frames().await;
    assert!((0.003..0.5).contains(&cavity.share), "{cavity:?}");
    [cavity.hash, page.ink(ALONG).await.hash]
}

async fn words(page: &Page) -> String {
    page.frames().await;
    page.text("#moment-words").await
}

/// Seconds since injection began, as the words beside the slider have it.
fn seconds(words: &str) -> f64 {
    let number = words.split(", ").nth(1).and_then(|part| part.strip_suffix(" s"));
    number.and_then(|n| n.parse().ok()).unwrap_or_else(|| panic!("{words}"))
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_slider_moves_fronts_and_readings_through_the_cycle() {
    browse(async |page| {
        page.open("#1;d=yoke").await;
        page.idle().await;
        let filled = words(page).await;
        assert!(filled.starts_with("Filling, ") && !filled.contains("full"), "{filled}");
        let at_the_end_of_filling = pictures(page).await;

        let slider = page.find(SLIDER).await;
        slider.focus().await.unwrap();
        slider.send_keys(Key::Home + "").await.unwrap();
        let start = words(page).await;
        assert!(start.contains("0 % full"), "{start}");
        let empty = pictures(page).await;
        let mut last = (0.0, empty.clone());
        for _ in 0..3 {
            for _ in 0..8 {
                slider.send_keys(Key::Right + "").await.unwrap();
            }
            let (now, drawn) = (seconds(&words(page).await), pictures(page).await);
            assert!(now > last.0, "time goes on");
            assert!(drawn[0] != last.1[0] && drawn[1] != last.1[1], "at {now} s");
            last = (now, drawn);
        }
        let spoken = slider.attr("aria-valuetext").await.unwrap().unwrap();
        assert_eq!(spoken, words(page).await);

        slider.send_keys(Key::End + "").await.unwrap();
        let cold = words(page).await;
        assert!(cold.starts_with("Cooling, ") && cold.contains(", 0 MPa"), "{cold}");
        let frozen = pictures(page).await;
        assert!(frozen[0] != at_the_end_of_filling[0] && frozen[1] != at_the_end_of_filling[1]);

        // Another way to look along, in a tree.
        let ways = page.texts("#way option").await;
        assert_eq!(ways, ["the last end to fill", "far arm", "near arm"]);
        let other = page.js("return document.querySelector('#way option:nth-child(3)').value").await;
        page.choose("#way", other.as_str().unwrap()).await;
        assert_ne!(pictures(page).await[1], frozen[1]);

        // Another scenario: the slider keeps its place in the cycle.
        page.follow("1;d=hinge").await;
        assert!(words(page).await.starts_with("Cooling, "));
        assert!(page.find("#way").await.is_displayed().await.is_ok_and(|shown| !shown));
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_cycle_runs_at_a_press_and_only_steps_where_motion_is_unwelcome() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let before = words(page).await;
        page.press("#moment-play").await;
        page.js_with("window.before = arguments[0]", &[json!(before)]).await;
        page.wait_until("document.querySelector('#moment-words').textContent !== window.before", READY).await;
        assert_eq!(page.text("#moment-play").await, "Pause");
        page.press("#moment-play").await;
        assert_eq!(page.text("#moment-play").await, "Run");
        let paused = words(page).await;
        // The next moment may be so near that its time reads the same.
        assert!(paused != before && seconds(&paused) >= seconds(&before), "{paused} after {before}");

        let features = json!({ "features": [{ "name": "prefers-reduced-motion", "value": "reduce" }] });
        page.driver().cdp().send_raw("Emulation.setEmulatedMedia", features).await.unwrap();
        page.frames().await;
        assert_eq!(page.text("#moment-play").await, "Step on");
        page.press("#moment-play").await;
        let stepped = words(page).await;
        assert!(stepped != paused && seconds(&stepped) >= seconds(&paused), "{stepped} after {paused}");
        tokio::time::sleep(std::time::Duration::from_millis(400)).await;
        assert_eq!(words(page).await, stepped, "nothing moves by itself");
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_further_step_of_the_hold_counts_and_travels_in_the_link() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let before = page.numbers().await;
        page.unfold("#add-hold-step").await;
        page.press("#add-hold-step").await;
        page.fill("#f-setup-further_hold-0-time", "1,5").await;
        page.fill("#f-setup-further_hold-0-pressure", "20").await;
        page.idle().await;
        let after = page.numbers().await;
        assert!((after["hold.held_s"] - before["hold.held_s"] - 1.5).abs() < 1e-9);
        assert_eq!(page.texts("#trouble li").await, [""; 0]);

        // Out of range, it is said at the field.
        page.fill("#f-setup-further_hold-0-pressure", "900").await;
        page.frames().await;
        let said = page.text("#f-setup-further_hold-0-pressure-error").await;
        assert!(said.contains("Hold step 2") && said.contains("0 to 400 MPa"), "{said}");
        page.fill("#f-setup-further_hold-0-pressure", "20").await;
        page.idle().await;

        page.wait_until("location.hash.includes(';hs=')", READY).await;
        let hash = page.js("return location.hash").await;
        let opened = link::decode(hash.as_str().unwrap());
        assert_eq!(opened.problems, []);
        let step = &opened.scenario.setup.further_hold[0];
        assert_eq!([step.pressure, step.time], [20.0, 1.5]);
        page.open_tab().await;
        page.open(hash.as_str().unwrap()).await;
        page.idle().await;
        assert_eq!(page.value("#f-setup-further_hold-0-time").await, "1.5");
        assert_eq!(page.number("hold.held_s").await, after["hold.held_s"]);

        page.unfold("#add-hold-step").await;
        page.press("[aria-label=\"Remove hold step 2\"]").await;
        page.idle().await;
        assert_eq!(page.number("hold.held_s").await, before["hold.held_s"]);
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn two_gates_show_their_weld_line_and_why_they_freeze_when_they_do() {
    browse(async |page| {
        page.open("#1;d=yoke").await;
        page.idle().await;
        assert_eq!(page.count("#finding-welds tbody tr").await, 1);
        let weld = page.text("#finding-welds tbody th").await;
        assert!(weld.ends_with(" arm"), "{weld}");
        let numbers = page.numbers().await;
        assert!(numbers["fill.weld_lines.0.from_start_mm"] > 0.0);
        assert!(numbers["fill.weld_lines.0.front_temperatures_c.0"] > 70.0);
        assert!(page.text("#fill-order").await.starts_with("The first branch to fill is near arm"));
        assert!(page.text("#governed-by").await.contains("decides the cycle time"));
        for gate in 0..2 {
            let time = |name: &str| numbers[&format!("study.gates.{gate}.{name}_s")];
            assert_eq!(time("freeze"), numbers[&format!("hold.gates.{gate}.freeze_s")]);
            assert!(time("without_latent") < time("without_creep"), "latent heat delays");
            assert!(time("perfect_contact") < time("without_latent"), "a contact resistance delays");
        }
        let limits = page.texts("#margin-list h3").await;
        assert!(limits.iter().any(|label| label.contains("weld")), "{limits:?}");

        page.follow("1;d=hinge").await;
        assert!(!page.find("#finding-welds").await.is_displayed().await.unwrap());
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_passage_that_follows_another_makes_a_branch() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let names = page.texts(".passages .name").await;
        let gate = names[2].clone();
        let added = names.len();
        page.press("#add-passage").await;
        let follows = format!("#f-cavity-passages-{added}-after");
        page.unfold(&follows).await;
        page.choose(&follows, &gate).await;
        page.idle().await;
        assert_eq!(page.texts("#trouble li").await, [""; 0]);
        assert_eq!(page.count("#finding-ends tbody tr").await, 2, "two ends of flow");
        let focus = page.js("return document.activeElement.id").await;
        assert_eq!(focus, follows[1..], "the keyboard stays where it was");

        // A new name goes along with what refers to it; one that another bears is refused.
        let name = "#f-cavity-passages-2-name";
        page.unfold(name).await;
        page.fill(name, &names[1]).await;
        page.frames().await;
        assert!(page.text(&format!("{name}-error")).await.contains("a name of its own"));
        page.fill(name, "pin point").await;
        page.idle().await;
        assert_eq!(page.value(&follows).await, "pin point");
        assert_eq!(page.texts("#trouble li").await, [""; 0]);

        // Two ends that meet, said at one of them.
        let meets = format!("#f-cavity-passages-{added}-meets");
        page.choose(&meets, names.last().unwrap()).await;
        page.idle().await;
        assert_eq!(page.texts("#trouble li").await, [""; 0]);
        assert_eq!(page.count("#finding-welds tbody tr").await, 1);

        // Whatever is taken out, the rest hangs together.
        for number in [3, 1] {
            let button = format!("[aria-label=\"Remove passage {number}\"]");
            page.unfold(&button).await;
            page.press(&button).await;
            page.idle().await;
            assert_eq!(page.texts("#trouble li").await, [""; 0], "without passage {number}");
        }
        assert_eq!(page.count(".passages > li").await, added - 1);
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn hold_pressure_against_hold_time_is_a_window_too() {
    browse(async |page| {
        page.open("#1;d=yoke").await;
        page.idle().await;
        let before = page.ink("#window-canvas").await;
        page.unfold("#f-window-y-axis").await;
        page.choose("#f-window-y-axis", "hold_pressure").await;
        page.choose("#f-window-x-axis", "hold_time").await;
        page.idle().await;
        assert_eq!(page.texts("#trouble li").await, [""; 0]);
        // A figure out of view is drawn when it comes into view.
        page.js("document.querySelector('#window-canvas').scrollIntoView()").await;
        page.frames().await;
        let after = page.ink("#window-canvas").await;
        assert_ne!(after.hash, before.hash);
        assert!((0.01..0.4).contains(&after.share), "{after:?}");
        let data = "details.data:has([aria-label=\"Data: Window\"])";
        page.js_with("document.querySelector(arguments[0]).open = true", &[json!(data)]).await;
        page.frames().await;
        let limits = page.texts(&format!("{data} tbody td:first-child")).await;
        assert!(limits.iter().any(|label| label == "hold too short"), "{limits:?}");
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_list_of_demos_names_the_one_that_is_open() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let chosen = "const s = document.querySelector('#demo'); return s.selectedOptions[0].textContent";
        let title = page.js(chosen).await.as_str().unwrap().to_owned();
        assert_eq!(title, page.value("#f-name").await);
        page.fill(crate::reading::MELT, "170").await;
        assert_eq!(page.js(chosen).await, format!("{title}, changed"));
        page.choose("#demo", "hinge").await;
        page.idle().await;
        assert_eq!(page.value(crate::reading::MELT).await, "165");
        assert_eq!(page.js(chosen).await, title);
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn another_pvt_law_brings_its_constants_and_changes_the_shrinkage() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let law = "#f-feedstock-pvt";
        page.unfold(law).await;
        let first = page.value(law).await;
        let other = if first == "linear" { "tait" } else { "linear" };
        let fields = ["#f-feedstock-binder_expansion", "#f-feedstock-pvt-tait-b5"];
        let shrinkage = "hold.shrinkage_spread_percent.1";
        let before = page.number(shrinkage).await;
        let (old, new) = if first == "linear" { (0, 1) } else { (1, 0) };
        assert_eq!([page.count(fields[old]).await, page.count(fields[new]).await], [1, 0]);
        page.choose(law, other).await;
        page.idle().await;
        assert_eq!([page.count(fields[old]).await, page.count(fields[new]).await], [0, 1]);
        assert_ne!(page.number(shrinkage).await, before);
        assert_eq!(page.texts("#trouble li").await, [""; 0]);
        page.assert_clean_console().await;
    });
}

/// A machine too weak to fill the cavity: nothing of a part is shown, and the verdict says why.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_short_shot_shows_no_part() {
    browse(async |page| {
        page.open("#1;d=hinge;pmax=12;ph=12").await;
        page.idle().await;
        for key in ["hold.part_mass_g", "hold.gate_freeze_s", "cool.cycle_s"] {
            assert_eq!(page.text(&format!("[data-key=\"{key}\"]")).await, "none: short shot", "{key}");
        }
        let filled = page.number("fill.filled_percent").await;
        assert!(filled > 1.0 && filled < 99.99, "{filled}");
        let verdict = page.text("#verdict").await;
        assert!(verdict.starts_with("Outside: the cavity does not fill (short shot"), "{verdict}");
        page.follow("1;d=hinge;ph=2").await;
        let verdict = page.text("#verdict").await;
        assert!(
            verdict.starts_with("Outside: the cavity does not fill (short after switch-over)"),
            "{verdict}"
        );
        let cycle = page.text("#governed-by").await;
        assert!(cycle.contains("the cavity does not fill"), "{cycle}");
    });
}
