//! Remarks on the validity of a plan.

use super::{FromMould, Plan};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_scenario::format::number;
use gatefrost_scenario::scenario::{DebindingStep, Dimension, FurnaceStretch, Leaves, Scenario, Sintering};

/// Thinnest wall for which a bath is governed by diffusion alone, mm.
const DIFFUSION_ALONE: f64 = 2.4;

/// Share of the binder that may be left at the end.
const CLEAN_PERCENT: f64 = 0.5;

/// Tightest tolerance that is held without sizing or machining, per cent of the size (common practice: pressing holds 0.05 to
/// 0.1 %, moulding 0.3 to 0.5 %).
const TIGHTEST_PERCENT: f64 = 0.1;

/// Sentences in the order of the work.
pub(super) fn remarks(s: &Scenario, plan: &Plan, mould: Option<&FromMould>) -> Vec<String> {
    let mut all: Vec<String> = s.sizes.dimensions.iter().filter_map(too_tight).collect();
    all.extend(mould.and_then(|mould| measured(s, mould)));
    let baths = || {
        s.debinding.steps.iter().filter_map(|step| match step {
            DebindingStep::Bath(bath) => Some(bath),
            _ => None,
        })
    };
    match plan.walls.first() {
        None => all.push("No passage has the role “part”: there is no wall to debind.".to_owned()),
        Some(wall) => {
            if wall.both_faces.is_none() && !wall.rod {
                all.push(format!(
                    "Nothing is said of the faces through which debinding reaches “{}”: one face is assumed, which is the worst.{}",
                    wall.name,
                    from_both(s)
                ));
            }
            if baths().next().is_some() && 2.0 * wall.depth_mm < DIFFUSION_ALONE {
                all.push(format!(
                    "Below a wall of about {DIFFUSION_ALONE} mm the binder dissolves no faster than its surface lets it: the time in the bath is optimistic."
                ));
            }
        }
    }
    let f = &s.feedstock;
    for bath in baths().filter(|bath| bath.temperature > f.solidus) {
        let (line, of, then) = if bath.temperature < f.liquidus {
            ("solidus", f.solidus, "the binder softens, and the part may swell or crack")
        } else {
            ("liquidus", f.liquidus, "the part swells and cracks")
        };
        all.push(format!(
            "The bath at {} °C is above the {line} of the binder, {} °C: {then}.",
            number(bath.temperature, 4),
            number(of, 4)
        ));
    }
    if f.critical_loading - f.solids_loading < 3.0 && baths().next().is_some() {
        all.push("Near the critical loading the solvent hardly reaches the binder: the bath takes longer than computed.".to_owned());
    }
    for (i, step) in plan.steps.iter().enumerate().filter(|(_, step)| step.schedule.is_none()) {
        if step.mass_loss_percent <= 0.0 {
            all.push(format!(
                "Step {}, {}, finds nothing to take out: it is counted as no time. Leave it out, or put it earlier.",
                i + 1,
                step.name
            ));
        }
    }
    if plan.binder_left_percent > CLEAN_PERCENT {
        let left = s.debinding.parts.iter().any(|part| part.leaves == Leaves::Heat);
        let hint = if left { " A furnace step takes out what is left." } else { "" };
        all.push(format!(
            "{} % of the binder is left after the last step.{hint}",
            number(plan.binder_left_percent, 3)
        ));
    }
    if plan.sintering.is_none() && !s.sintering.stretches.is_empty() {
        all.push(format!(
            "The sintered density, {} %, is not below the density after a long time, {} %: no curve passes through it.",
            number(f.sintered_density, 4),
            number(s.sintering.full_density, 4)
        ));
    }
    all.extend(steel_for_another_powder(s));
    all
}

/// What both faces would save in the steps that there are.
fn from_both(s: &Scenario) -> String {
    let has = |wanted: fn(&DebindingStep) -> bool| s.debinding.steps.iter().any(wanted);
    let bath =
        has(|step| matches!(step, DebindingStep::Bath(_))).then_some("a bath takes a quarter of the time");
    let oven = has(|step| matches!(step, DebindingStep::Catalytic(_)))
        .then_some("a catalytic oven takes half of the time");
    let saved: Vec<&str> = bath.into_iter().chain(oven).collect();
    if saved.is_empty() { String::new() } else { format!(" From both faces {}.", saved.join(" and ")) }
}

/// Whether usual numbers of steel stand for a powder that is none.
fn steel_for_another_powder(s: &Scenario) -> Option<String> {
    let x = &s.sintering;
    let usual = Sintering::default();
    let of_steel = x.energy == usual.energy
        || x.stretches.iter().any(|stretch| stretch.temperature == FurnaceStretch::default().temperature);
    (!x.stretches.is_empty() && of_steel && !Sintering::is_usual_for(s.feedstock.powder_density)).then(|| {
        format!(
            "The furnace run or the activation energy of sintering, {} kJ/mol, is the usual one of steel, from memory. The powder has {} kg/m³, which is no steel: type its own run and energy.",
            number(x.energy, 4),
            number(s.feedstock.powder_density, 4)
        )
    })
}

/// What is said of a tolerance that no forming of powder holds.
fn too_tight(d: &Dimension) -> Option<String> {
    let percent = 100.0 * d.tolerance / d.size;
    (percent < TIGHTEST_PERCENT).then(|| {
        format!(
            "The tolerance of “{}”, ±{} mm, is ±{} % of its size. No process holds less than ±{TIGHTEST_PERCENT} % without sizing or machining, and moulding ±0.3 to ±0.5 % (common practice).",
            d.name,
            number(d.tolerance, 3),
            number(percent, 2)
        )
    })
}

/// What is said of a measured filling of the cavity: both values, and what the difference makes of a length.
fn measured(s: &Scenario, mould: &FromMould) -> Option<String> {
    let percent = s.sizes.measured_filled?;
    let longer = (percent / (100.0 * mould.filled)).cube_root() - 1.0;
    Some(format!(
        "The sizes take the measured filling of the cavity, {} %. By the hold it is {} %, and lengths would differ by {} %. Clear it when the set point or the feedstock changes.",
        number(percent, 4),
        number(100.0 * mould.filled, 4),
        number(100.0 * longer.abs(), 2)
    ))
}
