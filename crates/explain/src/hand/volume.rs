//! Mass, shrinkage and pressure left by hand, from the volume law alone; and the sizes after the mould.

use super::{Hand, SHORT, one};
use crate::Facts;
use crate::facts::told;
use gatefrost_after::plan::density;
use gatefrost_core::feedstock::{ROOM, ZERO_CELSIUS};
use gatefrost_core::scenario::PvtLaw;
use gatefrost_formula::{Expr, Line, greater, number, symbol, unit};

/// Volume of the binder over that of the cold binder, at a temperature and a pressure that are given as quantities.
fn binder_volume(f: &Facts<'_>, t: &Expr, p: Option<&Expr>) -> Line {
    let feedstock = &f.scenario.feedstock;
    let words = "volume of the binder over that of the cold binder";
    let volume = match feedstock.pvt {
        PvtLaw::Linear => {
            let warm = 1.0 + expansion(f) * (t.clone() - room());
            match p {
                Some(p) => warm * (1.0 - compressibility(f) * p.clone()),
                None => warm,
            }
        }
        PvtLaw::Tait(_) => {
            let (density, _) = f.case().material.pvt.density(t.value(), p.map_or(0.0, Expr::value));
            let phi = feedstock.solids_loading / 100.0;
            let volume = (1.0 / density - phi) / (1.0 - phi);
            return Line::new(
                "v",
                words,
                unit::PURE,
                symbol("v_b", "by Tait’s equation there", unit::PURE, volume),
            );
        }
    };
    Line::new("v", words, unit::PURE, volume)
}

fn room() -> Expr {
    symbol("T_0", "temperature of the cold part", unit::CELSIUS, ROOM - ZERO_CELSIUS)
}

fn expansion(f: &Facts<'_>) -> Expr {
    symbol("β", "expansion of the binder", unit::EXPANSION, f.scenario.feedstock.binder_expansion)
}

fn compressibility(f: &Facts<'_>) -> Expr {
    symbol("κ", "compressibility of the binder", unit::PER_GPA, f.scenario.feedstock.binder_compressibility)
}

/// Volume of the mixture over that of the cold mixture.
fn mixture_volume(f: &Facts<'_>, binder: &Line) -> Expr {
    f.loading() + (1.0 - f.loading()) * binder.symbol()
}

/// Mass of the green parts: their cavities filled with cold mixture.
pub fn part_mass(f: &Facts<'_>, _row: usize) -> Hand {
    one(Line::new("m", "mass of the parts", unit::GRAM, f.density() * f.part_volume()))
}

/// Shrinkage of what was sealed at a temperature and a pressure.
fn sealed(f: &Facts<'_>, t: Expr, p: Expr) -> Hand {
    let binder = binder_volume(f, &t, Some(&p));
    let shrinkage = 1.0 - number(1.0) / mixture_volume(f, &binder);
    let shrinkage = Line::new("S", "shrinkage by volume", unit::PERCENT, shrinkage);
    Ok(vec![binder, shrinkage])
}

/// Shrinkage of an end of flow, from its state as its gate froze.
pub fn end_shrinkage(f: &Facts<'_>, row: usize) -> Hand {
    let hold = f.point.hold.as_ref().ok_or(SHORT)?;
    let told_end = f.report.hold.as_ref().and_then(|hold| hold.ends.get(row)).ok_or(SHORT)?;
    let passage = f.passage_named(&told_end.name).ok_or(SHORT)?;
    let end = hold.ends.iter().find(|end| end.passage == passage).ok_or(SHORT)?;
    let t = told(
        "T",
        "mean temperature there as the gate froze, as computed",
        unit::CELSIUS,
        end.sealed_temperature,
    );
    let p = told("p", "pressure there as the gate froze, as computed", unit::MPA, end.sealed_pressure);
    sealed(f, t, p)
}

/// Least shrinkage: what is fed longest sets under the hold pressure.
pub fn least_shrinkage(f: &Facts<'_>, _row: usize) -> Hand {
    if f.point.hold.is_none() {
        return Err(SHORT);
    }
    sealed(f, f.no_flow(), f.hold_pressure())
}

/// Mean shrinkage when the mould opens: the mass of the cold part, as warm as it may be ejected.
pub fn opened_shrinkage(f: &Facts<'_>, _row: usize) -> Hand {
    let (lines, shrinkage) = opened(f)?;
    Ok([lines, vec![Line::new("S_o", "shrinkage when the mould opens", unit::PERCENT, shrinkage)]].concat())
}

fn opened(f: &Facts<'_>) -> Result<(Vec<Line>, Expr), &'static str> {
    let filled = f.filled_when_cold().ok_or("The hold does not decide the mass of the part.")?;
    let t = f.ejection();
    let binder = binder_volume(f, &t, None);
    let shrinkage = 1.0 - filled * mixture_volume(f, &binder);
    Ok((vec![binder], shrinkage))
}

/// Voids, at most: the mean shrinkage when the mould opens, with a skin that does not yield.
pub fn voids(f: &Facts<'_>, _row: usize) -> Hand {
    let (lines, shrinkage) = opened(f)?;
    let most = greater(shrinkage, number(0.0));
    Ok([lines, vec![Line::new("V_v", "share of the cavity that is empty", unit::PERCENT, most)]].concat())
}

/// Pressure left: that at which the mass of the cold part fills the cavity at the ejection temperature.
pub fn residual(f: &Facts<'_>, _row: usize) -> Hand {
    let filled = f.filled_when_cold().ok_or("The hold does not decide the mass of the part.")?;
    if !matches!(f.scenario.feedstock.pvt, PvtLaw::Linear) {
        return Err("Tait’s equation cannot be solved for the pressure by hand.");
    }
    if f.scenario.feedstock.solids_loading >= 100.0 {
        return Err("There is no binder.");
    }
    let warm = binder_volume(f, &f.ejection(), None);
    let needed = (number(1.0) / filled - f.loading()) / (1.0 - f.loading());
    let needed = Line::new(
        "v_c",
        "volume that the binder has in the cavity, over that of the cold binder",
        unit::PURE,
        needed,
    );
    let p = (1.0 - needed.symbol() / warm.symbol()) / compressibility(f);
    let p = Line::new(
        "p_r",
        "pressure left",
        unit::MPA,
        greater(p, symbol("p_0", "no pressure", unit::MPA, 0.0)),
    );
    Ok(vec![warm, needed, p])
}

/// Pressure as the gate freezes, at most: the hold pressure of that time.
pub fn sealed_pressure(f: &Facts<'_>, row: usize) -> Hand {
    let end = f.report.hold.as_ref().and_then(|hold| hold.ends.get(row)).ok_or(SHORT)?;
    let steps = &f.case().hold.steps;
    let then = steps.iter().find(|step| end.sealed_after_s < step.0).map_or(0.0, |step| step.1);
    let p = told("p_h", "pressure at the nozzle as the gate froze", unit::MPA, then);
    one(Line::new("p", "pressure when sealed", unit::MPA, p))
}

/// Pressure at a weld line, at most: the hold pressure.
pub fn weld_pressure(f: &Facts<'_>, _row: usize) -> Hand {
    one(Line::new("p", "pressure at the weld line", unit::MPA, f.hold_pressure()))
}

pub(super) fn sintered(f: &Facts<'_>) -> Expr {
    symbol("ρ_s", "relative density of the sintered part", unit::PERCENT, 100.0 * density(f.scenario))
}

pub(super) fn kept(f: &Facts<'_>) -> Expr {
    1.0 - symbol(
        "w",
        "share of the powder that the furnace takes",
        unit::PERCENT,
        f.scenario.feedstock.powder_loss,
    )
}

pub(super) fn third() -> Expr {
    number(1.0) / 3.0
}

/// Why there is no sintered part.
const NO_POWDER: &str = "The feedstock holds no powder.";

/// Oversize factor.
pub fn oversize(f: &Facts<'_>, _row: usize) -> Hand {
    oversize_line(f).and_then(one)
}

/// The line that gives the oversize factor.
pub(super) fn oversize_line(f: &Facts<'_>) -> Result<Line, &'static str> {
    let filled = f.filled_of_sizes().ok_or("The hold does not decide the mass of the part.")?;
    if f.scenario.feedstock.solids_loading == 0.0 {
        return Err(NO_POWDER);
    }
    let factor = (sintered(f) / (f.loading() * filled * kept(f))).to(third());
    Ok(Line::new("Y", "oversize factor", unit::PURE, factor).digits(6))
}

/// Linear shrinkage in the mould.
pub fn in_mould(f: &Facts<'_>, _row: usize) -> Hand {
    let filled = f.filled_when_cold().ok_or("The hold does not decide the mass of the part.")?;
    one(Line::new("s_m", "linear shrinkage in the mould", unit::PERCENT, 1.0 - filled.to(third())))
}

/// Linear shrinkage in the furnace.
pub fn in_furnace(f: &Facts<'_>, _row: usize) -> Hand {
    let shrinkage = 1.0 - (f.loading() * kept(f) / sintered(f)).to(third());
    one(Line::new("s_s", "linear shrinkage in the furnace", unit::PERCENT, shrinkage))
}

/// Oversize factor by the loading alone.
pub fn by_loading(f: &Facts<'_>, _row: usize) -> Hand {
    if f.scenario.feedstock.solids_loading == 0.0 {
        return Err(NO_POWDER);
    }
    let factor = (sintered(f) / (f.loading() * kept(f))).to(third());
    one(Line::new("Y_0", "oversize factor by the loading alone", unit::PURE, factor).digits(6))
}
