//! Pressure, rate and force of the fill by hand: the melt at its set temperature everywhere.

use super::{Hand, one};
use crate::Facts;
use crate::facts::{half_gap, is_round, length, width};
use gatefrost_core::cavity::Passage;
use gatefrost_formula::{Expr, Line, Symbol, number, pi, sum, symbol, unit};
use gatefrost_numerics::elementary::Elementary;

/// Step of ln(rate) for the slope of the flow law.
const STEP: f64 = 1e-3;
/// Least slope: a fluid with a yield stress has hardly any at low rates.
const LEAST_SLOPE: f64 = 0.05;

/// Slope n = d ln τ/d ln γ̇ of the flow law at a shear rate \[1/s\], at the melt temperature.
fn slope(f: &Facts<'_>, rate: f64) -> f64 {
    let case = f.case();
    let stress = |rate: f64| case.material.viscosity.viscosity(rate, case.drive.melt, 0.0) * rate;
    let rise = (stress(rate * (1.0 + STEP)) / stress(rate * (1.0 - STEP))).logarithm();
    (rise / ((1.0 + STEP) / (1.0 - STEP)).logarithm()).max(LEAST_SLOPE)
}

/// The section of a passage that a formula is for: half gap and width \[m\].
#[derive(Clone, Copy)]
struct Section {
    half_gap: f64,
    width: f64,
}

impl Section {
    fn middle(p: &Passage) -> Self {
        Self { half_gap: half_gap(p), width: width(p) }
    }

    fn at(p: &Passage, f: f64) -> Self {
        Self { half_gap: p.half_gap_at(f), width: p.width_at(f) }
    }

    /// The end at which the melt is sheared most.
    fn hardest(p: &Passage) -> Self {
        let harder = p.apparent_shear_rate(1.0, 1.0) > p.apparent_shear_rate(1.0, 0.0);
        Self::at(p, if harder { 1.0 } else { 0.0 })
    }

    fn radius(self) -> Expr {
        length("R", "radius", self.half_gap)
    }

    fn thickness(self) -> Expr {
        length("h", "thickness", 2.0 * self.half_gap)
    }
}

fn flow(f: &Facts<'_>, passage: usize) -> Expr {
    symbol("Q", "flow rate through one passage, as set", unit::CM3_S, f.flow(passage))
}

fn apparent(f: &Facts<'_>, passage: usize, section: Section) -> Line {
    let q = flow(f, passage);
    let rate = if is_round(&f.case().cavity.passages[passage]) {
        4.0 * q / (pi() * section.radius().to(3.0))
    } else {
        6.0 * q / (length("w", "width", section.width) * section.thickness().squared())
    };
    Line::new("γ̇_a", "apparent shear rate at the wall", unit::PER_SECOND, rate)
}

/// Apparent rate, rate and stress at the wall of a section, and the slope n there.
fn wall_stress(f: &Facts<'_>, passage: usize, section: Section) -> (Vec<Line>, f64) {
    let apparent = apparent(f, passage, section);
    let slope = slope(f, apparent.value());
    let n = || symbol("n", "slope of the flow law there", unit::PURE, slope);
    let correction = if is_round(&f.case().cavity.passages[passage]) {
        (3.0 * n() + 1.0) / (4.0 * n())
    } else {
        (2.0 * n() + 1.0) / (3.0 * n())
    };
    let words = "shear rate at the wall (Rabinowitsch)";
    let rate = Line::new("γ̇_w", words, unit::PER_SECOND, correction * apparent.symbol());
    let case = f.case();
    let eta = case.material.viscosity.viscosity(rate.value(), case.drive.melt, 0.0);
    let eta =
        symbol("η", "viscosity at that rate and the melt temperature, from the flow law", unit::PA_S, eta);
    let stress = Line::new("τ_w", "shear stress at the wall", unit::KPA, eta * rate.symbol());
    (vec![apparent, rate, stress], slope)
}

/// Pressure drop of a passage, isothermal: 2Lτ_w/h of a slit, 2Lτ_w/R of a tube; of a disc, along which the stress falls
/// as r^−n, (2τ_w r₂/(1−n)h)[1 − (r₁/r₂)^(1−n)] with the stress at its rim.
fn drop(f: &Facts<'_>, passage: usize) -> Vec<Line> {
    let p = &f.case().cavity.passages[passage];
    let section =
        if p.disc { Section { half_gap: half_gap(p), width: p.width[1] } } else { Section::middle(p) };
    let (mut lines, n) = wall_stress(f, passage, section);
    let stress = lines[lines.len() - 1].symbol();
    let along = || length("L", "length", p.length);
    let drop = if p.disc && n < 0.99 {
        let outer = p.length * p.width[1] / (p.width[1] - p.width[0]);
        let n = || symbol("n", "slope of the flow law there", unit::PURE, n);
        let r2 = || length("r_2", "outer radius", outer);
        let r1 = length("r_1", "inner radius", outer - p.length);
        2.0 * stress * r2() / ((1.0 - n()) * section.thickness()) * (1.0 - (r1 / r2()).to(1.0 - n()))
    } else if is_round(p) {
        2.0 * along() / section.radius() * stress
    } else {
        2.0 * along() / section.thickness() * stress
    };
    lines.push(Line::new("Δp", format!("pressure drop of {}", p.name), unit::MPA, drop));
    lines
}

/// Sum of the drops of some passages. The one that takes most is worked in full.
fn pressure(f: &Facts<'_>, passages: &[usize], words: &'static str) -> Hand {
    let drops: Vec<Vec<Line>> = passages.iter().map(|&k| drop(f, k)).collect();
    let last = |lines: &Vec<Line>| lines[lines.len() - 1].result.clone();
    let worst = (0..drops.len()).max_by(|&a, &b| last(&drops[a]).value.total_cmp(&last(&drops[b]).value));
    let named = |(k, lines): (usize, &Vec<Line>)| -> Symbol {
        Symbol { letter: format!("Δp_{}", k + 1).into(), ..last(lines) }
    };
    let all: Vec<Symbol> = drops.iter().enumerate().map(named).collect();
    let whole = sum(all.iter().cloned().map(|s| Expr::Symbol(Box::new(s))));
    let (Some(worst), Some(whole)) = (worst, whole) else {
        return Err("There is no passage to flow through.");
    };
    let mut lines = drops[worst].clone();
    if let Some(line) = lines.last_mut() {
        line.result = all[worst].clone();
    }
    lines.push(Line::new("p", words, unit::MPA, whole));
    Ok(lines)
}

/// Pressure at the nozzle.
pub fn nozzle_pressure(f: &Facts<'_>, _row: usize) -> Hand {
    pressure(f, &f.longest_path(), "pressure at the nozzle")
}

/// Pressure at the entry of the gate.
pub fn gate_pressure(f: &Facts<'_>, _row: usize) -> Hand {
    let (path, gates) = (f.longest_path(), &f.case().cavity.gates);
    let from = path.iter().position(|k| gates.contains(k)).unwrap_or(0);
    pressure(f, &path[from..], "pressure at the gate")
}

/// Fill time: as set.
pub fn fill_time(f: &Facts<'_>, _row: usize) -> Hand {
    let q = symbol("Q", "injection rate that is set", unit::CM3_S, f.report.fill.rate_cm3_s);
    one(Line::new("t", "fill time", unit::SECOND, f.volume() / q))
}

/// Time until fronts meet, at most: that of the whole injection.
pub fn weld_time(f: &Facts<'_>, _row: usize) -> Hand {
    one(Line::new("t", "time until the fronts meet", unit::SECOND, f.injection_time()))
}

/// Share of the volume filled.
pub fn filled(f: &Facts<'_>, _row: usize) -> Hand {
    let share = f.report.fill.filled_percent / 100.0 * f.report.cavity.volume_cm3;
    let there = symbol("V_f", "volume that the melt has filled", unit::CM3, share);
    one(Line::new("F", "share filled", unit::PERCENT, there / f.volume()))
}

/// Injection rate that is set.
pub fn rate(f: &Facts<'_>, _row: usize) -> Hand {
    one(Line::new("Q", "injection rate", unit::CM3_S, f.volume() / f.injection_time()))
}

/// Opening force while filling: the pressure falls evenly from the gate to the end of flow.
pub fn filling_force(f: &Facts<'_>, _row: usize) -> Hand {
    let p = symbol(
        "p_g",
        "greatest pressure at the gate, as computed",
        unit::MPA,
        f.report.fill.gate_pressure_mpa,
    );
    one(Line::new("F", "opening force", unit::KN, number(1.0) / 2.0 * p * f.area()))
}

/// Opening force of the hold: the hold pressure everywhere.
pub fn holding_force(f: &Facts<'_>, _row: usize) -> Hand {
    one(Line::new("F", "opening force", unit::KN, f.hold_pressure() * f.area()))
}

/// Apparent shear rate of a passage, where it is narrowest.
pub fn passage_rate(f: &Facts<'_>, row: usize) -> Hand {
    one(apparent(f, row, Section::hardest(&f.case().cavity.passages[row])))
}

/// Wall stress of a passage, where it is narrowest.
pub fn passage_stress(f: &Facts<'_>, row: usize) -> Hand {
    Ok(wall_stress(f, row, Section::hardest(&f.case().cavity.passages[row])).0)
}

/// Mean speed in a passage, where it is narrowest.
pub fn passage_speed(f: &Facts<'_>, row: usize) -> Hand {
    let p = &f.case().cavity.passages[row];
    let area = symbol("A", "least flow area", unit::MM2, 1e6 * p.area_at(0.0).min(p.area_at(1.0)));
    one(Line::new("U", "mean speed", unit::M_S, flow(f, row) / area))
}

/// Pressure drop of a passage.
pub fn passage_drop(f: &Facts<'_>, row: usize) -> Hand {
    Ok(drop(f, row))
}
