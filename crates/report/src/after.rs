//! The size of the cavity against that of the sintered part, or why there is none.

use super::{AfterReport, PartSize};
use gatefrost_core::dimensions;
use gatefrost_core::format::number;
use gatefrost_core::limits::Margin;
use gatefrost_core::pack::Hold;
use gatefrost_core::scenario::Scenario;
use gatefrost_core::stages::Point;

pub(super) fn after(s: &Scenario, point: &Point<'_>, margins: &[Margin]) -> AfterReport {
    let cavity = &point.case.cavity;
    let in_furnace = dimensions::green_over_final(&s.feedstock);
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
    let parts = dimensions::parts(cavity);
    let in_mould = |passages: &[usize]| {
        dimensions::cavity_over_green(dimensions::filled_when_cold(cavity, hold, passages))
    };
    let all = in_mould(&parts.concat());
    report.cavity_filled_percent = Some(100.0 * all.powi(-3));
    report.moulding_shrinkage_percent = Some(100.0 * (1.0 - 1.0 / all));
    let Some(in_furnace) = in_furnace else {
        report.no_size = Some("The feedstock holds no powder: nothing is left to sinter.".to_owned());
        return report;
    };
    report.oversize_factor = Some(all * in_furnace);
    if parts.len() > 1 {
        let of = |passages: &Vec<usize>| PartSize {
            name: cavity.passages[passages[0]].name.clone(),
            oversize_factor: in_mould(passages) * in_furnace,
        };
        report.parts = parts.iter().map(of).collect();
    }
    let missed = margins.iter().filter(|m| m.g < 0.0 && !m.ignored);
    report.limits_not_met = missed.map(|m| m.label.clone()).collect();
    report
}

/// The hold, where it says what the parts weigh; otherwise why it does not.
fn sized<'a>(point: &'a Point<'_>) -> Result<&'a Hold, String> {
    let held = point.case.hold.time();
    let hold = point.hold.as_ref().ok_or("The part is short.")?;
    match hold.gate_freeze() {
        None => Err(
            "A gate does not freeze at this mould temperature: the hold does not say how much is left in the part."
                .to_owned(),
        ),
        Some(freeze) if freeze > held => Err(format!(
            "The hold ends after {} s, before the last gate freezes at {} s: melt flows back, and the hold does not say how much is left in the part.",
            number(held, 3),
            number(freeze, 3)
        )),
        Some(_) => Ok(hold),
    }
}
