//! Heat of melting: energy is conserved, whatever the temperatures.

use crate::{part, recipe};
use gatefrost_core::scenario::{Feedstock, PvtLaw, demo};
use gatefrost_laboratory::recipe::heat::Melting;
use gatefrost_laboratory::recipe::library::{BinderPart, binders};
use gatefrost_laboratory::recipe::{Blend, EXAMPLES, Estimate};
use gatefrost_tests::numeric::{off, simpson};
use serde_json::json;

/// ∫f from `a` to `b`, split where a part's curve has corners so that Simpson's rule is exact there.
fn integrate(part: &BinderPart, f: impl Fn(f64) -> f64, a: f64, b: f64) -> f64 {
    let (from, to) = (part.melting_from.value, part.melting_to.value);
    let mut ends = vec![a, b];
    ends.extend([0.0, 0.25, 0.75, 1.0].map(|u| from + u * (to - from)).iter().filter(|t| a < **t && **t < b));
    ends.sort_by(f64::total_cmp);
    ends.windows(2).map(|w| simpson(&f, w[0], w[1], 20)).sum()
}

#[test]
fn the_latent_heat_is_what_the_apparent_heat_capacity_holds_beyond_the_sensible() {
    for part in binders() {
        let melting = Melting::of(part);
        let latent = |t: f64| {
            let m = melting.share(t);
            let sensible = (1.0 - m) * part.heat_capacity_solid.value + m * part.heat_capacity_melt.value;
            part.apparent_heat_capacity(t) - sensible
        };
        let found = integrate(part, latent, -40.0, 220.0);
        let expected = part.latent_heat.value * 1e3;
        assert!((found - expected).abs() < 1e-8 * (1.0 + expected), "{}: {found} J/kg", part.key);
    }
}

#[test]
fn enthalpy_is_the_integral_of_the_apparent_heat_capacity() {
    for part in binders() {
        let middle = 0.5 * (part.melting_from.value + part.melting_to.value);
        for (a, b) in [(-40.0, 220.0), (20.0, 165.0), (middle - 7.0, middle + 1.0), (20.0, middle)] {
            if b <= a {
                continue;
            }
            let found = part.enthalpy(a, b);
            let expected = integrate(part, |t| part.apparent_heat_capacity(t), a, b);
            assert!(off(found, expected) < 1e-9, "{} from {a} to {b}: {found} {expected}", part.key);
        }
    }
}

#[test]
fn melting_runs_from_nothing_to_all_without_a_jump() {
    let melting = Melting { from: 46.0, to: 66.0 };
    assert_eq!((melting.share(40.0), melting.share(70.0)), (0.0, 1.0));
    assert!((melting.share(56.0) - 0.5).abs() < 1e-15);
    let steps: Vec<f64> = (0..=2000).map(|i| melting.share(45.0 + 0.011 * f64::from(i))).collect();
    assert!(steps.windows(2).all(|w| w[1] >= w[0] && w[1] - w[0] < 0.001));
    for t in [46.5, 50.9, 51.1, 60.9, 61.1, 65.0] {
        let numeric = (melting.share(t + 1e-5) - melting.share(t - 1e-5)) / 2e-5;
        assert!((numeric - melting.slope(t)).abs() < 1e-8, "{t}");
        let numeric = (melting.integral(t + 1e-5) - melting.integral(t - 1e-5)) / 2e-5;
        assert!((numeric - melting.share(t)).abs() < 1e-8, "{t}");
    }
}

#[test]
fn heat_capacity_and_latent_heat_take_up_the_whole_heat_either_way() {
    let lump = json!({ "reference_temperature": 170, "latent_in_heat_capacity": true });
    let lump = recipe(&lump).estimate().unwrap().feedstock;
    let apart = recipe(&json!({ "reference_temperature": 170 })).estimate().unwrap().feedstock;
    let blend = Blend::new(vec![(part("paraffin_wax"), 0.7), (part("pp"), 0.3)]);
    let whole = blend.enthalpy(20.0, 170.0);
    let latent =
        |f: &Feedstock| f.latent_heat + f.further_melting.iter().map(|peak| peak.latent_heat).sum::<f64>();
    let heat = |f: &Feedstock| f.binder_heat_capacity * (170.0 - 20.0) + 1e3 * latent(f);
    // The numbers of a recipe have five digits.
    assert!(off(heat(&lump), whole) < 1e-5 && latent(&lump) == 0.0);
    assert!(off(heat(&apart), whole) < 1e-5);
    // Σ w L: 0.7·180 = 126 kJ/kg of the wax, 0.3·90 = 27 of polypropylene, each where its part sets on cooling.
    let [backbone] = &apart.further_melting[..] else { panic!("two parts, two peaks") };
    assert!((apart.latent_heat - 126.0).abs() < 1e-9 && (backbone.latent_heat - 27.0).abs() < 1e-9);
    let (wax, pp) = (part("paraffin_wax"), part("pp"));
    assert!(apart.liquidus < wax.melting_to.value && backbone.solidus > apart.liquidus, "{backbone:?}");
    assert!(backbone.liquidus <= pp.crystallises.value && pp.crystallises.value < pp.melting_from.value);
    assert_eq!(apart.melted_temperature, Some(pp.melting_to.value));
    assert_eq!(apart.no_flow_temperature, pp.crystallises.value, "the backbone on cooling");
}

/// The middle of the setting range is the mean temperature of the latent heat, here that of two
/// symmetric ranges; a single part sets in its own range.
#[test]
fn the_setting_range_has_the_mean_of_the_latent_heat() {
    let (wax, pp) = (part("paraffin_wax"), part("pp"));
    let middle = |p: &BinderPart| 0.5 * (p.melting_from.value + p.melting_to.value);
    for share in [0.05, 0.3, 0.8, 0.95] {
        let set = Blend::new(vec![(wax, 1.0 - share), (pp, share)]).setting_range();
        let heats = [(1.0 - share) * wax.latent_heat.value, share * pp.latent_heat.value];
        let mean = (heats[0] * middle(wax) + heats[1] * middle(pp)) / (heats[0] + heats[1]);
        assert!((0.5 * (set.from + set.to) - mean).abs() < 0.05, "{share}: {set:?}, mean {mean}");
    }
    let own = Blend::new(vec![(wax, 1.0)]).setting_range();
    assert!(own.from > wax.melting_from.value && own.to < wax.melting_to.value, "{own:?}");
    assert!(own.to - own.from > 0.65 * (wax.melting_to.value - wax.melting_from.value), "{own:?}");
    assert!(own.misfit < 1.5, "{own:?}");
}

/// A little more polypropylene moves the setting range a little, and where the parts set far apart the
/// error says so.
#[test]
fn the_setting_range_follows_the_composition_without_a_jump() {
    let of = |share: f64| {
        Blend::new(vec![(part("paraffin_wax"), 1.0 - share), (part("pp"), share)]).setting_range()
    };
    for percent in 1..99 {
        let (here, next) = (of(0.01 * f64::from(percent)), of(0.01 * f64::from(percent + 1)));
        let moved = (next.from - here.from).abs().max((next.to - here.to).abs());
        // Quantiles would jump by most of the hundred kelvin between the two.
        assert!(moved < 8.0, "{percent} %: {here:?} {next:?}");
    }
    assert!(of(0.5).misfit > 10.0, "{:?}", of(0.5));
    let estimate = recipe(&json!({})).estimate().unwrap();
    let error = estimate.get("feedstock.liquidus").unwrap().standard_error;
    let wax = Blend::new(vec![(part("paraffin_wax"), 0.7), (part("pp"), 0.3)]).peaks()[0];
    assert!((error - wax.setting.misfit.hypot(5.0)).abs() < 1e-9, "{error}");
}

#[test]
fn a_wax_and_polypropylene_binder_is_molten_at_150_and_stops_flowing_below() {
    // 70/30 by mass with about 40 vol% binder counts as fully molten near 150 °C (common practice).
    // Polypropylene alone ends at 163 °C, so a small share is still solid by the table.
    let usual = recipe(&json!({ "no_flow_rule": "half_solid" }));
    let estimate = usual.estimate().unwrap();
    assert!(estimate.get("molten_at_150").unwrap().value > 85.0);
    // Half solid: inside the range of the wax, which is the larger part.
    let wax = part("paraffin_wax");
    let stop = estimate.feedstock.no_flow_temperature;
    assert!(wax.melting_from.value < stop && stop < wax.melting_to.value, "{stop} °C");
    assert!(estimate.feedstock.ejection_temperature < stop);
    // By the other rule the backbone decides; still below 150 °C.
    let stiff = recipe(&json!({ "no_flow_rule": "backbone" })).estimate().unwrap();
    let stiff = stiff.feedstock.no_flow_temperature;
    assert!(stop < stiff && stiff < 150.0, "{stiff} °C");
}

/// Tait's equation of a recipe against the volumes of its parts mixed by mass: exact for the melt at the transition and at
/// the reference temperature, within 0.3 % between and a little beyond; cold, the volume that was weighed.
#[test]
fn a_recipe_s_tait_equation_mixes_the_volumes_of_its_parts() {
    for example in EXAMPLES {
        let estimate = example.recipe().estimate().unwrap();
        let PvtLaw::Tait(t) = &estimate.feedstock.pvt else { panic!("{}", example.name) };
        let blend =
            Blend::new(example.recipe().binder.iter().map(|p| (part(&p.part), p.mass_fraction)).collect());
        let reference = estimate.get("reference_temperature").unwrap().value;
        let pvt = |temperature: f64, p: f64| {
            let b = t.b3m * 1e6 * (-t.b4m * 1e-3 * (temperature - t.b5)).exp();
            (t.b1m + t.b2m * 1e-4 * (temperature - t.b5)) * (1.0 - 0.0894 * (1.0 + p / b).ln())
        };
        for share in [0.0, 0.5, 1.0, 1.2] {
            let temperature = t.b5 + share * (reference - t.b5);
            for p in [0.0, 1e8] {
                let mixed = 1e3 * blend.volume_melt(temperature, p).value;
                let off = pvt(temperature, p) / mixed - 1.0;
                let allowed = if share == 0.0 || share == 1.0 { 1e-4 } else { 3e-3 };
                assert!(off.abs() < allowed, "{} at {temperature} °C, {p} Pa: {off}", example.name);
            }
        }
        // Cold, the binder has the density that was weighed.
        let cold = t.b1s + t.b2s * 1e-4 * (20.0 - t.b5) + t.b7 * (t.b8 * (20.0 - t.b5)).exp();
        let weighed = 1e3 * blend.volume_room().value;
        assert!((cold / weighed - 1.0).abs() < 2e-3, "{}: {cold} against {weighed}", example.name);
    }
}

/// The melt's volume is as uncertain as those of its parts: of one part alone, as its density; the expansion as its
/// expansion; the stiffness as its compressibility. What melting adds goes with the volume of the melt in a draw, and
/// numbers of the linear law, which is not in use, are not listed.
#[test]
fn the_errors_of_the_melt_s_volume_are_those_of_the_parts() {
    let pp = part("pp");
    let recipe =
        recipe(&json!({ "binder": [{ "part": "pp", "mass_fraction": 1.0 }], "reference_temperature": 190 }));
    let estimate = recipe.estimate().unwrap();
    let of = |name: &str| estimate.get(&format!("feedstock.pvt.tait.{name}")).unwrap();
    let relative = pp.density_melt.error() / pp.density_melt.value;
    let warmer = (of_transition(&estimate) - pp.density_melt.at.unwrap()) * pp.expansion_melt.error() * 1e-4;
    // Standard errors have two digits: at most 5 % is rounded off.
    assert!((of("b1m").standard_error / of("b1m").value / relative.hypot(warmer) - 1.0).abs() < 0.05);
    let given = of("b1m").value * pp.expansion_melt.error();
    assert!((of("b2m").standard_error / given - 1.0).abs() < 0.05, "{:?}", of("b2m"));
    // A compressibility higher by its error: the stiffness at the transition by definition, 100 MPa/(exp(κp/C) − 1).
    let kappa = estimate_compressibility(of("b3m").value);
    let softer = 100.0 / (((kappa + pp.compressibility.error() * 1e-9) * 1e8 / 0.0894).exp() - 1.0);
    let log_error = (of("b3m").value / softer).ln();
    assert!((of("b3m").standard_error / log_error - 1.0).abs() < 0.1, "{log_error} {:?}", of("b3m"));

    let known = estimate.feedstock.uncertainty.as_ref().unwrap();
    let has = |path: &str| known.numbers.iter().any(|d| d.path == path);
    assert!(["b1m", "b2m", "b3m"].iter().all(|name| has(&format!("feedstock.pvt.tait.{name}"))));
    assert!(!has("feedstock.binder_expansion") && !has("feedstock.binder_compressibility"));
    let mut scenario = demo::default_demo().scenario();
    scenario.feedstock = estimate.feedstock.clone();
    let place = known.numbers.iter().position(|d| d.path.ends_with("b1m")).unwrap();
    for side in [-2.5, 2.5] {
        let mut normals = vec![0.0; known.numbers.len()];
        normals[place] = side;
        let drawn = known.draw(&scenario, &normals).feedstock;
        let (PvtLaw::Tait(drawn), PvtLaw::Tait(set)) = (&drawn.pvt, &scenario.feedstock.pvt) else {
            panic!()
        };
        let moved = (drawn.b1m - set.b1m) / (side * of("b1m").standard_error);
        assert!((moved - 1.0).abs() < 0.05, "{moved}");
        assert!((drawn.b1m - drawn.b1s - drawn.b7 - (set.b1m - set.b1s - set.b7)).abs() < 1e-9);
    }
}

fn of_transition(estimate: &Estimate) -> f64 {
    let PvtLaw::Tait(t) = &estimate.feedstock.pvt else { panic!("another law") };
    t.b5
}

/// Relative loss of volume per pressure up to 100 MPa \[1/Pa\] at a stiffness \[MPa\].
fn estimate_compressibility(stiffness: f64) -> f64 {
    0.0894 * (100.0 / stiffness).ln_1p() / 1e8
}
