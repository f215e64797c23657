//! Scenarios for the checks, built as the documents a user would write.

use gatefrost_core::scenario::Scenario;
use serde_json::{Value, json};

/// A scenario with a feedstock of pure binder (φ = 0): its density, heat capacity and conductivity
/// are then those of the binder, which a check can set at will. ρc_p = 3.38e6 J/m³K, k = 1.6 W/mK.
///
/// `changes` is merged into the document, objects field by field; the rest replaces what was there.
///
/// # Panics
/// When the document is refused, with its problems: the check is wrong then.
pub fn scenario(passages: Value, changes: &Value) -> Scenario {
    let mut document = json!({
        "gatefrost": 1,
        "name": "check",
        "feedstock": {
            "name": "a fluid of known properties",
            "solids_loading": 0, "measured_loading": 0,
            "binder_density": 2600, "binder_heat_capacity": 1300, "binder_conductivity": 1.6
        },
        "cavity": { "passages": passages },
        // Most closed forms are of wide slits between walls of one temperature.
        "model": { "side_walls": false, "warming_steel": false },
        "machine": { "max_pressure": 400, "max_rate": 5000, "clamp_force": 100_000, "shot_volume": 100_000 },
        // A plane whose corners can be computed whatever the temperatures.
        "window": {
            "x": { "axis": "injection_time", "from": 0.05, "to": 5 },
            "y": { "axis": "hold_pressure", "from": 10, "to": 100 }
        }
    });
    merge(&mut document, changes);
    read(&document)
}

/// Walls at melt temperature and no viscous heating: flow at one temperature.
pub fn isothermal() -> Value {
    json!({ "setup": { "melt_temperature": 160, "mould_temperature": 160 }, "model": { "viscous_heating": false } })
}

/// A power law as the document holds it: K \[Pa·sⁿ\] at 160 °C, n, E [kJ/mol].
pub fn power_law(consistency: f64, n: f64, activation: f64) -> Value {
    json!({ "power_law": {
        "consistency": consistency, "n": n, "activation_energy": activation, "reference_temperature": 160
    } })
}

/// Reads a document that must be valid.
///
/// # Panics
/// When it is refused.
pub fn read(document: &Value) -> Scenario {
    match Scenario::from_json(&document.to_string()) {
        Ok(scenario) => scenario,
        Err(e) => panic!("{e}\n{document:#}"),
    }
}

/// Merges `changes` into `target`, objects field by field.
pub fn merge(target: &mut Value, changes: &Value) {
    match (target, changes) {
        (Value::Object(fields), Value::Object(new)) => {
            for (name, value) in new {
                merge(fields.entry(name.clone()).or_insert(Value::Null), value);
            }
        }
        (target, value) => *target = value.clone(),
    }
}
