//! A window sent as a link.

use gatefrost_core::scenario::{Scenario, demo, link};
use serde_json::Value;

use crate::harness::{Page, browse};
use crate::reading::{MELT, MOULD, TIME};

/// Presses the button and catches what goes to the clipboard, which no test should write on.
async fn copied(page: &Page) -> String {
    page.js("window.copied = null;
        navigator.clipboard.writeText = async (text) => { window.copied = text; };")
        .await;
    page.press("#copy-link").await;
    page.wait_until("window.copied", crate::harness::READY).await;
    assert_eq!(page.text("#said").await, "Link copied.");
    page.js("return window.copied").await.as_str().unwrap().to_owned()
}

/// All that the page shows of a scenario and its results.
async fn shown(page: &Page) -> (Value, Vec<String>, String) {
    let fields = page.fields().await;
    let numbers = page.numbers().await;
    // As text: NaN is not equal to itself.
    let all = format!("{fields:#?} {numbers:#?}");
    let limits = page.texts("#margin-list li").await;
    (Value::String(all), limits, page.text("#verdict").await)
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_link_brings_everything_to_another_page() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        page.fill("#f-name", "Hinge; 2nd try = 50 % & #ü").await;
        page.fill(MELT, "171.25").await;
        page.fill(MOULD, "47,5").await;
        page.fill(TIME, "0.33").await;
        let gate = "#f-cavity-passages-2-form-strip-thickness";
        page.unfold(gate).await;
        page.fill(gate, "0.95").await;
        page.press("#add-passage").await;
        page.unfold("#f-feedstock-flow_law").await;
        page.choose("#f-feedstock-flow_law", "power_law").await;
        page.unfold("#f-feedstock-loading_law").await;
        page.choose("#f-feedstock-loading_law", "eilers").await;
        page.unfold("#f-model-viscous_heating").await;
        page.press("#f-model-viscous_heating").await;
        page.unfold("#f-notes").await;
        page.fill("#f-notes", "Two lines,\nthe second “quoted”.").await;
        page.unfold("#f-window-y-axis").await;
        page.choose("#f-window-y-axis", "mould_temperature").await;
        page.idle().await;
        assert_eq!(page.texts("#trouble li").await, [""; 0]);
        let here = shown(page).await;
        let link = copied(page).await;
        assert!(link.starts_with(page.address()), "{link}");

        // What the program would make of the same link.
        let fragment = link.split_once('#').unwrap().1;
        let opened = link::decode(fragment);
        assert_eq!(opened.problems, []);
        assert_eq!(opened.scenario.setup.melt_temperature, 171.25);
        assert_eq!(link::encode(&opened.scenario), fragment);

        page.open_tab().await;
        page.open(&format!("#{fragment}")).await;
        page.idle().await;
        assert_eq!(page.count(".notice").await, 0);
        let there = shown(page).await;
        assert_eq!(here, there);
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_address_follows_and_going_back_to_a_demo_shortens_it() {
    browse(async |page| {
        page.open("#1;d=sleeve").await;
        page.idle().await;
        let title = page.driver().title().await.unwrap();
        let sleeve = demo::find("sleeve").unwrap().scenario();
        assert!(title.starts_with(&sleeve.name), "{title}");
        page.fill(MELT, "158").await;
        page.wait_until("location.hash === '#2;d=sleeve;T=158'", crate::harness::READY).await;

        page.choose("#demo", "guide").await;
        page.wait_until("location.hash === '#2;d=guide'", crate::harness::READY).await;
        page.idle().await;
        // The one change is not lost for a press of a key.
        page.press(".notice .row button").await;
        page.idle().await;
        assert_eq!(page.value(MELT).await, "158");

        // A browser that does not let the page at the clipboard.
        page.js("navigator.clipboard.writeText = () => Promise.reject(new Error('no'))").await;
        page.press("#copy-link").await;
        page.wait_until("!document.querySelector('#link-text').hidden", crate::harness::READY).await;
        let link = page.value("#link-text").await;
        assert!(link.ends_with("#2;d=sleeve;T=158"), "{link}");
    });
}

/// A link of version 1 opens with its inputs. It is said that it was made with an earlier model, which of its numbers are
/// no longer used and which limits are new. Each limit says what it rests on.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_link_of_an_earlier_version_is_named() {
    browse(async |page| {
        page.open("#1;d=hinge;T=168;db=9").await;
        page.idle().await;
        assert_eq!(page.value(MELT).await, "168");
        let notice = page.text(".notice[data-kind=\"earlier\"]").await;
        for words in
            ["earlier model", "Reserve below burning", "New limits apply too: unmelted", "small shot"]
        {
            assert!(notice.contains(words), "{words}: {notice}");
        }
        let limit =
            async |name: &str| page.texts(&format!("#margin-list li[data-limit={name}]")).await.remove(0);
        let stiff = limit("stiff_gate").await;
        assert!(
            stiff.contains("Rests on habit of the trade: 1000 Pa·s is") && !stiff.contains("New"),
            "{stiff}"
        );
        let melted = limit("melted").await;
        assert!(melted.contains("Rests on physics") && melted.contains("New since version 2"), "{melted}");
        page.follow("2;d=hinge;T=169").await;
        page.idle().await;
        let melted = limit("melted").await;
        assert!(melted.contains("Rests on physics") && !melted.contains("New"), "of today: {melted}");
        assert_eq!(page.texts(".notice").await, [""; 0], "of today");
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_broken_link_says_in_words_what_is_wrong_and_opens() {
    browse(async |page| {
        // Loaded so, and followed on an open page.
        page.open("#1;d=hinge;zz=3;T=168").await;
        page.idle().await;
        complains(page, &["zz", "not a key"]).await;
        assert_eq!(page.value(MELT).await, "168", "the rest is open");

        let unknown: String = (0..60).map(|i| format!(";zz{i}=3")).collect();
        page.follow(&format!("1;d=hinge;T=168{unknown}")).await;
        complains(page, &["Some of this link", "and 48 more"]).await;
        page.follow("1;d=hinge;T=abc;phi=xx").await;
        complains(page, &["Only the name of the demo", "165 °C of the demo stands in its place"]).await;

        let long = format!("1;name={}", "x".repeat(link::MAX_LINK_BYTES));
        for (fragment, words) in [
            ("1;d=hinge;Tw=hot", &["Mould temperature", "hot", "°C"][..]),
            ("1;d=hinge;T=9999", &["Melt temperature", "9999", "20 to 450 °C"]),
            ("1;d=hinge;T=NaN", &["Melt temperature", "NaN"]),
            ("1;d=hinge;xf=7", &["Horizontal axis, to is 4", "7"]),
            ("1;d=hinge;c2.h=-1", &["Passage 3", "-1", "mm"]),
            ("7;d=hinge", &["7", "version"]),
            ("1;d=anvil", &["anvil", "is not known here"]),
            ("1;d=hinge;c=[]", &["passage"]),
            ("1;d=hinge;name=%ff", &["not readable"]),
            ("%%%", &["%%%"]),
            (&long, &["bytes"]),
        ] {
            page.follow(fragment).await;
            complains(page, words).await;
            let problems = page.texts("#trouble li").await;
            assert_eq!(problems, [""; 0], "{fragment:.40}");
            assert_eq!(page.value(TIME).await, "0.4", "{fragment:.40}");
        }

        page.follow("1;d=guide").await;
        assert_eq!(page.texts(".notice").await, [""; 0], "a good link ends the complaint");
        page.assert_clean_console().await;
    });
}

async fn complains(page: &Page, words: &[&str]) {
    let notice = page.text(".notice[data-kind=\"link\"]").await;
    let begins = [
        "Some of this link could not be read.",
        "Only the name of the demo in this link could be read.",
        "Nothing in this link could be read.",
    ];
    assert!(begins.iter().any(|words| notice.starts_with(words)), "{notice}");
    for word in words {
        assert!(notice.contains(word), "{word:?} is not in: {notice}");
    }
    let ready = page.js("return document.documentElement.dataset.ready").await;
    assert_eq!(ready, "true");
    assert!(page.number("fill.nozzle_pressure_mpa").await > 0.0);
}

/// Every demo opens by its link as it stands in the program.
#[test]
#[ignore = "run by cargo xtask test"]
fn the_page_writes_links_as_the_program_does() {
    browse(async |page| {
        let mut scenario: Scenario = demo::default_demo().scenario();
        scenario.name = "<i>“ü” 100 %</i>".to_owned();
        scenario.setup.melt_temperature = 160.123456789;
        scenario.machine.max_pressure = 1.0 / 3.0 * 200.0;
        // The second one is so long that it is packed.
        for (again, notes) in [("", String::new()), ("?again", "Gate at the thick end. ".repeat(20))] {
            scenario.notes = notes;
            let fragment = link::encode(&scenario);
            assert!(fragment.starts_with(if again.is_empty() { "2;" } else { "3;" }), "{fragment}");
            page.open(&format!("{again}#{fragment}")).await;
            page.idle().await;
            let copied = copied(page).await;
            assert_eq!(copied.split_once('#').unwrap().1, fragment);
        }
    });
}
