//! Against the method-of-lines solution of tests/reference (SciPy; other formulation, other code),
//! cases A to E: strip, power law, tube–gate–strip, disc, and strongly coupled strip.
//!
//! The scheme is upwind and implicit: of first order in the cells (which carry the time step too)
//! and of second in the layers. Each result is therefore taken on 96, 192 and 384 cells of 20 layers
//! and on 192 cells of 40, extrapolated along both, and compared with the reference's own value.

use gatefrost_core::case::Case;
use gatefrost_core::fill::{self, Fill};
use gatefrost_core::scenario::Model;
use gatefrost_tests::build;
use gatefrost_tests::numeric::{interpolate, off, order};
use serde_json::{Value, json};

/// Pressure, of the reference; 5 % of the fill up to its end.
const PRESSURE: f64 = 5e-3;
/// The same on the default grid.
const USUAL: f64 = 2e-2;
/// Front and mean temperatures, of the reference \[K\].
const KELVIN: f64 = 0.5;
/// Heat to the wall and viscous work, of the reference.
const HEAT: f64 = 1e-2;

fn table() -> Value {
    serde_json::from_str(include_str!("../reference/fill_mol.json")).expect("the table is JSON")
}

fn number(v: &Value) -> f64 {
    v.as_f64().expect("a number")
}

fn list(v: &Value) -> &[Value] {
    v.as_array().expect("a list")
}

/// A case of the table as a scenario: the same inputs, in edge units. The table's ρ = 5200 kg/m³ and
/// c_p = 650 J/kgK come in as their product, the only way in which they count.
fn case(inputs: &Value, cells: usize, layers: usize) -> Case {
    let product = number(&inputs["rho"]) * number(&inputs["cp"]);
    let celsius = |v: &Value| number(v) - 273.15;
    let mm = |v: &Value, times: f64| number(v) * 1e3 * times;
    let fluid = &inputs["fluid"];
    let law = if fluid["model"] == "cross_wlf" {
        json!({ "cross_wlf": {
            "n": fluid["n"], "tau_star": number(&fluid["tau_star"]) / 1e3, "d1": fluid["d1"],
            "d2": celsius(&fluid["d2"]), "d3": 0, "a1": fluid["a1"], "a2": fluid["a2"]
        } })
    } else {
        json!({ "power_law": {
            "n": fluid["n"], "consistency": fluid["k_ref"],
            "activation_energy": number(&fluid["e_act"]) / 1e3, "reference_temperature": celsius(&fluid["t_ref"])
        } })
    };
    let form = |p: &Value| match p["kind"].as_str() {
        Some("strip") => {
            json!({ "strip": { "length": mm(&p["L"], 1.0), "width": mm(&p["w"], 1.0), "thickness": mm(&p["h"], 1.0) } })
        }
        Some("tube") => json!({ "tube": { "length": mm(&p["L"], 1.0), "diameter": mm(&p["R"], 2.0) } }),
        _ => json!({ "disc": {
            "inner_radius": mm(&p["r_in"], 1.0), "outer_radius": mm(&p["r_out"], 1.0), "thickness": mm(&p["h"], 1.0)
        } }),
    };
    let passages: Vec<Value> = list(&inputs["passages"])
        .iter()
        .map(|p| json!({ "name": "section", "role": "part", "form": form(p) }))
        .collect();
    let changes = json!({
        "feedstock": {
            "flow_law": law, "no_flow_temperature": celsius(&inputs["t_noflow"]),
            "binder_density": 2600, "binder_heat_capacity": product / 2600.0, "binder_conductivity": inputs["k"]
        },
        "setup": {
            "melt_temperature": celsius(&inputs["t_melt"]), "mould_temperature": celsius(&inputs["t_wall"]),
            "contact_conductance": inputs["h_contact"], "injection_time": inputs["t_fill"]
        },
        "model": { "axial_cells": cells, "layers": layers }
    });
    Case::resolve(&build::scenario(json!(passages), &changes))
}

/// The results the table holds, on one grid, in its order and units.
struct Results {
    pressure: Vec<f64>,
    front: Vec<f64>,
    mean: Vec<f64>,
    drop: Vec<f64>,
    heat: [f64; 2],
}

fn results(case: &Case, expected: &Value) -> Results {
    let fill = fill::unlimited(&case.material, &case.cavity, case.drive);
    let along = |values: &[f64], key: &str| -> Vec<f64> {
        let fractions = list(&expected[key]).iter().map(|row| number(&row["fraction"]));
        fractions.map(|f| interpolate(&fill.history.volume, values, f * case.cavity.volume)).collect()
    };
    Results {
        pressure: along(&fill.history.nozzle, "p_inlet"),
        front: along(&fill.history.front_temperature, "t_front"),
        mean: places(expected).map(|(passage, s)| mean_at(case, &fill, passage, s)).collect(),
        drop: list(&expected["drop_end"])
            .iter()
            .map(|row| {
                let cells = case.cavity.cells.iter().zip(&fill.end.drop);
                let own = cells.filter(|(c, _)| Some(c.passage as u64) == row["passage"].as_u64());
                own.map(|(_, drop)| drop).sum()
            })
            .collect(),
        heat: [fill.end.balance.lost, fill.end.balance.dissipated],
    }
}

/// Passage and distance from its inlet of the mean temperatures in the table.
fn places(expected: &Value) -> impl Iterator<Item = (usize, f64)> {
    let rows = list(&expected["t_mean_end"]).iter().filter(|row| !row["s"].is_null());
    rows.map(|row| (number(&row["passage"]) as usize, number(&row["s"])))
}

fn mean_at(case: &Case, fill: &Fill<'_>, passage: usize, s: f64) -> f64 {
    let start: f64 = case.cavity.passages[..passage].iter().map(|p| p.length).sum();
    let own: Vec<usize> =
        (0..case.cavity.cells.len()).filter(|&i| case.cavity.cells[i].passage == passage).collect();
    let distance: Vec<f64> = own.iter().map(|&i| case.cavity.cells[i].distance - start).collect();
    let mean: Vec<f64> = own.iter().map(|&i| fill.end.mean_temperature(i)).collect();
    interpolate(&distance, &mean, s)
}

/// Limit of a sequence on doubled cells plus what is left of the error in the layers.
///
/// The cells' ratio of successive differences is taken as found where it lies between those of
/// orders ½ and 2, and as that of order 1 otherwise; the layers are of second order.
fn limit(cells: [f64; 3], more_layers: f64) -> f64 {
    let [coarse, medium, fine] = cells;
    let found = (fine - medium) / (medium - coarse);
    let ratio = if (0.25..=0.71).contains(&found) { found } else { 0.5 };
    fine + (fine - medium) * ratio / (1.0 - ratio) + (more_layers - medium) * 4.0 / 3.0
}

fn compare(name: &str) {
    let table = table();
    let (inputs, expected) = (&table["cases"][name]["inputs"], &table["cases"][name]["results"]);
    let run = |cells, layers| results(&case(inputs, cells, layers), expected);
    let grids = [run(96, 20), run(192, 20), run(384, 20)];
    let layered = run(192, 40);
    let model = Model::default();
    let usual = run(model.axial_cells as usize, model.layers as usize);
    let limits = |pick: &dyn Fn(&Results) -> Vec<f64>| -> Vec<f64> {
        let [a, b, c] = grids.each_ref().map(pick);
        let more = pick(&layered);
        (0..a.len()).map(|i| limit([a[i], b[i], c[i]], more[i])).collect()
    };
    let last = usual.pressure.len() - 1;
    eprintln!(
        "{name}: end pressure {:.4} MPa, reference {:.4}; on the default grid {:+.2} %; order in the cells {:.2}",
        limits(&|r| r.pressure.clone())[last] / 1e6,
        number(&expected["p_inlet"][last]["value"]) / 1e6,
        100.0 * (usual.pressure[last] / number(&expected["p_inlet"][last]["value"]) - 1.0),
        order(grids[0].pressure[last], grids[1].pressure[last], grids[2].pressure[last]),
    );
    let mut worst = [0.0_f64; 4];
    for (i, found) in limits(&|r| r.pressure.clone()).into_iter().enumerate() {
        worst[0] = worst[0].max(off(found, number(&expected["p_inlet"][i]["value"])));
    }
    for (i, found) in limits(&|r| r.drop.clone()).into_iter().enumerate() {
        worst[0] = worst[0].max(off(found, number(&expected["drop_end"][i]["value"])));
    }
    for (i, found) in limits(&|r| r.front.clone()).into_iter().enumerate() {
        worst[1] = worst[1].max((found - number(&expected["t_front"][i]["value"])).abs());
    }
    for (i, found) in limits(&|r| r.mean.clone()).into_iter().enumerate() {
        worst[2] = worst[2].max((found - number(&expected["t_mean_end"][i]["value"])).abs());
    }
    for (found, key) in limits(&|r| r.heat.to_vec()).into_iter().zip(["wall_heat", "viscous_work"]) {
        worst[3] = worst[3].max(off(found, number(&expected[key]["value"])));
    }
    let usual_off = (0..=last).map(|i| off(usual.pressure[i], number(&expected["p_inlet"][i]["value"])));
    let usual_off = usual_off.fold(0.0, f64::max);
    eprintln!(
        "   worst: pressure {:.3} %, front {:.3} K, mean {:.3} K, heat {:.3} %; default grid, pressure {:.2} %",
        100.0 * worst[0],
        worst[1],
        worst[2],
        100.0 * worst[3],
        100.0 * usual_off
    );
    assert!(usual_off < USUAL, "{name}: {usual_off} on the default grid");
    assert!(worst[0] < PRESSURE, "{name}: pressure {worst:?}");
    assert!(worst[1] < KELVIN && worst[2] < KELVIN, "{name}: temperature {worst:?}");
    assert!(worst[3] < HEAT, "{name}: heat {worst:?}");
}

#[test]
fn a_strip_with_a_cross_wlf_fluid() {
    compare("A");
}

#[test]
fn a_thin_strip_with_a_power_law() {
    compare("B");
}

#[test]
fn a_tube_a_gate_and_a_strip() {
    compare("C");
}

#[test]
fn a_disc_from_its_middle() {
    compare("D");
}

#[test]
fn a_strip_with_a_stiff_fluid() {
    compare("E");
}
