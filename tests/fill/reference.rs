use gatefrost_core::{evaluate, case::Case, scenario::Scenario};
use gatefrost_tests::{build, numeric::*};
use serde_json::{Value, json};

fn table() -> Value {
    let text = include_str!("../reference/fill_mol.json");
    serde_json::from_str(text).expect("the table is JSON")
}

fn mm(v: &Value) -> f64 { v.as_f64().expect("a number") * 1e3 }

fn scenario(inputs: &Value, cells: usize, layers: usize) -> Scenario {
    let f = &inputs["fluid"];
    let law = if f["model"] == "cross_wlf" {
        json!({"cross_wlf": {"n": f["n"], "tau_star": f["tau_star"].as_f64().unwrap()/1e3, "d1": f["d1"], "d2": f["d2"].as_f64().unwrap()-273.15, "d3": 0, "a1": f["a1"], "a2": f["a2"]}})
    } else {
        json!({"power_law": {"n": f["n"], "consistency": f["k_ref"], "activation_energy": f["e_act"].as_f64().unwrap()/1e3, "reference_temperature": f["t_ref"].as_f64().unwrap()-273.15}})
    };
    let list = inputs["passages"].as_array().unwrap();
    let passages: Vec<Value> = list.iter().enumerate().map(|(i,p)| {
        let form = match p["kind"].as_str().unwrap() {
            "strip" => json!({"strip": {"length": mm(&p["L"]), "width": mm(&p["w"]), "thickness": mm(&p["h"])}}),
            "tube" => json!({"tube": {"length": mm(&p["L"]), "diameter": 2.0*mm(&p["R"])}}),
            _ => json!({"disc": {"inner_radius": mm(&p["r_in"]), "outer_radius": mm(&p["r_out"]), "thickness": mm(&p["h"])}}),
        };
        let role = if list.len()>1 { ["runner","gate","part"][i] } else {"part"};
        json!({"name": role, "role": role, "form": form})
    }).collect();
    build::scenario(json!(passages), &json!({
        "feedstock": {"flow_law": law, "no_flow_temperature": 70},
        "setup": {"melt_temperature": 165, "mould_temperature": 40, "contact_conductance": 5000, "injection_time": inputs["t_fill"]},
        "model": {"axial_cells": cells, "layers": layers},
    }))
}

#[test]
fn explore() {
    let t = table();
    for name in ["A","B","C","D","E"] {
        let c = &t["cases"][name];
        let p_ref = c["results"]["p_inlet"].as_array().unwrap();
        let f_ref = c["results"]["t_front"].as_array().unwrap();
        for (cells, layers) in [(24,20),(48,20),(96,20),(192,20),(384,20),(384,10),(384,40),(384,80)] {
            let s = scenario(&c["inputs"], cells, layers);
            let r = evaluate(&s).unwrap();
            let h = &r.fill.history;
            let pe: Vec<String> = p_ref.iter().map(|v| { let x = interpolate(&h.filled_percent,&h.nozzle_mpa,100.0*v["fraction"].as_f64().unwrap())*1e6; format!("{:6.2}", 100.0*(x/v["value"].as_f64().unwrap()-1.0))}).collect();
            let fe: Vec<String> = f_ref.iter().map(|v| { let x = interpolate(&h.filled_percent,&h.front_temperature_c,100.0*v["fraction"].as_f64().unwrap())+273.15; format!("{:6.3}", x-v["value"].as_f64().unwrap())}).collect();
            let case = Case::resolve(&s);
            let point = case.evaluate();
            let b = point.fill.end.balance;
            let wl = b.lost / c["results"]["wall_heat"]["value"].as_f64().unwrap()-1.0;
            let vw = b.dissipated / c["results"]["viscous_work"]["value"].as_f64().unwrap()-1.0;
            let tm = r.fill.melt_temperature_max_c+273.15 - c["results"]["t_max_end"]["value"].as_f64().unwrap();
            eprintln!("{name} {cells:3} {layers:2} p%[{}]\n   front[{}] wall {:.3}% visc {:.3}% tmax {:.3} steps {}", pe.join(" "), fe.join(" "), wl*100.0, vw*100.0, tm, r.fill.steps);
            let means: Vec<String> = c["results"]["t_mean_end"].as_array().unwrap().iter().filter(|v| !v["s"].is_null()).map(|v| {
                let i = v["passage"].as_u64().unwrap() as usize;
                let x = r.cavity.passages[i].start_mm + v["s"].as_f64().unwrap()*1e3;
                let t = interpolate(&r.fill.path.distance_mm, &r.fill.path.mean_temperature_c, x)+273.15;
                format!("{:6.3}", t - v["value"].as_f64().unwrap())
            }).collect();
            let drops: Vec<String> = c["results"]["drop_end"].as_array().unwrap().iter().map(|v| { let i = v["passage"].as_u64().unwrap() as usize; format!("{:6.2}", 100.0*(r.fill.passages[i].pressure_drop_mpa*1e6/v["value"].as_f64().unwrap()-1.0))}).collect();
            eprintln!("   mean[{}] drops%[{}]", means.join(" "), drops.join(" "));
        }
    }
}
