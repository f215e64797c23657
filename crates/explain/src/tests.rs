use super::*;
use gatefrost_core::case::Case;
use gatefrost_core::document;
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{
    Bath, BinderComponent, Catalytic, Cavity, DebindingStep, Dimension, Flow, FlowLaw, FlowLawKind, Form,
    Leaves, Passage, PowerLawConstants, Role, Scenario, Strip, Thermal, demo,
};
use gatefrost_report::{Report, evaluate, report_of};

pub(crate) fn with_facts<T>(scenario: &Scenario, run: impl FnOnce(&Facts<'_>) -> T) -> T {
    let case = Case::resolve(scenario);
    let point = case.evaluate();
    let report = report_of(scenario, &point);
    let planned = Planned::of(scenario).expect("valid");
    run(&Facts { scenario, point: &point, report: &report, planned: Some(&planned) })
}

/// The demos, the first demo with every flow law and at another loading, a short shot, and a mould that freezes nothing.
fn scenarios() -> Vec<Scenario> {
    let mut all: Vec<Scenario> = demo::DEMOS.iter().map(|d| d.scenario()).collect();
    let first = || demo::default_demo().scenario();
    for &kind in FlowLawKind::ALL {
        let mut s = first();
        s.feedstock.flow_law = kind.usual();
        s.feedstock.measured_loading = s.feedstock.solids_loading - 2.0;
        all.push(s);
    }
    let mut short = first();
    (short.machine.max_pressure, short.setup.hold_pressure) = (3.0, 2.0);
    let mut hot = first();
    hot.setup.mould_temperature = hot.feedstock.no_flow_temperature + 20.0;
    let mut cooled = first();
    cooled.mould.coolant_temperature = Some(25.0);
    cooled.setup.cooling_time = Some(20.0);
    all.extend([short, hot, cooled, followed()]);
    all
}

/// A part with two named dimensions, one of them cut, measured parts, a fitted sintering curve, and every kind of step.
pub(crate) fn followed() -> Scenario {
    let mut s = demo::default_demo().scenario();
    let lug = Dimension { name: "lug".to_owned(), size: 25.0, tolerance: 0.1, ..Dimension::default() };
    let bore = Dimension {
        cavity: Some(9.4),
        size: 8.0,
        stands: gatefrost_core::scenario::Stands::Vertical,
        flow: Flow::Along,
        ..lug.clone()
    };
    s.sizes.dimensions = vec![lug, bore];
    (s.sizes.along_factor, s.sizes.vertical_factor) = (1.003, 1.005);
    s.sizes.measured_filled = Some(98.7);
    let [wax, backbone, acid] = &mut s.debinding.parts[..] else { panic!("{:?}", s.debinding.parts) };
    (wax.share, backbone.share, acid.share) = (50.0, 20.0, 10.0);
    acid.leaves = Leaves::Water;
    let acetal =
        BinderComponent { share: 20.0, leaves: Leaves::Catalyst, name: "acetal".to_owned(), ..wax.clone() };
    s.debinding.parts.push(acetal);
    s.debinding.steps = vec![
        DebindingStep::Bath(Bath { left: 70.0, ..Bath::default() }),
        DebindingStep::Bath(Bath { left: 20.0, temperature: 50.0, ..Bath::default() }),
        DebindingStep::Bath(Bath { water: true, ..Bath::default() }),
        DebindingStep::Catalytic(Catalytic::default()),
        DebindingStep::Thermal(Thermal { allowed_pressure: 5.0, ..Thermal::default() }),
    ];
    let curve = gatefrost_after::plan::curve(&s).expect("a run is set");
    s.sintering.log_half = Some(curve.log_half + 0.3);
    s
}

fn rows(results: Results<'_>) -> impl Iterator<Item = (&'static Entry, usize)> + '_ {
    all().flat_map(move |entry| (0..entry.count(&results)).map(move |row| (entry, row)))
}

/// A slit 20 × 2 × 50 mm without side walls, filled with a power law at 10 cm³/s.
fn slit() -> Scenario {
    let mut s = demo::default_demo().scenario();
    let strip = Strip { length: 50.0, width: 20.0, thickness: 2.0, ..Strip::default() };
    let passage =
        Passage { name: "slit".to_owned(), role: Role::Part, form: Form::Strip(strip), ..Passage::default() };
    s.cavity = Cavity { passages: vec![passage] };
    let constants = PowerLawConstants {
        n: 0.4,
        consistency: 1000.0,
        reference_temperature: s.setup.melt_temperature,
        ..PowerLawConstants::default()
    };
    s.feedstock.flow_law = FlowLaw::PowerLaw(constants);
    s.feedstock.measured_loading = s.feedstock.solids_loading;
    s.feedstock.entrance_correction = 0.0;
    s.model.side_walls = false;
    s.setup.injection_time = 0.2;
    s.setup.switch_over = 100.0;
    s.setup.ram.clear();
    s.feedstock.uncertainty = Some(gatefrost_core::uncertainty::Uncertainty::usual(&s.feedstock));
    s
}

#[test]
fn every_result_is_at_its_path_of_the_report_or_of_the_plan() {
    for s in scenarios() {
        with_facts(&s, |f| {
            let tree = document::tree(f.report).expect("a document");
            let plan = document::tree(&f.planned.expect("is planned").plan).expect("a document");
            for (entry, row) in rows(f.results()) {
                let path = entry.path(row);
                let (tree, inside) =
                    path.strip_prefix("plan.").map_or((&tree, &*path), |inside| (&plan, inside));
                let there = tree.pointer(&format!("/{}", inside.replace('.', "/")));
                let value = (entry.value)(&f.results(), row);
                assert_eq!(there.and_then(serde_json::Value::as_f64), value, "{}: {path}", s.name);
                let found = at(&path).expect(&path);
                assert_eq!((found.0.key, found.1), (entry.key, row));
            }
        });
    }
}

#[test]
fn the_page_shows_results_of_the_list_each_once() {
    let mut seen = Vec::new();
    for path in PAGE.iter().flat_map(|(_, paths)| *paths) {
        assert!(at(path).is_some() && !seen.contains(path), "{path}");
        seen.push(path);
    }
    assert!(at("fill.nothing").is_none() && at("hold.gates.x.freeze_s").is_none());
    assert!(at("fill.passages.18446744073709551616.wall_stress_kpa").is_none());
}

/// Each formula has the dimension of its unit; where the result is the formula, the values agree.
#[test]
fn formulas_fit_their_units_and_give_the_results_that_they_are() {
    let mut same = 0;
    for s in scenarios() {
        with_facts(&s, |f| {
            for (entry, row) in rows(f.results()) {
                let Ok(lines) = (entry.hand)(f, row) else { continue };
                for line in &lines {
                    assert_eq!(line.check(), Ok(()), "{} of {}", entry.key, s.name);
                }
                let last = lines.last().expect("a line");
                assert_eq!(last.result.unit.sign, entry.unit, "{}", entry.key);
                if let (Stands::Same, Some(value)) = (entry.stands, (entry.value)(&f.results(), row)) {
                    let near = (last.value() - value).abs() <= 1e-9 * value.abs().max(1e-3);
                    assert!(near, "{} of {}: {} against {value}", entry.key, s.name, last.value());
                    same += 1;
                }
            }
        });
    }
    assert!(same > 200, "{same}");
}

/// The hand formulas of the report, from another implementation.
#[test]
fn times_by_hand_are_those_of_the_report() {
    for s in scenarios() {
        with_facts(&s, |f| {
            let by_hand = |key: &str| {
                let (entry, row) = at(key).expect(key);
                (entry.hand)(f, row).ok().and_then(|lines| lines.last().map(gatefrost_formula::Line::value))
            };
            let near = |found: Option<f64>, expected: Option<f64>| match (found, expected) {
                (Some(found), Some(expected)) => (found - expected).abs() < 1e-9 * expected.max(1.0),
                (None, None) => true,
                _ => false,
            };
            assert!(near(by_hand("cool.cooling_time_s"), f.report.cool.hand_s), "{}", s.name);
            for (row, gate) in f.report.hold.iter().flat_map(|hold| &hold.gates).enumerate() {
                assert!(near(by_hand(&format!("hold.gates.{row}.freeze_s")), gate.hand_mean_s), "{}", s.name);
                let centre = by_hand(&format!("hold.gates.{row}.centre_freeze_s"));
                assert!(near(centre, gate.hand_centre_s), "{}", s.name);
            }
        });
    }
}

/// Worked by hand: K = 1000 Pa·sⁿ, n = 0.4 in a slit 20 × 2 × 50 mm at 10 cm³/s takes 0.8307 MPa; the wall rate is
/// 1125 1/s and the stress 16.61 kPa.
#[test]
fn a_slit_takes_the_pressure_worked_by_hand() {
    with_facts(&slit(), |f| {
        let estimate = |key: &str| {
            let (entry, row) = at(key).expect(key);
            (entry.hand)(f, row).expect(key).last().expect("a line").value()
        };
        for (key, expected) in [
            ("fill.nozzle_pressure_mpa", 0.8307),
            ("fill.passages.0.pressure_drop_mpa", 0.8307),
            ("fill.passages.0.wall_stress_kpa", 16.614),
            ("fill.passages.0.apparent_shear_rate_1_s", 750.0),
            ("fill.passages.0.velocity_m_s", 0.25),
        ] {
            assert!((estimate(key) / expected - 1.0).abs() < 1e-4, "{key}: {}", estimate(key));
        }
    });
}

/// Worked by hand: 3 mm, α = 1e-6 m²/s, 160 into 40 °C down to 60 °C, mean temperature: 1.4424 s.
#[test]
fn a_slab_cools_in_the_time_worked_by_hand() {
    let mut s = slit();
    s.cavity.scale_depth(Role::Part, 1.5);
    (s.setup.melt_temperature, s.setup.mould_temperature) = (160.0, 40.0);
    s.feedstock.ejection_temperature = 60.0;
    let alpha = evaluate(&s).expect("valid").feedstock.diffusivity_mm2_s;
    s.feedstock.conductivity_factor /= alpha;
    with_facts(&s, |f| {
        let (entry, row) = at("cool.cooling_time_s").expect("is in the list");
        let lines = (entry.hand)(f, row).expect("cools");
        assert!((lines[0].value() - 1.4424).abs() < 1e-4, "{}", lines[0].value());
    });
}

/// Without friction, cooling and sides, the computation of a slit is the closed form.
#[test]
fn the_causes_lead_from_the_result_to_the_estimate() {
    let told = explain(&slit(), "fill.nozzle_pressure_mpa", &View::default()).expect("valid");
    let number = |text: &Option<String>| {
        let text = text.as_deref().and_then(|text| text.split(' ').next()).expect("a number");
        text.parse::<f64>().expect("a number")
    };
    let causes: Vec<f64> = told.causes.iter().map(|cause| number(&cause.value)).collect();
    let [first, .., stripped, estimate] = causes[..] else { panic!("{causes:?}") };
    assert_eq!(Some(first), Some(number(&told.value)));
    assert!((stripped / estimate - 1.0).abs() < 0.02, "{causes:?}");
    let gate =
        explain(&demo::default_demo().scenario(), "hold.gate_freeze_s", &View::default()).expect("valid");
    assert_eq!(gate.causes.len(), 5, "{:?}", gate.causes);
}

#[test]
fn every_explanation_is_whole_and_finite() {
    for s in scenarios() {
        with_facts(&s, |f| {
            for (entry, row) in rows(f.results()) {
                let told = explain_of(f, entry, row, &View::default());
                // TeX writes ∞ as a word.
                let said = serde_json::to_string(&told).expect("plain").replace("infty", "");
                for wrong in ["NaN", "inf", "null,\"compared\":\"\"", "style=", "\"–", "– "] {
                    assert!(!said.contains(wrong), "{wrong} in {} of {}: {said}", entry.key, s.name);
                }
                assert!(told.value.is_some() || (entry.value)(&f.results(), row).is_none());
                assert!(!told.compared.is_empty() && !told.meaning.is_empty() && !told.source.is_empty());
                assert_eq!(
                    told.why.is_empty(),
                    entry.stands == Stands::Same || told.value.is_none() || told.estimate.is_none()
                );
                assert!(told.lines.is_empty() == told.estimate.is_none());
                assert!(told.text(&[]).lines().count() > 8);
            }
        });
    }
}

/// Every letter of an equation that is solved has its words, and none has them twice.
#[test]
fn the_letters_of_equations_are_named() {
    // Names of functions, differentials and numbers, and words within an equation.
    let plain =
        ["d", "∂", "e", "π", "∞", "ln", "max", "if", "or", "and", "in", "while", "every", "section", "heat"];
    let identifiers = |mathml: &str| -> Vec<String> {
        let parts = mathml.split("<mi").skip(1).filter_map(|part| part.split_once('>')?.1.split_once('<'));
        parts.map(|(letter, _)| letter.to_owned()).collect()
    };
    for entry in all() {
        let equation = entry.equation;
        let named: Vec<String> = equation.letters.iter().flat_map(|l| identifiers(l.mathml)).collect();
        for letter in identifiers(equation.mathml) {
            let index = ["i", "k", "n", "max", "min", "final"].contains(&letter.as_str());
            assert!(
                index || plain.contains(&letter.as_str()) || named.contains(&letter),
                "{letter} of {} ({})",
                equation.tex,
                entry.key
            );
        }
        for (i, letter) in equation.letters.iter().enumerate() {
            assert!(equation.letters[..i].iter().all(|other| other.tex != letter.tex), "{}", letter.tex);
            assert!(!letter.words.is_empty() && letter.mathml.starts_with("<math"));
        }
    }
}

/// After a short shot the hold has no value, and that is said instead of a number.
#[test]
fn what_a_short_shot_lacks_is_said() {
    let mut s = demo::default_demo().scenario();
    (s.machine.max_pressure, s.setup.hold_pressure) = (3.0, 2.0);
    let of = |key: &str| explain(&s, key, &View::default());
    let freeze = of("hold.gate_freeze_s").expect("is explained");
    assert_eq!((freeze.value, freeze.causes.len()), (None, 0));
    assert!(freeze.estimate.is_some(), "the hand formula needs no hold");
    assert!(of("hold.part_mass_g").expect("is explained").value.is_none());
    assert!(matches!(of("hold.gates.0.freeze_s"), Err(Unexplained::NoSuchResult(_))));
    let pressure = of("fill.nozzle_pressure_mpa").expect("is explained");
    assert!(pressure.why.contains("does not suffice"), "{}", pressure.why);
}

#[test]
fn limits_are_those_of_the_report() {
    let s = demo::default_demo().scenario();
    let told =
        explain(&s, "fill.nozzle_pressure_mpa", &View::default()).expect("valid").limit.expect("has a limit");
    let report = evaluate(&s).expect("valid");
    let margin = report.margins.iter().find(|m| m.limit == Limit::ShortShot).expect("applies");
    assert_eq!((told.sentence, told.met), (margin.sentence.clone(), Some(margin.g >= 0.0)));
}

/// Against two reports that differ by the step: pressure and freeze time by the melt's and the mould's temperature.
#[test]
fn sensitivities_are_differences_of_two_reports() {
    let mut s = demo::default_demo().scenario();
    s.feedstock.uncertainty = Some(gatefrost_core::uncertainty::Uncertainty::usual(&s.feedstock));
    let moves = Moves::of(&s, "fill.nozzle_pressure_mpa").expect("valid");
    let directly = |change: &dyn Fn(&mut Scenario, f64), of: &dyn Fn(&Report) -> f64| {
        let at = |sign: f64| {
            let mut moved = s.clone();
            change(&mut moved, sign);
            of(&evaluate(&moved).expect("valid"))
        };
        (at(1.0) - at(-1.0)) / 2.0 / of(&evaluate(&s).expect("valid"))
    };
    let pressure = |r: &Report| r.fill.nozzle_pressure_mpa;
    let freeze = |r: &Report| r.hold.as_ref().and_then(|hold| hold.gate_freeze_s).expect("freezes");
    let length = |r: &Report| r.cavity.flow_length_mm;
    let cooling = |r: &Report| r.cool.cooling_time_s.expect("cools");
    type Change = fn(&mut Scenario, f64);
    type Case<'a> = (&'a str, &'a str, Change, &'a dyn Fn(&Report) -> f64);
    let cases: [Case<'_>; 4] = [
        (
            "fill.nozzle_pressure_mpa",
            "setup.melt_temperature",
            |s, k| s.setup.melt_temperature += k,
            &pressure,
        ),
        (
            "hold.gate_freeze_s",
            "feedstock.no_flow_temperature",
            |s, k| s.feedstock.no_flow_temperature += k,
            &freeze,
        ),
        ("cavity.flow_length_mm", "", |s, k| s.cavity.scale_length(Role::Part, 1.0 + 0.01 * k), &length),
        ("cool.cooling_time_s", "", |s, k| s.cavity.scale_depth(Role::Part, 1.0 + 0.01 * k), &cooling),
    ];
    for (key, path, change, of) in cases {
        let told = moves.strongest(key, &View::default());
        assert!(
            (3..=5).contains(&told.len()) && told.is_sorted_by(|a, b| a.size.abs() >= b.size.abs()),
            "{told:?}"
        );
        let found = told.iter().find(|m| m.path == path).unwrap_or_else(|| panic!("{path} in {told:?}"));
        let expected = directly(&change, of);
        assert!((found.size - expected).abs() < 1e-9, "{key}, {path}: {} against {expected}", found.size);
    }
    let freeze = moves.strongest("hold.gate_freeze_s", &View::default());
    let no_flow = freeze.iter().find(|m| m.path == "feedstock.no_flow_temperature").expect("moves it");
    assert!(no_flow.by_error.as_ref().is_some_and(|error| error.starts_with('±')), "{no_flow:?}");
    assert!(no_flow.input == "+1 K no-flow temperature" && no_flow.change.starts_with('−'), "{no_flow:?}");
    assert!(moves.strongest("fill.nothing", &View::default()).is_empty());
}

#[test]
fn an_unknown_result_and_a_bad_scenario_are_refused() {
    let mut s = demo::default_demo().scenario();
    for wrong in ["", "fill", "fill.steps", "hold.gates.99.freeze_s"] {
        let refused = explain(&s, wrong, &View::default()).expect_err(wrong).to_string();
        assert!(refused.contains("no result"), "{refused}");
    }
    s.setup.melt_temperature = f64::NAN;
    assert!(matches!(explain(&s, "fill.fill_time_s", &View::default()), Err(Unexplained::Scenario(_))));
}

#[test]
fn a_result_is_found_by_a_part_of_its_name() {
    let paths = with_facts(&slit(), |f| {
        rows(f.results()).map(|(entry, row)| entry.path(row)).collect::<Vec<String>>()
    });
    let found = |text: &str| named(text, &paths).map(str::to_owned);
    assert_eq!(found("hold.gate_freeze_s").as_deref(), Ok("hold.gate_freeze_s"));
    assert_eq!(found("gate_freeze").as_deref(), Ok("hold.gate_freeze_s"));
    assert_eq!(found("Nozzle pressure").as_deref(), Ok("fill.nozzle_pressure_mpa"));
    assert_eq!(found("cycle").as_deref(), Ok("cool.cycle_s"));
    assert!(found("pressure").is_err_and(|several| several.len() > 3));
    assert_eq!(found("nothing"), Err(Vec::new()));
}
