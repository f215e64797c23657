//! The mould around its cavity: coolant and steel, vents, cores and pins, and what a hot sprue would save.

use crate::grip::Grip;
use crate::shot::Shot;
use crate::told::{Row, percent, with};
use gatefrost_core::case::Mould;
use gatefrost_core::cool::steel::{Circuits, Surface};
use gatefrost_scenario::format::number;
use gatefrost_scenario::scenario::Scenario;
use serde::Serialize;
use std::f64::consts::PI;

const CELSIUS: f64 = 273.15;
/// Reynolds number from which the film is turbulent.
const TURBULENT: f64 = 1e4;
/// Share of the green strength that a pin may press with, common practice.
const PIN_SHARE: f64 = 1.0 / 3.0;
/// Poisson's ratio of the green part, from memory; the pressure hardly depends on it.
const POISSON: f64 = 0.3;
/// How far the steel's surface may be from what is set before the plan says so \[K\]: judgement, two standard deviations
/// of the usual scatter.
const NEAR: f64 = 2.0;

/// The mould.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct MouldPlan {
    /// Coolant and steel.
    pub cooling: Vec<Row>,
    /// Coolant set point at which the surface of the steel has the mould temperature that is set; `None` where it is not
    /// computed or out of the range of water.
    pub coolant_for_set_c: Option<f64>,
    /// Vents.
    pub vents: Vec<Row>,
    /// Cores and pins; empty without a core.
    pub ejection: Vec<Row>,
    /// What a hot sprue would save.
    pub hot_sprue: Vec<Row>,
    /// What was left out, in sentences.
    pub left_out: Vec<String>,
}

pub(crate) fn plan(s: &Scenario, shot: &Shot) -> MouldPlan {
    let mut left_out = Vec::new();
    let (cooling, coolant_for_set_c) = cooling(s, shot, &mut left_out);
    MouldPlan {
        cooling,
        coolant_for_set_c,
        vents: vents(s, shot),
        ejection: ejection(s, shot, &mut left_out),
        hot_sprue: hot_sprue(s, shot),
        left_out,
    }
}

fn cooling(s: &Scenario, shot: &Shot, left_out: &mut Vec<String>) -> (Vec<Row>, Option<f64>) {
    let Some(heat) = shot.cool.heat_w else {
        left_out.push("Coolant and steel: there is no cycle at this set point.".to_owned());
        return (Vec::new(), None);
    };
    let Some(circuits) = Mould::resolve(&s.mould).circuits else {
        left_out.push("Coolant and steel: the coolant’s set point is not stated.".to_owned());
        return (Vec::new(), None);
    };
    let heat_row = Row::told("mean heat of the cycle", with(heat, "W"), "").explained_by("cool.heat_w");
    let mut rows = vec![heat_row];
    let Some(at) = circuits.surface(heat) else {
        rows.push(Row::told("water", "too little to take the heat", "more flow"));
        return (rows, None);
    };
    rows.extend(flow_rows(s, &circuits, &at));
    let set = s.setup.mould_temperature;
    let surface = at.temperature - CELSIUS;
    let coolant = coolant_for(&circuits, heat, set + CELSIUS).map(|t| t - CELSIUS);
    let against = match coolant {
        Some(coolant) => format!("{} is set: coolant at {}", with(set, "°C"), with(coolant, "°C")),
        None => format!("{} is set: water cannot bring it; oil or heaters", with(set, "°C")),
    };
    let here = with(surface, "°C");
    rows.push(Row::judged("surface of the steel", here, against, (surface - set).abs() <= NEAR));
    if set > 95.0 || s.mould.coolant_temperature.is_some_and(|t| t > 95.0) {
        rows.push(Row::told("coolant above 95 °C", "pressurised water, oil or heaters", "common practice"));
    }
    rows.extend(drillings(s));
    (rows, coolant)
}

fn flow_rows(s: &Scenario, circuits: &Circuits, at: &Surface) -> Vec<Row> {
    let flow = s.mould.water_flow * TURBULENT / at.reynolds;
    vec![
        Row::judged(
            "rise of the coolant",
            with(at.rise, "K"),
            format!(
                "at most {}: {}",
                with(s.limits.water_rise, "K"),
                with(s.mould.water_flow * at.rise / s.limits.water_rise, "L/min")
            ),
            at.rise <= s.limits.water_rise,
        ),
        Row::judged(
            "Reynolds number in the drillings",
            number(at.reynolds, 3),
            format!("above 10 000: {} in all", with(flow, "L/min")),
            at.reynolds >= TURBULENT,
        ),
        Row::told("Nusselt number", number(at.nusselt, 3), "0.023 Re^0.8 Pr^0.4 where turbulent"),
        Row::told("from the coolant to the bore", with(at.film, "K"), ""),
        Row::told(
            "from the bore to the surface",
            with(at.steel, "K"),
            format!("shape factor {}", number(circuits.shape_factor(), 3)),
        ),
    ]
}

fn drillings(s: &Scenario) -> [Row; 2] {
    let bore = s.mould.drilling_bore;
    let (pitch, depth) = (s.mould.drilling_pitch / bore, s.mould.drilling_depth / bore);
    [
        Row::judged(
            "pitch of the drillings",
            format!("{} bores", number(pitch, 3)),
            "3 to 5 bores".to_owned(),
            (3.0..=5.0).contains(&pitch),
        ),
        Row::judged(
            "depth of the drillings",
            format!("{} bores", number(depth, 3)),
            "1.5 to 3 bores".to_owned(),
            (1.5..=3.0).contains(&depth),
        ),
    ]
}

/// Coolant set point \[K\] that brings the surface to `wanted` \[K\] with a heat \[W\]. `None` outside 0 to 180 °C. The film
/// hardly depends on the coolant's temperature, so that a few corrections suffice.
pub fn coolant_for(circuits: &Circuits, heat: f64, wanted: f64) -> Option<f64> {
    let mut coolant = wanted;
    for _ in 0..60 {
        let in_range = coolant.clamp(CELSIUS, CELSIUS + 179.0);
        let at = Circuits { coolant: in_range, ..*circuits }.surface(heat)?;
        let next = wanted - (at.temperature - in_range);
        if (next - coolant).abs() < 1e-6 {
            break;
        }
        coolant = next;
    }
    (CELSIUS..=CELSIUS + 179.0).contains(&coolant).then_some(coolant)
}

fn vents(s: &Scenario, shot: &Shot) -> Vec<Row> {
    let m = &s.mould;
    let mut rows = Vec::new();
    if let Some(air) = shot.margin("venting") {
        rows.push(Row::judged(
            "pressure of the air driven out",
            with(air.value, &air.unit),
            format!("at most {}: {}", with(air.threshold, &air.unit), air.remedy),
            air.g >= 0.0,
        ));
    }
    let depth = 1e3 * m.vent_depth;
    rows.push(Row::judged(
        "depth of the vents",
        with(depth, "µm"),
        "5 to 20 µm; deeper ones flash".to_owned(),
        (5.0..=20.0).contains(&depth),
    ));
    rows.push(Row::judged(
        "land of the vents",
        with(m.vent_land, "mm"),
        "1 to 3 mm, then relieved".to_owned(),
        (1.0..=3.0).contains(&m.vent_land),
    ));
    rows
}

/// The core of a scenario in SI, with the thickest wall \[mm\] of its parts where none is stated; `None` without its sizes.
pub fn grip(s: &Scenario, thickest: f64) -> Option<Grip> {
    let p = &s.plan;
    Some(Grip {
        radius: p.core_radius? / 1e3,
        length: p.core_length? / 1e3,
        wall: p.core_wall.unwrap_or(thickest) / 1e3,
        modulus: p.green_modulus * 1e9,
        poisson: POISSON,
        contraction: p.contraction / 100.0,
        friction: p.ejection_friction,
        draft: p.draft.to_radians(),
    })
}

fn ejection(s: &Scenario, shot: &Shot, left_out: &mut Vec<String>) -> Vec<Row> {
    let p = &s.plan;
    let Some(grip) = grip(s, shot.cavity.thickest_mm).filter(|grip| grip.wall > 0.0) else {
        left_out.push("Ejection: radius and length of a core are not stated.".to_owned());
        return Vec::new();
    };
    let [free, held] = grip.pressure();
    let force = grip.force(held) * f64::from(p.cores);
    let mut rows = vec![
        Row::told(
            "pressure on the core",
            format!("{} to {}", with(free / 1e6, "MPa"), with(held / 1e6, "MPa")),
            "sliding freely along the core to held by it; the greater is used",
        ),
        Row::told(
            "force that strips one part off",
            with(force, "N"),
            if p.cores == 1 { "from one core".to_owned() } else { format!("from {} cores", p.cores) },
        ),
        Row::told(
            "draft",
            with(p.draft, "°"),
            format!(
                "0.5 to 2°; from {} on it comes off by itself",
                with(grip.releasing_draft().to_degrees(), "°")
            ),
        ),
    ];
    rows.push(match (p.pins, p.pin_diameter) {
        (Some(pins), Some(diameter)) => {
            let area = pins * 0.25 * PI * (diameter / 1e3).powi(2);
            let (stress, allowed) = (force / area, PIN_SHARE * p.green_strength * 1e6);
            let needed = (force / allowed / (0.25 * PI * (diameter / 1e3).powi(2))).ceil().max(1.0);
            Row::judged(
                "pressure of the pins",
                with(stress / 1e6, "MPa"),
                format!(
                    "at most {}, a third of the green strength: {} such pins",
                    with(allowed / 1e6, "MPa"),
                    number(needed, 6)
                ),
                stress <= allowed,
            )
        }
        _ => {
            let area = force / (PIN_SHARE * p.green_strength * 1e6);
            Row::told(
                "pressure of the pins",
                "pins are not stated",
                format!("an area of {} in all", with(1e6 * area, "mm²")),
            )
        }
    });
    rows
}

fn hot_sprue(s: &Scenario, shot: &Shot) -> Vec<Row> {
    let sprue: f64 = shot.cavity.passages.iter().filter(|p| p.role == "sprue").map(|p| p.volume_cm3).sum();
    let share = sprue / shot.cavity.volume_cm3;
    let mass = sprue * shot.feedstock.density_kg_m3 * 1e-3;
    let mut rows = vec![
        Row::told("sprue and runners", percent(shot.sprue_share()), "of each shot"),
        Row::told(
            "a hot sprue would save",
            format!("{}, {} of each shot", with(mass, "g"), percent(share)),
            "no sprue to grind",
        ),
    ];
    if let (Some(part), Some(runner)) = (shot.cool.cooling_time_s, shot.cool.runner_time_s) {
        let saved = (runner - part).max(0.0);
        let here = if s.setup.cooling_time.is_some() {
            format!("the cold path cools in {}, the part in {}", with(runner, "s"), with(part, "s"))
        } else {
            format!("at most {} of each cycle", with(saved, "s"))
        };
        rows.push(Row::told("time it would save", here, "if no cold runner is slower than the part"));
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_scenario::scenario::demo;

    #[test]
    fn the_coolant_that_is_told_brings_the_surface_to_what_is_set() {
        let mut s = demo::default_demo().scenario();
        s.mould.coolant_temperature = Some(20.0);
        let circuits = Mould::resolve(&s.mould).circuits.expect("a set point");
        let wanted = 40.0 + CELSIUS;
        let coolant = coolant_for(&circuits, 300.0, wanted).expect("water can");
        let found = Circuits { coolant, ..circuits }.surface(300.0).expect("flow").temperature;
        assert!((found - wanted).abs() < 1e-4, "{found}");
        assert_eq!(coolant_for(&circuits, 300.0, 300.0 + CELSIUS), None);
    }
}
