//! The estimate as a whole: against common practice, and its bands against sampling.

use crate::{example, part, recipe};
use gatefrost_core::catalogue;
use gatefrost_core::feedstock::{Pvt, Viscosity};
use gatefrost_core::scenario::{Family, Feedstock, FlowLaw, PvtLaw, Scenario, demo};
use gatefrost_laboratory::recipe::library::BinderPart;
use gatefrost_laboratory::recipe::{EXAMPLES, Estimate, flow_curve, loading_curve, mouldability};
use gatefrost_tests::numeric::off;
use serde_json::{Value, json};

const R: f64 = 8.314_462_618;

/// Demos and worked recipes are different feedstocks: no name is that of both. Estimates differ from the demos'
/// illustrative constants by up to ten times.
#[test]
fn the_examples_evaluate_in_the_demos_and_are_called_otherwise() {
    let demos = ["hinge", "guide", "sleeve"];
    for (example, demo) in EXAMPLES.iter().zip(demos) {
        assert_ne!(example.name, demo);
        let mut scenario = demo::find(demo).unwrap().scenario();
        scenario.feedstock = example.recipe().estimate().unwrap().feedstock;
        let report =
            gatefrost_report::evaluate(&scenario).unwrap_or_else(|e| panic!("{}: {e}", example.name));
        assert!(report.feedstock.provenance.starts_with("estimated from a recipe, powder: "));
        let thick = report.feedstock.viscosity_at_1000_pa_s;
        assert!((5.0..1000.0).contains(&thick), "{}: {thick} Pa·s at 1000 1/s", example.name);
    }
    for demo in demo::DEMOS {
        let name = demo.scenario().feedstock.name;
        assert!(EXAMPLES.iter().all(|e| e.recipe().title() != name), "{}: {name}", demo.name);
    }
}

/// A recipe without a name is called after its powder and binder; a name that speaks of another powder, and numbers
/// of a lot that are not usual for the powder, are pointed out.
#[test]
fn what_does_not_belong_to_the_powder_is_pointed_out() {
    let plain =
        recipe(&json!({ "powder": "al2o3", "loading": { "volume_percent": 56 }, "critical_loading": 61 }));
    let estimate = plain.estimate().unwrap();
    assert_eq!(estimate.feedstock.name, "Alumina in paraffin wax and polypropylene (recipe)");
    assert_eq!(estimate.feedstock.provenance, "estimated from a recipe, powder: alumina");
    assert!(!estimate.remarks.iter().any(|r| r.contains("not usual")), "{:?}", estimate.remarks);
    let odd = json!({ "powder": "al2o3", "name": "Stainless steel, lot 7", "loading": { "volume_percent": 56 },
        "critical_loading": 69, "particle_size": 10 });
    let estimate = recipe(&odd).estimate().unwrap();
    assert_eq!(estimate.feedstock.name, "Stainless steel, lot 7");
    let said = estimate.remarks.join(" ");
    for part in
        ["mentions stainless steel, but the powder is alumina", "69 vol%, is not usual for alumina", "10 µm"]
    {
        assert!(said.contains(part), "{part:?} is not in {said}");
    }
}

#[test]
fn a_steel_recipe_is_as_thick_as_practice_has_it() {
    // 10 to 1000 Pa·s at moulding shear rates (common practice).
    let estimate = example("steel").estimate().unwrap();
    let thick = estimate.get("viscosity_at_1000").unwrap();
    assert!((10.0..1000.0).contains(&thick.value), "{thick:?}");
    assert!(thick.low < 20.0 && thick.high > 50.0, "the band is wide: {thick:?}");
    // 60 vol% of 316L is near 93 % by mass and 5100 kg/m³: 0.6·7950 + 0.4·900.
    assert!((estimate.get("powder_mass").unwrap().value - 93.0).abs() < 0.3);
    assert!(off(estimate.get("density").unwrap().value, 5130.0) < 0.01);
    // The mixture expands by a few per cent from room to melt, the loading falls by as many points.
    let melt = estimate.get("loading_in_melt").unwrap().value;
    assert!((54.0..58.5).contains(&melt), "{melt} vol% in the melt");
}

#[test]
fn the_estimate_says_it_is_one_and_where_it_is_weak() {
    let estimate = example("steel").estimate().unwrap();
    assert!(estimate.remarks[0].contains("not a measurement"));
    let near = recipe(&json!({ "loading": { "volume_percent": 63.5 } })).estimate().unwrap();
    assert!(
        near.remarks.iter().any(|r| r.contains("only 1 vol% below the critical loading")),
        "{:?}",
        near.remarks
    );
    let wax = recipe(&json!({ "binder": [{ "part": "paraffin_wax", "mass_fraction": 1 }] }));
    let remarks = wax.estimate().unwrap().remarks;
    assert!(remarks.iter().any(|r| r.contains("No backbone")), "{remarks:?}");
    let odd = recipe(&json!({ "binder": [
        { "part": "paraffin_wax", "mass_fraction": 0.7 }, { "part": "pp", "mass_fraction": 0.2995 }
    ] }));
    assert!(odd.estimate().unwrap().remarks.iter().any(|r| r.contains("0.9995")));
}

#[test]
fn every_constant_has_a_band_and_a_catalogued_name() {
    for example in EXAMPLES {
        let estimate = example.recipe().estimate().unwrap();
        for e in &estimate.parameters {
            let parameter = catalogue::at(&e.quantity).unwrap_or_else(|| panic!("{}", e.quantity));
            assert_eq!(parameter.unit, e.unit, "{}", e.quantity);
            assert!(e.low <= e.value && e.value <= e.high && e.low < e.high, "{e:?}");
            assert!(e.standard_error > 0.0 && e.standard_error.is_finite() && !e.rule.is_empty(), "{e:?}");
        }
        for e in &estimate.properties {
            assert!(e.low <= e.value && e.value <= e.high && !e.rule.is_empty(), "{e:?}");
        }
    }
}

/// ln η of the 70/30 binder at `t` \[°C\], written out from the library's numbers.
fn binder_log(t: f64) -> f64 {
    let log = |p: &BinderPart| {
        let distance = 1.0 / (t + 273.15) - 1.0 / (p.viscosity.at.unwrap_or(f64::NAN) + 273.15);
        p.viscosity.value.ln() + p.activation_energy.value * 1e3 / R * distance
    };
    0.7 * log(part("paraffin_wax")) + 0.3 * log(part("pp"))
}

#[test]
fn the_flow_law_keeps_the_binders_temperature_dependence() {
    let estimate = recipe(&json!({})).estimate().unwrap();
    let law = Viscosity::measured(&estimate.feedstock.flow_law);
    let relative = (1.0_f64 - 60.0 / 64.5).powi(-2);
    for t in [110.0, 150.0, 200.0] {
        let rest = law.viscosity(1e-6, t + 273.15, 0.0);
        assert!(off(rest, relative * binder_log(t).exp()) < 1e-4, "{t} °C: {rest}");
    }
}

#[test]
fn the_power_law_touches_the_cross_law() {
    let cross = recipe(&json!({})).estimate().unwrap();
    let power = recipe(&json!({ "flow_form": "power_law" })).estimate().unwrap();
    let t = cross.get("reference_temperature").unwrap().value + 273.15;
    let a = Viscosity::measured(&cross.feedstock.flow_law);
    let b = Viscosity::measured(&power.feedstock.flow_law);
    // The constants of both have five digits, and one of them is an exponent of about 20.
    assert!(off(b.viscosity(1000.0, t, 0.0), a.viscosity(1000.0, t, 0.0)) < 5e-4);
    // A tangent in the logarithms of rate and 1/T: second-order off nearby.
    for (rate, warmer) in [(1050.0, 0.0), (1000.0, 2.0)] {
        let gap = off(b.viscosity(rate, t + warmer, 0.0), a.viscosity(rate, t + warmer, 0.0));
        assert!(gap < 1e-3, "{rate} 1/s, {warmer} K warmer: {gap}");
    }
}

#[test]
fn the_errors_add_up() {
    let estimate = recipe(&json!({})).estimate().unwrap();
    let sum: f64 = estimate.viscosity_errors.iter().map(|c| c.log_error.powi(2)).sum();
    assert!(off(estimate.get("viscosity_at_rest").unwrap().standard_error, sum.sqrt()) < 1e-12);
    // Nearer to the critical loading its error weighs more.
    let of =
        |e: &Estimate| e.viscosity_errors.iter().find(|c| c.source == "critical loading").unwrap().log_error;
    let near = recipe(&json!({ "loading": { "volume_percent": 62.5 } })).estimate().unwrap();
    assert!(of(&near) > 1.3 * of(&estimate));
    // m ln(1 − φ/φc) moves by m φ/(φc(φc − φ)) per unit of φc: 2·0.6/(0.645·0.045)·0.01 = 0.41.
    assert!((of(&estimate) - 0.413).abs() < 0.03, "{}", of(&estimate));
}

/// Normal deviates from a linear congruential generator, by Box and Muller.
fn normals(seed: u64) -> impl FnMut() -> f64 {
    let mut state = seed;
    let mut uniform = move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((state >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    };
    move || (-2.0 * uniform().ln()).sqrt() * (std::f64::consts::TAU * uniform()).cos()
}

#[test]
fn the_band_at_a_rate_matches_sampling() {
    let r = recipe(&json!({}));
    let estimate = r.estimate().unwrap();
    let get = |name: &str| {
        let e = estimate.get(name).unwrap();
        (e.value, e.standard_error)
    };
    let (t, _) = get("reference_temperature");
    let (eta0, spread) = get("viscosity_at_rest");
    let (n, n_error) = get("feedstock.flow_law.cross_wlf.n");
    let (onset, onset_error) = get("feedstock.flow_law.cross_wlf.tau_star");
    let mut normal = normals(7);
    for rate in [10.0, 1000.0, 10000.0] {
        let logs: Vec<f64> = (0..20_000)
            .map(|_| {
                let rest = eta0 * (spread * normal()).exp();
                let exponent = n + n_error * normal();
                let stress = onset * 1e3 * (onset_error * normal()).exp();
                (rest / (1.0 + (rest * rate / stress).powf(1.0 - exponent))).ln()
            })
            .collect();
        let mean = logs.iter().sum::<f64>() / logs.len() as f64;
        let sampled = (logs.iter().map(|l| (l - mean).powi(2)).sum::<f64>() / logs.len() as f64).sqrt();
        let point = flow_curve(&r, t, &[rate]).unwrap()[0];
        let linear = (point.high / point.low).ln() / 4.0;
        // The band is first-order; the law bends within it.
        assert!(off(linear, sampled) < 0.15, "{rate} 1/s: {linear} against {sampled}");
    }
}

#[test]
fn viscosity_rises_with_loading_and_falls_with_rate_and_temperature() {
    let r = example("steel");
    let points = loading_curve(&r, 1000.0, 165.0).unwrap();
    assert!(points.windows(2).all(|w| w[1].viscosity > w[0].viscosity && w[1].loading > w[0].loading));
    assert!(points.last().unwrap().loading < 64.5);
    let rates = [1.0, 10.0, 100.0, 1e3, 1e4];
    let cold = flow_curve(&r, 150.0, &rates).unwrap();
    let hot = flow_curve(&r, 180.0, &rates).unwrap();
    assert!(cold.windows(2).all(|w| w[1].viscosity < w[0].viscosity));
    assert!(cold.iter().zip(&hot).all(|(c, h)| c.viscosity > h.viscosity && c.low < c.viscosity));
}

#[test]
fn the_index_ranks_thin_feedstocks_that_mind_heat_little_first() {
    let usual = mouldability(100.0, 0.4, 30.0);
    assert!(mouldability(50.0, 0.4, 30.0) > usual);
    assert!(mouldability(100.0, 0.3, 30.0) > usual);
    assert!(mouldability(100.0, 0.4, 20.0) > usual);
    // (1/100)(0.6)/(30e3/8.3145) = 1.663e-6 1/(Pa·s·K).
    assert!(off(usual, 1.6629e-6) < 1e-4);
}

#[test]
fn the_conductivity_band_spans_the_rules_and_the_chosen_one_is_used() {
    for rule in ["maxwell_eucken", "bruggeman", "lichtenecker"] {
        let estimate = recipe(&json!({ "conductivity_rule": rule })).estimate().unwrap();
        let band = estimate.get("conductivity").unwrap();
        for by in &estimate.conductivities {
            assert!(band.low < by.conductivity && by.conductivity < band.high, "{rule}: {by:?}");
        }
        let chosen = estimate.conductivities.iter().find(|c| json!(c.rule) == json!(rule)).unwrap();
        assert!(off(band.value, chosen.conductivity) < 1e-15);
    }
}

/// The number of a document at a dotted path.
fn number_at(document: &Value, path: &str) -> Option<f64> {
    document.pointer(&format!("/{}", path.replace('.', "/"))).and_then(Value::as_f64)
}

/// The recipe of each family of binders gives the material of that family's demo: the same family, loading, forms of the
/// laws and number of melting peaks, every number within its band, and volume and viscosity wherever the demo is moulded.
#[test]
fn a_familys_recipe_gives_the_material_of_its_demo() {
    for family in Family::ALL {
        let name = family.demo();
        let scenario = demo::find(name).expect("a demo").scenario();
        let estimate = example(family.name()).estimate().expect("an example");
        let (demo, made) = (&scenario.feedstock, &estimate.feedstock);
        assert_eq!((demo.family, made.family), (Some(family), Some(family)), "{name}");
        assert!((demo.solids_loading - made.solids_loading).abs() < 1e-9, "{name}");
        assert_eq!(demo.loading_scaling, made.loading_scaling, "{name}");
        assert_eq!(demo.conductivity_rule, made.conductivity_rule, "{name}");
        assert_eq!(demo.further_melting.len(), made.further_melting.len(), "{name}");
        assert_eq!(demo.setting_range, made.setting_range, "{name}");
        assert!(scenario.notes.contains("The feedstock is that of the example recipe"), "{name}");
        let document = json!({ "feedstock": demo });
        for found in &estimate.parameters {
            let value = number_at(&document, &found.quantity)
                .unwrap_or_else(|| panic!("{name} does not say {}", found.quantity));
            let near = 1e-3 * found.value.abs();
            assert!(
                (found.low - near..=found.high + near).contains(&value),
                "{name} {}: {value}, band {} to {}",
                found.quantity,
                found.low,
                found.high
            );
        }
        same_volume(name, &scenario, made);
        same_viscosity(name, &scenario, &estimate);
    }
}

/// From the melt to the cold part, without pressure and at that of the hold, both shrink by the same to a fiftieth of it.
fn same_volume(name: &str, scenario: &Scenario, made: &Feedstock) {
    let [demo, made] = [&scenario.feedstock, made].map(Pvt::resolve);
    let melt = scenario.setup.melt_temperature + 273.15;
    for pressure in [0.0, scenario.setup.hold_pressure * 1e6] {
        let shrinks = |pvt: &Pvt, t: f64| 1.0 - pvt.density(melt, pressure).0 / pvt.density(t, 0.0).0;
        let whole = shrinks(&made, 293.15);
        for i in 0..=20 {
            let t = melt + (293.15 - melt) * f64::from(i) / 20.0;
            let off = shrinks(&demo, t) - shrinks(&made, t);
            assert!(off.abs() < 0.02 * whole, "{name} at {t} K and {pressure} Pa: {off} of {whole}");
        }
    }
}

/// Viscosity at the demo's melt temperature and 30 K colder: the same within a standard error of the estimate.
fn same_viscosity(name: &str, scenario: &Scenario, estimate: &Estimate) {
    let error = estimate.viscosity_errors.iter().map(|c| c.log_error.powi(2)).sum::<f64>().sqrt();
    let [demo, made] = [&scenario.feedstock.flow_law, &estimate.feedstock.flow_law].map(Viscosity::measured);
    for rate in [1e1, 1e2, 1e3, 1e4] {
        for colder in [0.0, 15.0] {
            let t = scenario.setup.melt_temperature + 273.15 - colder;
            let off = (demo.viscosity(rate, t, 0.0) / made.viscosity(rate, t, 0.0)).ln();
            assert!(off.abs() < error, "{name} at {rate} 1/s and {t} K: e^{off}, error {error}");
        }
    }
}

/// So the part of the demo can be moulded in the recipe's feedstock: no limit refuses it.
#[test]
fn a_familys_demo_accepts_its_recipe() {
    for family in Family::ALL {
        let name = family.demo();
        let mut scenario = demo::find(name).expect("a demo").scenario();
        scenario.feedstock = Feedstock {
            uncertainty: None,
            particle_size_90: scenario.feedstock.particle_size_90,
            ..example(family.name()).estimate().expect("an example").feedstock
        };
        let report = gatefrost_report::evaluate(&scenario).unwrap_or_else(|e| panic!("{name}: {e}"));
        for margin in &report.margins {
            assert!(margin.g > 0.1, "{name}: {}", margin.sentence);
        }
        assert!(report.inside, "{name}");
    }
}

/// Wax without a polymer is moulded at 60 to 95 °C and has a yield stress: its flow law is estimated there and has one.
/// The viscosity at the rates of such moulding, about 100 1/s, is some Pa·s, from memory.
#[test]
fn wax_alone_is_estimated_where_it_is_moulded() {
    let estimate = example("wax_low_pressure").estimate().unwrap();
    let t = estimate.get("reference_temperature").unwrap().value;
    assert!((60.0..=95.0).contains(&t), "{t} °C");
    let FlowLaw::HerschelBulkley(law) = &estimate.feedstock.flow_law else { panic!("no yield stress") };
    assert!((0.01..0.25).contains(&law.yield_stress) && law.reference_temperature == t, "{law:?}");
    let measured = Viscosity::measured(&estimate.feedstock.flow_law);
    let r = example("wax_low_pressure");
    for temperature in [70.0, t, 95.0] {
        for rate in [10.0, 100.0, 1000.0] {
            let shown = flow_curve(&r, temperature, &[rate]).unwrap()[0];
            let of_law = measured.viscosity(rate, temperature + 273.15, 0.0);
            // The constants have five digits.
            assert!(off(shown.viscosity, of_law) < 1e-4, "{temperature} °C {rate} 1/s: {of_law} {shown:?}");
        }
    }
    let usual = flow_curve(&r, t, &[100.0]).unwrap()[0];
    assert!((0.5..10.0).contains(&usual.viscosity), "{usual:?}");
    assert!(
        off(estimate.get("viscosity_at_rest").unwrap().value, measured.viscosity(1000.0, t + 273.15, 0.0))
            < 0.1
    );
    // A polymer in it, or a form that is asked for, is as before.
    let stiff = recipe(&json!({})).estimate().unwrap();
    assert!(matches!(stiff.feedstock.flow_law, FlowLaw::CrossWlf(_)));
    let asked = json!({ "flow_form": "herschel_bulkley", "reference_temperature": 170 });
    let asked = recipe(&asked).estimate().unwrap();
    assert!(matches!(asked.feedstock.flow_law, FlowLaw::HerschelBulkley(_)));
    assert_eq!(asked.get("reference_temperature").unwrap().value, 170.0);
}

/// A backbone that has set carries the part while the wax in it is liquid; wax alone carries it once it is solid.
#[test]
fn the_backbone_carries_the_part_out_of_the_mould() {
    for (name, backbone) in [("wax_polyolefin", "pp"), ("polyacetal", "pom"), ("water_soluble", "hdpe")] {
        let estimate = example(name).estimate().unwrap();
        let found = estimate.get("feedstock.ejection_temperature").unwrap();
        let sets = &part(backbone).crystallises;
        assert!(found.value < sets.value - 3.0 && found.value > sets.value - 25.0, "{name}: {found:?}");
        assert!(found.low > sets.value - 30.0 && found.high <= sets.high, "{name}: {found:?}");
        assert!(found.rule.contains("half of"), "{}", found.rule);
    }
    let wax = example("wax_low_pressure").estimate().unwrap();
    let found = wax.get("feedstock.ejection_temperature").unwrap();
    assert!((40.0..50.0).contains(&found.value) && found.rule.contains("90 %"), "{found:?}");
}

/// What begins to set no longer flows: the no-flow temperature lies at the hot end of the backbone's peak or above it, and
/// so does the step of the volume.
#[test]
fn nothing_flows_that_has_begun_to_crystallise() {
    for family in Family::ALL {
        for f in [
            demo::find(family.demo()).expect("a demo").scenario().feedstock,
            example(family.name()).estimate().unwrap().feedstock,
        ] {
            let hottest = f.further_melting.iter().map(|peak| peak.liquidus).fold(f.liquidus, f64::max);
            let PvtLaw::Tait(pvt) = &f.pvt else { panic!("{}: no step", f.name) };
            assert!(f.no_flow_temperature >= hottest && f.no_flow_temperature >= pvt.b5, "{}", f.name);
            assert!(f.melted_temperature.expect("is stated") > f.no_flow_temperature, "{}", f.name);
        }
    }
}
