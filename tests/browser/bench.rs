//! The figure stays in view while settings are edited; the limits at a glance; the search over all inputs.

use serde_json::{Value, json};
use thirtyfour::prelude::*;

use crate::harness::{Page, browse};
use crate::reading::{MELT, TIME};

const CANVAS: &str = "#window-canvas";
const HOLD: &str = "#f-setup-hold_time";

/// Which of some elements do not lie wholly in the viewport, with their edges.
async fn out_of_view(page: &Page, selectors: &[&str]) -> Value {
    page.js_with(
        "return arguments[0].map((s) => [s, document.querySelector(s).getBoundingClientRect()])
            .filter(([, { top, bottom, left, right, height }]) =>
                height === 0 || top < -0.5 || left < -0.5 || bottom > innerHeight + 0.5 || right > innerWidth + 0.5)
            .map(([s, { top, bottom }]) => [s, top, bottom, innerHeight])",
        &[json!(selectors)],
    )
    .await
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_figure_is_whole_beside_the_last_of_the_settings() {
    browse(async |page| {
        for (width, height) in [(1280, 720), (1366, 768)] {
            page.resize(width, height, 1.0).await;
            page.open(&format!("?{width}")).await;
            page.idle().await;
            let whole = [CANVAS, "#verdict", "#headline .result"];
            assert_eq!(out_of_view(page, &whole).await, json!([]), "at first");
            let last = "#f-model-warming_steel";
            page.unfold(last).await;
            page.js("document.querySelector('#story').scrollTop = 1e6").await;
            page.find(last).await.focus().await.unwrap();
            page.frames().await;
            let seen = [CANVAS, "#verdict", "#headline .result", last];
            assert_eq!(out_of_view(page, &seen).await, json!([]), "{width} × {height}");
        }
        // The head of the page is low.
        page.resize(1440, 900, 1.0).await;
        page.frames().await;
        let head = page.js("return document.querySelector('header').offsetHeight").await.as_f64().unwrap();
        assert!(head <= 100.0, "{head}");
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn on_a_phone_a_strip_shows_the_window_and_the_verdict_over_the_settings() {
    browse(async |page| {
        page.resize(390, 844, 2.0).await;
        page.open("").await;
        page.idle().await;
        assert_eq!(page.js("return document.querySelector('#strip').hidden").await, true);
        page.press("#to-story").await;
        page.wait_until("!document.querySelector('#strip').hidden", crate::harness::READY).await;
        let tops = "const [strip, story] = ['#strip', '#story'].map((s) => document.querySelector(s).getBoundingClientRect());
            return [story.top - strip.bottom, document.activeElement.id]";
        let landed = page.js(tops).await;
        let gap = landed[0].as_f64().unwrap();
        assert!((0.0..60.0).contains(&gap), "the settings begin below the strip: {gap}");
        assert_eq!(landed[1], "story");

        page.frames().await;
        let before = page.ink("#strip-canvas").await;
        assert!(before.tiles > 20, "{before:?}");
        assert_eq!(page.text("#strip-verdict").await, "Inside: every limit is met.");
        page.fill(HOLD, "1").await;
        page.idle().await;
        assert_eq!(
            out_of_view(page, &["#strip-canvas", "#strip-verdict", "#strip-link", HOLD]).await,
            json!([])
        );
        assert!(page.text("#strip-verdict").await.starts_with("Outside: "));
        assert_ne!(page.ink("#strip-canvas").await.hash, before.hash, "the lines move");

        page.find("#strip-back").await.click().await.unwrap();
        page.wait_until("document.querySelector('#strip').hidden", crate::harness::READY).await;
        assert_eq!(out_of_view(page, &[CANVAS]).await, json!([]));
        page.assert_clean_console().await;
    });
}

/// On a wide screen the window leaves the view when its column or the page is scrolled.
#[test]
#[ignore = "run by cargo xtask test"]
fn on_a_wide_screen_the_strip_shows_what_an_edit_does_beside_a_scrolled_column() {
    browse(async |page| {
        page.resize(1366, 768, 1.0).await;
        page.open("").await;
        page.idle().await;
        let hidden = "document.querySelector('#strip').hidden";
        assert_eq!(page.js(&format!("return {hidden}")).await, true);
        page.js("document.querySelector('#stage').scrollTop = 1e6").await;
        page.wait_until(&format!("!{hidden}"), crate::harness::READY).await;
        page.fill(MELT, "215").await;
        page.idle().await;
        let seen = ["#strip-canvas", "#strip-verdict", "#strip-link", MELT];
        assert_eq!(out_of_view(page, &seen).await, json!([]));
        assert!(page.text("#strip-verdict").await.starts_with("Outside: "));
        page.press("#strip-back").await;
        page.wait_until(hidden, crate::harness::READY).await;
        assert_eq!(out_of_view(page, &[CANVAS]).await, json!([]));
        // Far down the page, too.
        page.js("document.querySelector('#figures').scrollIntoView()").await;
        page.wait_until(&format!("!{hidden}"), crate::harness::READY).await;
        page.press("#strip-back").await;
        page.wait_until(hidden, crate::harness::READY).await;
        assert_eq!(out_of_view(page, &[CANVAS]).await, json!([]));
        page.assert_clean_console().await;
    });
}

/// Letters of twice the size on a phone: nothing is beside the screen, and no word lies over another.
#[test]
#[ignore = "run by cargo xtask test"]
fn large_letters_on_a_phone_stay_on_the_screen() {
    browse(async |page| {
        page.resize(360, 740, 2.0).await;
        page.open("").await;
        page.js("document.documentElement.style.fontSize = '200%'").await;
        page.idle().await;
        let over = page
            .js("return [document.documentElement.scrollWidth > innerWidth,
                [...document.querySelectorAll('#story .field.number, .limit > summary')].filter((row) => {
                    const boxes = [...row.children].filter((e) => e.checkVisibility() && getComputedStyle(e).position !== 'absolute')
                        .map((e) => e.getBoundingClientRect()).filter(({ width, height }) => width > 0 && height > 0);
                    return boxes.some((a, i) => a.right > innerWidth + 0.5 || boxes.some((b, j) => j > i
                        && a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 1 && b.top < a.bottom - 1));
                }).map((row) => row.textContent)]")
            .await;
        assert_eq!(over, json!([false, []]));
        // A name has room for its words.
        let narrow = page
            .js("return [...document.querySelectorAll('#story .step:first-of-type .field.number label, .limit h3')]
                .filter((e) => e.checkVisibility() && e.getBoundingClientRect().width < 150).map((e) => e.textContent)")
            .await;
        assert_eq!(narrow, json!([]));
        // The strip is there also after a jump past a window that was below the screen.
        page.press("#to-story").await;
        page.wait_until("!document.querySelector('#strip').hidden", crate::harness::READY).await;
        page.press("#to-sheet").await;
        page.wait_until("document.querySelector('#sheet-page h2')?.checkVisibility()", crate::harness::READY)
            .await;
        assert_eq!(
            page.js("return document.documentElement.scrollWidth > innerWidth").await,
            false,
            "the sheet"
        );
        page.assert_clean_console().await;
    });
}

/// A second tap on the place of a notice meets nothing that has moved there.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_dismissed_notice_keeps_its_place_for_a_moment() {
    browse(async |page| {
        page.open("#2;d=hinge;zz=1").await;
        page.idle().await;
        let moved = page
            .js("const top = () => document.querySelector('main').getBoundingClientRect().top;
                const before = top();
                document.querySelector('.notice button').click();
                return [document.querySelectorAll('.notice').length, Math.abs(top() - before) < 1, before]")
            .await;
        assert_eq!((&moved[0], &moved[1]), (&json!(0), &json!(true)), "{moved}");
        let before = moved[2].as_f64().unwrap();
        let closed = format!("document.querySelector('main').getBoundingClientRect().top < {before} - 20");
        page.wait_until(&closed, crate::harness::READY).await;
        page.assert_clean_console().await;
    });
}

/// Another plane is another look at the same scenario: the demo keeps its name, and the choice can be taken back.
#[test]
#[ignore = "run by cargo xtask test"]
fn another_plane_renames_nothing_and_can_be_taken_back() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let named =
            "return [document.querySelector('#demo').value, document.querySelector('#undo').disabled]";
        let before = page.js(named).await;
        assert_eq!(before[1], true);
        page.unfold("#f-window-x-axis").await;
        page.choose("#f-window-x-axis", "hold_pressure").await;
        page.idle().await;
        assert_eq!(page.js(named).await, json!([before[0], false]));
        page.press("#undo").await;
        page.idle().await;
        assert_eq!(page.value("#f-window-x-axis").await, "injection_time");
        assert!(page.text("#window-share").await.contains("% of this plane, bounded by"));
        page.assert_clean_console().await;
    });
}

/// Forced colours, as of a high-contrast theme: bars, marks of the key and buttons keep an edge, and the figure its ink.
#[test]
#[ignore = "run by cargo xtask test"]
fn with_forced_colours_limits_and_buttons_stay_visible() {
    browse(async |page| {
        let features = json!({ "features": [{ "name": "forced-colors", "value": "active" }] });
        page.driver().cdp().send_raw("Emulation.setEmulatedMedia", features).await.unwrap();
        page.open("").await;
        page.idle().await;
        let seen = page
            .js("const ground = getComputedStyle(document.body).backgroundColor;
                const edge = (e) => { const s = getComputedStyle(e); return ['Top', 'Bottom'].some((side) => parseFloat(s[`border${side}Width`]) > 0 && s[`border${side}Color`] !== ground && s[`border${side}Style`] !== 'none'); };
                const faint = (selector) => [...document.querySelectorAll(selector)].filter((e) => e.checkVisibility() && !edge(e)).map((e) => e.textContent);
                return [matchMedia('(forced-colors: active)').matches, document.querySelectorAll('.limit .bar').length > 10,
                    ...['.limit .bar', '.limit > summary', '.tools button', '#strip button', '#pin', '.key .mark'].map(faint)]")
            .await;
        assert_eq!(seen, json!([true, true, [], [], [], [], [], []]));
        assert!(page.ink(CANVAS).await.tiles > 20, "the lines are drawn on their own ground");
        page.assert_clean_console().await;
    });
}

/// One verdict is spoken after a change, and not every number.
#[test]
#[ignore = "run by cargo xtask test"]
fn only_the_verdict_is_spoken() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let spoken = page
            .js("return [...document.querySelectorAll('output[data-key]')].filter((e) => e.ariaLive !== 'off').map((e) => e.dataset.key)")
            .await;
        assert_eq!(spoken, json!([]));
        assert_eq!(page.js("return document.querySelector('#verdict').ariaLive").await, "polite");
    });
}

/// The open rows, and what stands first in the list.
async fn rows(page: &Page) -> (Vec<String>, String) {
    let found = page
        .js("const rows = [...document.querySelectorAll('#margin-list li')];
            return [rows.filter((li) => li.querySelector('details').open).map((li) => li.dataset.limit), rows[0].dataset.limit]")
        .await;
    serde_json::from_value(found).unwrap()
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_limit_that_is_not_met_stands_first_and_every_row_is_one_line() {
    browse(async |page| {
        page.open("").await;
        page.fill(MELT, "215").await;
        page.idle().await;
        let worst = page
            .js("const rows = [...document.querySelectorAll('#margin-list li')];
                const least = Math.min(...rows.map((li) => Number(li.dataset.g)));
                return [Number(rows[0].dataset.g) === least, rows[0].querySelector('.state').innerText,
                    new DOMMatrix(getComputedStyle(rows[0].querySelector('.bar')).transform).a < 0]")
            .await;
        assert_eq!(worst, json!([true, "not met", true]), "its bar is on the other side");
        for width in [360, 1440] {
            page.resize(width, 900, 1.0).await;
            page.frames().await;
            let high = page
                .js("return [...document.querySelectorAll('#margin-list summary')].filter((s) => s.offsetHeight > 40 || s.scrollWidth > s.clientWidth + 1)
                    .map((s) => s.innerText)")
                .await;
            assert_eq!(high, json!([]), "at {width}");
        }
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_row_and_its_line_lead_to_each_other() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let (time, plain) = (page.setting(TIME).await, page.ink(CANVAS).await);
        // A line passes where the pointer's sign says so.
        let found = page
            .js("const canvas = document.querySelector('#window-canvas');
                const { left, top, width, height } = canvas.getBoundingClientRect();
                for (let x = left + 0.3 * width; x < left + 0.95 * width; x += 1) {
                    const at = { clientX: x, clientY: top + 0.4 * height, pointerType: 'mouse' };
                    canvas.dispatchEvent(new PointerEvent('pointermove', at));
                    if (canvas.classList.contains('on-line')) return [at.clientX + 1, at.clientY];
                }
                return null")
            .await;
        let [x, y]: [f64; 2] = serde_json::from_value(found).unwrap();
        let chain = page.driver().action_chain();
        chain.move_to(x as i64, y as i64).click().perform().await.unwrap();
        page.frames().await;
        let (open, _) = rows(page).await;
        assert_eq!(open.len(), 1, "{open:?}");
        assert_eq!(page.setting(TIME).await, time, "the set point stays");
        let row = format!("#margin-list li[data-limit={}]", open[0]);
        assert_eq!(out_of_view(page, &[&format!("{row} summary")]).await, json!([]));
        let lit = page.ink(CANVAS).await;
        assert_ne!(lit.hash, plain.hash, "its line is emphasised");
        // Closed, and the pointer elsewhere: as before.
        page.press(&format!("{row} summary")).await;
        page.press("#window-heading").await;
        page.frames().await;
        assert_eq!(page.ink(CANVAS).await.hash, plain.hash);
        // The other way round.
        page.press(&format!("{row} summary")).await;
        page.press("#window-heading").await;
        page.frames().await;
        assert_eq!(page.ink(CANVAS).await.hash, lit.hash);
        page.assert_clean_console().await;
    });
}

/// Types into the search and takes the first match; returns what has the keyboard then, and whether it is seen.
async fn search(page: &Page, query: &str) -> (String, bool) {
    let field = page.find("#search").await;
    field.send_keys(query).await.unwrap();
    // The search is loaded when it is first used.
    page.wait_until("document.querySelector('#search-list [role=option]')", crate::harness::READY).await;
    page.frames().await;
    field.send_keys(Key::Enter + "").await.unwrap();
    page.frames().await;
    let at = page
        .js("const e = document.activeElement;
            const { top, bottom } = e.getBoundingClientRect();
            return [e.id || e.closest('li')?.dataset.limit || '', e.checkVisibility() && top >= 0 && bottom <= innerHeight]")
        .await;
    serde_json::from_value(at).unwrap()
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_search_finds_a_folded_field_a_symbol_and_a_limit() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        for (query, wanted) in [
            ("clamp", "f-machine-clamp_force"),
            ("draft", "f-cavity-passages-0-wall_angle"),
            ("d90", "f-feedstock-particle_size_90"),
            ("gate depth", "f-cavity-passages-2-form-strip-thickness"),
            ("tait", "f-feedstock-pvt"),
            ("T_m", "f-setup-melt_temperature"),
            ("viscous", "f-model-viscous_heating"),
            ("time in the barrel", "residence"),
        ] {
            let (at, seen) = search(page, query).await;
            assert_eq!(at, wanted, "{query}");
            assert!(seen, "{query}");
        }
        // With the arrow keys, and told to a screen reader.
        let field = page.find("#search").await;
        field.send_keys("pressure").await.unwrap();
        page.frames().await;
        assert!(page.text("#search-said").await.contains("match"));
        field.send_keys(Key::Down + "").await.unwrap();
        let active = field.attr("aria-activedescendant").await.unwrap().unwrap();
        let chosen = page.text(&format!("#{active}[aria-selected=true]")).await;
        assert!(!chosen.is_empty());
        field.send_keys(Key::Escape + "").await.unwrap();
        assert_eq!(field.attr("aria-expanded").await.unwrap().unwrap(), "false");
        field.send_keys("zzz").await.unwrap();
        assert_eq!(page.text("#search-said").await, "Nothing is called that.");
        page.assert_clean_console().await;
    });
}
