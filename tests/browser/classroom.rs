//! The classroom: the way of a student, and that of a lecturer with a class of two hundred.

use crate::harness::{Page, READY, browse};
use gatefrost_classroom::draw::StudentId;
use gatefrost_classroom::exercises;
use gatefrost_classroom::slip::Slip;
use serde_json::json;
use thirtyfour::Key;

/// Opens the page for a student.
pub async fn open(page: &Page, id: &str) {
    page.open("classroom.html").await;
    if !id.is_empty() {
        page.fill("#student", id).await;
    }
}

/// Presses the first button with these words.
pub async fn press(page: &Page, words: &str) {
    let script = "const found = [...document.querySelectorAll('button')].filter((b) => b.textContent === arguments[0] && b.checkVisibility())[0]; \
        if (!found) return false; found.click(); return true";
    assert_eq!(page.js_with(script, &[json!(words)]).await, json!(true), "no button {words}");
}

fn answers(exercise: &str, id: &str) -> Vec<(f64, String)> {
    let id = StudentId::read(id).unwrap();
    exercises::find(exercise)
        .unwrap()
        .key(&id)
        .into_iter()
        .map(|(value, unit)| (value.parse().unwrap(), unit))
        .collect()
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_student_works_an_exercise_to_its_end_and_hands_it_in() {
    browse(async |page| {
        open(page, "").await;
        assert!(page.text("#exercise-list").await.contains("Type your name or number first"));
        page.fill("#student", " Ada  LOVELACE ").await;
        press(page, "How fast the melt is sheared in a gate").await;
        let [(rate, _), (speed, _)] = &answers("gate", "ada lovelace")[..] else { panic!("two answers") };
        // A wrong way is named, a hint is opened.
        page.fill("#answer-1", &format!("{:.4e} 1/s", 4.0 * rate)).await;
        page.js("document.querySelector('#answer-1').form.requestSubmit()").await;
        assert!(page.text("#answer-1-verdict").await.contains("Half the depth was taken for the depth"));
        press(page, "Open hint 1 of 2").await;
        assert!(page.text(".hints").await.contains("6 Q/(w h²)"));
        // Right with a comma, then without its unit.
        page.fill("#answer-1", &format!("{:.4e} 1/s", rate).replace('.', ",")).await;
        page.js("document.querySelector('#answer-1').form.requestSubmit()").await;
        assert!(page.text("#answer-1-verdict").await.starts_with("100 of 100"));
        page.fill("#answer-2", &format!("{speed:.3}")).await;
        page.js("document.querySelector('#answer-2').form.requestSubmit()").await;
        assert!(page.text("#answer-2-verdict").await.contains("The unit is missing"));
        page.fill("#answer-2", &format!("{:.1} mm/s", 1000.0 * speed)).await;
        page.js("document.querySelector('#answer-2').form.requestSubmit()").await;
        assert!(page.text("#answer-2-verdict").await.starts_with("100 of 100"));
        press(page, "Show the solution").await;
        assert!(page.text(".solution").await.contains("own function gives"));
        // What was done is there after a reload, and on the slip.
        page.reload().await;
        assert!(page.text("#exercise-list").await.contains("100 of 100"));
        let slip = page.js("return document.querySelector('#slips').value").await;
        assert!(slip.as_str().unwrap().starts_with("GF1 | ada lovelace | gate/1 | hints 1 | "), "{slip}");
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_solver_stands_beside_an_estimate_by_hand() {
    browse(async |page| {
        open(page, "s001").await;
        press(page, "Shear rate and pressure in a runner").await;
        press(page, "Compute it with the solver").await;
        page.wait_until("document.querySelector('.beside strong')", READY).await;
        let told = page.text(".beside strong").await;
        let solver: f64 = told.strip_suffix(" MPa").unwrap().parse().unwrap();
        let by_hand = answers("runner", "s001")[2].0;
        // The same pressure within the heat and the frozen layer that the estimate leaves out.
        assert!((0.4..2.5).contains(&(solver / by_hand)), "{solver} against {by_hand}");
        page.assert_clean_console().await;
    });
}

#[test]
#[ignore = "run by cargo xtask test"]
fn a_lecturer_judges_two_hundred_slips() {
    browse(async |page| {
        let exercise = exercises::find("gate").unwrap();
        let slips = (1..=200).map(|k| {
            let id = StudentId::read(&format!("s{k:03}")).unwrap();
            let told = exercise.key(&id).into_iter();
            let answers = told.map(|(value, unit)| {
                let value: f64 = value.parse().unwrap();
                if k % 4 == 0 { format!("{value:.3e}") } else { format!("{value:.3e} {unit}") }
            });
            Slip { answers: answers.collect(), hints: 0, solved: false, exercise, id }.write()
        });
        let text =
            slips.chain(["GF1 | <b>x</b> | gate/1 | hints 0 | 1 | 2 | 0000".to_owned()]).collect::<Vec<_>>();
        open(page, "").await;
        page.js_with("document.querySelector('#handed-in').value = arguments[0]", &[json!(text.join("\n"))])
            .await;
        page.js("document.querySelector('#check-slips').click()").await;
        page.wait_until("document.querySelector('#class table')", READY).await;
        let class = page.text("#class").await;
        assert!(class.contains("Line 201: This line was changed or cut off"), "{class}");
        assert_eq!(
            page.js("return document.querySelectorAll('#class table')[0].rows.length").await,
            json!(201)
        );
        assert!(class.contains("The unit is missing"), "{class}");
        // Markup of a slip stays text.
        assert_eq!(page.js("return document.querySelectorAll('#class b').length").await, json!(0));
        page.assert_clean_console().await;
    });
}

/// What another page of the same address left in the store does no harm.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_poisoned_store_is_passed_over() {
    browse(async |page| {
        open(page, "s001").await;
        for poison in [
            "[1]",
            "{\"id\":5,\"kept\":{}}",
            "{\"id\":\"s001\",\"kept\":[[\"s001\",{\"gate/1\":{\"answers\":7,\"points\":[1e9],\"hints\":-1}}],null]}",
            "<",
        ] {
            page.js_with("localStorage.setItem('gatefrost.classroom', arguments[0])", &[json!(poison)]).await;
            page.reload().await;
            assert!(!page.text("#exercise-list").await.is_empty(), "{poison}");
        }
        page.fill("#student", "e\u{301}\u{202e}x").await;
        page.assert_clean_console().await;
    });
}

const BUSY: &str =
    "document.documentElement.dataset.busy === 'false' && !document.querySelector('.hall img').hidden";

async fn key(page: &Page, key: impl Into<thirtyfour::TypingData>) {
    page.find("body").await.send_keys(key).await.unwrap();
    page.frames().await;
    page.wait_until(BUSY, READY).await;
}

/// The last number of a text.
fn number(told: &str) -> f64 {
    let mut numbers = told.split(' ').filter_map(|word| word.trim_end_matches('.').parse().ok());
    numbers.next_back().unwrap_or_else(|| panic!("no number in {told}"))
}

/// Demonstrations in the hall go by keys alone, and the solver's numbers follow the control.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_lecturer_shows_the_six_demonstrations_by_keys() {
    browse(async |page| {
        page.open("classroom.html#hall").await;
        page.wait_until(BUSY, READY).await;
        let told = async || number(&page.text(".hall .told").await);
        // More powder needs more pressure, without end towards the critical loading.
        let before = told().await;
        key(page, Key::End).await;
        assert!(told().await > 5.0 * before, "{before}");
        // A deeper gate freezes later: more mass.
        key(page, Key::PageDown).await;
        let mass = async || number(page.text(".hall .told").await.split(" g ").next().unwrap());
        key(page, Key::Home).await;
        let shallow = mass().await;
        key(page, Key::End).await;
        assert!(mass().await > shallow);
        // Faster is hotter.
        key(page, "3").await;
        let degrees = async || number(page.text(".hall .told").await.trim_end_matches(" °C"));
        key(page, Key::End).await;
        let slow = degrees().await;
        key(page, Key::Home).await;
        assert!(degrees().await > 210.0 && slow < 170.0);
        // The mass stops growing.
        key(page, "4").await;
        let mass = async || number(page.text(".hall .told").await.trim_end_matches(" g"));
        let short = mass().await;
        key(page, Key::End).await;
        let long = mass().await;
        key(page, Key::Left).await;
        assert!(long > short && (mass().await - long).abs() < 1e-3 * long);
        // A thin wall closes the window.
        key(page, "5").await;
        let open = number(page.text(".hall .told").await.split(" %").next().unwrap());
        key(page, Key::Home).await;
        let thin = page.text(".hall .told").await;
        let thin = thin.split(" %").next().unwrap().parse().unwrap_or(0.0);
        assert!(open > 5.0 && thin < 0.5 * open, "{open}, {thin}");
        key(page, "6").await;
        key(page, Key::Home).await;
        assert!(page.text(".hall .told").await.contains("Inside the wall the gas is"));
        assert_eq!(page.js("return location.hash").await, json!("#hall-6"));
        // Who comes back has the page.
        page.find("body").await.send_keys(Key::Escape).await.unwrap();
        page.wait_until(
            "!document.querySelector('#hall') && document.querySelector('#who').checkVisibility()",
            READY,
        )
        .await;
        page.assert_clean_console().await;
    });
}

/// Readings of a class stand beside the model; what is no reading is named.
#[test]
#[ignore = "run by cargo xtask test"]
fn a_class_compares_its_readings_with_the_model() {
    browse(async |page| {
        open(page, "").await;
        press(page, "Compare own readings").await;
        page.wait_until("document.querySelector('#own-compare')", READY).await;
        let compare = async |kind: &str, table: &str| {
            page.js_with(
                "const kind = document.querySelector('#own-kind'); kind.value = arguments[0]; kind.dispatchEvent(new Event('change')); \
                document.querySelector('#own-table').value = arguments[1]; document.querySelector('#own-compare').click()",
                &[json!(kind), json!(table)],
            )
            .await;
            page.idle().await;
        };
        // Weighings that are one per cent above what the solver says of the first demo.
        let scenario = gatefrost_core::scenario::demo::find("hinge").unwrap().scenario();
        let rows = [0.5, 1.0, 2.5].map(|hold| {
            let mut held = scenario.clone();
            held.setup.hold_time = hold;
            let mass = gatefrost_report::evaluate(&held).unwrap().hold.unwrap().part_mass_g;
            format!("{hold}\t{}", 1.01 * mass)
        });
        compare("hold", &rows.join("\n")).await;
        let said = page.text("#own-parts").await;
        assert!(said.contains("on average 101 % of the model"), "{said}");
        assert_eq!(page.js("return document.querySelectorAll('#own-found img').length").await, json!(1));
        compare("viscosity", "165 100 740\n165 1000 200\n140 1000 250").await;
        assert!(page.text("#own-parts").await.contains("of the model"));
        assert!(
            page.js("return document.querySelectorAll('#own-found tbody tr').length").await.as_u64()
                > Some(6)
        );
        compare("hold", "0.5 3.7\n<b>x</b> 3").await;
        assert!(page.text("#notices").await.contains("line 2"));
        compare("hold", "0.5 3.7\n1e6 3").await;
        assert!(page.text("#notices").await.contains("must be from"));
        page.fill("#own-link", "https://example.org/#2;x=<b>").await;
        compare("hold", "0.5 3.7\n1 3.8").await;
        assert!(page.text("#notices").await.contains("the link cannot be read"));
        assert_eq!(page.js("return document.querySelectorAll('main b, #notices b').length").await, json!(0));
        page.assert_clean_console().await;
    });
}

/// The data of an exercise are a figure where that helps, and its solution shows what they mean; on paper, too.
#[test]
#[ignore = "run by cargo xtask test"]
fn exercises_have_figures_on_the_screen_and_on_paper() {
    browse(async |page| {
        open(page, "s001").await;
        press(page, "The flow constants from readings").await;
        page.wait_until("document.querySelector('.chart img')?.naturalWidth > 0", READY).await;
        assert_eq!(page.js("return document.querySelectorAll('.chart').length").await, json!(1));
        press(page, "Give up and show the solution").await;
        page.wait_until("document.querySelector('.solution .chart img')?.naturalWidth > 0", READY).await;
        page.js("window.print = () => { window.printed = true }").await;
        press(page, "Print with solutions").await;
        page.wait_until("window.printed", READY).await;
        let figures = page.js("return document.querySelectorAll('#worksheets .chart img').length").await;
        // Three students; two figures with tasks, six with solutions.
        assert_eq!(figures, json!(24));
        page.assert_clean_console().await;
    });
}
