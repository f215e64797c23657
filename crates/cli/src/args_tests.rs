//! Tests of [`crate::args`].

use super::*;

fn parsed(args: &[&str]) -> Result<Command, Failure> {
    parse(["gatefrost"].iter().chain(args).map(OsString::from))
}

#[test]
fn the_grammar_does_not_contradict_itself() {
    grammar().debug_assert();
}

#[test]
fn options_may_stand_on_either_side_of_the_file() {
    let wanted = Command::Window {
        file: File { source: Source::File("a.json".into()) },
        coarse: true,
        beside: Some(Source::File("c.json".into())),
        svg: Some("b.svg".into()),
    };
    let other = "--beside=c.json";
    assert_eq!(parsed(&["window", "a.json", "--coarse", other, "--svg", "b.svg"]).as_ref(), Ok(&wanted));
    assert_eq!(parsed(&["window", "--svg=b.svg", other, "--coarse", "a.json"]).as_ref(), Ok(&wanted));
    let stdin = || File { source: Source::Stdin };
    assert_eq!(parsed(&["report", "-"]), Ok(Command::Report { file: stdin(), lines: false }));
    assert_eq!(parsed(&["hold", "--csv", "-"]), Ok(Command::Hold { file: stdin(), csv: true }));
}

#[test]
fn a_wrong_number_is_refused_with_its_option_and_what_is_accepted() {
    let refused = |args: &[&str]| match parsed(args) {
        Err(Failure::Usage(message)) => message,
        other => panic!("{other:?}"),
    };
    let said = refused(&["critical", "a", "--powder-density", "7.9"]);
    for word in ["7.9", "--powder-density", "accepted is a number", "kg/m³"] {
        assert!(said.contains(word), "{said}");
    }
    let said = refused(&["fit", "a", "--law", "newton"]);
    assert!(said.contains("newton") && said.contains("cross_wlf"), "{said}");
    let said = refused(&["critical", "a", "--exponent", "two"]);
    assert!(said.contains("or free"), "{said}");
    assert_eq!(refused(&["\u{1b}[2J"]).find('\u{1b}'), None);
}

#[test]
fn help_and_version_are_no_failures_of_the_user() {
    for args in [&["--help"] as &[&str], &["report", "--help"], &["--version"], &["-V"]] {
        assert!(matches!(parsed(args), Err(Failure::Shown(_))), "{args:?}");
    }
}

#[test]
fn wrong_calls_are_refused() {
    for args in [
        &[] as &[&str],
        &["bake"],
        &["report"],
        &["report", "a", "b"],
        &["report", "a", "--coarse"],
        &["window", "a", "--svg"],
        &["window", "-", "--beside", "-"],
        &["moments"],
        &["moments", "a", "--coarse"],
        &["hold", "a", "b"],
        &["report", "a", "--csv"],
        &["demo", "hinge", "--list"],
        &["parameters", "x"],
        &["open"],
        &["--loud"],
        &["recipe"],
        &["recipe", "a", "--example", "hinge"],
        &["recipe", "--list", "--feedstock"],
        &["recipe", "--list", "--example", "hinge"],
        &["start"],
        &["start", "ring", "--list"],
        &["fit"],
        &["fit", "a", "--law", "power_law", "--free-a2"],
        &["fit", "a", "--apply", "b"],
        &["fit", "a", "--loading", "58"],
        &["fit", "a", "--scenario", "b", "--loading", "0.58x"],
        &["fit", "a", "--scenario", "b", "--loading", "90"],
        &["fit", "a", "--d2", "9999"],
        &["fit", "a", "--law", "power_law", "--transition", "2"],
        &["fit", "-", "--scenario", "-"],
        &["critical"],
        &["critical", "a", "--exponent", "nan"],
    ] {
        assert!(matches!(parsed(args), Err(Failure::Usage(_))), "{args:?}");
    }
}
