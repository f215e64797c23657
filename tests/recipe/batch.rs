//! The batch sheet closes.

use crate::{part, recipe, solid};
use gatefrost_laboratory::recipe::{
    Amount, Batch, BatchSheet, Recipe, Regrind, mass_percent, volume_percent,
};
use gatefrost_tests::numeric::off;
use serde_json::json;

/// What is in the batch: powder and each binder part \[kg\], regrind taken apart into its own.
fn contents(sheet: &BatchSheet, regrind_loading: f64, shares: &[f64]) -> (f64, Vec<f64>) {
    let density = solid("316l").density.value;
    let keys = ["paraffin_wax", "pp"];
    let volume: f64 = keys.iter().zip(shares).map(|(k, w)| w / part(k).density_room.value).sum();
    let phi = regrind_loading / 100.0;
    let share = phi * density / (phi * density + (1.0 - phi) / volume);
    let metal = sheet.powder_kg + share * sheet.regrind_kg;
    let parts = sheet.parts.iter().zip(shares).map(|(p, w)| p.mass_kg + w * (1.0 - share) * sheet.regrind_kg);
    (metal, parts.collect())
}

fn close(recipe: &Recipe, batch: &Batch, regrind_loading: f64) -> BatchSheet {
    let sheet = recipe.batch_sheet(batch).expect("a sheet");
    let (metal, parts) = contents(&sheet, regrind_loading, &[0.7, 0.3]);
    let binder_mass: f64 = parts.iter().sum();
    assert!(off(metal + binder_mass, sheet.mass_kg) < 1e-12, "mass");
    assert!(off(parts[0] / binder_mass, 0.7) < 1e-12, "binder composition");
    let weighed: f64 =
        sheet.powder_kg + sheet.regrind_kg + sheet.parts.iter().map(|p| p.mass_kg).sum::<f64>();
    assert!(off(weighed, sheet.mass_kg) < 1e-12, "what is weighed");
    let powder_volume = metal / solid("316l").density.value * 1e3;
    let binder_volume =
        1e3 * (parts[0] / part("paraffin_wax").density_room.value + parts[1] / part("pp").density_room.value);
    assert!(off(powder_volume + binder_volume, sheet.volume_l) < 1e-12, "volume");
    assert!(off(100.0 * powder_volume / sheet.volume_l, sheet.volume_percent) < 1e-12, "loading");
    assert!(off(100.0 * metal / sheet.mass_kg, sheet.mass_percent) < 1e-12, "loading by mass");
    assert!(off(sheet.volume_percent, 60.0) < 1e-12);
    sheet
}

#[test]
fn masses_and_volumes_close() {
    let recipe = recipe(&json!({}));
    for amount in [Amount::MassKg(12.5), Amount::VolumeL(2.5)] {
        close(&recipe, &Batch { amount, regrind: None }, 60.0);
        for (mass_fraction, loading) in [(0.3, None), (0.5, Some(58.0)), (0.4, Some(61.5)), (1.0, None)] {
            let regrind = Some(Regrind { mass_fraction, loading });
            let sheet = close(&recipe, &Batch { amount, regrind }, loading.unwrap_or(60.0));
            assert!(off(sheet.regrind_kg, mass_fraction * sheet.mass_kg) < 1e-12);
        }
    }
    let by_mass = recipe.batch_sheet(&Batch { amount: Amount::MassKg(12.5), regrind: None }).unwrap();
    let back = Batch { amount: Amount::VolumeL(by_mass.volume_l), regrind: None };
    assert!(off(recipe.batch_sheet(&back).unwrap().mass_kg, 12.5) < 1e-12);
}

#[test]
fn shares_by_volume_and_by_mass_convert_both_ways() {
    for v in [0.0, 5.0, 45.0, 60.0, 72.5] {
        let w = mass_percent(v, 7950.0, 903.0);
        assert!((volume_percent(w, 7950.0, 903.0) - v).abs() < 1e-12);
    }
    // 60 vol% of steel in a binder of 900 kg/m³: 0.6·7950/(0.6·7950 + 0.4·900) = 92.982 %.
    assert!((mass_percent(60.0, 7950.0, 900.0) - 92.982_456_140).abs() < 1e-8);
    // A recipe by mass gives the recipe by volume back.
    let by_volume = recipe(&json!({})).estimate().unwrap();
    let mut by_mass = recipe(&json!({}));
    by_mass.loading =
        gatefrost_laboratory::recipe::Loading::MassPercent(by_volume.get("powder_mass").unwrap().value);
    assert!(off(by_mass.estimate().unwrap().feedstock.solids_loading, 60.0) < 1e-12);
}

/// A batch that cannot be mixed takes nothing from the estimate.
#[test]
fn a_batch_that_cannot_be_mixed_leaves_the_estimate() {
    let with = |batch: serde_json::Value| recipe(&json!({ "batch": batch })).estimate().unwrap();
    let sound = with(json!({ "amount": { "mass_kg": 1 } }));
    assert!(sound.batch.is_some() && sound.batch_refused.is_empty());
    for (batch, path) in [
        (json!({ "amount": { "mass_kg": 0 } }), "batch.amount.mass_kg"),
        (
            json!({ "amount": { "mass_kg": 1 }, "regrind": { "mass_fraction": 0.9, "loading": 20 } }),
            "batch.regrind.mass_fraction",
        ),
    ] {
        let refused = with(batch);
        assert_eq!(refused.batch, None);
        assert_eq!(refused.batch_refused[0].path, path);
        assert_eq!(refused.parameters, sound.parameters);
    }
}

#[test]
fn regrind_that_brings_too_much_is_refused_with_the_most_that_fits() {
    let recipe = recipe(&json!({}));
    for loading in [50.0, 64.0] {
        let regrind = Some(Regrind { mass_fraction: 0.999, loading: Some(loading) });
        let error = recipe.batch_sheet(&Batch { amount: Amount::MassKg(1.0), regrind }).unwrap_err();
        let problem = &error.problems[0];
        assert_eq!(problem.path, "batch.regrind.mass_fraction");
        // The most it names is accepted.
        let most = problem.message.split("at most ").nth(1).unwrap();
        let most: f64 = most.split(' ').next().unwrap().parse().unwrap();
        let fits = Some(Regrind { mass_fraction: most, loading: Some(loading) });
        let sheet = recipe.batch_sheet(&Batch { amount: Amount::MassKg(1.0), regrind: fits }).unwrap();
        assert!(sheet.powder_kg >= 0.0 && sheet.parts.iter().all(|p| p.mass_kg >= 0.0));
    }
}
