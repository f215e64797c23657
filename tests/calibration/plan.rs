//! The next shots: whether they narrow what they promise, and where they lie.

use crate::simulated::{bar, shots};
use gatefrost_calibration::prior::{Prior, Shots};
use gatefrost_calibration::search::slopes;
use gatefrost_calibration::solve::Model;
use gatefrost_calibration::{Read, calibrate, plan};
use gatefrost_core::scenario::{Scenario, Shot};

/// Standard error of the logarithm of the mass at the set point, as far as the feedstock decides it: f_m is none of the part's.
fn error_of_mass(s: &Scenario, set: &Shot) -> f64 {
    let prior = Prior::of(s, std::slice::from_ref(set));
    let asked = vec![(set.clone(), vec![Read::PartMass])];
    let row = &slopes(&Shots { prior: &prior, asked }, &vec![0.0; prior.names.len()])[0];
    let scale = prior.doubts.numbers.iter().position(|d| d.path == "trials.mass_scale").expect("added");
    row.iter().zip(&prior.factor[scale]).map(|(whole, scale)| (whole - scale).powi(2)).sum::<f64>().sqrt()
}

/// A scenario calibrated on shots as the model computes them, without scatter.
fn made(s: &Scenario, mut shots: Vec<Shot>) -> Scenario {
    let prior = Prior::of(s, &shots);
    let asked = shots.iter().map(|shot| (shot.clone(), vec![Read::PeakPressure, Read::PartMass])).collect();
    let values = Shots { prior: &prior, asked }.predict(&vec![0.0; prior.names.len()], false);
    for (shot, pair) in shots.iter_mut().zip(values.chunks(2)) {
        shot.peak_pressure = Some(Read::PeakPressure.value(pair[0]));
        shot.part_mass = Some(Read::PartMass.value(pair[1]));
    }
    let with = Scenario { shots, ..s.clone() };
    calibrate(&with, "", &mut |_| true).expect("a calibration").scenario
}

/// Three planned shots narrow the mass at the set point as far as promised, within a factor of 1.5, and further than three
/// shots at the set point.
#[test]
fn a_plan_from_nothing_narrows_what_it_promises() {
    let s = bar();
    let p = plan(&s, 3, true).expect("a plan");
    assert_eq!(p.shots.len(), 3);
    assert!(p.shots.windows(2).all(|w| w[1].left <= w[0].left), "{:?}", p.shots);
    for planned in &p.shots {
        for (_, band) in &planned.expected {
            assert!(band.low <= band.value && band.value <= band.high && band.value.is_finite());
        }
        assert!(planned.shot.hold_pressure <= s.machine.max_pressure);
    }
    let set = Shot { hold_time: s.setup.hold_time, ..shots()[4].clone() };
    let before = error_of_mass(&s, &set);
    let left = |chosen: Vec<Shot>| error_of_mass(&made(&s, chosen), &set) / before;
    let of_plan = left(p.shots.iter().map(|p| p.shot.clone()).collect());
    let of_same = left(vec![set.clone(); 3]);
    let promised = p.shots[2].left;
    assert!((of_plan / promised).ln().abs() < 1.5_f64.ln(), "{of_plan} for {promised}");
    assert!(of_plan < of_same, "{of_plan} for {of_same}");
}

/// Shots for the limits lie inside the machine, and say what they narrow.
#[test]
fn the_next_shot_narrows_the_limits_near_the_set_point() {
    let s = bar();
    let p = plan(&s, 1, false).expect("a plan");
    assert_eq!(p.shots.len(), 1);
    assert!(p.shots[0].left < 1.0 && p.narrows.starts_with("the limits near the set point"), "{p:?}");
}
