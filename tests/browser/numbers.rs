//! The page and the command line give the same numbers for the same scenario.
//!
//! Both call `gatefrost_report::evaluate`; `gatefrost report` prints what it returns. Here the native
//! build of it stands for the command line. What is shown passes through text, so a tolerance is left.
//! The reports themselves are the same to the last bit, see `elementary` in the crate numerics.

use std::collections::BTreeMap;

use gatefrost_core::format;
use gatefrost_core::scenario::{Scenario, demo};
use gatefrost_tests::random::Random;
use serde_json::{Value, json};

use crate::harness::{Page, browse};

const TOLERANCE: f64 = 1e-7;

/// The number at a path of the report; NaN where it says that something never happens.
fn at(report: &Value, path: &str) -> f64 {
    let pointer = format!("/{}", path.replace('.', "/"));
    let found = report.pointer(&pointer);
    let found = found.unwrap_or_else(|| panic!("the report has no {path}"));
    found.as_f64().unwrap_or(f64::NAN)
}

/// Differences of larger numbers, such as a shrinkage, and closures have fewer digits: what is small
/// counts against one.
fn same(a: f64, b: f64) -> bool {
    a == b || (a.is_nan() && b.is_nan()) || (a - b).abs() <= TOLERANCE * a.abs().max(b.abs()).max(1.0)
}

/// Compares two reports leaf by leaf; counts the numbers.
fn compare(page: &Value, native: &Value, path: &str) -> usize {
    match (page, native) {
        (Value::Object(a), Value::Object(b)) => {
            assert_eq!(a.len(), b.len(), "{path}");
            let each = b.iter().map(|(name, b)| compare(&a[name], b, &format!("{path}.{name}")));
            each.sum()
        }
        (Value::Array(a), Value::Array(b)) => {
            assert_eq!(a.len(), b.len(), "{path}");
            let pairs = a.iter().zip(b).enumerate();
            pairs.map(|(i, (a, b))| compare(a, b, &format!("{path}.{i}"))).sum()
        }
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            // What is only rounding has no digits to compare: closures, a wall's distance from 0 °C.
            assert!(same(a, b), "{path}: {a} on the page, {b} here");
            1
        }
        _ => {
            assert_eq!(page, native, "{path}");
            0
        }
    }
}

/// The report that the page's core gives.
async fn in_the_page(page: &Page, scenario: &Scenario) -> Value {
    let script = "return import('gatefrost').then((core) => JSON.stringify(core.evaluate({ scenario: arguments[0] }).told))";
    // As text: a driver does not hand over every digit.
    let text = page.js_with(script, &[json!(scenario.to_json())]).await;
    floats(serde_json::from_str(text.as_str().unwrap()).unwrap())
}

/// A value with every number as a float: a script writes 1 for 1.0.
fn floats(value: Value) -> Value {
    match value {
        Value::Object(members) => members.into_iter().map(|(name, value)| (name, floats(value))).collect(),
        Value::Array(items) => items.into_iter().map(floats).collect(),
        Value::Number(number) => json!(number.as_f64()),
        other => other,
    }
}

async fn agrees(page: &Page, scenario: &Scenario) {
    let report = gatefrost_report::evaluate(scenario).unwrap();
    let report = serde_json::to_value(report).unwrap();
    // The page shows the study of the hold beside the report.
    let study = gatefrost_report::hold_study(scenario).unwrap();
    let mut computed = report.clone();
    computed["study"] = serde_json::to_value(study).unwrap();
    let shown = page.numbers().await;
    assert!(shown.len() >= 20, "{shown:?}");
    for (key, value) in &shown {
        let wanted = at(&computed, key);
        assert!(same(*value, wanted), "{key}: {value} on the page, {wanted} here");
        // And as it is written.
        let text = page.texts(&format!("[data-key=\"{key}\"]")).await.join("");
        let written = if wanted.is_nan() {
            text == "never" || text.starts_with("none")
        } else {
            let number = text.split(' ').next().unwrap_or_default().replace('−', "-");
            (3..=6).any(|digits| number == format::number(wanted, digits))
        };
        assert!(written, "{key} is written {text:?} for {wanted}");
    }

    let margins = page
        .js("return Object.fromEntries([...document.querySelectorAll('#margin-list li')]
                .map((li) => [li.dataset.limit, [Number(li.dataset.g), li.querySelector('p').textContent]]))")
        .await;
    let margins: BTreeMap<String, (f64, String)> = serde_json::from_value(margins).unwrap();
    let wanted = report["margins"].as_array().unwrap();
    assert_eq!(margins.len(), wanted.len());
    for margin in wanted {
        let (g, sentence) = &margins[margin["limit"].as_str().unwrap()];
        assert!(same(*g, margin["g"].as_f64().unwrap()), "{margin}: {g}");
        assert_eq!(sentence, margin["sentence"].as_str().unwrap());
    }
    let remarks = json!(page.texts("#remarks li").await);
    assert_eq!(remarks, report["remarks"]);

    // The whole report, of which the page shows a part.
    let whole = in_the_page(page, scenario).await;
    let count = compare(&whole, &report, "report");
    assert!(count > 500, "{count} numbers");
}

#[test]
#[ignore = "run by cargo xtask test"]
fn the_page_shows_what_the_command_line_prints() {
    browse(async |page| {
        for (i, demo) in demo::DEMOS.iter().enumerate() {
            let link = format!("1;d={}", demo.name);
            if i == 0 {
                page.open(&format!("#{link}")).await;
                page.idle().await;
            } else {
                page.follow(&link).await;
            }
            agrees(page, &demo.scenario()).await;
        }
        // Where the pressure runs out the fill is computed twice.
        let mut scenario = demo::default_demo().scenario();
        scenario.machine.max_pressure = 20.0;
        scenario.setup.hold_pressure = 15.0;
        page.follow(&gatefrost_core::scenario::link::encode(&scenario)).await;
        agrees(page, &scenario).await;
        page.assert_clean_console().await;
    });
}

/// Where fills stall, gates open again and numbers stand at their bounds, one bit can grow to per cents.
#[test]
#[ignore = "run by cargo xtask test"]
fn random_scenarios_give_the_same_numbers_in_the_page() {
    browse(async |page| {
        page.open("").await;
        page.idle().await;
        for (seed, wild) in [(41, 3), (42, 6), (43, 9)] {
            let mut random = Random::new(seed);
            let mut compared = 0;
            while compared < 20 {
                let Ok(scenario) = Scenario::from_json(&random.document(wild).to_string()) else { continue };
                let here = serde_json::to_value(gatefrost_report::evaluate(&scenario).unwrap()).unwrap();
                let here = floats(here);
                let there = in_the_page(page, &scenario).await;
                if there != here {
                    compare(&there, &here, "report");
                    panic!("differs by less than {TOLERANCE}: {}", scenario.to_json());
                }
                compared += 1;
            }
        }
    });
}
