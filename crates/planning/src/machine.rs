//! What the cycle asks of the machine, and the size at which each demand is met.

use crate::shot::Shot;
use crate::told::{Row, percent, with};
use gatefrost_scenario::format::number;
use gatefrost_scenario::scenario::Scenario;
use serde::Serialize;
use std::f64::consts::PI;

/// Strokes in diameters of screw or plunger, common practice.
const STROKE: [f64; 2] = [1.0, 3.0];
/// Usual share of the greatest shot, common practice.
const SHARE: [f64; 2] = [0.2, 0.8];

/// A size of machine to begin with: common practice, of no maker.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct MachineSize {
    /// Its name.
    pub name: &'static str,
    /// Clamp force.
    pub clamp_kn: f64,
    /// Diameter of screw or plunger.
    pub diameter_mm: f64,
    /// Length of the screw in diameters; 0 for a plunger.
    pub screw_length: f64,
    /// Greatest injection pressure.
    pub pressure_mpa: f64,
    /// Greatest shot: a stroke of five diameters.
    pub shot_cm3: f64,
    /// Greatest injection rate: 150 mm/s of the screw.
    pub rate_cm3_s: f64,
    /// Plasticising rate.
    pub plasticising_cm3_s: f64,
}

const fn size(
    name: &'static str,
    [clamp_kn, diameter_mm, pressure_mpa]: [f64; 3],
    [shot_cm3, rate_cm3_s, plasticising_cm3_s]: [f64; 3],
    screw_length: f64,
) -> MachineSize {
    MachineSize {
        name,
        clamp_kn,
        diameter_mm,
        screw_length,
        pressure_mpa,
        shot_cm3,
        rate_cm3_s,
        plasticising_cm3_s,
    }
}

/// Generic sizes. Shots are 5 D of stroke and rates 0.15 m/s of the screw, rounded; plasticising rates are from memory.
pub const SIZES: [MachineSize; 7] = [
    size("low pressure, 20 kN, plunger", [20.0, 40.0, 1.0], [200.0, 60.0, 20.0], 0.0),
    size("100 kN, 12 mm plunger", [100.0, 12.0, 200.0], [6.8, 17.0, 1.5], 0.0),
    size("150 kN, 14 mm screw", [150.0, 14.0, 200.0], [11.0, 23.0, 2.0], 20.0),
    size("250 kN, 18 mm screw", [250.0, 18.0, 200.0], [23.0, 38.0, 4.0], 20.0),
    size("350 kN, 22 mm screw", [350.0, 22.0, 180.0], [42.0, 57.0, 6.0], 20.0),
    size("500 kN, 25 mm screw", [500.0, 25.0, 180.0], [61.0, 74.0, 8.0], 20.0),
    size("800 kN, 30 mm screw", [800.0, 30.0, 170.0], [106.0, 106.0, 12.0], 20.0),
];

/// Stroke \[m\] of a piston of a diameter \[m\] that displaces a volume \[m³\]: 4V/(πD²).
pub fn stroke(volume: f64, diameter: f64) -> f64 {
    4.0 * volume / (PI * diameter * diameter)
}

/// Diameter \[m\] at which that stroke is `n` diameters: (4V/πn)^⅓.
pub fn diameter_for(volume: f64, n: f64) -> f64 {
    (4.0 * volume / (PI * n)).cbrt()
}

/// What the cycle asks, line by line.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct MachinePlan {
    /// "screw" or "plunger", with what that means.
    pub kind: String,
    /// The demands.
    pub demands: Vec<Row>,
    /// Generic sizes that meet clamp, shot, rate and pressure, by name.
    pub enough: Vec<String>,
}

pub(crate) fn plan(s: &Scenario, shot: &Shot) -> MachinePlan {
    let mut demands = vec![pressure(s, shot), clamp(s, shot), shot_volume(s, shot)];
    demands.extend(strokes(s, shot));
    demands.push(rate(s, shot));
    demands.extend(recovery(s, shot));
    demands.extend(shot.margin("residence").map(|m| {
        Row::judged(
            "time in the barrel",
            with(m.value, &m.unit),
            format!("at most {} at this melt temperature", with(m.threshold, &m.unit)),
            m.g >= 0.0,
        )
    }));
    MachinePlan {
        kind: kind(s),
        demands,
        enough: SIZES.iter().filter(|size| meets(size, s, shot)).map(|size| size.name.to_owned()).collect(),
    }
}

fn kind(s: &Scenario) -> String {
    match s.plan.screw_length {
        None => "Screw or plunger: not stated. A plunger melts by conduction alone and does not mix.".to_owned(),
        Some(0.0) => "Plunger: it melts by conduction alone and does not mix. The feedstock must come to it well mixed.".to_owned(),
        Some(length) => format!(
            "Screw of {} diameters: it melts, mixes a little and meters. Usual for feedstocks are about 20 diameters and a compression near 2 (from memory); hard powder wears screw and barrel.",
            number(length, 3)
        ),
    }
}

fn opening(shot: &Shot) -> f64 {
    shot.hold.as_ref().map_or(0.0, |hold| hold.opening_force_kn).max(shot.fill.opening_force_kn)
}

fn pressure(s: &Scenario, shot: &Shot) -> Row {
    let needed = shot.fill.required_pressure_mpa.max(s.setup.hold_pressure);
    let (has, share) = (s.machine.max_pressure, s.limits.pressure_use / 100.0);
    let told = Row::judged(
        "pressure to fill and hold",
        with(needed, "MPa"),
        format!("{} with its reserve; the machine has {}", with(needed / share, "MPa"), with(has, "MPa")),
        needed <= share * has,
    );
    // The hold pressure is set, so nothing stands behind it.
    if needed > s.setup.hold_pressure { told.explained_by("fill.required_pressure_mpa") } else { told }
}

fn clamp(s: &Scenario, shot: &Shot) -> Row {
    let (force, share) = (opening(shot), s.limits.clamp_use / 100.0);
    Row::judged(
        "force that opens the mould",
        with(force, "kN"),
        format!(
            "{} with its reserve; the machine has {}",
            with(force / share, "kN"),
            with(s.machine.clamp_force, "kN")
        ),
        force <= share * s.machine.clamp_force,
    )
    .explained_by(if force > shot.fill.opening_force_kn {
        "hold.opening_force_kn"
    } else {
        "fill.opening_force_kn"
    })
}

fn shot_volume(s: &Scenario, shot: &Shot) -> Row {
    let volume = shot.cavity.volume_cm3;
    let share = volume / s.machine.shot_volume;
    Row::judged(
        "shot",
        format!("{}, {} of the greatest", with(volume, "cm³"), percent(share)),
        format!(
            "20 to 80 %: a greatest shot of {} to {}",
            with(volume / SHARE[1], "cm³"),
            with(volume / SHARE[0], "cm³")
        ),
        (SHARE[0]..=SHARE[1]).contains(&share),
    )
}

fn strokes(s: &Scenario, shot: &Shot) -> Vec<Row> {
    let volume = shot.cavity.volume_cm3 * 1e-6;
    let Some(diameter) = s.plan.screw_diameter.map(|mm| mm / 1e3) else {
        let fits = format!(
            "{} to {} for 1 to 3 diameters of stroke",
            with(1e3 * diameter_for(volume, STROKE[1]), "mm"),
            with(1e3 * diameter_for(volume, STROKE[0]), "mm")
        );
        return vec![Row::told("diameter of screw or plunger", "not stated", fits)];
    };
    let stroke = stroke(volume, diameter);
    let cushion = s.plan.cushion / 100.0 * stroke;
    let in_diameters = stroke / diameter;
    let speed = shot.fill.rate_cm3_s * 1e-6 / area(diameter);
    vec![
        Row::judged(
            "stroke",
            format!("{}, {} diameters", with(1e3 * stroke, "mm"), number(in_diameters, 3)),
            format!(
                "1 to 3 diameters: {} to {} across",
                with(1e3 * diameter_for(volume, STROKE[1]), "mm"),
                with(1e3 * diameter_for(volume, STROKE[0]), "mm")
            ),
            (STROKE[0]..=STROKE[1]).contains(&in_diameters),
        ),
        Row::told("cushion", with(1e3 * cushion, "mm"), "5 to 10 % of the stroke; steady from shot to shot"),
        Row::told("metering stroke, cushion included", with(1e3 * (stroke + cushion), "mm"), ""),
        Row::told("speed of screw or plunger", with(1e3 * speed, "mm/s"), ""),
    ]
}

/// What is set at the machine beside temperatures, times and hold: clamp, metering, switch-over, speed, pressure.
pub(crate) fn settings(s: &Scenario, shot: &Shot) -> Vec<Row> {
    let volume = shot.cavity.volume_cm3;
    let mut rows = vec![
        Row::told(
            "clamp force",
            format!("at least {}", with(opening(shot) / (s.limits.clamp_use / 100.0), "kN")),
            format!("the melt opens with up to {}", with(opening(shot), "kN")),
        ),
        Row::told("shot", with(volume, "cm³"), "sprue, runners and parts, without the cushion"),
    ];
    let mut speed = String::new();
    let mut switch = "from the cavity’s volume, hot".to_owned();
    if let Some(diameter) = s.plan.screw_diameter.map(|mm| mm / 1e3) {
        let stroke = stroke(volume * 1e-6, diameter);
        let cushion = s.plan.cushion / 100.0 * stroke;
        rows.push(Row::told(
            "metering stroke, cushion included",
            with(1e3 * (stroke + cushion), "mm"),
            format!("cushion {}; diameter {}", with(1e3 * cushion, "mm"), with(1e3 * diameter, "mm")),
        ));
        switch = format!("at {}", with(1e3 * (cushion + (1.0 - s.setup.switch_over / 100.0) * stroke), "mm"));
        speed = format!(
            "{} of screw or plunger",
            with(1e3 * shot.fill.rate_cm3_s * 1e-6 / area(diameter), "mm/s")
        );
    }
    rows.push(Row::told("injection rate, mean", with(shot.fill.rate_cm3_s, "cm³/s"), speed));
    rows.push(Row::told("switch-over", format!("{} of the volume", with(s.setup.switch_over, "%")), switch));
    rows.push(Row::told(
        "pressure to fill, at the nozzle",
        with(shot.fill.required_pressure_mpa, "MPa"),
        "set the machine’s limit a little above what full shots need",
    ));
    rows
}

/// Cross-section \[m²\] of a diameter \[m\].
fn area(diameter: f64) -> f64 {
    0.25 * PI * diameter * diameter
}

fn rate(s: &Scenario, shot: &Shot) -> Row {
    let (rate, share) = (shot.fill.rate_cm3_s, s.limits.rate_use / 100.0);
    Row::judged(
        "injection rate",
        with(rate, "cm³/s"),
        format!(
            "{} with its reserve; the machine has {}",
            with(rate / share, "cm³/s"),
            with(s.machine.max_rate, "cm³/s")
        ),
        rate <= share * s.machine.max_rate,
    )
    .explained_by("fill.rate_cm3_s")
}

/// Recovery has to end inside the cooling.
fn recovery(s: &Scenario, shot: &Shot) -> Option<Row> {
    let cooled = shot.cool.cooling_time_s.zip(shot.cool.runner_time_s).map(|(part, runner)| part.max(runner));
    let room = cooled.map(|cooled| cooled - held(s)).filter(|room| *room > 0.0);
    let takes = shot.cool.plasticising_s;
    let volume = shot.cavity.volume_cm3;
    let set = s.setup.cooling_time.or(room).or_else(|| shot.cooling())?;
    let told = Row::judged(
        "recovery",
        with(takes, "s"),
        format!(
            "inside the cooling of {}: a plasticising rate of {}",
            with(set, "s"),
            with(volume / set, "cm³/s")
        ),
        takes <= set * (1.0 + 1e-9),
    );
    Some(told.explained_by("cool.plasticising_s"))
}

/// Whole time of the hold \[s\].
pub(crate) fn held(s: &Scenario) -> f64 {
    s.setup.hold_time + s.setup.further_hold.iter().map(|step| step.time).sum::<f64>()
}

fn meets(size: &MachineSize, s: &Scenario, shot: &Shot) -> bool {
    let needed = shot.fill.required_pressure_mpa.max(s.setup.hold_pressure);
    let share = shot.cavity.volume_cm3 / size.shot_cm3;
    needed <= s.limits.pressure_use / 100.0 * size.pressure_mpa
        && opening(shot) <= s.limits.clamp_use / 100.0 * size.clamp_kn
        && (SHARE[0]..=SHARE[1]).contains(&share)
        && shot.fill.rate_cm3_s <= s.limits.rate_use / 100.0 * size.rate_cm3_s
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 10 cm³ with 18 mm: 39.3 mm, 2.18 diameters; worked out by hand.
    #[test]
    fn a_stroke_and_its_diameter() {
        let stroke = stroke(10e-6, 18e-3);
        assert!((stroke - 39.298e-3).abs() < 1e-6, "{stroke}");
        assert!((diameter_for(10e-6, stroke / 18e-3) - 18e-3).abs() < 1e-12);
    }

    /// 5 D of stroke and 0.15 m/s, to the rounding of the list; a plunger of low pressure is stated by its pot instead.
    #[test]
    fn generic_sizes_follow_from_their_diameters() {
        for size in SIZES.iter().filter(|size| size.pressure_mpa > 10.0) {
            let area = 0.25 * PI * (size.diameter_mm / 10.0).powi(2);
            let shot = area * 5.0 * size.diameter_mm / 10.0;
            assert!((size.shot_cm3 / shot - 1.0).abs() < 0.03, "{} {shot}", size.name);
            assert!((size.rate_cm3_s / (15.0 * area) - 1.0).abs() < 0.03, "{}", size.name);
        }
    }
}
