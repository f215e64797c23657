//! Remarks on the validity of a report.

use super::after::flows_back;
use gatefrost_core::cavity::Kind;
use gatefrost_core::feedstock::ZERO_CELSIUS;
use gatefrost_core::format::number;
use gatefrost_core::limits::Limit;
use gatefrost_core::pack::Hold;
use gatefrost_core::scenario::{Feedstock, Scenario};
use gatefrost_core::stages::Point;

/// Whether the work of a fill or of the hold passed its bound.
pub(super) fn is_rough(point: &Point<'_>) -> bool {
    point.fill.rough || point.hold.as_ref().is_some_and(|hold| hold.effort.is_rough())
}

/// Remarks in sentences, the most serious first.
pub(super) fn remarks(s: &Scenario, point: &Point<'_>) -> Vec<String> {
    let mut out = filling(s, point);
    if is_rough(point) {
        out.push("The computation reached its limit of work before it converged. Take its numbers as an order of magnitude.".to_owned());
    }
    out.extend(point.hold.iter().flat_map(|hold| holding(point, hold)));
    for p in &point.case.cavity.passages {
        let narrow = (0..2).any(|end| p.kind == Kind::Flat && p.width[end] < 4.0 * p.half_gap[end]);
        let walled = p.strip && s.model.side_walls;
        if narrow && !walled {
            out.push(format!(
                "{} is less than twice as wide as thick. It is computed as a wide gap: the friction and the cooling at its edges are left out.",
                p.name
            ));
        }
    }
    for p in &point.case.cavity.passages {
        let Some(stated) = p.stated_area else { continue };
        let most = p.greatest_shadow();
        if stated > 1.001 * most {
            out.push(format!(
                "The projected area stated for {}, {} cm², is more than a passage of its sizes can have, {} cm².",
                p.name,
                number(1e4 * stated, 4),
                number(1e4 * most, 4)
            ));
        }
    }
    out.extend(closed_forms(s));
    let f = &s.feedstock;
    out.extend(f.family.iter().flat_map(|family| family.unusual(s)));
    out.extend(melts_colder_than_it_sets(f));
    if f.critical_loading - f.solids_loading < 2.0 {
        out.push(format!(
            "The loading is only {} vol% below the critical loading. Common practice is 2 to 5 vol%.",
            number(f.critical_loading - f.solids_loading, 2)
        ));
    }
    if f.melted_temperature.is_none() {
        out.push(format!(
            "It is not stated at what temperature all of the binder has melted. The limit “{}” takes the highest liquidus of its peaks, {} °C: a backbone that melts above it is missed.",
            Limit::Melted.label(),
            number(point.case.material.melted - ZERO_CELSIUS, 4)
        ));
    }
    if f.particle_size > 20.0 {
        out.push(format!(
            "The powder is coarser ({} µm) than the 20 µm or less of common practice.",
            number(f.particle_size, 3)
        ));
    }
    if f.slip_velocity > 0.0 {
        let share = point.fill.end.slip.iter().copied().fold(0.0, f64::max);
        out.push(format!(
            "The melt slips along the wall: where it slips most, {} % of the flow is slip. The slip was measured in a hot capillary; in a cold mould, where it is taken to fall as the flow does, it is an estimate.",
            number(100.0 * share, 2)
        ));
    }
    if f.provenance.contains("illustrative") {
        out.push(
            "The flow constants are illustrative. Measure your own feedstock before you cut a tool."
                .to_owned(),
        );
    }
    if f.conductivity_factor == 1.0 && f.powder_conductivity > 20.0 * f.binder_conductivity {
        out.push("The conductivity of the mixture is estimated. For conductive powders the rules differ by a factor of two to three, and so do freezing and cooling times.".to_owned());
    }
    out
}

/// Where the closed forms of freezing and cooling have no value.
fn closed_forms(s: &Scenario) -> impl Iterator<Item = String> + '_ {
    let wall = s.setup.mould_temperature;
    let forms = [
        ("freezing", "no-flow", s.feedstock.no_flow_temperature),
        ("cooling", "ejection", s.feedstock.ejection_temperature),
    ];
    forms.into_iter().filter(move |(_, _, target)| wall >= *target).map(move |(time, name, target)| {
        format!(
            "The closed form of the {time} time has no value: the mould, {} °C, is not colder than the {name} temperature, {} °C.",
            number(wall, 4),
            number(target, 4)
        )
    })
}

/// Remark on a fill that did not run at the set rate.
fn filling(s: &Scenario, point: &Point<'_>) -> Vec<String> {
    let fill = &point.fill;
    let [machine, hold] = fill.ran_out;
    let mut out = Vec::new();
    let (set, most) = (point.case.drive.greatest_rate(), point.case.machine.max_rate);
    if set > most {
        out.push(format!(
            "The injection time asks for {} cm³/s, but this machine injects at most {} cm³/s. All results belong to a fill that this machine cannot do; it takes {} s at least.",
            number(1e6 * set, 3),
            number(1e6 * most, 3),
            number(s.setup.injection_time * set / most, 3)
        ));
    }
    if !fill.full {
        let percent = number(100.0 * fill.end.volume() / point.case.cavity.volume, 3);
        // The pressure under which the front stalls.
        let cause = if hold { "hold pressure" } else { "machine's pressure" };
        out.push(format!(
            "Short shot: under the {cause} the front stalls with {percent} % of the volume filled. No part is moulded, so hold, mass, gate freeze and cycle are not reported."
        ));
    } else if machine || hold {
        let cause = if machine {
            "The machine reaches its greatest pressure"
        } else {
            "The hold pressure fills the rest slowly"
        };
        out.push(format!(
            "{cause}: the cavity fills in {} s instead of {} s.",
            number(fill.end.time, 3),
            number(s.setup.injection_time, 3)
        ));
    }
    if machine {
        let of = if set > most {
            "The machine's pressure is a limit of this fill, too."
        } else {
            "All results belong to the fill that the machine's pressure allows."
        };
        out.push(format!(
            "{of} Only the pressure that filling at the set rate needs is computed without a limit."
        ));
    }
    out
}

/// Remarks on the hold.
fn holding(point: &Point<'_>, hold: &Hold) -> Vec<String> {
    let held = point.case.hold.held();
    let mut out = Vec::new();
    match hold.gate_freeze() {
        Some(freeze) if held < freeze => {
            let then = if flows_back(hold, held) {
                "Melt flows back out of the cavity"
            } else {
                "No melt flows back, because another section has closed the path before"
            };
            let [held, freeze] = [held, freeze].map(|time| number(time, 3));
            out.push(format!(
                "The hold ends after {held} s, before the last gate freezes at {freeze} s. {then}."
            ));
        }
        Some(_) => {}
        None => out.push(unfrozen(point)),
    }
    if hold.gate_freeze().is_some() && hold.sink.shrinkage < 0.0 {
        out.push(
            "More is packed into the cavity than the cold part needs. The part presses on the wall and may stick."
                .to_owned(),
        );
    }
    out
}

/// A binder that would melt colder than it sets: what melts at a temperature on heating sets there or below on cooling.
/// Documents may say so, because links that were released do.
fn melts_colder_than_it_sets(f: &Feedstock) -> Option<String> {
    let melted = f.melted_temperature.filter(|melted| *melted < f.no_flow_temperature)?;
    Some(format!(
        "The melted temperature, {} °C, lies below the no-flow temperature, {} °C. A binder melts hotter than it sets on cooling: one of the two is not that of the backbone, and the limit “{}” cannot be relied on.",
        number(melted, 4),
        number(f.no_flow_temperature, 4),
        Limit::Melted.label()
    ))
}

/// Remark on a gate that never freezes. The no-flow transition ends some kelvins below the no-flow temperature.
fn unfrozen(point: &Point<'_>) -> String {
    let below = point.case.material.no_flow - point.case.drive.wall;
    let near = if below > 0.0 {
        format!(
            ": {} K below the no-flow temperature it keeps more than a thousandth of its fluidity",
            number(below, 2)
        )
    } else {
        String::new()
    };
    format!(
        "A gate does not freeze at this mould temperature{near}. The melt flows back when the hold ends, and the part is not packed."
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_core::case::Case;
    use gatefrost_core::scenario::demo;

    /// The melted temperature decides whether a set point may be used at all: where it is only taken from the wax's peak,
    /// it is said.
    #[test]
    fn a_melted_temperature_that_is_not_stated_is_remarked() {
        let said = |s: &Scenario| {
            let all = remarks(s, &Case::resolve(s).evaluate());
            all.into_iter().find(|remark| remark.contains("has melted"))
        };
        let mut s = demo::default_demo().scenario();
        assert_eq!(s.feedstock.melted_temperature, None);
        let remark = said(&s).expect("a remark");
        let liquidus = format!("{} °C", s.feedstock.liquidus);
        assert!(remark.contains("“unmelted” takes") && remark.contains(&liquidus), "{remark}");
        s.feedstock.melted_temperature = Some(150.0);
        assert_eq!(said(&s), None);
    }

    /// A few kelvins below the no-flow temperature a gate keeps enough of its fluidity to let melt through.
    #[test]
    fn a_gate_near_its_no_flow_temperature_is_said_not_to_freeze_and_why() {
        let mut s = demo::find("eyelet").expect("a demo").scenario();
        let said = |s: &Scenario| {
            let all = remarks(s, &Case::resolve(s).evaluate());
            all.into_iter().find(|remark| remark.contains("does not freeze"))
        };
        assert_eq!(said(&s), None);
        s.setup.mould_temperature = s.feedstock.no_flow_temperature - 1.0;
        let near = said(&s).expect("a remark");
        assert!(near.contains("1 K below the no-flow temperature it keeps"), "{near}");
        s.setup.mould_temperature = s.feedstock.no_flow_temperature + 1.0;
        assert!(!said(&s).expect("a remark").contains("below"));
    }

    #[test]
    fn a_binder_that_melts_colder_than_it_sets_is_remarked() {
        let said = |melted: Option<f64>, no_flow: f64| {
            let mut s = demo::find("hasp").expect("a demo").scenario();
            (s.feedstock.melted_temperature, s.feedstock.no_flow_temperature) = (melted, no_flow);
            let all = remarks(&s, &Case::resolve(&s).evaluate());
            all.into_iter().find(|remark| remark.contains("lies below the no-flow temperature"))
        };
        assert!(said(Some(80.0), 95.0).expect("a remark").contains("80 °C"));
        assert!(said(Some(150.0), 160.0).is_some());
        assert_eq!((said(Some(163.0), 105.0), said(None, 105.0)), (None, None));
    }

    #[test]
    fn rough_numbers_are_said_to_be_rough() {
        let s = demo::default_demo().scenario();
        let case = Case::resolve(&s);
        let mut point = case.evaluate();
        let said = |point: &Point<'_>| remarks(&s, point).iter().any(|r| r.contains("order of magnitude"));
        assert!(!is_rough(&point) && !said(&point));
        point.fill.rough = true;
        assert!(is_rough(&point) && said(&point));
        point.fill.rough = false;
        point.hold.as_mut().expect("the demo is full").effort.solutions = u32::MAX;
        assert!(is_rough(&point) && said(&point));
    }
}
