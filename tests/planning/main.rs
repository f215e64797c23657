//! What surrounds the mould against the outside: packages and SciPy (`tests/reference/planning.py`).
//!
//! Water, the shape factor of the drillings and the surface of the steel are compared in `tests/conduction/steel.rs`, the
//! air in the vents beside its limit in `core`.

use gatefrost_core::cool::steel::{Circuits, Regime};
use gatefrost_core::feedstock::ZERO_CELSIUS;
use gatefrost_planning::grip::Grip;
use gatefrost_planning::press::{Compact, Punches};
use serde_json::Value;

fn reference() -> Value {
    serde_json::from_str(include_str!("../reference/planning.json")).expect("as the script writes it")
}

fn number(value: &Value, name: &str) -> f64 {
    value[name].as_f64().unwrap_or_else(|| panic!("no {name} in {value}"))
}

fn list<'a>(value: &'a Value, name: &str) -> &'a [Value] {
    value[name].as_array().expect("a list")
}

/// The balance of a slice, integrated to 1e-11, within 1e-8.
#[test]
fn the_pressure_left_in_a_compact() {
    let table = reference();
    for case in list(&table, "compacts") {
        let [height, width, friction] = ["height", "width", "friction"].map(|name| number(case, name));
        let compact = Compact { height, width, friction, density: 0.6, slope: 0.12 };
        for (punches, expected) in [Punches::One, Punches::Both].into_iter().zip(list(case, "left")) {
            let expected = expected.as_f64().expect("a number");
            let found = compact.least(punches);
            assert!((found / expected - 1.0).abs() < 1e-8, "{punches:?}: {found} for {expected}");
        }
    }
}

/// The displacement of a ring, solved without a closed form, within 1e-6.
#[test]
fn the_pressure_of_a_ring_on_its_core() {
    let table = reference();
    for case in list(&table, "rings") {
        let of = |name: &str| number(case, name);
        let grip = Grip {
            radius: of("radius"),
            length: 10e-3,
            wall: of("wall"),
            modulus: of("modulus"),
            poisson: of("poisson"),
            contraction: of("contraction"),
            friction: 0.2,
            draft: 0.0,
        };
        for (found, name) in grip.pressure().into_iter().zip(["free", "held"]) {
            assert!((found / of(name) - 1.0).abs() < 1e-6, "{name}: {found} for {}", of(name));
        }
    }
}

/// Reynolds and Nusselt number with water by another package. Viscosity is fitted to 1.2 %, conductivity to 1 %.
#[test]
fn the_film_of_a_drilling() {
    let table = reference();
    for case in list(&table, "films") {
        let of = |name: &str| number(case, name);
        let circuits = Circuits {
            coolant: of("celsius") + ZERO_CELSIUS,
            flow: of("flow"),
            count: 1.0,
            bore: of("bore"),
            pitch: 30e-3,
            depth: 16e-3,
            length: 0.8,
            conductivity: 29.0,
        };
        // Hardly any heat, so that the water stays at its set point.
        let found = circuits.surface(1e-3).expect("liquid");
        assert_eq!(found.regime, Regime::Turbulent);
        for (value, name, share) in [(found.reynolds, "reynolds", 0.014), (found.nusselt, "nusselt", 0.012)] {
            assert!((value / of(name) - 1.0).abs() < share, "{name}: {value} for {}", of(name));
        }
    }
}

/// A worked example of teaching notes on convection, read in full: water at 40 °C flows at 3.06 m/s through a pipe of 25 mm; by
/// Dittus and Boelter with the exponent 0.4 it has Re = 117 512, Nu = 469.0 and h = 11.86 kW/m²K. Its density is rounded to
/// 1000 kg/m³, 0.8 % more than that of water at 40 °C, so 1.5 % is allowed.
/// Source: <http://www.arca53.dsl.pipex.com/index_files/conv4.htm>, example 2.
#[test]
fn the_film_of_a_worked_example() {
    let (bore, speed, length, heat) = (0.025, 3.06, 1.0, 1e-3);
    let flow = speed * std::f64::consts::PI * bore * bore / 4.0;
    let coolant = 40.0 + ZERO_CELSIUS;
    let (pitch, depth, conductivity) = (0.1, 0.05, 29.0);
    let circuits = Circuits { coolant, flow, count: 1.0, bore, pitch, depth, length, conductivity };
    let found = circuits.surface(heat).expect("liquid");
    let film = heat / (std::f64::consts::PI * bore * length * found.film);
    for (value, expected) in [(found.reynolds, 117_512.0), (found.nusselt, 469.0), (film, 11.86e3)] {
        assert!((value / expected - 1.0_f64).abs() < 0.015, "{value} for {expected}");
    }
}
