//! What is said of bad input: the field by its name, the value, what is accepted; short, and in the words of
//! the trade.

use gatefrost_core::catalogue::{self, Parameter};
use gatefrost_core::naming;
use gatefrost_core::scenario::{
    BinderComponent, DebindingStep, Dimension, FlowLawKind, Form, HoldStep, Leaves, MeltingPeak, Problem,
    PvtLaw, RamStep, Scenario, Shot, TaitConstants, demo, link,
};
use gatefrost_core::uncertainty::{Doubt, Uncertainty};
use gatefrost_laboratory::recipe::{EXAMPLES, Recipe};
use gatefrost_laboratory::{critical, rheometry};
use serde_json::{Value, json};

/// Words of programmers, which no message may hold.
const FORBIDDEN: [&str; 17] = [
    "enum",
    "struct",
    "variant",
    "serde",
    "recursion",
    "expected",
    "column 1",
    "line 1 column",
    "invalid type",
    "invalid length",
    "unknown field",
    "missing field",
    "EOF",
    "identifier",
    "Option",
    "f64",
    "`",
];

/// Longest message, in characters; of one that lists the columns of a table.
const LONGEST: usize = 300;
const LONGEST_OF_COLUMNS: usize = 400;

fn assert_readable(message: &str, about: &str) {
    let most = if message.contains("Columns are missing") { LONGEST_OF_COLUMNS } else { LONGEST };
    for word in FORBIDDEN {
        assert!(!message.contains(word), "{about}: {word:?} in {message}");
    }
    let length = message.chars().count();
    assert!(length <= most, "{about}: {length} characters: {message}");
    assert!(
        message.starts_with(|c: char| !c.is_whitespace()) && !message.ends_with(' '),
        "{about}: {message:?}"
    );
}

/// Scenarios that hold a value at every path that a document may have.
fn documents() -> Vec<Value> {
    let mut full = demo::find("yoke").expect("a demo").scenario();
    full.feedstock.pvt = PvtLaw::Tait(TaitConstants::default());
    full.setup.further_hold = vec![HoldStep::default()];
    full.setup.ram = vec![RamStep { share: 100.0, ..RamStep::default() }];
    full.feedstock.further_melting = vec![MeltingPeak::default()];
    full.sizes.dimensions = vec![Dimension::default()];
    full.shots = vec![Shot::default()];
    full.debinding.parts =
        vec![BinderComponent { share: 100.0, leaves: Leaves::Solvent, ..BinderComponent::default() }];
    full.debinding.parts.push(BinderComponent {
        share: 0.1,
        leaves: Leaves::Catalyst,
        ..BinderComponent::default()
    });
    full.debinding.steps =
        ["bath", "catalytic", "thermal"].map(|name| DebindingStep::named(name).expect("a step")).to_vec();
    full.ignored = vec![gatefrost_core::limits::Limit::Sink];
    let path = "feedstock.particle_size".to_owned();
    let numbers = vec![Doubt { path, standard_error: 0.1, logarithmic: true }];
    full.feedstock.uncertainty = Some(Uncertainty { numbers, correlation: vec![vec![1.0]] });
    let forms = ["tube", "strip", "disc"];
    FlowLawKind::ALL
        .iter()
        .zip(forms.iter().cycle())
        .map(|(law, form)| {
            let mut scenario = full.clone();
            scenario.feedstock.flow_law = law.usual();
            scenario.cavity.passages[0].form = Form::named(form).expect("a shape");
            serde_json::to_value(scenario).expect("a document")
        })
        .collect()
}

/// Every path of a document, those of lists and objects as well.
fn paths(value: &Value, at: &str, all: &mut Vec<String>) {
    all.push(at.to_owned());
    let mut deeper = |name: &str, child: &Value| {
        let path = if at.is_empty() { name.to_owned() } else { format!("{at}.{name}") };
        paths(child, &path, all);
    };
    match value {
        Value::Object(fields) => fields.iter().for_each(|(name, child)| deeper(name, child)),
        Value::Array(list) => list.iter().enumerate().for_each(|(i, child)| deeper(&i.to_string(), child)),
        _ => {}
    }
}

fn pointer(path: &str) -> String {
    if path.is_empty() { String::new() } else { format!("/{}", path.replace('.', "/")) }
}

fn wrong_things() -> Vec<Value> {
    let long = "x".repeat(5000);
    let mut deep = json!(1);
    for _ in 0..100 {
        deep = json!([deep]);
    }
    vec![
        json!(null),
        json!(true),
        json!(-1e300),
        json!(1.5),
        json!(""),
        json!(long),
        json!([]),
        json!({}),
        deep,
    ]
}

fn problems_of(text: &str) -> Vec<Problem> {
    Scenario::from_json(text).err().map_or_else(Vec::new, |refused| refused.problems)
}

/// What a message must name of a number, and of a word.
fn names_what_is_accepted(problem: &Problem, about: &str) {
    let title = naming::title(&problem.path);
    if let Some(title) = title {
        assert!(problem.message.starts_with(title), "{about}: {title} in {}", problem.message);
    }
    let says = [
        "accepted",
        "must",
        "only ends",
        "one other end only",
        "at most",
        "at least",
        "does not flow",
        "reaches",
        "is missing",
        "no part",
    ];
    assert!(says.iter().any(|words| problem.message.contains(words)), "{about}: {}", problem.message);
}

#[test]
fn a_wrong_thing_at_any_path_of_a_scenario_is_named_with_what_is_accepted() {
    let mut seen = 0;
    for document in documents() {
        let mut all = Vec::new();
        paths(&document, "", &mut all);
        for path in &all {
            for wrong in wrong_things() {
                let mut broken = document.clone();
                *broken.pointer_mut(&pointer(path)).expect("a place") = wrong.clone();
                for problem in problems_of(&broken.to_string()) {
                    let about = format!("{path} = {wrong:.60}");
                    assert_readable(&problem.message, &about);
                    names_what_is_accepted(&problem, &about);
                    seen += 1;
                    // Where a number should stand, its range is told.
                    if let Some(p) = catalogue::at(path).filter(|_| problem.path == *path)
                        && (!wrong.is_number() || !p.accepts(wrong.as_f64().unwrap_or_default()))
                    {
                        assert!(problem.message.contains(&p.range_text()), "{about}: {}", problem.message);
                    }
                }
            }
        }
    }
    assert!(seen > 3000, "{seen} messages");
}

#[test]
fn every_number_of_the_catalogue_is_walked() {
    let mut walked = Vec::new();
    for document in documents() {
        paths(&document, "", &mut walked);
    }
    for p in catalogue::all() {
        let found = walked.iter().any(|path| catalogue::at(path).is_some_and(|q| q.path() == p.path()));
        assert!(found, "{}", p.path());
    }
}

#[test]
fn a_word_that_is_none_of_the_choices_is_told_them() {
    let laws: Vec<&str> = FlowLawKind::ALL.iter().map(|kind| kind.name()).collect();
    let laws = laws.join(", ");
    for (at, choices) in [
        ("/feedstock/loading_law", "power, krieger_dougherty, eilers, chong, quemada, mooney"),
        ("/feedstock/conductivity_rule", "maxwell_eucken"),
        ("/feedstock/flow_law", laws.as_str()),
        ("/feedstock/pvt", "linear, tait"),
        ("/cavity/passages/0/role", "sprue, runner, gate, part"),
        ("/cavity/passages/0/lies", "across, along"),
        ("/cavity/passages/0/form", "tube, strip, disc"),
        ("/window/x/axis", "melt_temperature"),
        // Too many to be listed.
        ("/ignored/0", "words; the nearest is "),
    ] {
        for wrong in
            [json!("x".repeat(5000)), json!("Power"), json!(0), json!([1]), json!({ "a": 1, "b": 2 })]
        {
            let mut document = documents().swap_remove(0);
            *document.pointer_mut(at).expect("a place") = wrong;
            let problems = problems_of(&document.to_string());
            let [problem] = problems.as_slice() else { panic!("{at}: {problems:?}") };
            assert_eq!(problem.path, at[1..].replace('/', "."));
            assert!(problem.message.contains(choices), "{at}: {}", problem.message);
            assert_readable(&problem.message, at);
        }
    }
}

/// Messages are sentences of what was written: the word that stands there, how many there are, the field by its name.
#[test]
fn a_message_says_what_was_written_and_no_more() {
    let said = |at: &str, wrong: Value| {
        let mut document = documents().swap_remove(0);
        *document.pointer_mut(at).expect("a place") = wrong;
        let problems = problems_of(&document.to_string());
        let [Problem { path, message }] = problems.as_slice() else { panic!("{at}: {problems:?}") };
        assert_eq!(*path, at[1..].replace('/', "."));
        assert_readable(message, at);
        message.clone()
    };
    for (at, wrong, begins) in [
        ("/cavity/passages/0/form", json!("tube"), "Shape is \"tube\"; accepted is an object in braces"),
        (
            "/feedstock/flow_law",
            json!("power_law"),
            "Flow law is \"power_law\"; accepted is an object in braces",
        ),
        (
            "/feedstock/pvt",
            json!("tait"),
            "pvT law of the binder is \"tait\"; accepted is an object in braces",
        ),
        (
            "/cavity/passages/0/form",
            json!({ "tube": {}, "disc": {} }),
            "Shape is an object in braces with 2 entries; accepted is exactly one of tube, strip, disc",
        ),
        (
            "/cavity/passages/2/after",
            json!("nobody"),
            "Passage it follows is \"nobody\"; it must be the name",
        ),
        ("/cavity/passages/2/meets", json!("nobody"), "Passage whose end it meets is \"nobody\"; it must be"),
        ("/cavity/passages/0/name", json!(""), "Name is empty; accepted is a name of 1 to 60 characters"),
        ("/cavity/passages/0/name", json!(" \t"), "Name is empty"),
        (
            "/cavity/passages/0/name",
            json!("A\u{1b}[2J"),
            "Name holds the control character '\\u{1b}'; accepted",
        ),
        ("/name", json!("A\nB"), "Name of the scenario holds the control character"),
        ("/feedstock/name", json!("\u{0}"), "Name of the feedstock holds the control character"),
    ] {
        let message = said(at, wrong.clone());
        assert!(message.starts_with(begins), "{wrong}: {message}");
    }
}

#[test]
fn fields_that_are_unknown_missing_or_given_twice_are_named() {
    let document = documents().swap_remove(0);
    let mut all = Vec::new();
    paths(&document, "", &mut all);
    for path in all.iter().filter(|path| document.pointer(&pointer(path)).is_some_and(Value::is_object)) {
        for name in ["colour", &"x".repeat(5000)] {
            let mut broken = document.clone();
            broken.pointer_mut(&pointer(path)).expect("a place")[name] = json!(1);
            for problem in problems_of(&broken.to_string()) {
                assert_readable(&problem.message, path);
                assert!(problem.path.chars().count() <= 81, "{}", problem.path);
            }
        }
        let fields: Vec<String> =
            document.pointer(&pointer(path)).and_then(Value::as_object).unwrap().keys().cloned().collect();
        for field in fields {
            let mut broken = document.clone();
            broken.pointer_mut(&pointer(path)).and_then(Value::as_object_mut).unwrap().remove(&field);
            for problem in problems_of(&broken.to_string()) {
                assert_readable(&problem.message, &format!("{path} without {field}"));
                names_what_is_accepted(&problem, path);
            }
        }
    }
    let mut without = document.clone();
    without
        .pointer_mut("/cavity/passages/0/form/tube")
        .and_then(Value::as_object_mut)
        .unwrap()
        .remove("diameter");
    assert_eq!(
        problems_of(&without.to_string())[0].message,
        "Diameter is missing; accepted is a number, 0.05 to 200 mm"
    );
    let twice = document.to_string().replacen("\"hold_time\"", "\"hold_time\":1,\"hold_time\"", 1);
    assert_eq!(problems_of(&twice)[0].message, "Hold time is given twice; accepted is one value");
}

#[test]
fn a_text_that_is_no_document_says_what_is_wrong_where() {
    let nested = "[".repeat(100_000);
    let objects = "{\"a\":".repeat(100_000);
    let place = documents().swap_remove(0).to_string().replacen("165.0", &nested, 1);
    for (text, says) in [
        ("", "The document is incomplete JSON"),
        ("{", "The document is incomplete JSON"),
        ("hot", "The document is not JSON"),
        ("null", "The document is null; accepted is an object in braces"),
        ("[]", "The document is a list in brackets; accepted is an object in braces"),
        ("{\"gatefrost\":1,}", "after a comma another entry must follow"),
        ("{gatefrost:1}", "a field’s name must stand in quotation marks"),
        (nested.as_str(), "The document is not JSON: more than 127 lists and objects are nested"),
        (objects.as_str(), "more than 127 lists and objects"),
        (place.as_str(), ""),
    ] {
        let problems = problems_of(text);
        assert_eq!(problems.len(), 1, "{text:.40}");
        assert_readable(&problems[0].message, &format!("{text:.40}"));
        assert!(problems[0].message.contains(says), "{text:.40}: {}", problems[0].message);
        assert!(problems[0].path.len() < 60, "{}", problems[0].path);
    }
}

#[test]
fn a_bad_entry_of_a_link_is_named_as_in_the_form() {
    let keys: Vec<String> = catalogue::all().map(link_key).collect();
    assert!(keys.len() > 100);
    let texts = [
        "name", "notes", "fn", "fp", "ll", "ls", "kr", "vh", "xa", "xf", "ya", "yt", "c", "law", "pvt", "hs",
        "ms", "ig", "un",
    ];
    let long = "9".repeat(5000);
    for key in keys.iter().map(String::as_str).chain(texts) {
        for bad in ["hot", "-1e300", &long, "[[[[", "{\"a\":", "%ff", "%"] {
            let opened = link::decode(&format!("1;d=yoke;{key}={bad}"));
            for problem in &opened.problems {
                assert_readable(&problem.message, &format!("{key}={bad:.20}"));
            }
            assert_eq!(opened.scenario.validate_plane(), Ok(()), "{key}={bad:.20}");
        }
    }
    for p in catalogue::all().filter(|p| !p.group.contains('*')) {
        let opened = link::decode(&format!("1;d=hinge;{}=hot", p.link));
        let message = &opened.problems[0].message;
        assert!(message.starts_with(p.title) && message.contains(p.link), "{}: {message}", p.path());
        let stands = naming::title(&p.path()) == Some(p.title) && message.contains(&p.range_text());
        assert!(stands || message.contains("belongs to another law"), "{}: {message}", p.path());
    }
}

fn link_key(p: &Parameter) -> String {
    match p.group {
        group if group.starts_with("cavity.passages.*") => format!("c0.{}", p.link),
        "feedstock.further_melting.*" => format!("m0.{}", p.link),
        "setup.further_hold.*" => format!("h0.{}", p.link),
        "setup.ram.*" => format!("r0.{}", p.link),
        _ => p.link.to_owned(),
    }
}

#[test]
fn a_wrong_thing_in_a_recipe_is_named_with_what_is_accepted() {
    for example in EXAMPLES {
        let mut document = serde_json::to_value(example.recipe()).expect("a document");
        document["critical_loading"] = json!(66);
        document["batch"] =
            json!({ "amount": { "mass_kg": 5 }, "regrind": { "mass_fraction": 0.1, "loading": 58 } });
        let mut all = Vec::new();
        paths(&document, "", &mut all);
        for path in &all {
            for wrong in wrong_things() {
                let mut broken = document.clone();
                *broken.pointer_mut(&pointer(path)).expect("a place") = wrong;
                let Err(refused) = Recipe::from_json(&broken.to_string()) else { continue };
                for problem in refused.problems {
                    // The keys of the library are a list of their own.
                    if !problem.message.contains("known are") {
                        assert_readable(&problem.message, path);
                    }
                }
            }
        }
    }
}

#[test]
fn what_is_wrong_with_a_table_is_said_in_words() {
    let long = "x".repeat(5000);
    let header = "die diameter [mm],die length [mm],temperature [°C],shear rate [1/s],viscosity [Pa·s]";
    for text in [
        String::new(),
        "\n\n".to_owned(),
        long.clone(),
        format!("{long},{long}"),
        "{\"gatefrost\": 1}".to_owned(),
        format!("{header}\n1,2"),
        format!("{header}\n1,2,3,{long},5"),
        format!("{header}\n1,2,3,-4,nan"),
        format!("temperature [{long}],viscosity [Pa·s]\n1,2"),
        "shear rate [1/s],shear rate [1/s]\n1,2".to_owned(),
        "loading [vol%],torque [Nm]\n54,hot".to_owned(),
        "loading [vol%]\n54".to_owned(),
    ] {
        let refused = [rheometry::read(&text).err(), critical::read(&text).err()];
        for problem in refused.into_iter().flatten().flat_map(|refused| refused.problems) {
            assert_readable(&problem.to_string(), &format!("{text:.40}"));
        }
    }
}
