//! What is weighed and measured after each step, with limits; and the cautions.

use super::{Parts, SheetPart};
use crate::told::{Row, with};
use gatefrost_after::plan::{FromMould, LOADING};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_scenario::format::number;
use gatefrost_scenario::scenario::Scenario;

/// Standard deviations to either side of a weight or a density that is checked.
const SIDES: f64 = 3.0;
/// Greatest deviation of the granules' density \[%\]: judgement.
const GRANULES: f64 = 0.2;

/// Relative standard deviation of the green weight: of how full the cavity is, by its causes, and of the mixture's density
/// by the loading, (ρ_p − ρ_b) σ_φ/ρ. Squares add up.
pub fn weight_scatter(s: &Scenario, handed: &FromMould) -> f64 {
    let f = &s.feedstock;
    let phi = f.solids_loading / 100.0;
    let density = phi * f.powder_density + (1.0 - phi) * f.binder_density;
    let of_loading = (f.powder_density - f.binder_density) * s.scatter.solids_loading / 100.0 / density;
    let causes = handed.scatter.iter().filter(|cause| cause.cause != LOADING).map(|cause| cause.relative);
    causes.fold(of_loading.abs(), Elementary::hypotenuse)
}

fn between(middle: f64, share: f64, unit: &str) -> String {
    format!("{} to {} {unit}", number(middle * (1.0 - share), 5), number(middle * (1.0 + share), 5))
}

pub(super) fn checks(p: &Parts<'_>) -> SheetPart {
    let mut rows = Vec::new();
    if let Some(shot) = p.shot {
        let density = shot.feedstock.density_kg_m3 / 1e3;
        rows.push(Row::told(
            "after mixing: density of granules",
            format!("{} g/cm³", number(density, 5)),
            between(density, GRANULES / 100.0, "g/cm³"),
        ));
    }
    if let (Some(sizes), Some(handed)) = (&p.after.sizes, p.handed) {
        rows.extend(weights(p, sizes, SIDES * weight_scatter(p.s, handed)));
    }
    rows.push(density(p.s));
    if let Some(sizes) = &p.after.sizes {
        rows.extend(sizes.dimensions.iter().map(|d| {
            let (least, most) = (d.nominal_mm - d.tolerance_mm, d.nominal_mm + d.tolerance_mm);
            Row::told(
                &format!("after sintering: {}", d.name),
                format!("{} mm", number(d.nominal_mm, 6)),
                format!("{} to {} mm", number(least, 6), number(most, 6)),
            )
        }));
    }
    let notes = vec![
        "Weigh the parts of one shot without sprue and runners. A green weight outside its limits shows before the furnace that the size will be wrong.".to_owned(),
        "Look at each part after each step: short corners, flash, sinks, weld lines and cracks on ejection; blisters and cracks after debinding; distortion after sintering. A part that is cracked stops here.".to_owned(),
        "Limits of the weights after moulding and sintering, and of the sintered density, are three standard deviations; those of the granules are ± 0.2 % (judgement); those of a size are its tolerance. Measure density after ISO 3369.".to_owned(),
    ];
    SheetPart::new("7 Weigh and measure", ["After each step", "Expected", "Limits"], rows, notes)
}

fn weights(p: &Parts<'_>, sizes: &gatefrost_after::plan::SizePlan, share: f64) -> Vec<Row> {
    let w = sizes.weights;
    let grams = |grams: f64| format!("{} g", number(grams, 5));
    let mut rows = vec![Row::told(
        "after moulding: weight of one shot’s parts",
        grams(w.green_g),
        between(w.green_g, share, "g"),
    )];
    let mut left = w.green_g;
    for step in &p.after.steps {
        left -= w.green_g * step.mass_loss_percent / 100.0;
        let least = 0.95 * step.mass_loss_percent;
        rows.push(Row::told(
            &format!("after the {}: weight of one shot’s parts", step.name),
            grams(left),
            format!("at least {} of the green mass lost (judgement: 95 % of it)", with(least, "%")),
        ));
    }
    rows.push(Row::told(
        "after sintering: weight of one shot’s parts",
        grams(w.sintered_g),
        between(w.sintered_g, share, "g"),
    ));
    rows
}

fn density(s: &Scenario) -> Row {
    let solid = s.feedstock.powder_density / 1e3;
    let relative = crate::route::sintered(s);
    let side = SIDES * s.sizes.density_scatter / 100.0;
    Row::told(
        "after sintering: density",
        format!("{} g/cm³", number(relative * solid, 4)),
        format!(
            "{} to {} g/cm³",
            number((relative - side) * solid, 4),
            number((relative + side).min(1.0) * solid, 4)
        ),
    )
}

pub(super) fn cautions() -> SheetPart {
    let notes = [
        "Melt in nozzle and mould is hot and under high pressure, also when the machine stands still. It can spray and burn. Guards stay shut; nobody reaches into a mould that can move.",
        "A binder that is too hot, or too long in the barrel, gives off gas: it can spray from the nozzle. Polyacetal gives off formaldehyde. Purge into a safe place, with ventilation.",
        "Fine powder harms the lungs, and the dust of many metals burns or explodes. Dust with nickel, cobalt or chromium can cause cancer and allergies. Keep it from ignition and out of the air you breathe.",
        "Solvent vapour burns, explodes and harms. Acid vapour burns skin and lungs, and a catalytic oven gives off formaldehyde. They need closed equipment, ventilation and an afterburner.",
        "Furnace gases burn, poison or suffocate; hydrogen explodes with air. Parts and furnaces stay hot for hours.",
        "This sheet holds a model of a part that has not been made. It is no design approval, no machine setting and no furnace recipe. Local codes, the suppliers’ data sheets and licensed practice come first.",
    ];
    SheetPart::new("Cautions", ["", "", ""], Vec::new(), notes.map(str::to_owned).to_vec())
}
