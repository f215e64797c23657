use gatefrost_core::case::Case;
use gatefrost_tests::build;
use serde_json::json;

#[test]
fn look() {
    for (name, hold) in [("F", 3.0), ("G", 3.0), ("H", 0.15)] {
        for (cells, layers) in [(58, 20), (116, 20), (232, 20), (58, 40), (116, 40), (232, 40)] {
            let latent = if name == "F" { 0 } else { 150 };
            let pvt = if name == "F" {
                json!("linear")
            } else {
                json!({ "tait": { "b1m": 1.2, "b2m": 7, "b3m": 150, "b4m": 4.5, "b5": 60, "b6": 0.2, "b1s": 1.135, "b2s": 6, "b3s": 250, "b4s": 3, "b7": 0.065, "b8": 0.1, "b9": 0.02 } })
            };
            let s = build::read(&json!({
                "gatefrost": 1, "name": "x",
                "feedstock": { "latent_heat": latent, "solidus": 45, "liquidus": 75, "pvt": pvt },
                "cavity": { "passages": [
                    { "name": "sprue", "role": "sprue", "form": { "tube": { "length": 40, "diameter": 4 } } },
                    { "name": "edge gate", "role": "gate", "form": { "strip": { "length": 1.5, "width": 3, "thickness": 0.8 } } },
                    { "name": "plate", "role": "part", "form": { "strip": { "length": 30, "width": 14, "thickness": 1.6 } } }
                ] },
                "machine": { "max_pressure": 400, "max_rate": 5000, "clamp_force": 100_000, "shot_volume": 100_000 },
                "setup": { "melt_temperature": 165, "mould_temperature": 40, "injection_time": 0.4, "hold_pressure": 60, "hold_time": hold },
                "window": { "x": { "axis": "injection_time", "from": 0.05, "to": 5 }, "y": { "axis": "hold_pressure", "from": 10, "to": 100 } },
                "model": { "axial_cells": cells, "layers": layers }
            }));
            let case = Case::resolve(&s);
            let p = case.evaluate();
            let h = &p.hold;
            let e = &h.ends[0];
            eprintln!(
                "{name} {cells}x{layers}: fill {:.4} MPa; gate {:?} centre {:?} sealed {:.4} MPa {:.2} K; mass {:.6} g shrink {:.5} part_cooled {:?} runner {:?} delivered {:.5e} first {:.5e} lost {:.3} steps {} tend {:.3} work {:.4}",
                p.fill.peak / 1e6,
                h.gates[0].freeze,
                h.gates[0].centre_freeze,
                e.sealed_pressure / 1e6,
                e.sealed_temperature,
                h.part_mass * 1e3,
                e.shrinkage,
                h.part_cooled,
                h.runner_cooled,
                h.balance.mass_delivered,
                h.balance.mass_before,
                h.balance.lost,
                h.history.time.len(),
                h.history.time.last().unwrap(),
                h.balance.dissipated,
            );
        }
    }
}
