//! Working backwards: each answer is a boundary of what every limit allows.

use gatefrost_core::case::Case;
use gatefrost_core::limits::{self, Limit};
use gatefrost_core::scenario::{Axis, Role, Scenario, demo};
use gatefrost_safety::{Answers, Best, answers, best, present};

/// Labels of the limits that apply and are not met.
fn broken(s: &Scenario) -> Vec<&'static str> {
    s.validate().expect("valid");
    let margins = limits::margins(&Case::resolve(s).evaluate());
    let all = Limit::ALL.into_iter().zip(margins);
    all.filter(|(limit, g)| *g < 0.0 && !s.ignored.contains(limit)).map(|(limit, _)| limit.label()).collect()
}

fn with_loading(s: &Scenario, loading: f64) -> Scenario {
    let mut s = s.clone();
    s.set(Axis::SolidsLoading, loading);
    s
}

fn with_cavities(s: &Scenario, times: u32) -> Scenario {
    let mut s = s.clone();
    s.cavity.passages.iter_mut().filter(|p| p.role != Role::Sprue).for_each(|p| p.copies *= times);
    s.mould.water_flow *= f64::from(times);
    s.mould.vent_width *= f64::from(times);
    s
}

/// Scenarios that bind different limits: demos as they are, binder that burns early, a front that must stay warm, weld
/// lines that no loading mends, a machine that is too small.
fn cases() -> Vec<(String, Scenario)> {
    let mut cases: Vec<(String, Scenario)> = ["hinge", "guide", "pawl"]
        .map(|name| (name.to_owned(), demo::find(name).expect("is a demo").scenario()))
        .into();
    let mut changed = |name: &str, words: &str, change: fn(&mut Scenario)| {
        let mut s = demo::find(name).expect("is a demo").scenario();
        change(&mut s);
        cases.push((format!("{name}, {words}"), s));
    };
    changed("hinge", "burns early", |s| s.limits.binder_loss = 0.3);
    changed("yoke", "cold welds", |s| s.limits.weld_reserve = 150.0);
    changed("sleeve", "warm front", |s| s.limits.cold_front_reserve += 20.0);
    changed("guide", "too small a machine", |s| s.machine.shot_volume = 0.9 * s.cavity.volume());
    cases.iter_mut().for_each(|(_, s)| s.model = s.model.at_most(14, 8));
    cases
}

/// Each answer meets every limit that applies, but those that it names as left out; one step further the limit that
/// it names is broken.
#[test]
fn every_answer_meets_every_limit() {
    let (mut loadings, mut gates) = (0, 0);
    for (name, s) in cases() {
        let found = answers(&s).expect("valid");
        assert_loading(&name, &s, &found);
        assert_cavities(&name, &s, &found);
        assert_gate(&name, &s, &found);
        loadings += usize::from(found.highest_loading_percent.is_some());
        gates += usize::from(!found.smallest_gate_stopped_by.is_empty() && found.smallest_gate_mm.is_some());
    }
    assert!(loadings >= 5 && gates >= 3, "{loadings} loadings, {gates} gates");
}

/// What is left out no loading meets. With a fiftieth of a per cent more powder the limit that is named is broken.
fn assert_loading(name: &str, s: &Scenario, found: &Answers) {
    let (left_out, stop) = (&found.highest_loading_leaves_out, &*found.highest_loading_stopped_by);
    for part in if left_out.is_empty() { 0..0 } else { 0..21 } {
        let missed = broken(&with_loading(s, s.feedstock.solids_loading * (0.5 + 0.025 * f64::from(part))));
        assert!(left_out.iter().all(|l| missed.contains(&&**l)), "{name}: {missed:?} {found:?}");
    }
    let Some(loading) = found.highest_loading_percent else {
        return assert!(!stop.is_empty(), "{name}: {found:?}");
    };
    let missed = broken(&with_loading(s, loading));
    assert!(missed.iter().all(|l| left_out.contains(&(*l).into())), "{name}: {missed:?} {found:?}");
    let missed = broken(&with_loading(s, loading + 0.02));
    assert!(missed.contains(&stop) && !left_out.contains(&stop.into()), "{name}: {missed:?} {found:?}");
}

/// What is left out the present cavities do not meet. With one multiple more the limit that is named is broken.
fn assert_cavities(name: &str, s: &Scenario, found: &Answers) {
    let (times, left_out) = (found.most_cavities, &found.most_cavities_leaves_out);
    let here = broken(s);
    assert!(left_out.iter().all(|l| here.contains(&&**l)), "{name}: {here:?} {found:?}");
    if times > 0 {
        let missed = broken(&with_cavities(s, times));
        assert!(missed.iter().all(|l| left_out.contains(&(*l).into())), "{name}: {missed:?} {found:?}");
    }
    let more = with_cavities(s, times + 1);
    let stop = &*found.most_cavities_stopped_by;
    if stop.is_empty() {
        assert!(more.validate().is_err(), "{name}: {found:?}");
    } else {
        assert!(broken(&more).contains(&stop), "{name}: {:?} {found:?}", broken(&more));
    }
}

/// The set point that is named meets every limit and bears three standard deviations; with a gate a step smaller it
/// does not, and the limit that is named fails first.
fn assert_gate(name: &str, s: &Scenario, found: &Answers) {
    let Some(gate) = found.smallest_gate_mm else { return };
    let mut there = s.clone();
    there.set(Axis::GateDepth, gate);
    there.set_all(&found.smallest_gate_settings);
    assert_eq!(broken(&there), Vec::<&str>::new(), "{name}: {found:?}");
    let bears = present(&there).expect("valid").bears();
    assert!(bears >= 3.0 * 0.98, "{name}: {bears} {found:?}");
    if found.gate_may_be_smaller {
        return assert!(found.smallest_gate_stopped_by.is_empty(), "{name}: {found:?}");
    }
    there.set(Axis::GateDepth, gate / 1.025);
    let tried = present(&there).expect("valid");
    let smaller = Best::of(&there, tried.clone(), tried);
    assert!(smaller.present_bears < 3.0, "{name}: {} {found:?}", smaller.present_bears);
    assert_eq!(smaller.present_failing[0].label, found.smallest_gate_stopped_by, "{name}");
}

/// The smallest gate bears what was asked, with the set point that is named; from a present depth
/// that is near or far it is the same, or, where it is the smallest that was tried, said to be so.
#[test]
fn the_smallest_gate_is_the_same_from_any_depth() {
    // Its own model: margins of a coarse one jump from place to place.
    let mut s = demo::find("hinge").expect("is a demo").scenario();
    let mut found = Vec::new();
    for depth in [0.27, 0.4, 0.8] {
        s.set(Axis::GateDepth, depth);
        let answers = answers(&s).expect("valid");
        let gate = answers.smallest_gate_mm.expect("some gate does");
        if best(&s).expect("valid").bears >= 3.0 {
            assert!(gate <= depth, "{gate} is deeper than {depth}, which does");
        }
        let mut there = s.clone();
        there.set(Axis::GateDepth, gate);
        there.set_all(&answers.smallest_gate_settings);
        let bears = present(&there).expect("valid").bears();
        assert!(bears >= 3.0 * 0.98, "{gate} from {depth}: {bears}");
        found.push((gate, answers.gate_may_be_smaller));
    }
    let shown: Vec<f64> = found.iter().filter(|(_, smaller)| !smaller).map(|(gate, _)| *gate).collect();
    assert!(shown.len() >= 2, "{found:?}");
    assert!(shown.iter().all(|gate| (gate / shown[0] - 1.0).abs() < 0.08), "{found:?}");
    for (gate, _) in found.iter().filter(|(_, smaller)| *smaller) {
        assert!(*gate > 0.92 * shown[0], "{found:?}");
    }
}
