//! Times and temperatures by hand: one term of the conduction series, and heat balances.

use super::law::bessel;
use super::{Hand, SHORT, one};
use crate::Facts;
use crate::facts::{is_round, length};
use gatefrost_core::cavity::Passage;
use gatefrost_core::cool::Where;
use gatefrost_core::cool::steel::heat_of_water;
use gatefrost_core::feedstock::ZERO_CELSIUS;
use gatefrost_core::scenario::Role;
use gatefrost_formula::{Expr, Line, constant, greater, number, pi, symbol, unit};

/// 2/(j J₁(j)), the centre's coefficient in a cylinder.
const CYLINDER_CENTRE: f64 = 1.601_974_697;

/// Time until the mean or the middle of a section has cooled to a temperature (Carslaw and Jaeger, one term).
fn cooling(
    f: &Facts<'_>,
    p: &Passage,
    place: Where,
    target: Expr,
    letter: &'static str,
    words: &'static str,
) -> Hand {
    let (melt, wall) = (f.melt(), f.wall());
    if target.value() <= wall.value() {
        return Err("The mould is not colder than the temperature that is to be reached.");
    }
    let j = bessel;
    let (scale, coefficient) = match (is_round(p), place) {
        (false, place) => {
            let h = length("h", "thickness", p.thickest());
            let coefficient = match place {
                Where::Mean => number(8.0) / pi().squared(),
                Where::Centre => number(4.0) / pi(),
            };
            (h.squared() / (pi().squared() * f.diffusivity()), coefficient)
        }
        (true, place) => {
            let r = length("R", "radius", 0.5 * p.thickest());
            let coefficient = match place {
                Where::Mean => number(4.0) / j().squared(),
                Where::Centre => constant("c", CYLINDER_CENTRE),
            };
            (r.squared() / (j().squared() * f.diffusivity()), coefficient)
        }
    };
    let log = (coefficient * ((melt - wall.clone()) / (target - wall))).ln();
    let log = if log.value() < 0.0 { greater(log, number(0.0)) } else { log };
    one(Line::new(letter, words, unit::SECOND, scale * log))
}

fn gate(f: &Facts<'_>, passage: usize, place: Where) -> Hand {
    let p = &f.case().cavity.passages[passage];
    cooling(f, p, place, f.no_flow(), "t_g", "time until the gate has cooled to the no-flow temperature")
}

/// Freeze time of a gate, by its mean temperature.
pub fn gate_freeze(f: &Facts<'_>, row: usize) -> Hand {
    gate(f, *f.case().cavity.gates.get(row).ok_or(SHORT)?, Where::Mean)
}

/// Time at which the middle of a gate sets.
pub fn gate_centre(f: &Facts<'_>, row: usize) -> Hand {
    gate(f, *f.case().cavity.gates.get(row).ok_or(SHORT)?, Where::Centre)
}

/// Freeze time of the gate that freezes last by hand.
pub fn last_gate(f: &Facts<'_>, _row: usize) -> Hand {
    let of = |&k: &usize| gate(f, k, Where::Mean);
    let last = |hand: &Hand| hand.as_ref().map_or(f64::INFINITY, |lines| lines[lines.len() - 1].value());
    f.case().cavity.gates.iter().map(of).max_by(|a, b| last(a).total_cmp(&last(b))).unwrap_or(Err(SHORT))
}

/// Freeze time of the gate that seals an end of flow.
pub fn sealing_gate(f: &Facts<'_>, row: usize) -> Hand {
    let end = f.report.hold.as_ref().and_then(|hold| hold.ends.get(row)).ok_or(SHORT)?;
    gate(f, f.passage_named(&end.gate).ok_or(SHORT)?, Where::Mean)
}

fn thickest(f: &Facts<'_>, accept: impl Fn(Role) -> bool, letter: &'static str, none: &'static str) -> Hand {
    let passage = f.case().cavity.thickest(accept).ok_or(none)?;
    let p = &f.case().cavity.passages[passage];
    cooling(
        f,
        p,
        Where::Mean,
        f.ejection(),
        letter,
        "time until the thickest section is cold enough to eject",
    )
}

/// Cooling time of the part.
pub fn cooling_time(f: &Facts<'_>, _row: usize) -> Hand {
    thickest(f, |role| role == Role::Part, "t_e", "There is no part.")
}

/// Cooling time of sprue and runners.
pub fn runner_time(f: &Facts<'_>, _row: usize) -> Hand {
    thickest(f, |role| matches!(role, Role::Sprue | Role::Runner), "t_r", "There is no sprue and no runner.")
}

/// The cycle: idle, injection, hold, and cooling by hand or as set.
pub fn cycle(f: &Facts<'_>, row: usize) -> Hand {
    let second =
        |letter: &'static str, words: &'static str, value| symbol(letter, words, unit::SECOND, value);
    let setup = &f.scenario.setup;
    let idle = second("t_0", "closing, opening and ejecting", f.scenario.machine.idle_time);
    let held = second("t_h", "hold time, all steps", f.case().hold.time());
    let dosing = second("t_d", "plasticising", f.report.cool.plasticising_s);
    let before = idle + f.injection_time();
    let mut lines = Vec::new();
    let whole = match setup.cooling_time {
        Some(set) => before + held + greater(second("t_c", "cooling time that is set", set), dosing),
        None => {
            lines = cooling_time(f, row)?;
            let cold = lines[lines.len() - 1].symbol();
            before + greater(held + dosing, cold)
        }
    };
    lines.push(Line::new("t", "cycle time", unit::SECOND, whole));
    Ok(lines)
}

/// Time to meter the next shot.
pub fn plasticising(f: &Facts<'_>, _row: usize) -> Hand {
    let q = symbol("Q_d", "plasticising rate", unit::CM3_S, f.scenario.machine.dosing_rate);
    one(Line::new("t_d", "plasticising", unit::SECOND, f.volume() / q))
}

/// Whole hold time.
pub fn held(f: &Facts<'_>, _row: usize) -> Hand {
    let setup = &f.scenario.setup;
    let steps: Vec<(f64, f64)> = std::iter::once((setup.hold_time, setup.hold_pressure))
        .chain(setup.further_hold.iter().map(|step| (step.time, step.pressure)))
        .collect();
    let pressed = steps.iter().rposition(|step| step.1 > 0.0).map_or(0, |last| last + 1);
    let of = |(k, step): (usize, &(f64, f64))| {
        symbol(format!("t_{}", k + 1), format!("hold step {}", k + 1), unit::SECOND, step.0)
    };
    let whole = gatefrost_formula::sum(steps[..pressed].iter().enumerate().map(of));
    one(Line::new(
        "t_h",
        "hold time",
        unit::SECOND,
        whole.unwrap_or_else(|| symbol("t_1", "hold without pressure", unit::SECOND, 0.0)),
    ))
}

/// Temperature of melt that has been in touch with the wall for some time: T_w + (T_m − T_w) exp(−2Ut/ρc_p h), with the
/// contact and a third of the half gap's resistance in series.
fn in_touch(f: &Facts<'_>, time: Expr) -> Hand {
    let cavity = &f.case().cavity;
    let p = &cavity.passages[cavity.thickest(|role| role == Role::Part).ok_or("There is no part.")?];
    let h = || length("h", "thickest section of the part", p.thickest());
    let k = symbol("k", "conductivity", unit::W_MK, f.report.feedstock.conductivity_w_mk);
    let contact = symbol("h_c", "contact conductance", unit::W_M2K, f.scenario.setup.contact_conductance);
    let through = number(1.0) / (number(1.0) / contact + h() / (6.0 * k));
    let through = Line::new("U", "conductance from the melt to the wall", unit::W_M2K, through);
    let walls = if is_round(p) { 4.0 } else { 2.0 };
    let left = (-(walls * through.symbol() * time / (f.density() * f.heat_capacity() * h()))).exp();
    let t = f.wall() + (f.melt() - f.wall()) * left;
    let t = Line::new("T_f", "temperature of the front", unit::CELSIUS, t);
    Ok(vec![through, t])
}

/// Coldest flow front: melt that has been in touch with the wall for the whole injection.
pub fn front(f: &Facts<'_>, _row: usize) -> Hand {
    in_touch(f, f.injection_time())
}

/// Fronts of a weld line, the same until they meet.
pub fn weld_front(f: &Facts<'_>, row: usize) -> Hand {
    let weld = f.report.fill.weld_lines.get(row).ok_or("No fronts meet.")?;
    in_touch(f, symbol("t", "time until the fronts meet, as computed", unit::SECOND, weld.time_s))
}

/// Hottest melt: all work of the pressure becomes heat, spread evenly.
pub fn hottest(f: &Facts<'_>, _row: usize) -> Hand {
    let p = symbol(
        "p",
        "greatest pressure at the nozzle, as computed",
        unit::MPA,
        f.report.fill.nozzle_pressure_mpa,
    );
    let rise = Line::new("ΔT", "rise by friction", unit::KELVIN, p / (f.density() * f.heat_capacity()));
    let t = Line::new("T", "mean temperature with that rise", unit::CELSIUS, f.melt() + rise.symbol());
    Ok(vec![rise, t])
}

/// Mean heat into the mould: what each shot brings down to the ejection temperature.
pub fn heat(f: &Facts<'_>, _row: usize) -> Hand {
    let cycle = f.report.cool.cycle_s.ok_or("There is no cycle.")?;
    let cycle = symbol("t", "cycle time, as computed", unit::SECOND, cycle);
    let feedstock = &f.scenario.feedstock;
    let latent =
        feedstock.latent_heat + feedstock.further_melting.iter().map(|peak| peak.latent_heat).sum::<f64>();
    let sensible = f.heat_capacity() * (f.melt() - f.ejection());
    let powder = symbol("ω", "powder by mass", unit::PERCENT, f.report.feedstock.powder_mass_percent);
    let each = match latent > 0.0 {
        true => sensible + (1.0 - powder) * symbol("L_b", "latent heat of the binder", unit::KJ_KG, latent),
        false => sensible,
    };
    let heat = f.density() * f.volume() * each / cycle;
    one(Line::new("Q̇", "heat into the mould", unit::WATT, heat))
}

fn heat_flow(f: &Facts<'_>) -> Result<Expr, &'static str> {
    let heat = f.report.cool.heat_w.ok_or("There is no cycle.")?;
    Ok(symbol("Q̇", "heat into the mould, as computed", unit::WATT, heat))
}

/// Rise of the cooling water.
pub fn water_rise(f: &Facts<'_>, _row: usize) -> Hand {
    let coolant = f.scenario.mould.coolant_temperature.ok_or("The coolant’s set point is not given.")?;
    let heat = symbol(
        "ρc",
        "heat capacity of water by volume",
        unit::MJ_M3K,
        1e-6 * heat_of_water(coolant + ZERO_CELSIUS),
    );
    let flow = symbol("V̇", "flow of water", unit::L_MIN, f.scenario.mould.water_flow);
    one(Line::new("ΔT", "rise of the water", unit::KELVIN, heat_flow(f)? / (flow * heat)))
}

/// Surface of the steel.
pub fn surface(f: &Facts<'_>, _row: usize) -> Hand {
    let steel = f.report.cool.steel.as_ref().ok_or("The coolant’s set point is not given.")?;
    let coolant = f.scenario.mould.coolant_temperature.ok_or("The coolant’s set point is not given.")?;
    let kelvin =
        |letter: &'static str, words: &'static str, value| symbol(letter, words, unit::KELVIN, value);
    let t = symbol("T_c", "coolant’s set point", unit::CELSIUS, coolant)
        + kelvin("ΔT", "rise of the water", steel.rise_k) / 2.0
        + kelvin("ΔT_f", "from the water to the drilling’s wall", steel.film_k)
        + kelvin("ΔT_s", "through the steel", steel.steel_k);
    one(Line::new("T_s", "surface of the steel", unit::CELSIUS, t))
}
