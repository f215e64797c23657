//! Hold, cooling and the cycle, in the units of the trade.

use super::edge::{celsius, scaled};
use super::{
    CoolReport, CyclePart, EndReport, GateReport, HoldClosures, HoldHistory, HoldReport, SteelReport, Trace,
};
use gatefrost_core::case::Case;
use gatefrost_core::cavity::Passage;
use gatefrost_core::cool::steel::{Regime, Surface};
use gatefrost_core::cool::{self, Where};
use gatefrost_core::cycle::Cycle;
use gatefrost_core::feedstock::ZERO_CELSIUS;
use gatefrost_core::pack::Hold;
use gatefrost_core::scenario::{Role, Scenario};
use gatefrost_core::stages::Point;
use gatefrost_numerics::order;

/// The hand formula for the thickest section of a passage.
pub(super) fn hand(case: &Case, p: &Passage, place: Where, target: f64) -> Option<f64> {
    let half_gap = 0.5 * p.thickest();
    let alpha = case.material.diffusivity();
    cool::cooling_time(p.kind, place, half_gap, alpha, case.drive.melt, case.drive.wall, target)
}

pub(super) fn hold(case: &Case, hold: &Hold) -> HoldReport {
    let (m, c) = (&case.material, &case.cavity);
    let name = |passage: usize| c.passages[passage].name.clone();
    let gates = hold.gates.iter().map(|g| {
        let gate = &c.passages[g.passage];
        GateReport {
            name: name(g.passage),
            freeze_s: g.freeze,
            centre_freeze_s: g.centre_freeze,
            hand_mean_s: hand(case, gate, Where::Mean, m.no_flow),
            hand_centre_s: hand(case, gate, Where::Centre, m.no_flow),
        }
    });
    let mut ends = hold.ends.clone();
    // Rounded to one part in a billion, so that rounding errors do not choose between equal ends.
    order::sort_by(&mut ends, |end| -(end.shrinkage * 1e9).round());
    let ends = ends.iter().map(|e| EndReport {
        name: name(e.passage),
        gate: name(hold.gates[e.gate].passage),
        sealed_after_s: e.sealed_after,
        sealed_pressure_mpa: e.sealed_pressure / 1e6,
        shrinkage_percent: 100.0 * e.shrinkage,
    });
    let parts = || (0..c.cells.len()).filter(|&i| c.passages[c.cells[i].passage].role == Role::Part);
    let shrinkage =
        |pick: fn(f64, f64) -> f64, from: f64| parts().map(|i| hold.shrinkage[i]).fold(from, pick);
    let volume = |i: usize| c.cells[i].whole_volume();
    let part_volume: f64 = parts().map(volume).sum();
    HoldReport {
        gates: gates.collect(),
        gate_freeze_s: hold.gate_freeze(),
        held_s: case.hold.held(),
        ends: ends.collect(),
        part_mass_g: hold.part_mass * 1e3,
        residual_pressure_mpa: hold.opened.residual / 1e6,
        shrinks_most: name(hold.sink.passage),
        shrinkage_percent: 100.0 * hold.sink.shrinkage,
        shrinkage_when_opened_percent: 100.0
            * parts().map(|i| hold.opened.shrinkage[i] * volume(i)).sum::<f64>()
            / part_volume,
        shrinkage_spread_percent: [
            100.0 * shrinkage(f64::min, f64::INFINITY),
            100.0 * shrinkage(f64::max, f64::NEG_INFINITY),
        ],
        void_percent: 100.0 * parts().map(|i| hold.opened.void_share[i] * volume(i)).sum::<f64>()
            / part_volume,
        opening_force_kn: hold.opening_force / 1e3,
        closures: HoldClosures {
            mass: hold.balance.mass_closure(),
            enthalpy: hold.balance.enthalpy_closure(m.volumetric_heat() * c.volume),
        },
        history: history(case, hold),
    }
}

fn history(case: &Case, hold: &Hold) -> HoldHistory {
    let c = &case.cavity;
    let h = &hold.history;
    let name = |passage: usize| c.passages[passage].name.clone();
    let gates = |lists: &[Vec<f64>], factor: f64| -> Vec<Trace> {
        let trace = |(values, g): (&Vec<f64>, &gatefrost_core::pack::Gate)| Trace {
            name: name(g.passage),
            values: scaled(values, factor),
        };
        lists.iter().zip(&hold.gates).map(trace).collect()
    };
    HoldHistory {
        time_s: h.time.clone(),
        nozzle_mpa: scaled(&h.nozzle, 1e-6),
        gates_mpa: gates(&h.behind_gate, 1e-6),
        ends_mpa: h
            .end
            .iter()
            .zip(&hold.ends)
            .map(|(values, end)| Trace { name: name(end.passage), values: scaled(values, 1e-6) })
            .collect(),
        gate_openness: gates(&h.openness, 1.0),
        hottest_part_c: celsius(h.hottest_part.iter().copied()),
        part_mass_g: scaled(&h.part_mass, 1e3),
    }
}

pub(super) fn cool(s: &Scenario, point: &Point<'_>) -> CoolReport {
    let (case, fill) = (point.case, &point.fill.end);
    let thickest = case.cavity.thickest(|role| role == Role::Part).map(|i| &case.cavity.passages[i]);
    let section = thickest.map_or_else(String::new, |p| p.name.clone());
    let hold = point.hold.as_ref();
    let mut report = CoolReport {
        hand_s: thickest.and_then(|p| hand(case, p, Where::Mean, case.material.ejection)),
        section,
        cooling_time_s: hold.and_then(|hold| hold.part_cooled),
        runner_time_s: hold.and_then(|hold| hold.runner_cooled),
        plasticising_s: Cycle::plasticising(case),
        cycle: Vec::new(),
        cycle_s: None,
        heat_w: None,
        steel: None,
        governed_by: String::new(),
    };
    let Some(hold) = hold else { return report };
    if !Cycle::ends(case, hold) {
        return report;
    }
    // If the part never cools enough, the mould opens at the set time.
    let (part, runner) = hold.part_cooled.zip(hold.runner_cooled).unwrap_or((f64::INFINITY, f64::INFINITY));
    let cycle = Cycle::of(case, hold, fill.time);
    let Cycle { idle, held, cooling, plasticising, .. } = cycle;
    report.governed_by = if s.setup.cooling_time.is_some_and(|set| set >= plasticising) {
        "the cooling time that is set".to_owned()
    } else if held + plasticising >= part.max(runner) {
        if part.max(runner) <= held {
            "the hold: everything is cold enough before it ends".to_owned()
        } else {
            "plasticising: the part is cold enough before the next shot is ready".to_owned()
        }
    } else if runner > part {
        "cooling of sprue and runners".to_owned()
    } else {
        format!("cooling of the part: {} takes longest", report.section)
    };
    for (name, seconds, inside) in [
        ("close", 0.5 * idle, false),
        ("fill", fill.time, false),
        ("hold", held, false),
        ("cool", cooling, false),
        ("plasticise", plasticising, true),
        ("open and eject", 0.5 * idle, false),
    ] {
        report.cycle.push(CyclePart { name: name.into(), seconds, inside });
    }
    report.cycle_s = Some(cycle.whole());
    let heat = (fill.balance.lost + hold.opened.lost) / cycle.whole();
    report.heat_w = Some(heat);
    let surface = case.mould.circuits.and_then(|circuits| circuits.surface(heat));
    // With too little water the formula gives steel hotter than the melt. Then there is no surface temperature.
    let surface = surface.filter(|surface| surface.temperature < case.drive.melt);
    report.steel = surface.map(steel);
    report
}

fn steel(surface: Surface) -> SteelReport {
    let flow = match surface.regime {
        Regime::Laminar => "laminar: more flow or a smaller bore would cool much better",
        Regime::Between => "between laminar and turbulent: the film is known only roughly",
        Regime::Turbulent => "turbulent",
    };
    SteelReport {
        surface_c: surface.temperature - ZERO_CELSIUS,
        rise_k: surface.rise,
        film_k: surface.film,
        steel_k: surface.steel,
        reynolds: surface.reynolds,
        flow: flow.into(),
    }
}
