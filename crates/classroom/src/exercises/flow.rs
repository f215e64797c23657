//! Melt on its way: runner, gate, and the force that opens the mould.

use super::{drawn, told};
use crate::draw::Draws;
use crate::task::{Asked, Beside, Task};
use gatefrost_core::cavity::{Kind, Passage};
use gatefrost_core::scenario::{Lies, Role};
use gatefrost_formula::{Expr, Line, pi, symbol, unit};
use gatefrost_numerics::elementary::Elementary;

fn flow(draws: &mut Draws) -> Expr {
    drawn(draws, "Q", "flow-rate", unit::CM3_S, ([20, 120], 5, 10))
}

/// A passage of these sizes \[m\] as the core has it.
fn passage(kind: Kind, length: f64, thickness: f64, width: f64) -> Passage {
    Passage {
        name: String::new(),
        role: Role::Runner,
        lies: Lies::Across,
        wall_angle: None,
        stated_area: None,
        kind,
        disc: false,
        strip: kind == Kind::Flat,
        length,
        half_gap: [0.5 * thickness; 2],
        width: [width; 2],
        copies: 1.0,
        feeder: None,
        meets: None,
    }
}

/// Shear rate and pressure of a runner, by hand for a melt that keeps its temperature.
pub fn runner(draws: &mut Draws) -> Task {
    let q = flow(draws);
    let d = drawn(draws, "D", "runner-diameter", unit::MM, ([30, 60], 5, 10));
    let length = drawn(draws, "L", "runner-length", unit::MM, ([15, 45], 1, 1));
    let n = drawn(draws, "n", "flow-exponent", unit::PURE, ([30, 55], 1, 100));
    let consistency = draws.on_scale([2000, 9000], 250, 1);
    let k = symbol("K", "consistency", unit::consistency(n.value()), consistency);
    let apparent = |d: Expr| 32.0 * q.clone() / (pi() * d.to(3.0));
    let rate = Line::new("γ̇_a", "apparent-rate", unit::PER_SECOND, apparent(d.clone()));
    let correction = (3.0 * n.clone() + 1.0) / (4.0 * n.clone());
    let wall = Line::new("γ̇_w", "wall-rate", unit::PER_SECOND, correction * rate.symbol());
    let stress = Line::new("τ_w", "wall-stress", unit::KPA, k.clone() * wall.symbol().to(n.clone()));
    let drop =
        Line::new("Δp", "runner-pressure", unit::MPA, 4.0 * length.clone() / d.clone() * stress.symbol());
    let core_rate =
        passage(Kind::Round, length.value(), d.value(), d.value()).apparent_shear_rate(q.value(), 0.5);
    // Law of the tube in another order: Q/(π R³) = n/(3n + 1) (R Δp/2 K L)^(1/n).
    let radius = 0.5 * d.value();
    let core_wall = core_rate * (0.75 + 0.25 / n.value());
    let by_core = 2.0 * consistency * length.value() / radius * core_wall.power(n.value());
    let by_apparent = 4.0 * length.clone() / d.clone() * k.clone() * rate.symbol().to(n.clone());
    // The demo's melt has 165 °C.
    let power_law = format!(
        "{{\"power_law\":{{\"consistency\":{consistency},\"n\":{},\"activation_energy\":40,\"reference_temperature\":165}}}}",
        n.value()
    );
    Task::new([q.clone(), d.clone(), length.clone(), k, n])
        .ask(
            Asked::new(rate.clone(), core_rate)
                .mistake("flow-wrong-radius", &apparent(d.clone() / 2.0))
                .mistake("flow-wrong-diameter", &(4.0 * q.clone() / (pi() * d.clone().to(3.0))))
                .mistake("flow-wrong-slit", &(6.0 * q.clone() / d.clone().to(3.0))),
        )
        .ask(
            Asked::new(wall.clone(), core_wall)
                .after([rate.clone()])
                .mistake("runner-wrong-apparent", &rate.symbol()),
        )
        .ask(
            Asked::new(drop.clone(), by_core)
                .after([rate, wall, stress])
                .mistake("runner-wrong-apparent", &by_apparent)
                .mistake("runner-wrong-half", &(drop.formula.clone() / 2.0)),
        )
        .beside(Beside {
            demo: "hinge",
            changes: vec![
                ("cavity.passages.1.form.tube.length", told(&length).to_string()),
                ("cavity.passages.1.form.tube.diameter", told(&d).to_string()),
                ("feedstock.flow_law", power_law),
            ],
            rate: Some(told(&q)),
            path: "fill.passages.1.pressure_drop_mpa",
            unit: unit::MPA,
            why: "runner-beside",
        })
}

/// Shear rate and speed in a gate.
pub fn gate(draws: &mut Draws) -> Task {
    let q = flow(draws);
    let w = drawn(draws, "w", "gate-width", unit::MM, ([20, 60], 5, 10));
    let h = drawn(draws, "h", "gate-depth", unit::MM, ([50, 140], 5, 100));
    let rate = Line::new(
        "γ̇_a",
        "apparent-rate",
        unit::PER_SECOND,
        6.0 * q.clone() / (w.clone() * h.clone().squared()),
    );
    let speed = Line::new("v", "gate-speed", unit::M_S, q.clone() / (w.clone() * h.clone()));
    let gate = passage(Kind::Flat, 1.5e-3, h.value(), w.value());
    let half = 6.0 * q.clone() / (w.clone() * (h.clone() / 2.0).squared());
    Task::new([q.clone(), w.clone(), h.clone()])
        .ask(
            Asked::new(rate.clone(), gate.apparent_shear_rate(q.value(), 0.5))
                .mistake("gate-wrong-half", &half)
                .mistake("gate-wrong-sides", &(6.0 * q.clone() / (h * w.clone().squared())))
                .mistake("flow-wrong-tube", &(32.0 * q.clone() / (pi() * w.to(3.0)))),
        )
        .ask(Asked::new(speed, q.value() / gate.area_at(0.5)))
}

/// Force that opens the mould, of a disc filled through its middle.
pub fn clamp(draws: &mut Draws) -> Task {
    let p = drawn(draws, "p", "pressure-at-middle", unit::MPA, ([20, 80], 1, 1));
    let d = drawn(draws, "D", "disc-diameter", unit::MM, ([20, 60], 1, 1));
    let n = drawn(draws, "n", "flow-exponent", unit::PURE, ([30, 60], 1, 100));
    let used = drawn(draws, "u", "clamp-share", unit::PERCENT, ([75, 90], 5, 1));
    let area = Line::new("A", "projected-area", unit::CM2, pi() / 4.0 * d.clone().squared());
    let mean = (1.0 - n.clone()) / (3.0 - n.clone()) * p.clone();
    let mean = Line::new("p_m", "mean-pressure", unit::MPA, mean);
    let force = Line::new("F", "opening-force", unit::KN, mean.symbol() * area.symbol());
    let clamp = Line::new("F_c", "clamp-force", unit::KN, force.symbol() / used.clone());
    let by_core = opening_force(p.value(), 0.5 * d.value(), n.value());
    let with_peak = p.clone() * area.symbol();
    Task::new([p.clone(), d.clone(), n, used.clone()])
        .ask(
            Asked::new(force.clone(), by_core)
                .after([area.clone(), mean.clone()])
                .mistake("clamp-wrong-peak", &with_peak)
                .mistake("clamp-wrong-half", &(with_peak.clone() / 2.0))
                .mistake("clamp-wrong-radius", &(4.0 * force.formula.clone())),
        )
        .ask(
            Asked::new(clamp, by_core / used.value())
                .after([area, mean, force.clone()])
                .mistake("clamp-wrong-reserve", &(force.symbol() * used.clone()))
                .mistake("clamp-wrong-peak", &(with_peak / used))
                .mistake("clamp-wrong-without", &force.symbol()),
        )
}

/// Cells of the quadrature.
const CELLS: u32 = 4000;

/// Opening force of a disc by quadrature: the pressure of a power law falls as p [1 − (r/R)^(1−n)], because the rate at
/// the wall falls as 1/r.
fn opening_force(pressure: f64, radius: f64, n: f64) -> f64 {
    let ring = |cell: u32| {
        let share = (f64::from(cell) + 0.5) / f64::from(CELLS);
        share * (1.0 - share.power(1.0 - n))
    };
    let sum: f64 = (0..CELLS).map(ring).sum();
    2.0 * std::f64::consts::PI * radius * radius * pressure * sum / f64::from(CELLS)
}
