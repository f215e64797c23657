//! The size of the cavity against that of the sintered part, or why there is none.

use super::{AfterReport, PartSize};
use gatefrost_core::case::Point;
use gatefrost_core::dimensions;
use gatefrost_core::fill::Fill;
use gatefrost_core::format::number;
use gatefrost_core::limits::Margin;
use gatefrost_core::scenario::Scenario;

pub(super) fn after(
    s: &Scenario,
    point: &Point<'_>,
    actual: Option<&Fill<'_>>,
    margins: &[Margin],
) -> AfterReport {
    let (cavity, hold) = (&point.case.cavity, &point.hold);
    let in_furnace = dimensions::green_over_final(&s.feedstock);
    let mut report = AfterReport {
        oversize_factor: None,
        oversize_by_loading_alone: in_furnace,
        cavity_filled_percent: None,
        moulding_shrinkage_percent: None,
        sintering_shrinkage_percent: in_furnace.map_or(100.0, |factor| 100.0 * (1.0 - 1.0 / factor)),
        parts: Vec::new(),
        no_size: no_size(point, actual),
        limits_not_met: Vec::new(),
    };
    if report.no_size.is_some() {
        return report;
    }
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

/// Why the hold does not say what the parts weigh.
fn no_size(point: &Point<'_>, actual: Option<&Fill<'_>>) -> Option<String> {
    let held = point.case.hold.time();
    if actual.is_some_and(|fill| !fill.full) {
        return Some("The part is short.".to_owned());
    }
    match point.hold.gate_freeze() {
        None => Some(
            "A gate does not freeze at this mould temperature: the hold does not say how much is left in the part."
                .to_owned(),
        ),
        Some(freeze) if freeze > held => Some(format!(
            "The hold ends after {} s, before the last gate freezes at {} s: melt flows back, and the hold does not say how much is left in the part.",
            number(held, 3),
            number(freeze, 3)
        )),
        Some(_) => None,
    }
}
