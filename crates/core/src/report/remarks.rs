//! What a reader should know about the validity of a report.

use crate::case::Point;
use crate::fill::Fill;
use crate::format::number;
use crate::scenario::{ConductivityRule, Scenario};

/// Remarks in sentences, the gravest first.
pub(super) fn remarks(s: &Scenario, point: &Point<'_>, actual: Option<&Fill<'_>>) -> Vec<String> {
    let mut out = Vec::new();
    if let Some(fill) = actual {
        let percent = number(100.0 * fill.end.volume() / point.case.cavity.volume, 3);
        out.push(if fill.full {
            format!(
                "The machine's pressure runs out: the cavity fills in {} s instead of {} s.",
                number(fill.end.time, 3),
                number(s.setup.injection_time, 3)
            )
        } else {
            format!("Short shot: the front stalls with {percent} % of the volume filled. Hold and cooling are shown as if it had filled.")
        });
    }
    let volume = point.case.cavity.volume * 1e6;
    if volume > s.machine.shot_volume {
        out.push(format!(
            "The path holds {} cm³; the machine's greatest shot is {} cm³.",
            number(volume, 3),
            number(s.machine.shot_volume, 3)
        ));
    }
    if let Some(freeze) = point.hold.gate_freeze
        && s.setup.hold_time < freeze
    {
        out.push(format!(
            "The hold ends after {} s, before the gate freezes at {} s: melt flows back out of the cavity.",
            number(s.setup.hold_time, 3),
            number(freeze, 3)
        ));
    }
    if point.hold.gate_freeze.is_none() {
        out.push("The gate does not freeze at this mould temperature.".to_owned());
    }
    let f = &s.feedstock;
    if f.critical_loading - f.solids_loading < 2.0 {
        out.push(format!(
            "The loading is within {} vol% of critical; common practice keeps 2 to 5 vol% clear.",
            number(f.critical_loading - f.solids_loading, 2)
        ));
    }
    if f.particle_size > 20.0 {
        out.push(format!(
            "The powder is coarser ({} µm) than the 20 µm or less of common practice.",
            number(f.particle_size, 3)
        ));
    }
    if f.provenance.contains("illustrative") {
        out.push(
            "The rheology constants are illustrative: measure your own feedstock before you cut a tool."
                .to_owned(),
        );
    }
    if f.conductivity_rule == ConductivityRule::MaxwellEucken
        && f.powder_conductivity > 20.0 * f.binder_conductivity
    {
        out.push("The mixture's conductivity is estimated; for conductive powders the rules differ by a factor of two to three, and freezing and cooling times with them.".to_owned());
    }
    out
}
