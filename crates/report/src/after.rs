//! What follows the mould, in the units of the trade.

use super::{AfterReport, PartSize};
use gatefrost_after::{Furnace, Green, Sizes, cavity_over_green, share_filled};
use gatefrost_core::format::number;
use gatefrost_core::limits::Margin;
use gatefrost_core::pack::Hold;
use gatefrost_core::scenario::Scenario;
use gatefrost_core::stages::Point;

pub(super) fn after(s: &Scenario, point: &Point<'_>, margins: &[Margin]) -> AfterReport {
    let cavity = &point.case.cavity;
    let furnace = Furnace::resolve(s);
    let in_furnace = furnace.green_over_final();
    let mut report = AfterReport {
        oversize_factor: None,
        oversize_by_loading_alone: in_furnace,
        cavity_filled_percent: None,
        moulding_shrinkage_percent: None,
        sintering_shrinkage_percent: in_furnace.map_or(100.0, |factor| 100.0 * (1.0 - 1.0 / factor)),
        parts: Vec::new(),
        no_size: None,
        limits_not_met: Vec::new(),
    };
    let hold = match sized(point) {
        Ok(hold) => hold,
        Err(reason) => return AfterReport { no_size: Some(reason), ..report },
    };
    let parts = cavity.parts();
    let filled = |passages: &[usize]| hold.filled_when_cold(cavity, passages);
    let green =
        Green { filled: filled(&parts.concat()), parts: parts.iter().map(|part| filled(part)).collect() };
    let sizes = Sizes::of(&green, &furnace);
    report.cavity_filled_percent = Some(100.0 * green.filled);
    report.moulding_shrinkage_percent = Some(100.0 * (1.0 - 1.0 / sizes.cavity_over_green));
    // A measured share of the cavity takes the place of the hold's, for each part in the same ratio.
    let measured = cavity_over_green(share_filled(s, green.filled) / green.filled);
    report.oversize_factor = sizes.cavity_over_final.map(|factor| factor * measured);
    if sizes.cavity_over_final.is_none() {
        report.no_size = Some("The feedstock holds no powder: nothing is left to sinter.".to_owned());
        return report;
    }
    if parts.len() > 1 {
        let of = |(passages, &oversize_factor): (&Vec<usize>, &f64)| PartSize {
            name: cavity.passages[passages[0]].name.clone(),
            oversize_factor: oversize_factor * measured,
        };
        report.parts = parts.iter().zip(&sizes.parts).map(of).collect();
    }
    let missed = margins.iter().filter(|m| m.g < 0.0 && !m.ignored);
    report.limits_not_met = missed.map(|m| m.label.clone()).collect();
    report
}

/// Melt flows back if a part loses at least this share of its mass. A smaller loss occurs where another section than a
/// gate has closed the path.
const FLOWS_BACK: f64 = 1e-5;

/// Whether melt flows back after the end of the hold \[s\].
pub(super) fn flows_back(hold: &Hold, held: f64) -> bool {
    hold.flows_back_after(held) > FLOWS_BACK
}

/// The hold, if the mass of the parts follows from it.
///
/// # Errors
/// A sentence with the reason: the part is short, a gate stays open, or the hold ends too soon.
fn sized<'a>(point: &'a Point<'_>) -> Result<&'a Hold, String> {
    let held = point.case.hold.held();
    let hold = point.hold.as_ref().ok_or("The cavity does not fill.")?;
    match hold.gate_freeze() {
        None => Err(
            "A gate does not freeze at this mould temperature. So the hold does not decide how much is left in the part."
                .to_owned(),
        ),
        Some(freeze) if freeze > held && flows_back(hold, held) => Err(format!(
            "The hold ends after {} s, before the last gate freezes at {} s. Melt flows back: {} % of the parts' mass. Such a part does not decide a size.",
            number(held, 3),
            number(freeze, 3),
            number(100.0 * hold.flows_back_after(held), 2)
        )),
        Some(_) => Ok(hold),
    }
}
