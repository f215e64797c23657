//! Where the fronts of two arms meet that are fed through runners of unequal length: Newtonian,
//! isothermal, by hand.
//!
//! Pressure per flow and length is r = 8η/πR⁴ in a runner, ρ = 12η/wh³ in an arm. At one pressure at the
//! junction r dV-weighted lengths are the same in both branches: with a = πR² and A = wh the areas,
//! ∫(resistance so far) dV = a r z²/2 while a front is in its runner, a r ℓ²/2 + A(rℓs + ρs²/2) once it has
//! come s into its arm. The fronts have met when s₁ + s₂ is the length of both arms; s₁ may exceed its own.

use gatefrost_core::case::Case;
use gatefrost_core::fill;
use gatefrost_report::{WeldReport, evaluate};
use gatefrost_tests::build::{self, isothermal, merge, power_law};
use gatefrost_tests::numeric::off;
use serde_json::json;
use std::f64::consts::PI;

/// Runner radius, arm width, gap and length \[m\].
const R: f64 = 1.5e-3;
const ARM: [f64; 3] = [8e-3, 1.5e-3, 40e-3];
/// Time of the whole fill \[s\].
const TIME: f64 = 0.8;
const FEED: f64 = 4e-3;

fn scenario(lengths: [f64; 2], cells: usize) -> gatefrost_core::scenario::Scenario {
    let mut changes = isothermal();
    merge(
        &mut changes,
        &json!({
            "feedstock": { "flow_law": power_law(50.0, 1.0, 0.0) },
            "setup": { "injection_time": TIME },
            "model": { "axial_cells": cells }
        }),
    );
    let tube = |l: f64| json!({ "tube": { "length": l * 1e3, "diameter": 2e3 * R } });
    let arm =
        json!({ "strip": { "length": ARM[2] * 1e3, "width": ARM[0] * 1e3, "thickness": ARM[1] * 1e3 } });
    let passages = json!([
        { "name": "feed", "role": "runner", "form": tube(FEED) },
        { "name": "short runner", "role": "runner", "form": tube(lengths[0]) },
        { "name": "near arm", "role": "part", "form": arm },
        { "name": "long runner", "role": "runner", "after": "feed", "form": tube(lengths[1]) },
        { "name": "far arm", "role": "part", "meets": "near arm", "form": arm }
    ]);
    build::scenario(passages, &changes)
}

/// How far the first front has come into the arms when they meet \[m\].
fn by_hand([short, long]: [f64; 2]) -> f64 {
    let [w, h, length] = ARM;
    let (r, rho) = (8.0 / (PI * R.powi(4)), 12.0 / (w * h.powi(3)));
    let (a, arm) = (PI * R * R, w * h);
    // a r ℓ₁²/2 + A(rℓ₁s₁ + ρs₁²/2) = a r ℓ₂²/2 + A(rℓ₂s₂ + ρs₂²/2) with s₂ = 2L − s₁ is linear in s₁.
    let both = 2.0 * length;
    let right =
        0.5 * a * r * (long * long - short * short) + arm * (r * long * both + 0.5 * rho * both * both);
    right / arm / (r * short + r * long + rho * both)
}

fn weld(lengths: [f64; 2], cells: usize) -> WeldReport {
    let welds = evaluate(&scenario(lengths, cells)).expect("valid").fill.weld_lines;
    assert_eq!(welds.len(), 1);
    welds[0].clone()
}

/// Distance of the weld from the entry of the near arm, through it and back along the far one \[m\].
fn place(weld: &WeldReport) -> f64 {
    let from = weld.from_start_mm / 1e3;
    if weld.passage == "near arm" { from } else { 2.0 * ARM[2] - from }
}

#[test]
fn unequal_runners_move_the_weld_as_by_hand() {
    for lengths in [[10e-3, 12e-3], [10e-3, 30e-3], [5e-3, 60e-3]] {
        let exact = by_hand(lengths);
        assert!(exact > ARM[2] && exact < 2.0 * ARM[2]);
        let found = [40, 80, 160, 320].map(|cells| weld(lengths, cells));
        let errors = found.each_ref().map(|w| (place(w) - exact) / (2.0 * ARM[2]));
        eprintln!("{lengths:?}: {exact}: {errors:?}");
        assert!(found.iter().all(|w| w.passage == "far arm"), "the far arm's own front is late");
        assert!(errors[3].abs() < 4e-3, "{lengths:?}: {errors:?}");
        assert!(errors[3].abs() < 0.6 * errors[0].abs() + 1e-3, "{lengths:?}: {errors:?}");
        // The time is that at which the one front reaches the cell of the other: all is full then but for that
        // cell.
        let early = found.each_ref().map(|w| 1.0 - w.time_s / TIME);
        assert!(early.iter().all(|e| *e > -1e-9) && early[0] < 3e-2 && early[3] < 5e-3, "{early:?}");
    }
}

/// Equal runners: in the middle. Either branch may be the longer: the place is the mirror image.
#[test]
fn the_weld_is_symmetric() {
    let middle = place(&weld([20e-3, 20e-3], 80));
    assert!(off(middle, ARM[2]) < 1e-6, "{middle}");
    let there = place(&weld([10e-3, 30e-3], 120));
    let back = place(&weld([30e-3, 10e-3], 120));
    assert!(off(there + back, 2.0 * ARM[2]) < 1e-3, "{there} {back}");
}

/// Both fronts have come from the nozzle without losing heat; where walls are cold the later is colder.
#[test]
fn the_later_front_is_the_colder() {
    let case = Case::resolve(&scenario([10e-3, 30e-3], 80));
    let end = fill::unlimited(&case.material, &case.cavity, case.drive).end;
    assert!(end.welds.len() == 1 && end.welds[0].temperature.iter().all(|t| (t - 433.15).abs() < 1e-6));
    let mut cold = scenario([10e-3, 30e-3], 80);
    cold.setup.mould_temperature = 40.0;
    let weld = &evaluate(&cold).expect("valid").fill.weld_lines[0];
    let [first, second] = weld.front_temperatures_c;
    assert!(first < 160.0 && second < 160.0 && (first - second).abs() > 0.1, "{weld:?}");
}

/// A quick front that comes back through the end of another branch, of two cells, finds that branch's own front and a blind branch
/// beside it. While it fills up what the own front left empty, nothing pushes on the blind one; what comes in is what is
/// filled, and heat is neither made nor lost.
#[test]
fn a_front_that_comes_back_through_a_junction_keeps_its_volume() {
    let strip = |l: f64, h: f64| json!({ "strip": { "length": l, "width": 8, "thickness": h } });
    let passages = json!([
        { "name": "feed", "role": "runner", "form": { "tube": { "length": 5, "diameter": 4 } } },
        { "name": "slow", "role": "part", "form": strip(40.0, 0.6) },
        { "name": "quick", "role": "part", "after": "feed", "form": strip(10.0, 3.0) },
        { "name": "link", "role": "part", "after": "slow", "meets": "quick", "form": strip(5.0, 3.0) },
        { "name": "blind", "role": "part", "after": "slow", "form": strip(12.0, 2.0) }
    ]);
    let changes = json!({
        "feedstock": { "flow_law": power_law(50.0, 0.6, 20.0) },
        "setup": { "injection_time": TIME },
        "model": { "axial_cells": 4 }
    });
    let case = Case::resolve(&build::scenario(passages, &changes));
    let end = fill::unlimited(&case.material, &case.cavity, case.drive).end;
    let slow = case.cavity.ranges[1].end - 1;
    assert!(end.feeder[slow].is_some_and(|i| case.cavity.cells[i].passage == 3), "it does come back");
    let b = end.balance;
    assert!(end.is_full() && (b.delivered / case.cavity.volume - 1.0).abs() < 1e-9, "{}", b.delivered);
    let left = b.inflow + b.dissipated - b.lost - end.stored();
    assert!(left.abs() < 1e-9 * b.inflow, "{left} of {} J", b.inflow);
    let blind = case.cavity.ranges[4].clone();
    assert!(end.times[blind].iter().all(|t| t[1].is_finite()), "{:?}", end.times);
}
