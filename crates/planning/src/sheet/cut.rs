//! Sizes to cut, and the sizes of the cavity that was computed.

use super::{Parts, SheetPart};
use crate::told::Row;
use gatefrost_after::plan::DimensionPlan;
use gatefrost_scenario::format::number;
use gatefrost_scenario::scenario::{Form, Passage, Role};

/// Steps of a size that a toolmaker can cut \[mm\].
const MICROMETRE: f64 = 1e-3;

/// A size in mm to the micrometre.
fn to_micrometre(mm: f64) -> String {
    number((mm / MICROMETRE).round() * MICROMETRE, 7)
}

pub(super) fn sizes(p: &Parts<'_>) -> SheetPart {
    let heads = ["Dimension", "Cavity, cold steel", "Green, sintered"];
    let Some(sizes) = &p.after.sizes else {
        let notes = vec!["No size follows: the mould does not hand on a part of a known size.".to_owned()];
        return SheetPart::new("6 Sizes to cut", heads, Vec::new(), notes);
    };
    let row = |d: &DimensionPlan| {
        Row::judged(
            &d.name,
            format!("{} mm{}", to_micrometre(d.cavity_mm), if d.cut { " (cut)" } else { "" }),
            format!(
                "green {} mm; sintered {} ± {} mm, Cpk {}",
                number(d.green_mm, 5),
                number(d.nominal_mm, 5),
                number(d.tolerance_mm, 3),
                number(d.cpk, 3)
            ),
            d.capable,
        )
    };
    let mut rows: Vec<Row> = sizes.dimensions.iter().map(row).collect();
    let parts = p.s.cavity.passages.iter().filter(|passage| passage.role == Role::Part);
    rows.extend(parts.map(|passage| computed(passage, sizes.oversize_factor)));
    let notes = vec![
        format!("Cavity over sintered part: {}, for this set point, this loading and this density. Sizes at 23 °C.", number(sizes.oversize_factor, 6)),
        "“As computed” is the cavity for which every weight, time, pressure and force of this plan holds. Compare it with the sizes to cut: if they differ, set the cavity under Moulding first.".to_owned(),
        "Leave steel where it can still be removed. Correct the mould after the first sintered parts are measured.".to_owned(),
    ];
    SheetPart::new("6 Sizes to cut", heads, rows, notes)
}

/// A passage of the part as it was computed, and what it sinters to.
fn computed(passage: &Passage, over_final: f64) -> Row {
    Row::told(
        &format!("as computed: {}", passage.name),
        format!("{} mm", extents(&passage.form, 1.0)),
        format!("sintered {} mm", extents(&passage.form, over_final)),
    )
}

/// Sizes of a passage over a factor: diameter, or thickness and width, by length; radii by thickness.
fn extents(form: &Form, over: f64) -> String {
    let mm = |size: f64| number(size / over, 3);
    let taper = |from: f64, to: Option<f64>| match to {
        Some(to) => format!("{}–{}", mm(from), mm(to)),
        None => mm(from),
    };
    match form {
        Form::Tube(t) => format!("⌀ {} × {}", taper(t.diameter, t.diameter_end), mm(t.length)),
        Form::Strip(t) => format!(
            "{} × {} × {}",
            taper(t.thickness, t.thickness_end),
            taper(t.width, t.width_end),
            mm(t.length)
        ),
        Form::Disc(t) => format!(
            "R {}–{} × {}",
            mm(t.inner_radius),
            mm(t.outer_radius),
            taper(t.thickness, t.thickness_end)
        ),
    }
}
