//! The page of what follows the mould: sizes, debinding and sintering, and the way there and back.

use gatefrost_core::scenario::{DebindingStep, Reached, demo, link};

use crate::harness::{Page, READY, browse};
use crate::laboratory::addressed;

/// Waits until the plan is shown, with what the mould hands on.
async fn planned(page: &Page) {
    page.wait_until("document.documentElement.dataset.ready === 'true' && document.documentElement.dataset.busy === 'false'", READY)
        .await;
    page.frames().await;
}

/// A number of the head of the page.
async fn headline(page: &Page, key: &str) -> f64 {
    let text = page.text(&format!("#summary [data-key={key}]")).await;
    text.split(' ').next().and_then(|word| word.parse().ok()).unwrap_or_else(|| panic!("{key} is {text}"))
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_dimension_gets_its_cavity_and_the_link_keeps_it() {
    browse(async |page| {
        page.open("after.html").await;
        planned(page).await;
        page.press("#add-dimension").await;
        page.fill("#f-sizes-dimensions-0-size", "25").await;
        page.fill("#f-sizes-dimensions-0-tolerance", "0.075").await;
        planned(page).await;
        let row = "return [...document.querySelectorAll('#sizes-outs tbody tr td')].map((cell) => cell.textContent)";
        let cells: Vec<String> = serde_json::from_value(page.js(row).await).unwrap();
        let cavity: f64 = cells[1].parse().unwrap();
        let oversize = headline(page, "oversize").await;
        assert!((cavity / (25.0 * oversize) - 1.0).abs() < 1e-4, "{cells:?}");
        // ±0.3 % is too tight for the usual scatter.
        assert_eq!(cells.last().map(String::as_str), Some("no"), "{cells:?}");
        // A cavity that is cut already: by how much to open it.
        page.fill("#f-sizes-dimensions-0-cavity", "29.3").await;
        planned(page).await;
        assert!(page.text("#sizes-outs tbody").await.contains("open by"));
        page.wait_until("location.hash.includes('n0.c=29.3')", READY).await;
        let opened = addressed(page).await;
        assert_eq!(opened.problems, []);
        assert_eq!(opened.scenario.sizes.dimensions[0].cavity, Some(29.3));
        // A tolerance that is larger than the size is refused in words, and what was typed stays.
        page.fill("#f-sizes-dimensions-0-tolerance", "40").await;
        planned(page).await;
        assert!(page.text("#trouble").await.contains("must be less than the size"));
        assert_eq!(
            page.js("return document.querySelector('#f-sizes-dimensions-0-tolerance').value").await,
            "40"
        );
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_wall_reached_from_both_faces_takes_a_quarter_of_the_bath() {
    browse(async |page| {
        page.open("after.html").await;
        planned(page).await;
        let bath = "return parseFloat(document.querySelector('#debinding-outs tbody tr td:nth-child(3)').textContent)";
        let one = page.js(bath).await.as_f64().unwrap();
        page.js("for (const box of document.querySelectorAll('[id$=reached]')) { box.value = 'both'; box.dispatchEvent(new Event('change')); }").await;
        planned(page).await;
        let both = page.js(bath).await.as_f64().unwrap();
        assert!((one / both - 4.0).abs() < 0.03, "{one} h and {both} h");
        assert!(!page.text("#remarks").await.contains("one face is assumed"));
        page.wait_until("location.hash.includes('reached=both')", READY).await;
        assert_eq!(addressed(page).await.scenario.cavity.passages[3].reached, Some(Reached::Both));
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn readings_are_fitted_and_taken_over() {
    browse(async |page| {
        page.open("after.html").await;
        planned(page).await;
        for (box_id, path, expected) in [
            ("measured", "feedstock.sintered_density", "Use these values"),
            ("weighed", "debinding.steps.0.bath.diffusivity", "Use these values"),
            ("runs", "sintering.log_half", "Use these values"),
        ] {
            page.js(&format!("document.getElementById('{box_id}').open = true")).await;
            page.press(&format!("#{box_id}-text-example")).await;
            page.wait_until(&format!("!document.querySelector('#{box_id}-use').hidden"), READY).await;
            assert!(page.text(&format!("#{box_id}-use")).await.starts_with(expected));
            let before = page
                .js(&format!("return document.getElementById('f-{}').value", path.replace('.', "-")))
                .await;
            page.press(&format!("#{box_id}-use")).await;
            planned(page).await;
            let after = page
                .js(&format!("return document.getElementById('f-{}').value", path.replace('.', "-")))
                .await;
            assert_ne!(before, after, "{path}");
        }
        // The fitted curve decides the density now.
        assert!(page.text("#sintering-said").await.contains("by the fitted curve"));
        // A mass that grew is named with its line.
        let grown = "const field = document.getElementById('weighed-text'); field.value = 'temperature [°C],time [h],wall [mm],mass loss [%]\\n40,1,4,-2\\n'; field.dispatchEvent(new Event('input', { bubbles: true }))";
        page.js(grown).await;
        page.wait_until(
            "document.querySelector('#weighed-text-trouble')?.textContent.includes('has grown by 2 %')",
            READY,
        )
        .await;
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_scenario_goes_from_the_window_and_back() {
    browse(async |page| {
        page.open("#2;d=guide;T=171").await;
        page.idle().await;
        page.press("#to-after").await;
        page.wait_until("location.pathname.endsWith('/after.html')", READY).await;
        planned(page).await;
        assert!((addressed(page).await.scenario.setup.melt_temperature - 171.0).abs() < 1e-9);
        page.fill("#f-feedstock-sintered_density", "95.5").await;
        page.wait_until("location.hash.includes('rs=95.5')", READY).await;
        page.press("#to-window").await;
        page.wait_until(
            "document.querySelector('#window-canvas') && document.documentElement.dataset.ready",
            READY,
        )
        .await;
        page.idle().await;
        let scenario = addressed(page).await.scenario;
        assert!((scenario.setup.melt_temperature - 171.0).abs() < 1e-9);
        assert!((scenario.feedstock.sintered_density - 95.5).abs() < 1e-9);
    });
}

/// A dimension that is named on this page bounds the window, where its limit leads back to its number.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_tolerance_bounds_the_window() {
    browse(async |page| {
        page.open("after.html").await;
        planned(page).await;
        page.press("#add-dimension").await;
        page.fill("#f-sizes-dimensions-0-size", "25").await;
        page.fill("#f-sizes-dimensions-0-tolerance", "0.15").await;
        page.fill("#f-debinding-longest", "40").await;
        planned(page).await;
        page.press("#to-window").await;
        page.wait_until(
            "document.querySelector('#window-canvas') && document.documentElement.dataset.ready",
            READY,
        )
        .await;
        page.idle().await;
        let table =
            "return [...document.querySelectorAll('#margin-list li')].map((row) => row.dataset.limit)";
        let limits: Vec<String> = serde_json::from_value(page.js(table).await).unwrap();
        for limit in ["size", "debinding"] {
            assert!(limits.iter().any(|name| name == limit), "{limit} is none of {limits:?}");
        }
        page.assert_clean_console().await;
        page.js("document.querySelector('#margin-list [data-limit=size] button').click()").await;
        page.wait_until("location.pathname.endsWith('/after.html')", READY).await;
        planned(page).await;
        assert_eq!(addressed(page).await.scenario.sizes.dimensions[0].tolerance, 0.15);
        page.assert_clean_console().await;
    });
}

/// Every frame between another scenario and what its mould hands on: no frame shows a factor that mixes both.
#[test]
#[ignore = "run by cargo xtask test"]
fn two_scenarios_are_never_mixed() {
    browse(async |page| {
        page.open("after.html#2;d=hinge").await;
        planned(page).await;
        let watch = "window.seen = []; const look = () => { const name = document.getElementById('scenario-name').textContent; const root = document.getElementById('sizes-outs'); seen.push([name, document.querySelector('[data-key=oversize]').textContent, getComputedStyle(root.children[1]).visibility]); requestAnimationFrame(look); }; look(); location.hash = '#2;d=cleat'";
        page.js(watch).await;
        page.wait_until("document.getElementById('scenario-name').textContent.startsWith('Cleat') && document.documentElement.dataset.busy === 'true'", READY).await;
        planned(page).await;
        let end = page.text("#summary [data-key=oversize]").await;
        let seen: Vec<[String; 3]> =
            serde_json::from_value(page.js("return seen").await).expect("a list of frames");
        let after: Vec<_> = seen.iter().skip_while(|[name, ..]| !name.starts_with("Cleat")).skip(1).collect();
        assert!(after.iter().any(|[_, factor, _]| factor == "computing…"), "{after:?}");
        for [_, factor, visibility] in after {
            assert!(*factor == end || (factor == "computing…" && visibility == "hidden"), "{factor}, {end}");
        }
        page.assert_clean_console().await;
    });
}

/// The units of the window stand here, too: in the fields, the heads, the values and the words.
#[test]
#[ignore = "run by cargo xtask test"]
fn the_chosen_units_are_those_of_the_page() {
    browse(async |page| {
        page.open("after.html").await;
        page.js("localStorage.setItem('gatefrost.units', 'inch')").await;
        page.reload().await;
        planned(page).await;
        page.press("#add-dimension").await;
        page.fill("#f-sizes-dimensions-0-size", "1").await;
        page.fill("#f-sizes-dimensions-0-tolerance", "0.005").await;
        planned(page).await;
        let row = "return [...document.querySelectorAll('#sizes-outs :is(th, tbody td)')].map((cell) => cell.textContent)";
        let cells: Vec<String> = serde_json::from_value(page.js(row).await).expect("cells");
        assert_eq!(cells[..2], ["Dimension", "Cavity, in"], "{cells:?}");
        let cavity: f64 = cells[11].parse().expect("a number");
        assert!((cavity / headline(page, "oversize").await - 1.0).abs() < 1e-3, "{cells:?}");
        assert!(page.text("#debinding-said").await.contains(" in to the surface"));
        assert!(page.text("#debinding-outs thead").await.contains("°F"));
        page.assert_clean_console().await;
    });
}

/// A ceramic powder has no run of steel; the page says why there is no curve, and the density stays.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_powder_without_a_run_is_told() {
    browse(async |page| {
        page.open("after.html#2;d=guide").await;
        planned(page).await;
        assert!(page.text("#sintering-said").await.contains("No furnace run is set"));
        assert!(headline(page, "density").await > 90.0);
        page.press("#add-sintering-stretches").await;
        planned(page).await;
        assert!(page.text("#remarks").await.contains("the usual one of steel"));
        page.assert_clean_console().await;
    });
}

/// A change is answered at once without bands, which says so, and with them when the hand rests.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_draft_stands_until_its_bands_are_computed() {
    browse(async |page| {
        page.open("after.html").await;
        planned(page).await;
        let hours = "document.querySelector('#summary [data-key=hours]').textContent";
        let watch = format!(
            "window.seen = []; const look = () => {{ const told = {hours}; if (seen.at(-1) !== told) seen.push(told); requestAnimationFrame(look); }}; look()"
        );
        page.js(&watch).await;
        page.fill("#f-debinding-steps-0-bath-temperature", "40").await;
        // A digit that is typed alone may have been planned, too.
        page.wait_until("seen.length > 2 && !seen.at(-1).includes('computing')", READY).await;
        let seen: Vec<String> = serde_json::from_value(page.js("return seen").await).expect("texts");
        let value = |told: &str| told.split(' ').next().map(str::to_owned);
        let [.., draft, whole] = &seen[..] else { panic!("{seen:?}") };
        assert!(draft.contains("(band: computing…)") && whole.contains(" to "), "{seen:?}");
        assert_eq!(value(draft), value(whole), "{seen:?}");
        page.assert_clean_console().await;
    });
}

/// Weighings are of the bath that is chosen: the other one stays as it is.
#[test]
#[ignore = "run by cargo xtask test"]
fn weighings_belong_to_the_bath_that_is_chosen() {
    browse(async |page| {
        let mut s = demo::default_demo().scenario();
        let first = s.debinding.steps[0].clone();
        s.debinding.steps.insert(1, first);
        page.open(&format!("after.html#{}", link::encode(&s))).await;
        planned(page).await;
        page.js("document.getElementById('weighed').open = true").await;
        assert!(page.text("#weighed-step").await.contains("step 2, solvent bath at"));
        page.press("#weighed-text-example").await;
        page.wait_until("!document.querySelector('#weighed-use').hidden", READY).await;
        page.js("const list = document.querySelector('#weighed-step'); list.value = '2'; list.dispatchEvent(new Event('change', { bubbles: true }))").await;
        page.wait_until(
            "document.querySelector('#weighed tbody td:nth-child(2)').textContent === '2'",
            READY,
        )
        .await;
        page.press("#weighed-use").await;
        page.wait_until("document.querySelector('#weighed-step').value === '2'", READY).await;
        planned(page).await;
        let value = "return [0, 1].map((i) => document.getElementById(`f-debinding-steps-${i}-bath-diffusivity`).value)";
        let [one, two]: [String; 2] = serde_json::from_value(page.js(value).await).expect("two");
        let before = s.debinding.steps[0].clone();
        let DebindingStep::Bath(bath) = before else { panic!("a bath") };
        assert!((one.parse::<f64>().expect("a number") - bath.diffusivity).abs() < 1e-9, "{one}");
        assert_ne!(one, two);
        page.assert_clean_console().await;
    });
}
