//! Checks on what the laboratory offers and gives back.

use super::*;
use gatefrost_core::scenario::demo;

#[test]
fn the_readings_on_the_shelf_give_fits_and_a_scenario_with_them() {
    let mut laboratory = Laboratory::new();
    let studied = laboratory.studied(READINGS).unwrap();
    assert_eq!(studied.points, 3);
    assert!((studied.reduction.points[0].viscosity / 258.6 - 1.0).abs() < 1e-3);
    let mut scenario = demo::default_demo().scenario();
    laboratory.put_fit(&mut scenario, 0, 58.0).unwrap();
    assert_eq!(scenario.validate(), Ok(()));
    assert!(scenario.feedstock.provenance.ends_with("3 points"));
    let opened = link::decode(&link::encode(&scenario));
    assert_eq!(opened.scenario.feedstock, scenario.feedstock);
    assert!(laboratory.put_fit(&mut scenario, 9, 58.0).is_err());
}

#[test]
fn the_loadings_on_the_shelf_agree_on_a_critical_one() {
    let table = critical::read(LOADINGS).unwrap();
    let found = critical::assess(&table, &CriticalOptions::default());
    assert_eq!(found.agree, Some(true), "{}", found.verdict);
    assert!((found.critical.unwrap().value - 65.0).abs() < 0.5, "{}", found.verdict);
}

#[test]
fn every_worked_recipe_fits_the_scenario_it_belongs_to() {
    for example in recipe::EXAMPLES {
        let mut laboratory = Laboratory::new();
        laboratory.estimated(&example.recipe().to_json(), 1000.0, 160.0).unwrap();
        let demo = demo::DEMOS.iter().find(|d| d.name == example.name).unwrap();
        let mut scenario = demo.scenario();
        laboratory.put_recipe(&mut scenario).unwrap();
        assert_eq!(scenario.validate(), Ok(()), "{}", example.name);
        assert_eq!(scenario.feedstock.provenance, recipe::PROVENANCE);
    }
}
