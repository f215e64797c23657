//! Exercises of a lecturer: round trips, hostile input, and that key, task and judgement agree.

use super::*;
use crate::draw::{Draws, StudentId};
use gatefrost_core::document;
use gatefrost_core::scenario::link as window;

fn id(text: &str) -> StudentId {
    StudentId::read(text).expect("an id")
}

/// An exercise on the first demo.
pub(super) fn document() -> Document {
    let input = |path: &str, drawn: Option<[f64; 3]>, open| Input {
        path: path.to_owned(),
        drawn: drawn.map(|[from, to, step]| Drawn { from, to, step }),
        open,
    };
    let wanted = |path: &str, tolerance_percent, points| Wanted {
        path: path.to_owned(),
        tolerance_percent,
        figures: [2, 5],
        points,
    };
    Document {
        gatefrost_exercise: VERSION,
        title: "Gate of the hinge µ".to_owned(),
        task: "When does the gate freeze? Use $t_g = h^2/(pi^2 alpha)$.\nThen weigh the parts.".to_owned(),
        hints: vec!["The depth is <b>not</b> half.".to_owned()],
        scenario: "2;d=hinge;T=172".to_owned(),
        inputs: vec![
            input("setup.melt_temperature", Some([160.0, 175.0, 2.5]), false),
            input("cavity.gate_depth", Some([0.7, 0.9, 0.02]), false),
            input("setup.hold_time", None, true),
            input("mould.steel_conductivity", None, false),
        ],
        asked: vec![wanted("hold.gate_freeze_s", 3.0, 3), wanted("fill.front_temperature_min_c", 2.0, 1)],
        window: true,
    }
}

fn posed() -> Posed {
    Posed::of(document()).unwrap_or_else(|e| panic!("{e}"))
}

/// The problems of a document, as sentences.
fn problems(change: impl FnOnce(&mut Document)) -> String {
    let mut changed = document();
    change(&mut changed);
    Posed::of(changed).expect_err("refused").to_string()
}

#[test]
fn a_link_and_a_file_open_the_same_exercise() {
    let posed = posed();
    let fragment = link(&posed.document);
    assert!(
        fragment.starts_with(PREFIX) && fragment.is_ascii() && fragment.len() < 500,
        "{}",
        fragment.len()
    );
    for text in [fragment.clone(), format!("https://example.org/classroom.html#{fragment}")] {
        assert_eq!(read(&text).as_ref(), Ok(&posed.document));
    }
    let file = document::pretty(&posed.document).expect("JSON");
    assert_eq!(read(&format!("\u{feff}{file}\n")).as_ref(), Ok(&posed.document));
    assert_eq!(Posed::read(&fragment).expect("read").code, posed.code);
    // A scenario that a link of the window packs goes through both, too.
    let mut scenario = gatefrost_core::scenario::demo::find("guide").expect("a demo").scenario();
    scenario.notes = "What the press did on the first day, with its hold pressure. ".repeat(12);
    let packed = window::encode(&scenario);
    assert!(packed.starts_with("3;"));
    let other = Document { scenario: packed.clone(), inputs: Vec::new(), ..document() };
    let read = Posed::read(&link(&other)).expect("read");
    assert_eq!((read.document.scenario, read.scenario), (packed, scenario));
}

#[test]
fn a_scenario_is_taken_from_a_link_or_a_file() {
    assert_eq!(scenario_link("https://example.org/#2;d=guide").as_deref(), Ok("2;d=guide"));
    let file = gatefrost_core::scenario::demo::find("guide").expect("a demo").scenario().to_json();
    assert_eq!(scenario_link(&file).as_deref(), Ok("2;d=guide"));
    for wrong in ["", "#", "2;d=nothing", "2;d=hinge;T=9999", "{\"a\": 1}", "hello"] {
        assert!(scenario_link(wrong).is_err(), "{wrong}");
    }
}

#[test]
fn what_is_wrong_is_told_with_field_value_and_range() {
    for (words, change) in [
        (
            "Title has 0 characters. Accepted are 1 to 120.",
            (|d| d.title = " ".to_owned()) as fn(&mut Document),
        ),
        ("Title: the character U+000A cannot stand there.", |d| d.title = "a\nb".to_owned()),
        ("Task has 5000 characters. Accepted are 1 to 4000.", |d| d.task = "x".repeat(5000)),
        ("Hint 2 has 1001 characters. Accepted are 1 to 1000.", |d| d.hints.push("x".repeat(1001))),
        ("Hints: there are 9. Accepted are 0 to 8.", |d| d.hints = vec!["x".to_owned(); 9]),
        ("Version of the exercise is 7. Accepted is 1.", |d| d.gatefrost_exercise = 7),
        ("Result 1, tolerance is 60. Accepted is 0.01 to 50 %.", |d| d.asked[0].tolerance_percent = 60.0),
        ("Result 1, tolerance is", |d| d.asked[0].tolerance_percent = f64::NAN),
        ("Result 2, points is 0. Accepted is 1 to 100.", |d| d.asked[1].points = 0),
        ("Result 1, significant figures is 6. Accepted is 1 to 5.", |d| d.asked[0].figures = [6, 5]),
        ("\"hold.colour\" is no result of the report", |d| d.asked[0].path = "hold.colour".to_owned()),
        ("is no result of the report", |d| d.asked[0].path = "plan.sizes.weights.brown_g".to_owned()),
        ("stands there twice", |d| d.asked[1].path = d.asked[0].path.clone()),
        ("Results asked for: there are 0. Accepted are 1 to 8.", |d| d.asked.clear()),
        ("\"setup.colour\" is no input of this scenario", |d| d.inputs[0].path = "setup.colour".to_owned()),
        ("is no input of this scenario", |d| d.inputs[0].path = "model.layers".to_owned()),
        ("Input 1, from is 1. Accepted is a number, 20 to 450 °C.", |d| drawn(d).from = 1.0),
        ("Input 1, to is 150. Accepted is a number above 160.", |d| drawn(d).to = 150.0),
        ("Input 1, step is 0. Accepted is a number above 0 that makes", |d| drawn(d).step = 0.0),
        ("Input 1, step is 1e-9. Accepted is", |d| drawn(d).step = 1e-9),
        ("Input 1, step is 100. Accepted is", |d| drawn(d).step = 100.0),
        ("Scenario gives a scenario that cannot be computed", |d| d.scenario = "2;d=hinge;T=1e9".to_owned()),
        ("The scenario is empty", |d| d.scenario = String::new()),
        ("Cells along the path is 600. At most 100", |d| d.scenario = "2;d=hinge;Ns=600".to_owned()),
    ] {
        let told = problems(change);
        assert!(told.contains(words), "{words}: {told}");
    }
    let file = document::write(&document()).expect("JSON");
    for (from, to, words) in [
        ("\"points\":3", "\"points\":\"many\"", "Result 1, points is \"many\"; accepted is"),
        ("\"title\"", "\"colour\":1,\"title\"", "is not known; accepted here is one of"),
    ] {
        let error = Posed::read(&file.replacen(from, to, 1)).expect_err(to).to_string();
        assert!(error.contains(words), "{error}");
    }
}

fn drawn(document: &mut Document) -> &mut Drawn {
    document.inputs[0].drawn.as_mut().expect("drawn")
}

/// Each student has values of the range, which are those of the task; two students in sequence differ.
#[test]
fn numbers_are_drawn_within_their_ranges() {
    let posed = posed();
    let mut before = Vec::new();
    for k in 1..=120 {
        let own = posed.own(&id(&format!("s{k:03}"))).expect("valid");
        let (melt, gate) = (own.values[0], own.values[1]);
        assert!((160.0..=175.0).contains(&melt) && ((melt - 160.0) / 2.5).fract() == 0.0, "{melt}");
        assert!((0.7..=0.9).contains(&gate) && gate.to_string().len() <= 4, "{gate}");
        assert_eq!(own.scenario.setup.melt_temperature, melt);
        assert_ne!(own.values, before, "s{k:03} and the one before");
        before = own.values;
    }
    // Only inputs that are drawn differ from the lecturer's scenario.
    let own = posed.own(&id("ada")).expect("valid").scenario;
    assert_eq!(own.machine, posed.scenario.machine);
    assert_eq!((own.feedstock, own.mould), (posed.scenario.feedstock.clone(), posed.scenario.mould.clone()));
}

/// Words, points and tolerances may be corrected without changing anybody's numbers; anything that the answers depend on
/// changes them.
#[test]
fn the_code_names_the_numbers() {
    let of = |change: fn(&mut Document)| {
        let mut changed = document();
        change(&mut changed);
        Posed::of(changed).unwrap_or_else(|e| panic!("{e}")).code
    };
    let code = posed().code;
    assert_eq!(of(|d| d.task = "Another.".to_owned()), code);
    assert_eq!(of(|d| d.asked[0].points = 9), code);
    assert_ne!(of(|d| d.scenario = "2;d=hinge;T=171".to_owned()), code);
    assert_ne!(of(|d| drawn(d).to = 177.5), code);
    assert_ne!(of(|d| d.asked.truncate(1)), code);
}

#[test]
fn the_key_is_judged_right_and_wrong_answers_are_not() {
    let posed = posed();
    let ids: Vec<StudentId> = (1..=12).map(|k| id(&format!("s{k:03}"))).collect();
    let key = posed.key(&ids);
    let mut lines = key.lines().skip(1);
    for id in &ids {
        let answers: Vec<String> = lines
            .by_ref()
            .take(2)
            .map(|line| {
                assert!(line.starts_with(&format!("{},{},", id.text(), posed.name())), "{line}");
                let parts: Vec<&str> = line.rsplitn(3, ',').collect();
                format!("{} {}", parts[1], parts[0])
            })
            .collect();
        let verdicts = posed.judged(id, &answers).expect("valid");
        assert_eq!(posed.points(&verdicts), 100, "{answers:?} {verdicts:?}");
        // The first answer in other words, the second off by more than its tolerance: three points of four.
        let (seconds, degrees) = (number(&answers[0]), number(&answers[1]));
        let off = [format!("{:.4e} ms", 1000.0 * seconds), format!("{:.2} °C", 1.03 * degrees)];
        let verdicts = posed.judged(id, &off).expect("valid");
        assert_eq!((verdicts[0].points, verdicts[1].points), (100, 30), "{off:?} {verdicts:?}");
        assert_eq!(posed.points(&verdicts), 82);
    }
    assert_eq!(lines.next(), None);
}

fn number(told: &str) -> f64 {
    told.split(' ').next().and_then(|number| number.parse().ok()).unwrap_or_else(|| panic!("{told}"))
}

/// The answers are those of the solver for the scenario that the window opens.
#[test]
fn the_answers_are_those_of_the_scenario_in_the_window() {
    let posed = posed();
    let task = posed.task(&id("ada")).expect("valid");
    let opened = window::decode(task.window.as_deref().expect("offered"));
    let report = gatefrost_report::evaluate(&opened.scenario).expect("valid");
    let freeze = report.hold.and_then(|hold| hold.gate_freeze_s).expect("it freezes");
    let told = number(&posed.answers(&id("ada")).expect("valid")[0]);
    assert!((told / freeze - 1.0).abs() < 1e-3, "{told} {freeze}");
    assert_eq!(task.inputs[0].value, opened.scenario.setup.melt_temperature);
    // Without the offer there is no link.
    let closed = Posed::of(Document { window: false, ..document() }).expect("valid");
    assert_eq!(closed.task(&id("ada")).expect("valid").window, None);
    let spans = posed.spans().expect("valid");
    assert!(spans.iter().all(|span| span.missing == 0 && span.cases == 7), "{spans:?}");
    assert!(number(&spans[0].least) <= told && told <= number(&spans[0].most), "{spans:?}");
}

/// What is locked stays locked: in the model on the page, and against a link or a slip that names other numbers.
#[test]
fn locked_inputs_cannot_be_changed() {
    let posed = posed();
    let ada = id("ada");
    let tried = |path: &str, value| posed.tried(&ada, &[(path.to_owned(), value)]);
    for locked in [
        "setup.melt_temperature",
        "cavity.gate_depth",
        "mould.steel_conductivity",
        "setup.mould_temperature",
        "",
    ] {
        let error = tried(locked, 150.0).expect_err("locked").to_string();
        assert!(error.contains("is locked in this exercise"), "{error}");
    }
    let error = tried("setup.hold_time", 1e9).expect_err("out of range").to_string();
    assert!(error.contains("Accepted is a number, "), "{error}");
    // An open input changes what the model shows, never what is judged.
    let own = posed.answers(&ada).expect("valid");
    assert_eq!(tried("setup.hold_time", posed.scenario.setup.hold_time), Ok(own.clone()));
    tried("setup.hold_time", 0.5).expect("open");
    assert_eq!(posed.answers(&ada), Ok(own));
    // A link with a narrower range, or with more behind it, is another exercise or none.
    let mut easier = document();
    drawn(&mut easier).to = 162.5;
    let easier = Posed::read(&link(&easier)).expect("valid");
    let slip = easier.slip(&PosedAnswers { id: ada, hints: 0, solved: false, answers: Vec::new() });
    let class = posed.slips(&slip).expect("read");
    assert!(class.slips.is_empty());
    assert!(
        class.class(Vec::new()).bad[0].1.contains("of another exercise, or of this one with other numbers")
    );
    for more in [";T=150", "&T=150", "T=150"] {
        assert!(Posed::read(&format!("{}{more}", link(&document()))).is_err(), "{more}");
    }
}

/// Two hundred students hand in, some with markup, some twice, one with a slip of another exercise.
#[test]
fn slips_of_a_class_are_judged() {
    let posed = posed();
    let mut text = String::new();
    for k in 1..=40 {
        let id = id(&format!("s{k:03}"));
        let told = posed.answers(&id).expect("valid");
        let answers = if k % 4 == 0 { vec![told[0].clone(), "<b>12</b>".to_owned()] } else { told };
        text += &posed.slip(&PosedAnswers { id, hints: k % 3, solved: false, answers });
        text.push('\n');
    }
    text += "GF1 | x | gate/1 | hints 0 | 1 | 0000\n";
    text += &text.lines().next().expect("a slip").replace("hints 1", "hints 9");
    let class = posed.slips(&text).expect("read");
    assert_eq!(class.slips.len(), 40);
    let judged = class.class(class.slips.iter().map(|slip| posed.row(slip)).collect());
    assert_eq!(judged.rows.iter().filter(|row| row.points == 100).count(), 30);
    assert_eq!(judged.bad.len(), 2);
    assert!(judged.common[0].feedback.contains("<b>12</b>") && judged.common[0].students == 10);
    assert_eq!(judged.csv().lines().count(), 81);
    // At the desk of the other exercises such slips are named.
    let found = crate::slip::read_all(&text).expect("read");
    assert!(found.slips.is_empty() && found.bad.iter().any(|bad| bad.said.key() == "slip-own"));
}

/// Ten thousand links and files that were changed at random are refused in words or read; none panics.
#[test]
fn hostile_texts_are_refused_in_words() {
    let mut draws = Draws::new("hostile", 1, 0, &id("a"));
    let mut below = |count: usize| draws.below(count as u32) as usize;
    let file = document::write(&document()).expect("JSON");
    let fragment = link(&document());
    let signs: Vec<char> = "\"{}[],:;=#$<>&0123456789eE+-.abcdT~%\\ \u{0}\u{202e}µ\n".chars().collect();
    let (mut read_again, mut refused) = (0, 0);
    for round in 0..10_000 {
        // Reading a packed link takes a thousand times as long as a file. Nearly all changes are found by its check.
        let base = if round % 50 == 0 { &fragment } else { &file };
        let mut text: Vec<char> = base.chars().collect();
        for _ in 0..=below(4) {
            let at = below(text.len());
            match below(4) {
                0 => text[at] = signs[below(signs.len())],
                1 => text.insert(at, signs[below(signs.len())]),
                2 => drop(text.remove(at)),
                _ if at > 0 => text.truncate(at),
                _ => {}
            }
            if text.is_empty() {
                break;
            }
        }
        match Posed::read(&text.iter().collect::<String>()) {
            Ok(_) => read_again += 1,
            Err(error) => {
                assert!(!error.problems.is_empty() && error.problems.iter().all(|p| p.message.len() > 10));
                refused += 1;
            }
        }
    }
    assert!(read_again > 100 && refused > 3000, "{read_again} read, {refused} refused");
}

#[test]
fn huge_and_empty_texts_are_refused_at_once() {
    let long = "A".repeat(300_000);
    for text in [
        "",
        "#",
        "own=1",
        "own=2AAAA",
        "{}",
        "[]",
        "null",
        &long,
        &format!("{PREFIX}{}", &long[..200_000]),
        &format!("{{\"title\":{}", "[".repeat(100_000)),
        "<script>alert(1)</script>",
    ] {
        let error = Posed::read(text).expect_err("refused");
        assert!(error.problems[0].message.len() > 10, "{error}");
    }
    // A packed text that is valid but no exercise.
    for inner in
        ["[]", "[1,2]", "", "{\"a\":1}", "[1,\"t\",\"t\",[],\"2;d=hinge\",[[\"a\",true,[1,2]]],[],true]"]
    {
        assert!(Posed::read(&format!("{PREFIX}{}", window::pack(inner))).is_err(), "{inner}");
    }
}

/// Every result that can be chosen has a unit that answers are read in.
#[test]
fn every_result_of_the_demos_can_be_asked_for() {
    for demo in ["2;d=hinge", "2;d=guide"] {
        let choices = choices(demo).expect("a demo");
        assert!(choices.results.len() > 30 && choices.inputs.len() > 30, "{}", choices.inputs.len());
        for chosen in choices.results.chunks(8) {
            let asked = chosen.iter().map(|choice| Wanted {
                path: choice.path.clone(),
                tolerance_percent: 1.0,
                figures: [1, 9],
                points: 1,
            });
            let document = Document {
                scenario: demo.to_owned(),
                inputs: Vec::new(),
                asked: asked.collect(),
                ..document()
            };
            let posed = Posed::of(document).unwrap_or_else(|e| panic!("{e}"));
            let key = posed.key(&[id("a")]);
            let answers: Vec<String> = key
                .lines()
                .skip(1)
                .map(|line| {
                    let parts: Vec<&str> = line.rsplitn(3, ',').collect();
                    format!("{} {}", parts[1], parts[0])
                })
                .collect();
            for (verdict, choice) in posed.judged(&id("a"), &answers).expect("valid").iter().zip(chosen) {
                let zero = choice.value.starts_with('0') && !choice.value.contains('.');
                assert!(zero || verdict.points == 100, "{}: {verdict:?} {answers:?}", choice.path);
            }
        }
        for input in choices.inputs {
            let inputs = vec![Input { path: input.path.clone(), drawn: None, open: true }];
            let document = Document { scenario: demo.to_owned(), inputs, ..document() };
            Posed::of(document).unwrap_or_else(|e| panic!("{}: {e}", input.path));
        }
    }
}
