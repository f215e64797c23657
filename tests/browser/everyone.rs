//! The pages for everyone: checked by axe-core on both pages, and used with the keyboard alone.
//!
//! axe-core is a test tool, kept in `axe/` with its licence; it is never part of the page.

use std::time::Duration;

use serde_json::{Value, json};
use thirtyfour::prelude::*;

use crate::harness::{Page, browse};
use crate::reading::MELT;

/// axe-core 4.14.1, Mozilla Public License 2.0.
const AXE: &str = include_str!("axe/axe.min.js");

/// What the rules cannot decide by themselves, and why it is no fault here: rule, part of what it says, where, why.
const UNDECIDED: &[[&str; 4]] = &[
    [
        "color-contrast",
        "partially obscured by another element",
        ".scroll, .formula, textarea",
        "Cells that are scrolled out of the box of their table, signs of a formula that is wider than the screen, and lines that are longer than their field lie beneath what stands beside the box. Those in sight have the same colours, and are decided.",
    ],
    [
        "color-contrast",
        "by another element",
        "#story, #stage, #limits",
        "On a wide screen each column scrolls by itself, and what is scrolled out of it lies beneath what stands below. At the width of a phone no column scrolls, and the same elements are decided.",
    ],
    [
        "color-contrast",
        "too short to determine",
        "#story, #stage, #limits",
        "So are symbols of one letter and numbers of one digit in what is scrolled out of a column.",
    ],
    [
        "color-contrast",
        "too short to determine",
        "td, th .unit",
        "A cell with one digit or a dash has the colours of its row, and the longer cells of the row are decided. So are units of one letter in the heads.",
    ],
    [
        "color-contrast",
        "overlapped by another element",
        ":has(> .section)",
        "The drawing of the cavity stays in sight while the list beneath it scrolls. What it covers at one place of the page is seen at others, in the colours of the chapter.",
    ],
    [
        "color-contrast",
        "overlapped by another element",
        "figure svg",
        "Labels of a drawing stand on plates in the colour of its ground. axe-core does not read the order of the shapes.",
    ],
    [
        "color-contrast",
        "too short to determine",
        "figure svg, math",
        "A number of one digit at an axis and a sign of a formula have the colour of the longer texts around them, and these are decided.",
    ],
    [
        "color-contrast",
        "only non-text characters",
        "math",
        "A sign of a formula has the colour of the letters around it, and these are decided.",
    ],
    [
        "label-content-name-mismatch",
        "Unable to determine",
        "summary, button, a.anchor",
        "A question mark, a cross and the sign of an anchor are not spoken. The name says what they do.",
    ],
];

/// Everything that the rules object to or cannot decide, and ids that stand twice: rule, what it says, and where.
/// Without `all`, only what a change of colours can break.
async fn objections(page: &Page, all: bool) -> Vec<String> {
    let present = page.js("return typeof axe === 'object'").await;
    if present != Value::Bool(true) {
        page.js(AXE).await;
    }
    let found = page
        .js_with(
            "const rules = { 'target-size': { enabled: true } };
            const known = (id, said, target) => arguments[0].some(([rule, part, place]) =>
                rule === id && said.includes(part) && document.querySelector(target[0])?.closest(place));
            const words = ({ failureSummary, any, all, none }) => failureSummary ?? [...any, ...all, ...none].map((c) => c.message).join('; ');
            const told = (list, allowed) => list.flatMap(({ id, help, nodes }) => nodes
                .filter((node) => !allowed || !known(id, words(node), node.target))
                .map((node) => `${id}: ${help}: ${node.target}: ${words(node)}`));
            // The rules let an id stand twice as long as nothing refers to it.
            const seen = new Set();
            const ids = [...document.querySelectorAll('[id]')].map((e) => e.id);
            const twice = ids.filter((id) => seen.has(id) || !seen.add(id)).map((id) => `the id ${id} stands twice`);
            const asked = arguments[1] ? { rules } : { runOnly: { type: 'rule', values: ['color-contrast', 'link-in-text-block'] } };
            return axe.run(document, { resultTypes: ['violations', 'incomplete'], ...asked }).then(
                ({ violations, incomplete }) => [...told(violations, false), ...told(incomplete, true), ...twice])",
            &[json!(UNDECIDED), json!(all)],
        )
        .await;
    serde_json::from_value(found).unwrap()
}

/// Waits until nothing in the page has changed for a while, 20 s at most: axe-core looks at elements that a table has
/// replaced meanwhile as if they stood alone.
const SETTLED: &str = "return new Promise((done) => {
    let timer = setTimeout(done, 700);
    const again = () => { clearTimeout(timer); timer = setTimeout(done, 700); };
    new MutationObserver(again).observe(document.body, { subtree: true, childList: true });
    setTimeout(done, 20000);
})";

/// The width of a phone in both themes and that of a desk, with all that can be unfolded unfolded. The theme changes
/// colours alone, so in the dark only these are looked at.
pub async fn checked(page: &Page) {
    at_screens(page, &[(360, false), (360, true), (1440, false)]).await;
}

/// A page of a kind that was checked before: on a phone, where no column scrolls and every colour is decided.
pub async fn checked_again(page: &Page) {
    at_screens(page, &[(360, false), (360, true)]).await;
}

async fn at_screens(page: &Page, screens: &[(u32, bool)]) {
    // Some thousand cells are looked at, maybe on a machine with other work.
    page.driver().set_script_timeout(Duration::from_secs(240)).await.unwrap();
    for &(width, dark) in screens {
        page.resize(width, 900, 1.0).await;
        page.dark(dark).await;
        page.js("for (const box of document.querySelectorAll('details')) box.open = true;
            // What is out of view is not laid out, and axe-core looks for what lies behind a text.
            for (const card of document.querySelectorAll('*'))
                if (getComputedStyle(card).contentVisibility === 'auto') card.style.contentVisibility = 'visible';
            return new Promise((done) => setTimeout(done, 300))")
            .await;
        // What is old is dimmed while the page computes.
        page.wait_until("document.documentElement.dataset.busy !== 'true'", Duration::from_secs(60)).await;
        page.js(SETTLED).await;
        let found = objections(page, !dark).await;
        assert!(
            found.is_empty(),
            "at {width}, dark {dark}: {} objections\n{}",
            found.len(),
            found.join("\n")
        );
    }
    page.resize(1440, 900, 1.0).await;
    page.dark(false).await;
}

#[test]
#[ignore = "run by cargo xtask test"]
fn axe_finds_nothing_on_the_windows_page() {
    browse(async |page| {
        page.open("#1;d=yoke").await;
        page.idle().await;
        page.press("#pin").await;
        page.idle().await;
        checked(page).await;
        // Neither where something is wrong, nor where a notice stands.
        page.fill(MELT, "999").await;
        page.choose("#demo", "guide").await;
        page.idle().await;
        page.fill(MELT, "999").await;
        checked_again(page).await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn axe_finds_nothing_after_the_mould() {
    browse(async |page| {
        page.goto("after.html").await;
        let rests = "document.documentElement.dataset.ready === 'true' && document.documentElement.dataset.busy === 'false'";
        page.wait_until(rests, Duration::from_secs(60)).await;
        page.press("#add-dimension").await;
        page.js("for (const box of document.querySelectorAll('details')) box.open = true").await;
        page.frames().await;
        checked(page).await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn axe_finds_nothing_in_the_classroom() {
    browse(async |page| {
        page.open("classroom.html").await;
        page.fill("#student", "s001").await;
        page.press("#exercise-list li[data-exercise=rheometer] button").await;
        page.fill("#answer-1", "12").await;
        page.js("document.querySelector('#answer-1').form.requestSubmit()").await;
        page.js("for (const part of ['.hints button', '.solution button', '#check-slips']) document.querySelector(part).click()").await;
        page.frames().await;
        checked(page).await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn axe_finds_nothing_in_the_plan() {
    browse(async |page| {
        page.goto("plan.html").await;
        let rests = "document.documentElement.dataset.ready === 'true' && document.documentElement.dataset.busy === 'false'";
        page.wait_until(rests, Duration::from_secs(60)).await;
        page.press("#add-dimension").await;
        page.fill("#f-plan-finishing_price", "0.2").await;
        // The range that a field shows while it has the keyboard lies over the label of the next.
        page.js("document.activeElement.blur()").await;
        page.js("for (const box of document.querySelectorAll('details')) box.open = true").await;
        page.frames().await;
        checked(page).await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn axe_finds_nothing_in_the_calibration() {
    browse(async |page| {
        page.goto("calibration.html").await;
        let long = Duration::from_secs(120);
        page.wait_until("document.documentElement.dataset.ready === 'true'", long).await;
        crate::calibration::example(page).await;
        page.press("#calibrate").await;
        page.wait_until("document.querySelector('#window-before')?.naturalWidth > 0", long).await;
        page.press("#next-ask").await;
        page.wait_until("document.querySelector('#next-out table') !== null", long).await;
        page.js("document.activeElement.blur()").await;
        page.js("for (const box of document.querySelectorAll('details')) box.open = true").await;
        page.frames().await;
        checked(page).await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn axe_finds_nothing_in_the_laboratory() {
    browse(async |page| {
        page.goto("laboratory.html").await;
        let rests = "document.documentElement.dataset.busy === 'false'";
        page.wait_until(rests, Duration::from_secs(60)).await;
        checked_again(page).await;
        page.js("for (const b of document.querySelectorAll('main button')) if (b.textContent === 'Worked example') b.click()").await;
        page.frames().await;
        page.wait_until(rests, Duration::from_secs(60)).await;
        page.wait_until("document.querySelectorAll('main table td').length > 20", Duration::from_secs(60))
            .await;
        checked(page).await;
    });
}

/// Presses a key, with the focus wherever it is.
async fn key(page: &Page, keys: impl Into<TypingData>) {
    let at = page.driver().active_element().await.unwrap();
    at.send_keys(keys).await.unwrap();
}

/// What has the keyboard: its id, or its text.
async fn at(page: &Page) -> String {
    let named =
        page.js("const e = document.activeElement; return e.id || e.textContent.trim().slice(0, 60)").await;
    named.as_str().unwrap_or_default().to_owned()
}

/// Tabs on until a selector has the keyboard; on the way, whatever has it must be seen to have it.
async fn tab_to(page: &Page, selector: &str) {
    for _ in 0..250 {
        key(page, Key::Tab + "").await;
        let seen = page
            .js_with(
                "const e = document.activeElement;
                const { outlineStyle, outlineWidth } = getComputedStyle(e);
                const { top, bottom, width, height } = e.getBoundingClientRect();
                const cleared = bottom > 0 && top < innerHeight && width * height > 0;
                return [e.matches(arguments[0]), outlineStyle !== 'none' && parseFloat(outlineWidth) >= 2, cleared]",
                &[json!(selector)],
            )
            .await;
        let name = at(page).await;
        assert_eq!(seen[1], Value::Bool(true), "no outline about {name}");
        assert_eq!(seen[2], Value::Bool(true), "out of sight: {name}");
        if seen[0] == Value::Bool(true) {
            return;
        }
    }
    panic!("Tab does not come to {selector}");
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_page_is_used_with_the_keyboard_alone() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        // The first stop leads past the head of the page.
        key(page, Key::Tab + "").await;
        assert_eq!(at(page).await, "Skip to the window");
        key(page, Key::Enter + "").await;
        let inside = page.js("return document.activeElement.id").await;
        assert_eq!(inside, "window-canvas");

        // The set point, by its keys.
        let melt = page.setting(MELT).await;
        key(page, Key::Up + "").await;
        page.idle().await;
        assert!(page.setting(MELT).await > melt);

        // Another demo.
        page.js("scrollTo(0, 0); document.activeElement.blur()").await;
        page.js("document.querySelector('.brand').setAttribute('tabindex', '-1'); document.querySelector('.brand').focus()").await;
        tab_to(page, "#demo").await;
        // The list stands on the demo as changed, then on the demo, then on the next.
        for _ in 0..2 {
            key(page, Key::Down + "").await;
            page.idle().await;
        }
        assert!(page.value("#f-name").await.contains("guide"), "{}", page.value("#f-name").await);

        // A number, on the way down the page.
        tab_to(page, MELT).await;
        key(page, Key::Control + "a").await;
        key(page, "170").await;
        key(page, Key::Up + "").await;
        page.idle().await;
        assert_eq!(page.setting(MELT).await, 171.0, "arrow keys step a number");

        // A figure: its cross-hair, its table.
        tab_to(page, "#figure-pressures").await;
        key(page, Key::Right + "").await;
        let read = page.texts("[data-figure=pressures] .reading").await.remove(0);
        assert!(read.contains("Nozzle pressure"), "{read}");
        tab_to(page, "[data-figure=pressures] summary").await;
        key(page, Key::Enter + "").await;
        page.frames().await;
        assert!(page.count("[data-figure=pressures] td").await > 50);
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn no_width_scrolls_sideways_and_lines_stay_readable() {
    browse(async |page| {
        for (file, wait) in [
            ("", "dataset.ready === 'true'"),
            ("laboratory.html", "dataset.busy === 'false'"),
            ("after.html", "dataset.busy === 'false'"),
            ("plan.html", "dataset.busy === 'false'"),
            ("classroom.html", "dataset.ready === 'true'"),
            ("calibration.html", "dataset.busy === 'false'"),
        ] {
            page.goto(file).await;
            page.wait_until(&format!("document.documentElement.{wait}"), Duration::from_secs(60)).await;
            for width in [320, 360, 768, 1024, 1440, 2560, 3840] {
                page.resize(width, 900, 1.0).await;
                page.js("for (const box of document.querySelectorAll('details')) box.open = true").await;
                page.frames().await;
                let whole = page.js("return document.documentElement.scrollWidth").await.as_f64().unwrap();
                assert!(whole <= f64::from(width), "{file} at {width} is {whole} wide");
                // Characters to a line: of the text that is longest, at its own size.
                let longest = page
                    .js("return Math.max(...[...document.querySelectorAll('p, li')].map((e) => {
                        const own = [...e.childNodes].filter((n) => n.nodeType === 3).map((n) => n.data).join('');
                        if (own.trim().length < 140 || e.offsetWidth === 0) return 0;
                        return e.clientWidth / (parseFloat(getComputedStyle(e).fontSize) * 0.52);
                    }))")
                    .await
                    .as_f64()
                    .unwrap();
                assert!(longest < 140.0, "{file} at {width}: lines of {longest} characters");
            }
        }
        // For a projector: larger type, and a larger window.
        page.open("").await;
        let size = "return [parseFloat(getComputedStyle(document.body).fontSize), document.querySelector('#window-canvas').clientWidth]";
        page.resize(1440, 900, 1.0).await;
        let desk: [f64; 2] = serde_json::from_value(page.js(size).await).unwrap();
        page.resize(3840, 2160, 1.0).await;
        let wall: [f64; 2] = serde_json::from_value(page.js(size).await).unwrap();
        assert!(wall[0] >= 1.5 * desk[0] && wall[1] >= 1.8 * desk[1], "{desk:?} {wall:?}");
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn whatever_is_pressed_is_large_enough_for_a_finger() {
    browse(async |page| {
        for (file, wait) in [
            ("", "dataset.ready === 'true'"),
            ("laboratory.html", "dataset.busy === 'false'"),
            ("after.html", "dataset.busy === 'false'"),
            ("plan.html", "dataset.busy === 'false'"),
            ("classroom.html", "dataset.ready === 'true'"),
            ("calibration.html", "dataset.busy === 'false'"),
        ] {
            page.resize(360, 740, 1.0).await;
            page.goto(file).await;
            page.wait_until(&format!("document.documentElement.{wait}"), Duration::from_secs(60)).await;
            page.js("for (const box of document.querySelectorAll('details')) box.open = true").await;
            page.frames().await;
            let small = page
                .js("const all = [...document.querySelectorAll('button, a, input, select, textarea, summary')];
                    return all.map((e) => [e, e.matches('[type=checkbox], [type=radio]') ? (e.closest('label') ?? e) : e])
                        .filter(([e]) => e.checkVisibility() && !e.matches('.hidden, .jumps *'))
                        .map(([e, target]) => [e.id || e.textContent.trim(), target.getBoundingClientRect()])
                        .filter(([, { width, height }]) => width < 23.99 || height < 23.99)
                        .map(([name, { width, height }]) => `${name}: ${width} × ${height}`)")
                .await;
            assert_eq!(small, json!([]), "{file}");
        }
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn nothing_moves_by_itself_where_that_is_asked() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        let moving = "return [...document.querySelectorAll('*')].filter((e) => {
            const { transitionDuration: t, animationName: a } = getComputedStyle(e);
            return parseFloat(t) > 0 || a !== 'none';
        }).length";
        let before = page.js(moving).await.as_u64().unwrap();
        assert!(before > 0, "where nothing is asked, something fades");
        let features = json!({ "features": [{ "name": "prefers-reduced-motion", "value": "reduce" }] });
        page.driver().cdp().send_raw("Emulation.setEmulatedMedia", features).await.unwrap();
        page.frames().await;
        assert_eq!(page.js(moving).await, 0);
        assert_eq!(page.texts("#moment-play").await, ["Step on"]);
    });
}
