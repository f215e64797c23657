//! Checks on what the laboratory offers and gives back.

use super::shelf::{LOADINGS, READINGS, SCANS};
use super::*;
use gatefrost_core::feedstock::Viscosity;
use gatefrost_core::scenario::demo;
use gatefrost_core::scenario::start::{PartWords, Shelf};
use gatefrost_core::scenario::{CrossWlfConstants, FlowLaw, FlowLawKind};
use gatefrost_core::uncertainty::Doubt;
use gatefrost_laboratory::critical::CriticalOptions;
use gatefrost_laboratory::dsc::{self, Direction, ReadOptions};
use gatefrost_laboratory::readings;
use gatefrost_laboratory::recipe::Loading;
use gatefrost_laboratory::rheometry::fit::FitOptions;
use gatefrost_web::values::packed;

#[test]
fn the_readings_on_the_shelf_give_fits_and_a_scenario_with_them() {
    let mut laboratory = Laboratory::new();
    let (studied, kept) = readings::study(READINGS, &FitOptions::default()).unwrap();
    assert_eq!(
        studied.points, 12,
        "three temperatures and four rates; the three dies give the end correction"
    );
    laboratory.take_study(&packed(&kept).unwrap()).unwrap();
    // The fit gives back the law that the readings were made with, as well as their scatter of 1 % allows.
    let cross = laboratory.fits.iter().find(|fit| fit.kind == FlowLawKind::CrossWlf).expect("fitted");
    let FlowLaw::CrossWlf(law) = &cross.law else { panic!("another law") };
    // Its constants go together; the exponent and the curve are what the readings decide.
    assert!((law.n - 0.38).abs() < 0.05, "{law:?}");
    let made =
        CrossWlfConstants { n: 0.38, tau_star: 100.0, d1: 4000.0, d2: 165.0, d3: 0.0, a1: 8.0, a2: 438.15 };
    let [made, fitted] = [FlowLaw::CrossWlf(made), cross.law.clone()].map(|law| Viscosity::measured(&law));
    for point in &studied.reduction.points {
        let at = |law: &Viscosity| law.viscosity(point.shear_rate, point.temperature + 273.15, 0.0);
        assert!((at(&fitted) / at(&made)).ln().abs() < 0.06, "{point:?}: {} {}", at(&fitted), at(&made));
    }
    let mut scenario = demo::default_demo().scenario();
    laboratory.put_fit(&mut scenario, 0, 58.0).unwrap();
    assert_eq!(scenario.validate(), Ok(()));
    assert!(scenario.feedstock.provenance.ends_with("12 points"));
    let opened = link::decode(&link::encode(&scenario));
    assert_eq!(opened.scenario.feedstock, scenario.feedstock);
    assert!(laboratory.put_fit(&mut scenario, 9, 58.0).is_err());
}

/// A recipe's errors go along, and a fit's take the place of those of its flow law alone.
#[test]
fn how_far_the_numbers_may_be_off_goes_with_the_scenario() {
    let mut laboratory = Laboratory::new();
    laboratory.estimated(&recipe::EXAMPLES[0].recipe().to_json(), 1000.0, 160.0).unwrap();
    let (_, kept) = readings::study(READINGS, &FitOptions::default()).unwrap();
    laboratory.take_study(&packed(&kept).unwrap()).unwrap();
    let mut scenario = demo::default_demo().scenario();
    // What was typed of the contact with the mould is no matter of the feedstock, and stays.
    let typed = ["setup.contact_conductance", "feedstock.swell"];
    let typed = typed.map(|path| Doubt { path: path.to_owned(), standard_error: 0.3, logarithmic: true });
    let known = Uncertainty { numbers: typed.to_vec(), correlation: Vec::new() };
    scenario.feedstock.uncertainty = Some(known);
    laboratory.put_recipe(&mut scenario).unwrap();
    let of_recipe = scenario.feedstock.uncertainty.clone().unwrap();
    laboratory.put_fit(&mut scenario, 0, 58.0).unwrap();
    let opened = link::decode(&link::encode(&scenario));
    assert_eq!((opened.problems.len(), &opened.scenario.feedstock), (0, &scenario.feedstock));
    let both = opened.scenario.feedstock.uncertainty.unwrap();
    let paths = |u: &Uncertainty, flow: bool| -> Vec<String> {
        let of = u.numbers.iter().map(|d| d.path.clone());
        of.filter(|path| path.starts_with("feedstock.flow_law.") == flow).collect()
    };
    assert_eq!(paths(&both, true), paths(&laboratory.uncertainties[0], true));
    assert_eq!(paths(&both, false), paths(&of_recipe, false));
    let has = |path: &str| paths(&both, false).contains(&path.to_owned());
    assert!(has("feedstock.critical_loading") && has("setup.contact_conductance") && !has("feedstock.swell"));
}

#[test]
fn the_loadings_on_the_shelf_agree_on_a_critical_one() {
    let found = readings::assess(LOADINGS, &CriticalOptions::default()).unwrap().found;
    assert_eq!(found.agree, Some(true), "{}", found.verdict);
    assert!((found.critical.unwrap().value - 65.0).abs() < 0.5, "{}", found.verdict);
}

#[test]
fn every_worked_recipe_fits_every_demo_and_what_names_the_powder_follows_it() {
    for example in recipe::EXAMPLES {
        let powder = example.recipe().powder;
        let mut laboratory = Laboratory::new();
        laboratory.estimated(&example.recipe().to_json(), 1000.0, 160.0).unwrap();
        for demo in demo::DEMOS {
            let mut scenario = demo.scenario();
            let set_for = scenario.feedstock.family;
            laboratory.put_recipe(&mut scenario).unwrap();
            // A binder of another family may not flow at the demo's settings, and that is said.
            match scenario.validate() {
                Err(e) if set_for.is_some_and(|family| Some(family) != scenario.feedstock.family) => {
                    assert!(e.problems.iter().all(|p| p.path == "setup.melt_temperature"), "{e}");
                }
                checked => assert_eq!(checked, Ok(()), "{} in {}", example.name, demo.name),
            }
            for name in [&scenario.name, &scenario.feedstock.name, &scenario.feedstock.provenance] {
                assert_eq!(names::contradiction(name, &powder), None, "{name}");
            }
            // A name that was typed stays, and is pointed out.
            let mut typed = Scenario { name: "Tungsten carbide insert".to_owned(), ..demo.scenario() };
            laboratory.put_recipe(&mut typed).unwrap();
            assert_eq!(typed.name, "Tungsten carbide insert");
            let said = laboratory.name_remark("name of the scenario", &typed.name).unwrap();
            assert!(said.contains("tungsten carbide"), "{said}");
        }
    }
}

/// The scans on the shelf are those of a feedstock in the share of the first demo: their peaks, the melted temperature and
/// the no-flow temperature with its standard error go into the link.
#[test]
fn the_scans_on_the_shelf_give_a_scenario_with_their_peaks() {
    let mut laboratory = Laboratory::new();
    let own = demo::default_demo().scenario();
    let share = dsc::binder_share(&own.feedstock);
    let options = ReadOptions { rate: Some(10.0), ..ReadOptions::default() };
    // In either order of reading the one on cooling stands first.
    for (text, direction) in [(SCANS[1], Direction::Heating), (SCANS[0], Direction::Cooling)] {
        let scanned = readings::scan(text, direction, &options, share).unwrap();
        laboratory.take_scan(&packed(&scanned).unwrap()).unwrap();
    }
    assert!(
        laboratory.scans[0].found.direction == Direction::Cooling && laboratory.compare_scans().is_empty()
    );
    let mut scenario = own.clone();
    laboratory.put_scans(&mut scenario, share);
    assert!(scenario.validate_plane().is_err(), "the demo's window reaches down to 110 °C");
    let opened = link::decode(&checked_link(scenario).unwrap());
    assert_eq!(opened.problems, []);
    let (f, no_flow) = (opened.scenario.feedstock, laboratory.scans[0].found.no_flow.unwrap());
    assert!((f.no_flow_temperature - no_flow.value).abs() < 1e-6 && f.further_melting.len() == 1, "{f:?}");
    assert!((f.latent_heat * share / 8.4 - 1.0).abs() < 0.05, "{}", f.latent_heat);
    assert!((f.further_melting[0].latent_heat * share / 2.1 - 1.0).abs() < 0.05, "{:?}", f.further_melting);
    assert!(f.melted_temperature.is_some_and(|t| t > no_flow.value + 20.0));
    let doubts = f.uncertainty.unwrap().numbers;
    let error = doubts.iter().find(|d| d.path == "feedstock.no_flow_temperature").map(|d| d.standard_error);
    assert!((error.unwrap() - no_flow.standard_error).abs() < 1e-3);
    assert_eq!(f.flow_law, own.feedstock.flow_law);
    laboratory.forget_scan(false);
    assert!(laboratory.scans.len() == 1 && laboratory.scans[0].found.no_flow.is_none());
}

/// The figures that the page names: the demo has some ten times the viscosity of the worked recipe.
#[test]
fn the_scenarios_own_feedstock_stands_beside_the_estimate() {
    let mut laboratory = Laboratory::new();
    let shown = laboratory.estimated(&recipe::EXAMPLES[0].recipe().to_json(), 1000.0, 160.0).unwrap();
    let own = Laboratory::own_viscosity(&demo::default_demo().scenario().to_json(), 1000.0, 160.0).unwrap();
    let chosen = shown.chosen.unwrap().viscosity;
    assert!((own / 198.0 - 1.0).abs() < 0.02 && (chosen / 18.0 - 1.0).abs() < 0.03, "{chosen} {}", own);
}

/// What the page keeps of a study is enough to draw the residuals that the fit had.
#[test]
fn the_residuals_drawn_are_those_of_the_fit() {
    let mut text = "temperature [°C];shear rate [1/s];viscosity [Pa·s]\n".to_owned();
    for i in 0..40 {
        let rate = 10_f64.powf(0.1 * f64::from(i));
        let viscosity = 3000.0 / (1.0 + (0.05 * rate).powf(0.6)) * (1.0 + 0.05 * (3.7 * f64::from(i)).sin());
        text += &format!("{};{rate:.5};{viscosity:.5}\n", 150 + i % 2 * 15);
    }
    let rheometry::Readings::Pairs(points) = rheometry::read(&text).unwrap().readings else {
        panic!("pairs were given")
    };
    let ranking = rheometry::fit::rank(&points, &FitOptions::default());
    let mut laboratory = Laboratory::new();
    let (_, kept) = readings::study(&text, &FitOptions::default()).unwrap();
    laboratory.take_study(&packed(&kept).unwrap()).unwrap();
    assert_eq!(laboratory.fits.len(), ranking.fits.len());
    for (place, fit) in ranking.fits.iter().enumerate() {
        laboratory.show_fit(place);
        let drawn = &laboratory.flow.as_ref().unwrap().residuals;
        assert_eq!(drawn.len(), points.len());
        for (drawn, own) in drawn.iter().zip(&fit.residuals) {
            // No yield stress at all is fitted as a thousandth of the least stress measured.
            let room = if fit.kind == FlowLawKind::HerschelBulkley { 2e-3 } else { 1e-9 };
            assert!((drawn.log_ratio - own.log_ratio).abs() < room, "{:?}", fit.kind);
        }
    }
}

/// A recipe's link has at most 400 characters with the standard errors of its numbers in it, whatever the part, and
/// opens with the same feedstock. So has that of a recipe with another loading.
#[test]
fn the_link_of_a_recipe_is_short_and_whole() {
    let shelf = Shelf::read();
    let start =
        |cavities| move |part: &PartWords| part.scenario(&[1.75], None, None, cavities).expect("a part");
    let in_two = shelf.parts.last().map(start(2)).map(|part| Scenario { notes: String::new(), ..part });
    let usual = shelf.parts.iter().map(start(1)).chain(in_two);
    let of_demos = ["hinge", "cleat"].map(|name| demo::find(name).expect("a demo").scenario());
    let parts: Vec<Scenario> = of_demos.into_iter().chain(usual).collect();
    assert!(parts.len() >= 8);
    let mut longest = 0;
    for example in recipe::EXAMPLES {
        for more in [0.0, 1.0] {
            let mut wanted = example.recipe();
            if let Loading::VolumePercent(percent) = &mut wanted.loading {
                *percent -= more;
            }
            let mut laboratory = Laboratory::new();
            laboratory.estimated(&wanted.to_json(), 1000.0, 160.0).unwrap();
            for part in &parts {
                let mut scenario = part.clone();
                laboratory.put_recipe(&mut scenario).unwrap();
                scenario.setup.melt_temperature = scenario.setup.melt_temperature.max(170.0);
                scenario.clear_no_flow();
                let text = link::encode(&scenario);
                longest = longest.max(text.len());
                let opened = link::decode(&text);
                assert_eq!((opened.problems, &opened.scenario), (vec![], &scenario));
                assert!(scenario.feedstock.uncertainty.as_ref().is_some_and(|u| u.numbers.len() > 20));
            }
        }
    }
    assert!(longest <= 400, "{longest} characters");
}
