//! The whole plan of worked demos against numbers worked out by hand.

use super::*;
use gatefrost_after::plan::PowderScatter;
use gatefrost_core::cavity::Cavity;
use gatefrost_core::feedstock::Material;
use gatefrost_scenario::scenario::{Dimension, demo};

/// The report is read as it is written.
fn shot(s: &Scenario) -> Shot {
    let report = gatefrost_report::evaluate(s).expect("valid");
    serde_json::from_value(serde_json::to_value(&report).expect("JSON")).expect("the names of the report")
}

fn handed(shot: &Shot) -> FromMould {
    FromMould {
        filled: 0.98863,
        density_kg_m3: shot.feedstock.density_kg_m3,
        mass_g: shot.cavity.part_volume_cm3 * shot.feedstock.density_kg_m3 * 0.98863e-3,
        shrinkage_spread_percent: [0.74, 1.31],
        scatter: vec![PowderScatter { cause: "hold pressure".to_owned(), relative: 3e-4 }],
    }
}

fn whole(s: &Scenario) -> WholePlan {
    s.validate().expect("valid");
    let shot = shot(s);
    let handed = handed(&shot);
    plan(s, Some(&shot), Some(&handed), &gatefrost_after::plan::plan(s, Some(&handed)))
}

fn bracket() -> Scenario {
    let mut s = demo::default_demo().scenario();
    s.sizes.dimensions =
        vec![Dimension { name: "length".into(), size: 25.0, tolerance: 0.075, ..Dimension::default() }];
    let p = &mut s.plan;
    (p.pieces, p.pressed_height, p.pressed_width) = (Some(20_000.0), Some(20.0), Some(10.0));
    (p.screw_diameter, p.screw_length) = (Some(18.0), Some(20.0));
    (p.core_radius, p.core_length, p.pins, p.pin_diameter) = (Some(5.0), Some(10.0), Some(4.0), Some(2.0));
    (p.mixer_volume, p.mixing_temperature) = (Some(5.0), Some(150.0));
    (p.feedstock_price, p.machine_price, p.furnace_price) = (Some(30.0), Some(40.0), Some(500.0));
    (p.furnace_load, p.finishing_price, p.mould_price) = (Some(2000.0), Some(0.2), Some(15_000.0));
    (p.good_share, p.other_price, p.other_tool, p.hours) =
        (Some(95.0), Some(3.0), Some(5000.0), Some(4000.0));
    s.mould.coolant_temperature = Some(30.0);
    s
}

#[test]
fn every_demo_has_a_plan_without_a_hole_in_its_numbers() {
    for demo in demo::DEMOS {
        let told = serde_json::to_string(&whole(&demo.scenario())).expect("JSON");
        assert!(!told.contains("NaN") && !told.contains("inf "), "{}", demo.name);
    }
}

/// What a row opens is a result that is explained, and of the value that the row tells.
#[test]
fn rows_open_results_that_are_explained() {
    let s = bracket();
    let plan = whole(&s);
    let demands = plan.machine.as_ref().expect("a shot").demands.iter();
    let rows = demands.chain(&plan.cost.rates).chain(&plan.mould.as_ref().expect("a shot").cooling);
    let rows = rows.chain(plan.route.routes.iter().flat_map(|route| &route.reasons));
    let opened: Vec<(&str, &str)> = rows.filter_map(|row| Some((row.explains?, row.here.as_str()))).collect();
    assert!(opened.len() >= 7, "{opened:?}");
    for (path, here) in opened {
        let told = gatefrost_explain::explain(&s, path, &gatefrost_explain::View::default());
        let told = told.expect(path).value.expect("a value");
        // The rate of parts is that of the cycle; the mass is of an invented mould here.
        if !["cool.cycle_s", "plan.sizes.weights_of_one.sintered_g"].contains(&path) {
            let digits = |text: &str| text.split(' ').next().expect("a number").parse::<f64>().expect(path);
            assert!((digits(&told) / digits(here) - 1.0).abs() < 6e-3, "{path}: {told} and {here}");
        }
    }
}

/// Copies of a passage that begins a part, by the core's own grouping.
#[test]
fn the_parts_of_a_shot_are_those_of_the_cavity() {
    for demo in demo::DEMOS {
        let s = demo.scenario();
        let flowing = Material::resolve(&s.feedstock).flowing();
        let cavity = Cavity::resolve(&s.cavity, &s.model, flowing);
        let expected: f64 = cavity.parts().iter().map(|part| cavity.passages[part[0]].copies).sum();
        assert_eq!(parts_of_a_shot(&s), expected, "{}", demo.name);
    }
}

#[test]
fn the_bracket_is_planned_from_route_to_sheet() {
    let plan = whole(&bracket());
    let compact = plan.route.compact.expect("a compact");
    assert!((compact.one.last().expect("points").y - 30.119).abs() < 1e-3);
    assert!((compact.both[30].y - 54.881).abs() < 1e-3, "the middle");
    let cost = &plan.cost;
    assert!(cost.left_out.is_empty(), "{:?}", cost.left_out);
    let sum: f64 = cost.causes.iter().map(|cause| cause.each).sum();
    assert!((sum / cost.each.expect("counted") - 1.0).abs() < 1e-12 && cost.causes.len() == 5);
    assert!(cost.pays_from.expect("pays") > 0.0);
    // Twice the cavities halve what an hour of moulding costs each part.
    let moulding = cost.causes.iter().find(|cause| cause.name == "moulding").expect("moulding").each;
    assert!((cost.changes[0].each + 0.5 * moulding).abs() < 1e-12);
    let names: Vec<&str> = plan.sheet.parts.iter().map(|part| &part.name[..1]).collect();
    assert_eq!(names, ["1", "2", "3", "4", "5", "6", "7", "C"]);
    assert!(plan.sheet.open.iter().any(|line| line.contains("not held")), "±0.3 % has a Cpk below 1.33");
    assert!(plan.mould.expect("a mould").ejection.len() == 4);
}

/// What is in the batch adds up, and four fifths of it are weighed in fresh with a fifth of regrind.
#[test]
fn the_batch_adds_up() {
    let mut s = bracket();
    s.plan.regrind = 20.0;
    let plan = whole(&s);
    let mixing = plan.mixing.expect("mixing");
    let share: f64 = mixing.components.iter().map(|part| part.mass_percent).sum();
    assert!((share - 100.0).abs() < 1e-9, "{share}");
    for part in &mixing.components {
        assert!((part.fresh_g.expect("a batch") / part.batch_g.expect("a batch") - 0.8).abs() < 1e-12);
    }
    // 3.5 L of hot melt: lighter than the same volume cold.
    let batch: f64 = mixing.components.iter().filter_map(|part| part.batch_g).sum();
    assert!(batch < 3.5 * 5122.0 && batch > 3.5 * 4700.0, "{batch}");
}

/// A green weight scatters by what the machine and the loading scatter: (7950 − 880) 0.001/5122 and 3e-4, squares added.
#[test]
fn weights_have_limits_from_the_causes() {
    let s = bracket();
    let handed = handed(&shot(&s));
    let expected = (7950.0_f64 - 880.0) * s.scatter.solids_loading / 100.0 / 5122.0;
    let found = sheet::weight_scatter(&s, &handed);
    assert!((found - expected.hypot(3e-4)).abs() < 1e-9, "{found}");
}

/// Without a shot nothing is invented.
#[test]
fn without_a_shot_the_plan_says_so() {
    let s = bracket();
    let plan = plan(&s, None, None, &gatefrost_after::plan::plan(&s, None));
    assert!(plan.machine.is_none() && plan.mould.is_none() && plan.mixing.is_none());
    assert!(plan.sheet.open.iter().any(|line| line.contains("not been computed")));
    assert!(plan.cost.left_out.iter().any(|line| line.starts_with("Feedstock is not counted")));
}

/// Without the backbone's own melting the wax's peak, 75 °C, is no temperature to mix at.
#[test]
fn a_melting_that_is_not_stated_is_no_lower_bound_of_mixing() {
    let mut s = bracket();
    assert!(s.feedstock.melted_temperature.is_none());
    let row = |s: &Scenario| {
        let rows = whole(s).mixing.expect("mixing").rows;
        rows.into_iter().find(|row| row.what == "mixing temperature").expect("a row")
    };
    s.plan.mixing_temperature = Some(90.0);
    let found = row(&s);
    assert!(found.met.is_none() && found.against.contains("polypropylene") && !found.against.contains("75"));
    let open = |s: &Scenario| whole(s).sheet.open.iter().any(|line| line.contains("has melted"));
    assert!(open(&s));
    s.plan.mixing_temperature = Some(200.0);
    assert_eq!(row(&s).met, Some(false), "hotter than the binder bears");
    s.feedstock.melted_temperature = Some(150.0);
    assert!(!open(&s));
    s.plan.mixing_temperature = Some(90.0);
    assert_eq!(row(&s).met, Some(false), "colder than the backbone melts");
}

/// The machine's settings by hand: 18 mm, volume V, 7 % cushion and 2 % left at the switch-over.
#[test]
fn the_sheet_has_what_is_set_at_the_machine() {
    let s = bracket();
    let plan = whole(&s);
    let moulding = plan.sheet.parts.iter().find(|part| part.name.starts_with('3')).expect("moulding");
    let row =
        |what: &str| moulding.rows.iter().find(|row| row.what == what).unwrap_or_else(|| panic!("no {what}"));
    let stroke = 4.0 * 1e3 * shot(&s).cavity.volume_cm3 / (std::f64::consts::PI * 18.0 * 18.0);
    let starts = |text: &str, mm: f64| assert!(text.contains(&told::with(mm, "mm")), "{text}: {mm}");
    starts(&row("metering stroke, cushion included").here, 1.07 * stroke);
    starts(&row("switch-over").against, 0.09 * stroke);
    assert!(row("clamp force").here.starts_with("at least"));
    // What adds up to the cycle stands apart from what runs beside the cooling.
    let cycle = &row("cycle").against;
    assert!(
        cycle.find("beside the cooling").expect("both") < cycle.find("plasticise").expect("a stretch"),
        "{cycle}"
    );
}

/// A sheet whose sizes to cut differ from the cavity that was computed shows both: 26 mm of base plate sinter to 26/1.17814.
#[test]
fn the_sheet_shows_the_cavity_that_was_computed_and_what_it_sinters_to() {
    let plan = whole(&bracket());
    let sizes = plan.sheet.parts.iter().find(|part| part.name.starts_with('6')).expect("sizes");
    let base = sizes.rows.iter().find(|row| row.what.contains("base plate")).expect("the cavity");
    assert_eq!(base.here, "1.6 × 14 × 26 mm");
    assert_eq!(base.against, "sintered 1.36 × 11.9 × 22.1 mm");
    assert!(sizes.rows[0].here.starts_with("29.45"), "{:?}", sizes.rows[0]);
}

/// A hold of 16 s for a gate that freezes in less than two is told to be long; one near its limit is not.
#[test]
fn a_hold_that_only_lengthens_the_cycle_is_told() {
    let mut s = bracket();
    let told =
        |s: &Scenario| whole(s).sheet.parts[2].notes.iter().any(|note| note.contains("shortens the cycle"));
    assert!(!told(&s));
    s.setup.hold_time = 16.0;
    assert!(told(&s));
}
