//! Mixing rules: relative viscosity, conductivity, logarithmic viscosity.

use crate::{part, recipe};
use gatefrost_core::feedstock::loading::relative_viscosity;
use gatefrost_core::scenario::{ConductivityRule, LoadingLaw};
use gatefrost_laboratory::recipe::Blend;
use gatefrost_tests::numeric::off;
use serde_json::json;

#[test]
fn relative_viscosities_match_the_table() {
    // Closed forms at φm = 0.64, worked out apart from this code.
    use LoadingLaw::{Chong, Eilers, KriegerDougherty, Mooney, Quemada};
    let laws = [KriegerDougherty, Quemada, Eilers, Mooney, Chong];
    for (phi, row) in [
        (0.10, [1.312, 1.405, 1.318, 1.345, 1.297]),
        (0.30, [2.751, 3.543, 2.910, 4.103, 2.761]),
        (0.50, [11.38, 20.90, 14.88, 303.2, 13.53]),
        (0.60, [84.45, 256.0, 169.0, 2.65e10, 150.1]),
    ] {
        for (law, expected) in laws.into_iter().zip(row) {
            let found = relative_viscosity(law, phi, 0.64, f64::NAN);
            assert!(off(found, expected) < 1e-3, "{law:?} at {phi}: {found} against {expected}");
        }
    }
}

#[test]
fn every_law_starts_at_one_rises_and_diverges() {
    use LoadingLaw::{Chong, Eilers, KriegerDougherty, Mooney, Power, Quemada};
    for law in [Power, KriegerDougherty, Eilers, Chong, Quemada, Mooney] {
        let at = |phi| relative_viscosity(law, phi, 0.64, 2.0);
        assert!((at(0.0) - 1.0).abs() < 1e-15, "{law:?}");
        let steps: Vec<f64> = (0..=60).map(|i| at(0.01 * f64::from(i))).collect();
        assert!(steps.windows(2).all(|w| w[1] > w[0]), "{law:?}");
        assert!(at(0.6399) > 1e4, "{law:?}: {}", at(0.6399));
        // Einstein's slope is 2.5; the forms made for dense suspensions start anywhere near it.
        let slope = (at(1e-6) - 1.0) / 1e-6;
        assert!((2.2..3.3).contains(&slope), "{law:?}: {slope}");
    }
}

#[test]
fn maxwell_eucken_has_the_right_limits() {
    let rule = ConductivityRule::MaxwellEucken;
    for (kp, kb) in [(15.0, 0.25), (0.05, 0.25), (170.0, 0.2)] {
        assert!(off(rule.conductivity(0.0, 0.66, kp, kb), kb) < 1e-14);
        assert!(off(rule.conductivity(1.0, 0.66, kp, kb), kp) < 1e-14);
        // Between layers across and layers along the heat flow (Wiener).
        let k = rule.conductivity(0.6, 0.66, kp, kb);
        let (series, parallel) = (1.0 / (0.6 / kp + 0.4 / kb), 0.6 * kp + 0.4 * kb);
        assert!(series < k && k < parallel, "{series} {k} {parallel}");
    }
    // Equal parts mix to themselves; a perfect conductor in 60 vol% gives (1 + 2φ)/(1 − φ).
    assert!(off(rule.conductivity(0.6, 0.66, 0.3, 0.3), 0.3) < 1e-14);
    assert!(off(rule.conductivity(0.6, 0.66, 1e12, 0.25) / 0.25, (1.0 + 1.2) / 0.4) < 1e-9);
    // The maxwellian start: k/kb − 1 → 3φ(kp − kb)/(kp + 2kb).
    let slope = (rule.conductivity(1e-6, 0.66, 15.0, 0.25) / 0.25 - 1.0) / 1e-6;
    assert!(off(slope, 3.0 * 14.75 / 15.5) < 1e-5);
}

#[test]
fn a_pure_binder_keeps_its_own_properties() {
    for key in ["paraffin_wax", "pp", "peg"] {
        let part = part(key);
        let blend = Blend::new(vec![(part, 1.0)]);
        for t in [120.0, 180.0] {
            let log = blend.log_viscosity(t);
            assert!(off(log.value.exp(), part.melt_viscosity(t)) < 1e-12);
            assert!(log.error >= part.viscosity.log_error());
        }
        assert!(off(blend.volume_room().value, 1.0 / part.density_room.value) < 1e-15);
        assert!(off(blend.volume_melt(170.0, 0.0).value, part.specific_volume(170.0, 0.0)) < 1e-15);
        assert!(off(blend.activation_energy().value, part.activation_energy.value) < 1e-15);
        assert!(off(blend.conductivity().value, part.conductivity.value) < 1e-14);
        assert!(off(blend.conductivity().error, part.conductivity.error()) < 1e-14);
    }
    // At the temperature it is known at, the viscosity is the library's.
    let wax = part("paraffin_wax");
    assert!(off(wax.melt_viscosity(100.0), 0.0045) < 1e-12);
}

#[test]
fn equal_masses_mix_to_the_geometric_mean_and_shares_are_scaled() {
    let (wax, polymer) = (part("paraffin_wax"), part("hdpe"));
    let mean = (wax.melt_viscosity(160.0) * polymer.melt_viscosity(160.0)).sqrt();
    for shares in [(0.5, 0.5), (3.0, 3.0)] {
        let blend = Blend::new(vec![(wax, shares.0), (polymer, shares.1)]);
        assert!(off(blend.log_viscosity(160.0).value.exp(), mean) < 1e-12);
    }
}

#[test]
fn more_polymer_makes_it_stiffer_and_more_powder_too() {
    let thick = |changes| recipe(&changes).estimate().unwrap().get("viscosity_at_1000").unwrap().value;
    let usual = thick(json!({}));
    let polymer = json!({ "binder": [
        { "part": "paraffin_wax", "mass_fraction": 0.5 },
        { "part": "pp", "mass_fraction": 0.5 }
    ] });
    assert!(thick(polymer) > 1.5 * usual);
    assert!(thick(json!({ "loading": { "volume_percent": 63 } })) > 1.3 * usual);
}
