#![allow(clippy::print_stdout, missing_docs)]
use gatefrost_core::{evaluate, scenario::demo, window::{trace, Detail}};
use std::time::Instant;
fn main() {
    for d in demo::DEMOS {
        let s = d.scenario();
        let t = Instant::now();
        let r = evaluate(&s).unwrap();
        let e = t.elapsed().as_secs_f64() * 1e3;
        println!("== {} {e:.2} ms  V {:.2} cm3 proj {:.2} cm2 eta1000 {:.0} inside {}", d.name, r.cavity.volume_cm3, r.cavity.projected_area_cm2, r.feedstock.viscosity_at_1000_pa_s, r.inside);
        for m in &r.margins { println!("  {:20} g {:7.3}  {} ", m.label, m.g, m.sentence); }
        println!("  gate {:?} centre {:?} hand {:?} {:?} sealed {:.3} p {:.1} need {:.1} S {:.2} cool {:?} hand {:?} runner {:?} steps {}", r.hold.gate_freeze_s, r.hold.gate_centre_freeze_s, r.hold.hand_mean_s, r.hold.hand_centre_s, r.hold.sealed_after_s, r.hold.available_pressure_mpa, r.hold.needed_pressure_mpa, r.hold.shrinkage_percent, r.cool.cooling_time_s, r.cool.hand_s, r.cool.runner_time_s, r.hold.history.time_s.len());
        for (det, name) in [(Detail::Coarse, "coarse"), (Detail::Fine, "fine")] {
            let t = Instant::now();
            let w = trace(&s, det).unwrap();
            println!("  {name}: {:.0} ms, {} evals, usable {:.3}, lines {:?}, out everywhere {:?}, outlines {}", t.elapsed().as_secs_f64()*1e3, w.evaluations, w.usable_share, w.lines.iter().map(|l| (l.label.to_string(), l.pieces.len())).collect::<Vec<_>>(), w.broken_everywhere, w.outlines.len());
        }
        for r in &r.remarks { println!("  - {r}"); }
    }
}
