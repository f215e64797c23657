//! Two unlike arms on one feed, isothermal power-law melt, against the solution by hand.
//!
//! In a strip of width w and gap h filled to a length s by a flow Q the pressure is
//! p = (2s/h) K [(2n+1)/(3n) 6Q/(wh²)]ⁿ. Both arms start at one pressure: s_a Q_aⁿ/(w_aⁿ h_a^(2n+1)) is the
//! same in both, with ds = Q dt/(wh). Integrated, s^(1/n+1)/h^(1/n+1) is the same in both: the arms fill in
//! the proportion of their gaps, whatever the exponent and the widths. The flow goes as w h s', so as w h².

use gatefrost_core::case::Case;
use gatefrost_core::fill::{self, Fill};
use gatefrost_tests::build::{self, isothermal, merge, power_law};
use gatefrost_tests::numeric::off;
use serde_json::json;

const K: f64 = 800.0;
/// Length, width and gap of feed, first arm and second arm \[m\].
const FEED: [f64; 3] = [5e-3, 10e-3, 4e-3];
const ARMS: [[f64; 3]; 2] = [[60e-3, 8e-3, 2e-3], [50e-3, 12e-3, 1.25e-3]];
/// Flow rate \[m³/s\].
const Q: f64 = 4e-6;

fn volume([l, w, h]: [f64; 3]) -> f64 {
    l * w * h
}

fn pressure(s: f64, q: f64, [_, w, h]: [f64; 3], n: f64) -> f64 {
    2.0 * s / h * K * ((2.0 * n + 1.0) / (3.0 * n) * 6.0 * q / (w * h * h)).powf(n)
}

fn case(n: f64, cells: usize) -> Case {
    let strip = |[l, w, h]: [f64; 3]| json!({ "strip": { "length": l * 1e3, "width": w * 1e3, "thickness": h * 1e3 } });
    let total: f64 = volume(FEED) + ARMS.map(volume).iter().sum::<f64>();
    let mut changes = isothermal();
    merge(
        &mut changes,
        &json!({
            "feedstock": { "flow_law": power_law(K, n, 0.0) },
            "setup": { "injection_time": total / Q },
            "model": { "axial_cells": cells, "layers": 40 }
        }),
    );
    let passages = json!([
        { "name": "feed", "role": "runner", "form": strip(FEED) },
        { "name": "first", "role": "part", "form": strip(ARMS[0]) },
        { "name": "second", "role": "part", "after": "feed", "form": strip(ARMS[1]) }
    ]);
    Case::resolve(&build::scenario(passages, &changes))
}

/// When the last cell of a passage was full \[s\].
fn filled(case: &Case, fill: &Fill<'_>, passage: usize) -> f64 {
    fill.end.times[case.cavity.ranges[passage].end - 1][1]
}

/// Shares of the flow, fill times, pressure before and after the first arm is full.
#[test]
fn unlike_arms_share_the_flow_as_by_hand() {
    for n in [0.3, 0.6, 1.0] {
        // The first arm has the wider gap: it is filled when the other has got as far as the gaps have it.
        let [a, b] = ARMS;
        let behind = a[0] * b[2] / a[2];
        assert!(behind < b[0], "the first arm has to fill first");
        let first_full = (volume(FEED) + volume(a) + behind * b[1] * b[2]) / Q;
        let share = 1.0 / (1.0 + b[1] * b[2] * b[2] / (a[1] * a[2] * a[2]));
        let feed = pressure(FEED[0], Q, FEED, n);
        let before = feed + pressure(a[0], share * Q, a, n);
        assert!(off(pressure(behind, (1.0 - share) * Q, b, n), pressure(a[0], share * Q, a, n)) < 1e-12);
        let after = feed + pressure(behind, Q, b, n);
        let at_end = feed + pressure(b[0], Q, b, n);
        let errors = [60, 120, 240].map(|cells| {
            let case = case(n, cells);
            let mut flows = [0.0; 2];
            let mut seen = Vec::new();
            let fill = fill::watched(&case.material, &case.cavity, case.drive, &mut |march, nozzle| {
                let full = march.share[case.cavity.ranges[1].end - 1] >= 1.0;
                if !full {
                    flows = [1, 2].map(|p| march.rate[case.cavity.ranges[p].start]);
                }
                seen.push((full, nozzle));
            });
            assert!(off(flows[0] + flows[1], Q) < 1e-9);
            // The nozzle just before and just after.
            let k = seen.iter().position(|(full, _)| *full).expect("the first arm fills");
            [
                flows[0] / Q / share - 1.0,
                filled(&case, &fill, 1) / first_full - 1.0,
                filled(&case, &fill, 2) * Q / case.cavity.volume - 1.0,
                seen[k - 1].1 / before - 1.0,
                seen[k].1 / after - 1.0,
                fill.peak / at_end - 1.0,
            ]
        });
        eprintln!("n {n}: {errors:?}");
        let [coarse, _, fine] = errors;
        // The last moment seen before is up to a cell early.
        for (i, allowed) in [5e-3, 5e-3, 1e-9, 1.2e-2, 1e-2, 1e-3].into_iter().enumerate() {
            assert!(fine[i].abs() < allowed, "n {n}, {i}: {errors:?}");
            assert!(i == 0 || fine[i].abs() < 0.5 * coarse[i].abs() + 1e-4, "n {n}, {i}: {errors:?}");
        }
    }
}

/// Where the first arm is full, the pressure steps up by (Q/Q_b)ⁿ in the arms: the whole flow goes into the
/// second.
#[test]
fn the_pressure_steps_when_an_arm_is_full() {
    let n = 0.5;
    let case = case(n, 160);
    let fill = fill::unlimited(&case.material, &case.cavity, case.drive);
    let full = filled(&case, &fill, 1);
    let k = fill.history.time.iter().position(|&t| t >= full * (1.0 - 1e-9)).expect("is met");
    let feed = pressure(FEED[0], Q, FEED, n);
    let step = (fill.history.nozzle[k] - feed) / (fill.history.nozzle[k - 1] - feed);
    let [a, b] = ARMS.map(|[_, w, h]| w * h * h);
    let exact = ((a + b) / b).powf(n);
    assert!(off(step, exact) < 2e-2, "{step} against {exact}");
    assert!(fill.history.nozzle[..k].windows(2).all(|p| p[1] > p[0] * (1.0 - 1e-3)), "no step before");
}
