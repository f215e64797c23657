//! Several cavities on a balanced runner, and a machine of a size that goes with them.

use super::{Passage, Role, Scenario, round, tube};
use crate::scenario::{Form, Lies, Mould};
use gatefrost_numerics::elementary::Elementary;

/// Numbers of cavities that a runner feeds alike: it branches in two at each level.
pub const CAVITIES: [u32; 4] = [1, 2, 4, 8];

/// Names of the levels of a runner that ends in 2, 4 or 8 branches.
const LEVELS: [&[&str]; 4] = [
    &[],
    &["runner arms"],
    &["main runner", "side runners"],
    &["main runner", "side runners", "end runners"],
];

/// Length of one level \[mm\], common practice.
const LENGTH: f64 = 20.0;

/// Passages of a mould with so many cavities. Its runner has a level for each branching. A level that feeds m cavities by
/// each of its branches has the diameter d ∛m, where d is that of the last level: then the shear rate at the wall,
/// 32 Q/(π d³), is the same at each level (closed form). The sprue is widened in the same way beyond four cavities.
///
/// # Arguments
/// - `passages`: those of one cavity, the sprue first
/// - `wall`: thickness at the gate \[mm\]
/// - `cavities`: 1, 2, 4 or 8; another number is taken as the next smaller of these
pub(super) fn on_runner(passages: Vec<Passage>, wall: f64, cavities: u32) -> Vec<Passage> {
    let levels = (cavities.max(1).ilog2() as usize).min(LEVELS.len() - 1);
    if levels == 0 {
        return passages;
    }
    let cavities = CAVITIES[levels];
    let last = wall + 2.0;
    let widened = |cavities: u32| f64::from(cavities).power(1.0 / 3.0);
    let runner = |(level, name): (usize, &&str)| {
        let copies = CAVITIES[level + 1];
        let diameter = last * widened(cavities / copies);
        let form = tube(LENGTH, diameter, diameter);
        Passage { name: (*name).to_owned(), role: Role::Runner, copies, form, ..Passage::default() }
    };
    let mut out = Vec::with_capacity(passages.len() + levels);
    for mut passage in passages {
        match passage.role {
            Role::Sprue => {
                if let Form::Tube(sprue) = &mut passage.form {
                    sprue.diameter = round(sprue.diameter * (widened(cavities) / widened(4)).max(1.0));
                    let main = round(last * widened(cavities / 2) + 0.5);
                    sprue.diameter_end = sprue.diameter_end.map(|end| end.max(main));
                }
                out.push(passage);
                out.extend(LEVELS[levels].iter().enumerate().map(runner));
            }
            // The levels stand in place of the runner of one cavity.
            Role::Runner => {}
            _ => {
                passage.copies *= cavities;
                out.push(passage);
            }
        }
    }
    out
}

/// The least value of the series 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8 of each decade (R10 of ISO 3, from memory) that is
/// not below `value`.
fn preferred(value: f64) -> f64 {
    const SERIES: [f64; 10] = [1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0];
    let mut decade = 1e-3;
    while decade < 1e6 {
        if let Some(step) = SERIES.iter().find(|&&step| step * decade >= value * (1.0 - 1e-9)) {
            return round(step * decade);
        }
        decade *= 10.0;
    }
    value
}

/// Makes the usual machine and mould of a scenario go with its cavity. All shares are common practice.
///
/// - Greatest shot: twice the volume, where the usual one is not 1.3 to 4 times the volume; the plasticising rate grows or
///   shrinks with it.
/// - Greatest injection rate: at least 1.5 times what the injection time asks for.
/// - Clamp: at least 1.5 times the hold pressure on the projected area.
/// - Vents and cooling water: those of a usual mould for each cavity.
pub fn suit_machine(scenario: &mut Scenario) {
    let volume = scenario.cavity.volume();
    let parts = scenario.cavity.passages.iter().filter(|p| p.role == Role::Part);
    let cavities = f64::from(parts.map(|p| p.copies).max().unwrap_or(1));
    let area: f64 = scenario.cavity.passages.iter().map(projected).sum();
    let machine = &mut scenario.machine;
    let usual = machine.shot_volume;
    if !(1.3 * volume..=4.0 * volume).contains(&usual) {
        machine.shot_volume = preferred(2.0 * volume);
        machine.dosing_rate = preferred(machine.dosing_rate * machine.shot_volume / usual);
    }
    machine.max_rate = machine.max_rate.max(preferred(1.5 * volume / scenario.setup.injection_time));
    // 1 MPa on 1 cm² is 0.1 kN.
    machine.clamp_force = machine.clamp_force.max(preferred(0.15 * scenario.setup.hold_pressure * area));
    let usual = Mould::default();
    scenario.mould.vent_width = usual.vent_width * cavities;
    scenario.mould.water_flow = usual.water_flow * cavities;
}

/// Projected area of all copies \[cm²\]: the face of a passage across the opening direction, the section of one along it.
fn projected(p: &Passage) -> f64 {
    let mean = |from: f64, end: Option<f64>| 0.5 * (from + end.unwrap_or(from));
    let along = p.role == Role::Sprue || p.lies == Some(Lies::Along);
    let one = match &p.form {
        Form::Tube(t) if along => t.diameter * t.diameter,
        Form::Tube(t) => t.length * mean(t.diameter, t.diameter_end),
        Form::Strip(s) if along => mean(s.width, s.width_end) * mean(s.thickness, s.thickness_end),
        Form::Strip(s) => s.length * mean(s.width, s.width_end),
        Form::Disc(d) => {
            0.5 * d.angle.to_radians() * (d.outer_radius * d.outer_radius - d.inner_radius * d.inner_radius)
        }
    };
    0.01 * one * f64::from(p.copies)
}
