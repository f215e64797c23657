//! The next shots: whether they narrow what they promise, and where they lie.

use crate::simulated::{bar, shots};
use gatefrost_calibration::prior::{Prior, Shots};
use gatefrost_calibration::solve::Model;
use gatefrost_calibration::{Read, calibrate, plan, predict};
use gatefrost_core::scenario::Shot;

/// Three planned shots, computed without noise, narrow the mass at the set point at least as far as promised within a factor of
/// 1.5, and further than three shots at the set point.
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
    let width = |chosen: Vec<Shot>| {
        let prior = Prior::of(&s, &chosen);
        let asked =
            chosen.iter().map(|shot| (shot.clone(), vec![Read::PeakPressure, Read::PartMass])).collect();
        let values = Shots { prior: &prior, asked }.predict(&vec![0.0; prior.names.len()], false);
        let mut with = s.clone();
        with.shots = chosen;
        for (shot, pair) in with.shots.iter_mut().zip(values.chunks(2)) {
            shot.peak_pressure = Some(Read::PeakPressure.value(pair[0]));
            shot.part_mass = Some(Read::PartMass.value(pair[1]));
        }
        let c = calibrate(&with, "", &mut |_| true).expect("a calibration");
        // The mass at the set point, without the scale of the balance: f_m is none of the part's.
        let set = Shot { hold_time: s.setup.hold_time, ..shots()[4].clone() };
        let band = predict(&c.scenario, &[set]).expect("valid")[2].band;
        (band.high / band.low).ln()
    };
    let planned: Vec<Shot> = p.shots.iter().map(|p| p.shot.clone()).collect();
    let same = Shot { hold_time: s.setup.hold_time, ..shots()[4].clone() };
    let (of_plan, of_same) = (width(planned), width(vec![same; 3]));
    assert!(of_plan < 1.05 * of_same, "{of_plan} for {of_same}");
}

/// Shots for the limits lie inside the machine, and say what they narrow.
#[test]
fn the_next_shot_narrows_the_limits_near_the_set_point() {
    let s = bar();
    let p = plan(&s, 1, false).expect("a plan");
    assert_eq!(p.shots.len(), 1);
    assert!(p.shots[0].left < 1.0 && p.narrows.starts_with("the limits near the set point"), "{p:?}");
}
