//! From the coolant to the surface of the steel, against the packages ht and chemicals and a series of multipoles
//! (`tests/reference/steel.py`), and against what a measured mould reads.

use gatefrost_core::cool::steel::{Circuits, Regime, Surface};
use gatefrost_core::feedstock::ZERO_CELSIUS;
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Scenario, demo};
use serde_json::Value;

fn reference() -> Value {
    serde_json::from_str(include_str!("../reference/steel.json")).expect("as the script writes it")
}

fn number(value: &Value, name: &str) -> f64 {
    value[name].as_f64().unwrap_or_else(|| panic!("no {name} in {value}"))
}

/// One circuit of usual drillings.
const USUAL: Circuits = Circuits {
    coolant: 20.0 + ZERO_CELSIUS,
    flow: 6e-3 / 60.0,
    count: 1.0,
    bore: 8e-3,
    pitch: 30e-3,
    depth: 16e-3,
    length: 0.8,
    conductivity: 29.0,
};

/// The textbooks' line of heat alone is 2 to 10 % below the series.
#[test]
fn the_shape_factor_of_a_row_is_that_of_the_series() {
    let table = reference();
    for row in table["rows"].as_array().expect("a list") {
        let [bore, pitch, depth] = ["bore", "pitch", "depth"].map(|name| number(row, name));
        let found = Circuits { bore, pitch, depth, ..USUAL }.shape_factor();
        let off = found / number(row, "factor") - 1.0;
        assert!(off.abs() < 0.015, "bore {bore}, pitch {pitch}: {off}");
    }
    // Far apart each drilling is alone: S' = 2π/arcosh(2z/D) of the package ht.
    let alone = &table["one_alone"];
    let [bore, depth] = ["bore", "depth"].map(|name| number(alone, name));
    let found = Circuits { bore, depth, pitch: 8.0, ..USUAL }.shape_factor();
    assert!((found / number(alone, "ht") - 1.0).abs() < 1e-3, "{found}");
}

/// A worked example of a textbook: a pipe of 10.74 in, its middle 18 in below the ground, k = 0.072 BTU/(h·ft·°R), 140 and
/// 65 °F: 18.05 BTU/(h·ft), from S' = 2π/arcosh(2z/D). It is example 3.2, page 134, of "Engineering Heat Transfer", read as
/// it is worked out in the FOSSEE textbook companion (tbc-python.fossee.in, CHAPTER_3.ipynb). Our S' is a series to second
/// order in D/z, which is 0.04 % off here. Without the term of the dipole it would be 1.2 % off.
#[test]
fn one_buried_pipe_is_that_of_a_textbook() {
    const FOOT: f64 = 0.3048;
    let pipe = Circuits { bore: 10.74 / 12.0 * FOOT, depth: 1.5 * FOOT, pitch: 1e4, ..USUAL };
    let heat = pipe.shape_factor() * 0.072 * (140.0 - 65.0);
    assert!((heat / 18.05 - 1.0).abs() < 1e-3, "{heat} BTU/(h·ft)");
}

/// The textbooks' row of pipes under a plane, S' = 2π/ln[(2w/πD) sinh(2πz/w)] (Çengel, from memory), holds for thin pipes:
/// D = 4, w = 80 and z = 60 mm give 2π/ln(12.732 · 55.654) = 2π/6.5633 = 0.95732, worked out by hand. A row that took the
/// pipes for single ones would have 2π/ln(60) = 1.535, and one whose pipes are at half the pitch 0.59.
#[test]
fn a_row_of_thin_drillings_is_that_of_the_textbooks() {
    let row = Circuits { bore: 4e-3, pitch: 80e-3, depth: 60e-3, ..USUAL }.shape_factor();
    assert!((row / 0.95732 - 1.0).abs() < 2e-3, "{row}");
    // Deep below the surface the drillings act as a plate: the heat for each width is k over the depth, near enough.
    let deep = Circuits { bore: 8e-3, pitch: 30e-3, depth: 3.0, ..USUAL };
    assert!((deep.shape_factor() * deep.depth / deep.pitch - 1.0).abs() < 2e-3);
}

/// The turbulent cases; the first one lies in the transition, where Dittus and Boelter do not hold yet.
#[test]
fn the_surface_is_that_of_the_packages() {
    let table = reference();
    for case in table["steel"].as_array().expect("a list") {
        let of = |name: &str| number(case, name);
        let coolant = of("coolant") + ZERO_CELSIUS;
        let [flow, bore, pitch, depth] = ["flow", "bore", "pitch", "depth"].map(of);
        let [length, conductivity] = ["length", "conductivity"].map(of);
        let circuits = Circuits { coolant, flow, count: 1.0, bore, pitch, depth, length, conductivity };
        let found = circuits.surface(of("heat")).expect("liquid");
        let near = |value: f64, name: &str, share: f64| {
            assert!((value / of(name) - 1.0).abs() < share, "{name}: {value} for {}", of(name));
        };
        near(found.reynolds, "reynolds", 0.015);
        near(found.rise, "rise", 0.005);
        let turbulent = of("reynolds") > 1e4;
        assert_eq!(found.regime == Regime::Turbulent, turbulent);
        near(found.film, "film", if turbulent { 0.015 } else { 0.12 });
        let above = found.temperature - coolant;
        let expected = of("surface") - of("coolant");
        assert!(
            (above / expected - 1.0).abs() < if turbulent { 0.01 } else { 0.04 },
            "{above} for {expected}"
        );
    }
}

/// Without a jump from one regime to the next; less water never cools better.
#[test]
fn less_water_means_a_warmer_surface() {
    let mut last = f64::INFINITY;
    for step in 0..4000 {
        let flow = 1e-7 * 10_f64.powf(f64::from(step) / 1000.0);
        // Too little water would boil.
        let circuits = Circuits { flow, ..USUAL };
        let Some(Surface { temperature, .. }) = circuits.surface(300.0) else {
            assert!(flow < 300.0 / (4.0e6 * 150.0), "{flow} m³/s");
            continue;
        };
        assert!(temperature < last, "at {flow} m³/s");
        assert!(last.is_infinite() || last - temperature < 0.05 * (last - USUAL.coolant), "a jump at {flow}");
        last = temperature;
    }
}

/// The measured mould of a plastic shell (`tests/measured`): its steel reads 31 to 34, 49 to 50 and 65 to 72 °C with
/// coolant of 20, 40 and 60 °C, 5 to 14 K above it. 90 g of polypropylene give up some 550 J/g from 250 °C on in a
/// cycle of 57 s: about 870 W. Its drillings are not known; with usual ones the sign and the size come out.
#[test]
fn a_measured_mould_reads_as_far_above_its_coolant() {
    for coolant in [20.0, 40.0, 60.0] {
        for (length, depth) in [(1.6, 16e-3), (2.0, 20e-3), (3.0, 25e-3)] {
            let circuits = Circuits { coolant: coolant + ZERO_CELSIUS, flow: 1e-4, length, depth, ..USUAL };
            let above = circuits.surface(870.0).expect("liquid").temperature - circuits.coolant;
            assert!((4.0..20.0).contains(&above), "{above} K above {coolant} °C");
        }
    }
    // Hotter water is thinner: the film is, too.
    let above = |coolant: f64| {
        let circuits = Circuits { coolant: coolant + ZERO_CELSIUS, ..USUAL };
        circuits.surface(300.0).expect("liquid").temperature - circuits.coolant
    };
    assert!(above(60.0) < above(20.0));
}

/// The report takes the heat of the cycle: what the mould takes up in a shot, over the time between two.
#[test]
fn the_report_says_how_warm_the_steel_is_where_the_coolant_is_given() {
    let mut scenario = demo::default_demo().scenario();
    let evaluated = |s: &Scenario| gatefrost_report::evaluate(s).expect("valid").cool;
    assert!(evaluated(&scenario).steel.is_none());
    scenario.mould.coolant_temperature = Some(30.0);
    let cool = evaluated(&scenario);
    let steel = cool.steel.expect("a cycle");
    let above = 0.5 * steel.rise_k + steel.film_k + steel.steel_k;
    assert!((steel.surface_c - 30.0 - above).abs() < 1e-9);
    // By hand: 3 L/min of water take up Q/(5e-5 · 4.16e6) kelvins.
    let heat = cool.heat_w.expect("a cycle");
    assert!((steel.rise_k / (heat / (5e-5 * 4.16e6)) - 1.0).abs() < 0.01, "{heat} W: {}", steel.rise_k);
    // The limit and the steel are told of the same water.
    for coolant in [30.0, 129.0] {
        scenario.mould.coolant_temperature = Some(coolant);
        let report = gatefrost_report::evaluate(&scenario).expect("valid");
        let rise = report.cool.steel.expect("a cycle").rise_k;
        let limit = report.margins.iter().find(|m| m.limit == Limit::CoolingWater).expect("told");
        assert!((limit.value / rise - 1.0).abs() < 1e-12, "{coolant} °C: {} {rise}", limit.value);
    }
    scenario.mould.coolant_temperature = Some(30.0);
    // Twice the drillings halve what lies between water and surface.
    scenario.mould.drilling_length *= 2.0;
    let twice = evaluated(&scenario).steel.expect("a cycle");
    assert!((twice.steel_k / steel.steel_k - 0.5).abs() < 1e-9);
}
