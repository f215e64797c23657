//! Every row of the library, and its numbers against public tables.

use crate::{part, solid};
use gatefrost_laboratory::recipe::library::{How, Value, binder, binders, powder, powders};
use gatefrost_tests::numeric::off;
use std::collections::HashSet;

/// Unit and plausible bounds of a field; no value may lie outside, range included.
fn check(row: &str, field: &str, v: &Value, unit: &str, least: f64, most: f64) {
    let place = format!("{row}, {field}: {v:?}");
    assert!(v.low <= v.value && v.value <= v.high, "order of {place}");
    assert!(v.low >= least && v.high <= most, "bounds {least} to {most} of {place}");
    assert_eq!(v.unit, unit, "unit of {place}");
    assert!(v.source.len() > 5, "source of {place}");
    // What was read or returned by a package names where, and is the value that the source gives. What
    // was computed with a package's Tait constants stands in no source.
    if matches!(v.how, How::Read | How::Package) {
        assert!(
            !v.source.replace("handbook tables from memory", "").contains("handbook"),
            "which one? {place}"
        );
        let given = numbers(&v.source).any(|number| off(number, v.value) < 0.005);
        assert!(given || v.source.contains("Tait equation"), "the source gives another value: {place}");
    }
}

/// The numbers in a text.
fn numbers(text: &str) -> impl Iterator<Item = f64> {
    text.split(|c: char| !c.is_ascii_digit() && c != '.')
        .filter_map(|word| word.trim_matches('.').parse().ok())
}

#[test]
fn every_powder_is_whole_plausible_and_sourced() {
    let mut keys = HashSet::new();
    for p in powders() {
        let row = p.key.as_str();
        assert!(keys.insert(row), "{row} twice");
        assert!(!p.name.is_empty() && !p.caution.is_empty(), "{row}");
        check(row, "density", &p.density, "kg/m³", 2000.0, 20000.0);
        check(row, "heat_capacity", &p.heat_capacity, "J/kgK", 100.0, 1200.0);
        check(row, "conductivity", &p.conductivity, "W/mK", 1.0, 500.0);
        check(row, "particle_size", &p.particle_size, "µm", 0.05, 50.0);
        check(row, "critical_loading", &p.critical_loading, "vol%", 45.0, 75.0);
        check(row, "sintered_density", &p.sintered_density, "%", 90.0, 100.0);
    }
    for wanted in ["316l", "17_4ph", "fe_2ni", "fe_8ni", "ti_6al_4v", "w_heavy_alloy", "wc_6co", "al2o3"] {
        assert!(powder(wanted).is_some(), "{wanted}");
    }
    for wanted in ["zro2_3y", "si3n4", "sic", "fe", "cu"] {
        assert!(powder(wanted).is_some(), "{wanted}");
    }
}

#[test]
fn every_binder_part_is_whole_plausible_and_sourced() {
    let mut keys = HashSet::new();
    for p in binders() {
        let row = p.key.as_str();
        assert!(keys.insert(row), "{row} twice");
        assert!(!p.name.is_empty() && !p.caution.is_empty() && !p.debinding.is_empty(), "{row}");
        check(row, "density_room", &p.density_room, "kg/m³", 850.0, 1450.0);
        check(row, "density_melt", &p.density_melt, "kg/m³", 700.0, 1250.0);
        check(row, "expansion_melt", &p.expansion_melt, "1e-4/K", 3.0, 12.0);
        check(row, "compressibility", &p.compressibility, "1/GPa", 0.2, 2.0);
        check(row, "heat_capacity_solid", &p.heat_capacity_solid, "J/kgK", 1200.0, 3000.0);
        check(row, "heat_capacity_melt", &p.heat_capacity_melt, "J/kgK", 1500.0, 3000.0);
        check(row, "conductivity", &p.conductivity, "W/mK", 0.1, 0.6);
        check(row, "melting_from", &p.melting_from, "°C", -20.0, 180.0);
        check(row, "melting_to", &p.melting_to, "°C", 0.0, 200.0);
        check(row, "crystallises", &p.crystallises, "°C", -10.0, 200.0);
        assert!(p.crystallises.value < p.melting_to.value, "{row} sets colder than it melts");
        check(row, "latent_heat", &p.latent_heat, "kJ/kg", 0.0, 300.0);
        check(row, "decomposition", &p.decomposition, "°C", 150.0, 450.0);
        check(row, "viscosity", &p.viscosity, "Pa·s", 1e-4, 1e6);
        check(row, "activation_energy", &p.activation_energy, "kJ/mol", 5.0, 200.0);

        assert!(p.melting_from.value + 5.0 < p.melting_to.value, "{row} melts over a range");
        assert!(p.melting_to.high < p.decomposition.low, "{row} decomposes after melting");
        assert!(p.density_melt.value < p.density_room.value, "{row} expands");
        assert!(p.viscosity.at.unwrap() >= p.melting_to.value, "{row}: viscosity of a melt");
        assert!(p.density_melt.at.unwrap() >= p.melting_to.value, "{row}: density of a melt");
    }
    let wanted = [
        "paraffin_wax",
        "carnauba_wax",
        "microcrystalline_wax",
        "pp",
        "hdpe",
        "ldpe",
        "eva",
        "peg",
        "pmma",
        "pom",
        "stearic_acid",
    ];
    for key in wanted {
        assert!(binder(key).is_some(), "{key}");
    }
}

/// n-alkanes, `chemicals` 1.5.2: melting point \[°C\], heat of fusion over molar mass [kJ/kg].
const ALKANES: [(u32, f64, f64); 5] =
    [(24, 52.5, 160.6), (26, 56.7, 163.6), (28, 63.25, 164.9), (30, 66.0, 161.5), (32, 69.85, 168.1)];

#[test]
fn paraffin_is_like_the_alkanes_it_is_made_of() {
    let wax = part("paraffin_wax");
    // A 58 to 60 °C grade is mostly C24 to C30; each of these melts inside its range.
    for (n, melts, heat) in ALKANES.into_iter().filter(|(n, ..)| *n <= 30) {
        assert!(wax.melting_from.value < melts && melts <= wax.melting_to.value, "C{n} at {melts} °C");
        assert!(wax.latent_heat.low <= heat && heat <= wax.latent_heat.high, "C{n}: {heat} kJ/kg");
    }
    // `thermo` 0.6.1, melts at 80 and 150 °C [kg/m³]: C24 758.4, 709.3; C28 757.4, 713.0.
    for (t, lighter, heavier) in [(80.0, 758.4, 757.4), (150.0, 709.3, 713.0)] {
        let density = 1.0 / wax.specific_volume(t, 0.0);
        assert!(off(density, lighter) < 0.03 && off(density, heavier) < 0.03, "{density} at {t} °C");
    }
    // C20 is thinner than any wax: 1.94 mPa·s at 80 °C.
    assert!(wax.melt_viscosity(80.0) > 1.94e-3);
    // Heat capacity of the melt at 100 °C: C24 2388, C28 2385 J/kgK.
    assert!(wax.heat_capacity_melt.low <= 2385.0 && 2388.0 <= wax.heat_capacity_melt.high);
}

#[test]
fn stearic_acid_matches_the_pure_substance() {
    // `chemicals` 1.5.2: 69.3 °C, 215.1 kJ/kg; `thermo` 0.6.1: melt at 80 °C 2303 J/kgK.
    let acid = part("stearic_acid");
    assert!((acid.melting_to.value - 69.3).abs() < 0.5);
    assert!(off(acid.latent_heat.value, 215.1) < 0.06);
    assert!(off(acid.heat_capacity_melt.value, 2303.0) < 0.03);
}

/// `chemicals` 1.5.2, CRC inorganic table, densities of the elements \[kg/m³\]; WC 15630 from memory.
fn element(symbol: &str) -> f64 {
    match symbol {
        "Fe" => 7870.0,
        "Ni" => 8900.0,
        "W" => 19300.0,
        "Ti" => 4506.0,
        "Al" => 2700.0,
        "V" => 6000.0,
        "Co" => 8860.0,
        "Cu" => 8960.0,
        "SiC" => 3160.0,
        "Si3N4" => 3170.0,
        "WC" => 15630.0,
        _ => panic!("{symbol}"),
    }
}

/// Key of a powder, shares of its elements by mass, tolerance.
type Alloy = (&'static str, &'static [(&'static str, f64)], f64);

#[test]
fn powder_densities_follow_from_their_elements() {
    let alloys: [Alloy; 9] = [
        ("fe", &[("Fe", 1.0)], 1e-3),
        ("cu", &[("Cu", 1.0)], 1e-3),
        ("ti", &[("Ti", 1.0)], 1e-3),
        ("sic", &[("SiC", 1.0)], 1e-3),
        ("si3n4", &[("Si3N4", 1.0)], 0.01),
        ("fe_2ni", &[("Fe", 0.98), ("Ni", 0.02)], 0.005),
        ("w_heavy_alloy", &[("W", 0.93), ("Ni", 0.049), ("Fe", 0.021)], 0.005),
        ("wc_6co", &[("WC", 0.94), ("Co", 0.06)], 0.01),
        // Atoms pack a little closer in the alloy than in the elements.
        ("ti_6al_4v", &[("Ti", 0.9), ("Al", 0.06), ("V", 0.04)], 0.015),
    ];
    for (key, parts, tolerance) in alloys {
        let volume: f64 = parts.iter().map(|(e, w)| w / element(e)).sum();
        let found = solid(key).density.value;
        assert!(off(found, 1.0 / volume) < tolerance, "{key}: {found} against {}", 1.0 / volume);
    }
}

#[test]
fn solids_match_the_table_of_building_materials() {
    // `ht` 1.2.0, building_materials: density [kg/m³], conductivity [W/mK], heat capacity [J/kgK].
    for (key, density, conductivity, heat) in [
        ("pp", 910.0, 0.22, 1800.0),
        ("hdpe", 980.0, 0.50, 1800.0),
        ("ldpe", 920.0, 0.33, 2200.0),
        ("pmma", 1180.0, 0.18, 1500.0),
        ("pom", 1410.0, 0.30, 1400.0),
    ] {
        let p = part(key);
        for (v, table) in
            [(&p.density_room, density), (&p.conductivity, conductivity), (&p.heat_capacity_solid, heat)]
        {
            assert!(v.low <= table && table <= v.high, "{key}: {table} not in {v:?}");
        }
    }
    for (key, density, conductivity, heat) in [("cu", 8900.0, 380.0, 380.0)] {
        let p = solid(key);
        for (v, table) in [(&p.density, density), (&p.conductivity, conductivity), (&p.heat_capacity, heat)] {
            assert!(v.low <= table && table <= v.high, "{key}: {table} not in {v:?}");
        }
    }
}

#[test]
fn tait_gives_the_published_volumes() {
    // i-PP at 190 °C, PyPI `polykin` after Danner and High.
    let tait = part("pp").tait.as_ref().unwrap();
    assert!(off(tait.specific_volume(190.0, 1e5), 1.32268e-3) < 5e-6);
    assert!(off(tait.specific_volume(190.0, 1e8), 1.21415e-3) < 5e-6);
}

/// POM against the equation of Hartmann and Haque, p̃ ṽ⁵ = T̃^1.5 − ln ṽ, with its published constants: 699.4e-6 m³/kg,
/// 1370 K and 4.056 GPa, from 462 to 492 K. The loss of volume up to 100 MPa comes from other constants, and agrees.
#[test]
fn polyacetal_has_the_volumes_of_another_published_equation() {
    let tait = part("pom").tait.as_ref().unwrap();
    let volume = |t: f64, p: f64| {
        let (heat, press) = (((t + 273.15) / 1370.0).powf(1.5), p / 4.056e9);
        let (mut low, mut high) = (0.0, heat);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if press * (5.0 * middle).exp() < heat - middle { low = middle } else { high = middle }
        }
        699.4e-6 * low.exp()
    };
    for t in [189.0, 204.0, 218.0] {
        assert!(off(tait.specific_volume(t, 0.0), volume(t, 0.0)) < 1e-4, "{t} °C");
        assert!(off(tait.specific_volume(t, 1e8), volume(t, 1e8)) < 2e-3, "{t} °C");
    }
}

#[test]
fn tait_and_tabulated_melt_values_agree_where_both_are_given() {
    let mut seen = 0;
    for p in binders() {
        let Some(tait) = &p.tait else { continue };
        seen += 1;
        let t = p.density_melt.at.unwrap();
        let v = tait.specific_volume(t, 1e5);
        assert!(off(1.0 / v, p.density_melt.value) < 2e-3, "{}: density", p.key);
        let squeezed = 1.0 - tait.specific_volume(t, 1e8) / tait.specific_volume(t, 0.0);
        assert!(off(squeezed / 0.1, p.compressibility.value) < 0.05, "{}: compressibility", p.key);
        let warmer = tait.specific_volume(t + 1.0, 0.0) / tait.specific_volume(t, 0.0) - 1.0;
        let given = &p.expansion_melt;
        assert!((given.low..=given.high).contains(&(warmer * 1e4)), "{}: expansion {warmer}", p.key);
    }
    assert!(seen >= 5);
}
