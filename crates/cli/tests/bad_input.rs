//! Bad input ends with exit code 1 and a line that names the field, its value and what is accepted.

mod common;

use common::{demo, program, put, run, run_on};
use serde_json::{Value, json};
use std::process::Stdio;

/// Refuses a document; returns what was said.
fn refused(text: &[u8]) -> String {
    let run = run_on(&["report", "-"], text);
    assert_eq!(run.code, 1, "{}", run.err);
    assert!(run.out.is_empty(), "nothing on standard output");
    assert!(!run.err.contains("panicked"), "{}", run.err);
    run.err
}

/// Refuses the demo with one value changed.
fn refused_with(pointer: &str, value: Value) -> String {
    let mut document = demo();
    put(&mut document, pointer, value);
    refused(document.to_string().as_bytes())
}

#[test]
fn numbers_out_of_range_are_named_with_value_and_range() {
    let strip = "/cavity/passages/2/form/strip";
    for (pointer, value, shown, range) in [
        ("/setup/melt_temperature".to_owned(), json!(-5), "-5", "20 to 450 °C"),
        ("/setup/injection_time".to_owned(), json!(0), "0", "0.005 to 120 s"),
        ("/setup/contact_conductance".to_owned(), json!(1e9), "1e9", "10 to 1e7 W/m²K"),
        (format!("{strip}/length"), json!(0), "0", "0.01 to 5000 mm"),
        (format!("{strip}/length"), json!(-3.5), "-3.5", "0.01 to 5000 mm"),
        (format!("{strip}/thickness"), json!(0), "0", "0.05 to 50 mm"),
        (format!("{strip}/width"), json!(0), "0", "0.05 to 5000 mm"),
        (format!("{strip}/width"), json!(4e9), "4e9", "0.05 to 5000 mm"),
        ("/cavity/passages/2/copies".to_owned(), json!(0), "0", "1 to 256"),
        ("/model/axial_cells".to_owned(), json!(1_000_000), "1000000", "4 to 600"),
        ("/model/layers".to_owned(), json!(100_000), "100000", "4 to 120"),
        ("/feedstock/critical_loading".to_owned(), json!(100), "100", "20 to 90 vol%"),
        ("/machine/max_pressure".to_owned(), json!(1e300), "1e300", "0.01 to 400 MPa"),
    ] {
        let field = pointer[1..].replace('/', ".");
        let said = refused_with(&pointer, value);
        assert_eq!(said.lines().count(), 1, "{said}");
        for part in [field.as_str(), shown, range] {
            assert!(said.contains(part), "{part:?} is not in {said:?}");
        }
    }
}

#[test]
fn a_tree_that_does_not_hang_together_says_where() {
    for (pointer, value, words) in [
        ("/cavity/passages/2/after", json!("nowhere"), "stands before this one"),
        ("/cavity/passages/1/after", json!("ear"), "stands before this one"),
        ("/cavity/passages/4/meets", json!("nowhere"), "the name of another passage"),
        ("/cavity/passages/4/meets", json!("sprue"), "only ends of flow can meet"),
    ] {
        let said = refused_with(pointer, value);
        let field = pointer[1..].replace('/', ".");
        assert!(said.contains(&field) && said.contains(words), "{said}");
    }
    let step = |pressure: f64| json!({ "pressure": pressure, "time": 1 });
    let said = refused_with("/setup/further_hold", json!([step(20.0), step(900.0)]));
    for part in ["setup.further_hold.1.pressure", "900", "0 to 400 MPa"] {
        assert!(said.contains(part), "{part:?} is not in {said:?}");
    }
    let said = refused_with("/setup/further_hold", json!(vec![step(20.0); 9]));
    assert!(said.contains("setup.further_hold") && said.contains("has 9 steps; at most 8"), "{said}");
    let said = refused_with("/feedstock/pvt", json!({ "tait": { "b5": 60 } }));
    assert!(said.contains("is missing; accepted is a number"), "{said}");
}

#[test]
fn every_problem_has_its_own_line() {
    let mut document = demo();
    put(&mut document, "/setup/melt_temperature", json!(-5));
    put(&mut document, "/setup/hold_time", json!(-1));
    put(&mut document, "/machine/clamp_force", json!(0));
    let said = refused(document.to_string().as_bytes());
    let lines: Vec<&str> = said.lines().collect();
    assert_eq!(lines.len(), 3, "{said}");
    for (line, field) in
        lines.iter().zip(["machine.clamp_force", "setup.melt_temperature", "setup.hold_time"])
    {
        assert!(line.contains(field), "{field}: {line}");
    }
}

#[test]
fn what_is_no_number_is_named_with_its_text_and_range() {
    let text = demo().to_string();
    for wrong in ["NaN", "nan", "Infinity", "-Infinity", "1e999", "-1e999", "null", "\"hot\"", "true"] {
        let new = format!("\"melt_temperature\":{wrong}");
        let changed = text.replacen("\"melt_temperature\":165.0", &new, 1);
        assert_ne!(changed, text);
        let said = refused(changed.as_bytes());
        for part in ["setup.melt_temperature", &format!(" {wrong};"), "20 to 450 °C"] {
            assert!(said.contains(part), "{part:?} is not in {said:?}");
        }
    }
    let listed = text.replacen("\"melt_temperature\":165.0", "\"melt_temperature\":[165]", 1);
    assert!(refused(listed.as_bytes()).contains("20 to 450 °C"));
    for (wrong, shown) in [
        (json!(2.5), "2.5"),
        (json!(-1), "-1"),
        (json!(1_000_000_000_000_u64), "1e12"),
        (json!(null), "null"),
    ] {
        let said = refused_with("/cavity/passages/2/copies", wrong);
        for part in ["cavity.passages.2.copies", &format!(" {shown};"), "whole number, 1 to 256"] {
            assert!(said.contains(part), "{part:?} is not in {said:?}");
        }
    }
}

#[test]
fn unknown_and_missing_fields_are_named() {
    for pointer in
        ["/colour", "/setup/colour", "/feedstock/flow_law/cross_wlf/colour", "/cavity/passages/0/colour"]
    {
        let said = refused_with(pointer, json!(1));
        let field = pointer[1..].replace('/', ".");
        assert!(said.contains(&field) && said.contains("is not known"), "{said}");
    }
    let mut document = demo();
    document.as_object_mut().expect("an object").remove("cavity");
    assert!(refused(document.to_string().as_bytes()).contains("cavity"));
    assert!(
        refused_with("/cavity/passages/2/form", json!({ "cone": {} }))
            .contains("\"cone\"; accepted is one of tube, strip, disc")
    );
    assert!(refused_with("/gatefrost", json!(3)).contains("is 3; accepted is 1 to 2"));
}

#[test]
fn rules_between_fields_name_both() {
    let said = refused_with("/feedstock/solids_loading", json!(66));
    for part in ["feedstock.solids_loading", "66 vol%", "below the critical loading"] {
        assert!(said.contains(part), "{said}");
    }
    let said = refused_with("/setup/mould_temperature", json!(180));
    for part in ["setup.mould_temperature", "180 °C", "must not exceed the melt temperature, 165 °C"] {
        assert!(said.contains(part), "{said}");
    }
    let said = refused_with("/setup/melt_temperature", json!(60));
    for part in ["setup.melt_temperature", "60 °C", "no-flow temperature, 70 °C"] {
        assert!(said.contains(part), "{said}");
    }
}

#[test]
fn a_cavity_must_hold_a_part_and_not_too_much() {
    assert!(refused_with("/cavity/passages", json!([])).contains("The list of passages is empty"));
    let sprue = demo()["cavity"]["passages"][0].clone();
    assert!(refused_with("/cavity/passages", json!([sprue])).contains("role \"part\""));
    let many = vec![demo()["cavity"]["passages"][3].clone(); 1000];
    let said = refused_with("/cavity/passages", Value::Array(many));
    assert!(said.contains("1000 passages") && said.contains("at most 64"), "{said}");
    let disc = json!({ "disc": { "inner_radius": 5, "outer_radius": 5, "thickness": 1 } });
    let said = refused_with("/cavity/passages/3/form", disc);
    assert!(said.contains("cavity.passages.3.form.disc.outer_radius") && said.contains("5 mm"), "{said}");
}

#[test]
fn junk_of_every_kind_is_refused() {
    let binary: Vec<u8> = (0..=255).cycle().take(100_000).collect();
    let nested = "[".repeat(500_000);
    let nested_in_place = demo().to_string().replacen("165.0", &"[".repeat(500_000), 1);
    let objects = "{\"a\":".repeat(100_000);
    let digits = "1".repeat(1_000_000);
    let quoted = format!("{{\"gatefrost\":1,\"name\":\"{}\"}}", "x".repeat(900_000));
    for junk in [
        b"" as &[u8],
        b"{}",
        b"[]",
        b"null",
        b"{\"gatefrost\":1",
        b"\xff\xfe{\x00}\x00",
        &binary,
        nested.as_bytes(),
        nested_in_place.as_bytes(),
        objects.as_bytes(),
        digits.as_bytes(),
        quoted.as_bytes(),
    ] {
        let said = refused(junk);
        assert!(said.len() < 400, "{} bytes of complaint: {said}", said.len());
        for word in ["recursion", "column", "expected", "struct", "0.0.0"] {
            assert!(!said.contains(word), "{word} in {said}");
        }
    }
    let after = format!("{} {{}}", demo());
    assert!(refused(after.as_bytes()).contains("text follows after its end"));
}

#[test]
fn an_oversized_or_endless_input_is_refused_with_its_limit() {
    assert!(refused(&vec![b' '; 3 << 20]).contains("1048576 bytes"));
    if cfg!(unix) {
        let endless = run(&["report", "/dev/zero"]);
        assert_eq!(endless.code, 1);
        assert!(
            endless.err.contains("/dev/zero") && endless.err.contains("1048576 bytes"),
            "{}",
            endless.err
        );
    }
}

#[test]
fn a_file_that_is_not_there_is_named() {
    let missing = run(&["report", "no-such-file.json"]);
    assert_eq!(missing.code, 1);
    assert!(missing.err.contains("no-such-file.json"), "{}", missing.err);
    assert_eq!(run(&["window", "."]).code, 1);
}

#[test]
fn hostile_names_do_not_steer_the_terminal() {
    let said = refused_with("/\u{1b}[2J\u{202e}", json!(1));
    assert!(!said.contains('\u{1b}') && !said.contains('\u{202e}'), "{said:?}");
}

#[test]
fn a_closed_standard_error_is_survived() {
    // Standard error is a pipe whose reader is gone before the complaint comes.
    let mut child = program(&["report", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .expect("starts");
    drop(child.stderr.take());
    drop(child.stdin.take());
    assert_eq!(child.wait().expect("ends").code(), Some(1));
}
