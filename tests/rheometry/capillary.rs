//! Corrections of capillary readings.

use crate::made::{AnyFluid, PowerFluid, cross_rate, normal, spaced};
use gatefrost_core::scenario::{Scenario, demo};
use gatefrost_laboratory::rheometry::corrections::{Correction, CorrectionOutcome};
use gatefrost_laboratory::rheometry::{Readings, Reduction, WallFlow, read, reduce};
use gatefrost_report::evaluate;
use gatefrost_tests::random::Random;

/// Data of a published textbook exercise: polypropylene at 190 °C, D = 2 mm, three dies, three rates.
/// Its reduction by hand: end correction 4.00 mm; wall stress 83.5, 116.6, 163.0 kPa; n = 0.483; wall
/// rate 322.8, 645.6, 1291 1/s; viscosity 258.6, 180.7, 126.3 Pa·s.
const TEXTBOOK: &str = "\
# polypropylene
temperature [°C], die diameter [mm], die length [mm], flow rate [mm³/s], pressure [MPa]
190, 2, 5, 200, 1.502
190, 2, 5, 400, 2.100
190, 2, 5, 800, 2.935

190, 2, 10, 200, 2.337
190, 2, 10, 400, 3.266
190, 2, 10, 800, 4.565
190, 2, 20, 200, 4.006
190, 2, 20, 400, 5.599
190, 2, 20, 800, 7.826
";

fn close(found: f64, expected: f64, relative: f64) {
    assert!((found / expected - 1.0).abs() < relative, "{found} for {expected}");
}

fn note(reduction: &Reduction, correction: Correction, outcome: CorrectionOutcome) -> &str {
    let found = reduction.notes.iter().find(|n| n.correction == Some(correction) && n.outcome == outcome);
    found.map_or_else(|| panic!("no such note: {:#?}", reduction.notes), |note| note.text.as_str())
}

#[test]
fn the_textbook_exercise_reduces_to_its_solution() {
    let reduction = reduce(&read(TEXTBOOK).unwrap().readings);
    assert_eq!(reduction.points.len(), 3);
    let solution = [(83.5e3, 322.8, 258.6), (116.6e3, 645.6, 180.7), (163.0e3, 1291.0, 126.3)];
    for (point, (stress, rate, viscosity)) in reduction.points.iter().zip(solution) {
        close(point.stress, stress, 1e-3);
        close(point.shear_rate, rate, 1e-3);
        close(point.viscosity, viscosity, 1e-3);
    }
    for end in &reduction.ends {
        close(end.length, 4.0e-3, 4e-3);
        // The readings are on a straight line to their last digit.
        assert!(end.length_error.unwrap() < 0.02e-3, "{end:?}");
        assert_eq!(end.dies, 3);
    }
    for exponent in &reduction.exponents {
        close(exponent.n, 0.483, 2e-3);
    }
    // Lines count comments and blank lines: the longest die's readings stand on lines 10 to 12.
    assert_eq!(reduction.points.iter().map(|p| p.line).collect::<Vec<_>>(), [10, 11, 12]);
    assert!(note(&reduction, Correction::Slip, CorrectionOutcome::NotMade).contains("one die diameter"));
}

/// A fluid without slip, all dies at the same rates, 1 % scatter in pressure: the law comes back.
#[test]
fn ends_and_wall_rate_are_recovered_within_the_scatter() {
    let fluid = PowerFluid { k: 12e3, n: 0.45, slip: (0.0, 1.0), ends: 2.5 };
    let mut random = Random::new(5);
    let mut readings = Vec::new();
    for length in [5e-3, 10e-3, 20e-3, 30e-3] {
        for stress in spaced(4e4, 4e5, 9) {
            let mut reading = fluid.reading(160.0, 1e-3, length, stress, readings.len());
            reading.pressure *= 1.0 + 0.01 * normal(&mut random);
            readings.push(reading);
        }
    }
    let reduction = reduce(&Readings::Capillary(readings));
    assert_eq!(reduction.ends.len(), 9);
    let mut inside = 0;
    for end in &reduction.ends {
        inside += usize::from((end.length - 2.5e-3).abs() < 3.0 * end.length_error.unwrap());
        assert!((end.length - 2.5e-3).abs() < 1.2e-3, "{end:?}");
    }
    assert!(inside >= 7, "{inside} of 9 within three standard errors");
    for point in &reduction.points {
        close(point.viscosity, 12e3 * point.shear_rate.powf(0.45 - 1.0), 0.06);
    }
}

/// Dies run at rates of their own: pressures are interpolated to common rates.
#[test]
fn dies_run_at_different_rates_are_brought_together() {
    let fluid = PowerFluid { k: 12e3, n: 0.45, slip: (0.0, 1.0), ends: 2.0 };
    let mut readings = Vec::new();
    for (length, from) in [(10e-3, 4e4), (30e-3, 4.7e4)] {
        for stress in spaced(from, 10.0 * from, 8) {
            readings.push(fluid.reading(160.0, 1e-3, length, stress, readings.len()));
        }
    }
    let reduction = reduce(&Readings::Capillary(readings));
    // Lowest of the one and highest of the other have no partner.
    assert_eq!(reduction.ends.len(), 14);
    for end in &reduction.ends {
        close(end.length, 2.0e-3, 1e-6);
    }
    assert!(note(&reduction, Correction::Ends, CorrectionOutcome::Doubtful).contains("2 readings"));
}

/// Mooney's plot on a slipping power-law fluid of three diameters at the same L/D, with no end loss.
#[test]
fn slip_is_recovered() {
    let fluid = PowerFluid { k: 20e3, n: 0.4, slip: (2e-11, 1.8), ends: 0.0 };
    let mut readings = Vec::new();
    for d in [0.5e-3, 1e-3, 2e-3] {
        for stress in spaced(6e4, 3e5, 9) {
            readings.push(fluid.reading(150.0, d, 20.0 * d, stress, readings.len()));
        }
    }
    let reduction = reduce(&Readings::Capillary(readings));
    assert_eq!(reduction.slip.len(), 27);
    for slip in &reduction.slip {
        close(slip.velocity, fluid.slip_velocity(slip.stress), 1e-6);
        assert!(slip.velocity_error.unwrap() < 1e-6 * slip.velocity);
    }
    for point in &reduction.points {
        close(point.shear_rate, fluid.wall_rate(point.stress), 1e-5);
    }
    assert!(note(&reduction, Correction::Slip, CorrectionOutcome::Made).contains("3 diameters"));
    assert!(note(&reduction, Correction::Ends, CorrectionOutcome::NotMade).contains("one die length"));
}

/// Different stresses in each die, an end loss and slip of a fifth to two thirds of the flow, 0.5 %
/// scatter in pressure.
#[test]
fn ends_and_slip_together_are_recovered_within_the_scatter() {
    let fluid = PowerFluid { k: 20e3, n: 0.4, slip: (4e-12, 1.8), ends: 1.5 };
    let mut random = Random::new(11);
    let mut readings = Vec::new();
    for (d, low) in [(0.5e-3, 5e4), (1e-3, 6e4), (2e-3, 7e4)] {
        for ratio in [5.0, 15.0, 30.0] {
            for stress in spaced(low, 5.0 * low, 9) {
                let mut reading = fluid.reading(150.0, d, ratio * d, stress, readings.len());
                reading.pressure *= 1.0 + 0.005 * normal(&mut random);
                readings.push(reading);
            }
        }
    }
    let reduction = reduce(&Readings::Capillary(readings));
    let off: Vec<f64> =
        reduction.points.iter().map(|p| (p.shear_rate / fluid.wall_rate(p.stress)).ln()).collect();
    assert!(off.len() > 15);
    let mean = off.iter().sum::<f64>() / off.len() as f64;
    assert!(mean.abs() < 0.05, "bias {mean}");
    assert!(off.iter().all(|o| o.abs() < 0.3), "{off:?}");
}

/// A Cross fluid with η₀ of 2000 Pa·s at 160 °C and 30 kJ/mol, over its bend.
fn cross_eta0(temperature: f64) -> f64 {
    2000.0 * (30e3 / 8.314_462_618 * (1.0 / (temperature + 273.15) - 1.0 / 433.15)).exp()
}

fn cross_fluid() -> AnyFluid<impl Fn(f64, f64) -> f64> {
    AnyFluid { rate: |stress, temperature| cross_rate(cross_eta0(temperature), 50e3, 0.35, stress) }
}

/// The exponent of a Cross fluid changes along the curve, most of all where slopes are one-sided.
#[test]
fn the_wall_rate_of_a_bending_flow_curve_is_recovered() {
    let fluid = cross_fluid();
    let mut readings = Vec::new();
    for temperature in [140.0, 160.0, 180.0] {
        for rate in spaced(30.0, 1e4, 9) {
            readings.push(fluid.reading(temperature, 1e-3, 20e-3, rate, readings.len()));
        }
    }
    for temperatures in [1, 3] {
        let reduction = reduce(&Readings::Capillary(readings[..9 * temperatures].to_vec()));
        assert_eq!(reduction.points.len(), 9 * temperatures);
        for point in &reduction.points {
            let truth = cross_rate(cross_eta0(point.temperature), 50e3, 0.35, point.stress);
            close(point.shear_rate, truth, 1e-3);
        }
        let told = note(&reduction, Correction::WallRate, CorrectionOutcome::Made);
        assert!(told.contains("the law that describes the points, Carreau–Yasuda"), "{told}");
    }
}

/// Three diameters at the same L/D, no slip, 2 % scatter in pressure: slip is found in no more of 40 tables
/// than the 95 % interval lets pass, and the decision is one for all temperatures.
#[test]
fn scatter_alone_does_not_pass_for_slip() {
    let fluid = cross_fluid();
    let mut exact = Vec::new();
    for temperature in [140.0, 160.0, 180.0] {
        for d in [1e-3, 1.5e-3, 2e-3] {
            for rate in spaced(30.0, 1e4, 9) {
                exact.push(fluid.reading(temperature, d, 10.0 * d, rate, exact.len()));
            }
        }
    }
    let mut random = Random::new(17);
    let mut made = 0;
    for _ in 0..40 {
        let mut readings = exact.clone();
        for reading in &mut readings {
            reading.pressure *= (0.02 * normal(&mut random)).exp();
        }
        let reduction = reduce(&Readings::Capillary(readings));
        let notes: Vec<CorrectionOutcome> = reduction
            .notes
            .iter()
            .filter(|n| n.correction == Some(Correction::Slip) && n.outcome != CorrectionOutcome::Doubtful)
            .map(|n| n.outcome)
            .collect();
        assert_eq!(notes.len(), 1, "{:#?}", reduction.notes);
        made += usize::from(notes[0] == CorrectionOutcome::Made);
        if notes[0] == CorrectionOutcome::NotMade {
            assert!(
                note(&reduction, Correction::Slip, CorrectionOutcome::NotMade)
                    .contains("cannot be told from scatter")
            );
            assert_eq!((reduction.points.len(), reduction.slip.len()), (81, 0), "all readings together");
        }
    }
    assert!(made <= 3, "slip found in {made} of 40 tables without any");
}

/// Slip of a tenth to a half of the flow shows through the same scatter, and comes out without bias.
#[test]
fn slip_shows_through_scatter() {
    let fluid = PowerFluid { k: 20e3, n: 0.4, slip: (2e-11, 1.8), ends: 0.0 };
    let mut random = Random::new(23);
    let mut off = Vec::new();
    for _ in 0..20 {
        let mut readings = Vec::new();
        for d in [0.5e-3, 1e-3, 2e-3] {
            for stress in spaced(6e4, 3e5, 9) {
                let mut reading = fluid.reading(150.0, d, 20.0 * d, stress, readings.len());
                reading.pressure *= (0.01 * normal(&mut random)).exp();
                readings.push(reading);
            }
        }
        let reduction = reduce(&Readings::Capillary(readings));
        note(&reduction, Correction::Slip, CorrectionOutcome::Made);
        off.extend(reduction.points.iter().map(|p| (p.shear_rate / fluid.wall_rate(p.stress)).ln()));
    }
    let mean = off.iter().sum::<f64>() / off.len() as f64;
    assert!(mean.abs() < 0.02, "bias {mean}");
}

#[test]
fn two_diameters_alone_are_to_be_looked_at() {
    let fluid = PowerFluid { k: 20e3, n: 0.4, slip: (2e-11, 1.8), ends: 0.0 };
    let readings = [0.5e-3, 2e-3].into_iter().flat_map(|d| {
        let fluid = &fluid;
        spaced(6e4, 3e5, 9).into_iter().map(move |stress| fluid.reading(150.0, d, 20.0 * d, stress, 2))
    });
    let reduction = reduce(&Readings::Capillary(readings.collect()));
    note(&reduction, Correction::Slip, CorrectionOutcome::Made);
    assert!(note(&reduction, Correction::Slip, CorrectionOutcome::Doubtful).contains("two diameters"));
}

#[test]
fn what_cannot_be_corrected_is_said_with_the_reason() {
    let fluid = PowerFluid { k: 20e3, n: 0.4, slip: (0.0, 1.0), ends: 1.5 };
    let single = reduce(&Readings::Capillary(vec![fluid.reading(150.0, 1e-3, 20e-3, 1e5, 2)]));
    assert!(note(&single, Correction::Ends, CorrectionOutcome::NotMade).contains("one die length only"));
    assert!(note(&single, Correction::Slip, CorrectionOutcome::NotMade).contains("one die diameter only"));
    assert!(note(&single, Correction::WallRate, CorrectionOutcome::NotMade).contains("one shear rate only"));
    assert_eq!(single.points.len(), 1);

    let two_sizes: Vec<_> = [(1e-3, 20e-3), (2e-3, 20e-3)]
        .iter()
        .flat_map(|&(d, l)| spaced(5e4, 2e5, 4).into_iter().map(move |s| (d, l, s)))
        .map(|(d, l, s)| fluid.reading(150.0, d, l, s, 2))
        .collect();
    let reduction = reduce(&Readings::Capillary(two_sizes));
    assert!(note(&reduction, Correction::Slip, CorrectionOutcome::NotMade).contains("same L/D"));

    let mut backwards: Vec<_> =
        [10e-3, 20e-3].iter().map(|&l| fluid.reading(150.0, 1e-3, l, 1e5, 2)).collect();
    backwards[1].pressure = 0.5 * backwards[0].pressure;
    let reduction = reduce(&Readings::Capillary(backwards));
    assert!(
        note(&reduction, Correction::Ends, CorrectionOutcome::Doubtful)
            .contains("does not rise with die length")
    );
}

/// What the rheometer finds goes into the part: the law of slip, and the end length in radii (twice that in diameters).
/// Slip lowers the pressure that filling needs; the end correction raises it.
#[test]
fn slip_and_ends_go_with_the_law_into_the_part() {
    // 20 mm/s at 100 kPa: a = 0.02/(1e5)^1.8.
    let velocity = 0.02;
    let slip = (velocity / 1e5_f64.powf(1.8), 1.8);
    let fluid = PowerFluid { k: 20e3, n: 0.4, slip, ends: 1.5 };
    let dies = [1e-3, 1.5e-3, 2e-3].into_iter().flat_map(|d| [10.0, 20.0, 30.0].map(|ratio| (d, ratio * d)));
    let stresses = spaced(6e4, 3e5, 9);
    let mut readings = Vec::new();
    for (d, l) in dies {
        for &stress in &stresses {
            readings.push(fluid.reading(160.0, d, l, stress, readings.len() + 2));
        }
    }
    let found = reduce(&Readings::Capillary(readings)).wall_flow;
    let slip = found.slip.expect("it slips");
    close(slip.velocity, 1e3 * velocity, 0.03);
    close(slip.exponent, 1.8, 0.03);
    close(found.entrance.expect("three lengths"), 3.0, 0.02);

    let mut scenario = demo::default_demo().scenario();
    let needed = |s: &Scenario| evaluate(s).expect("valid").fill.required_pressure_mpa;
    let bare = needed(&scenario);
    WallFlow { entrance: None, ..found }.put(&mut scenario.feedstock);
    let slipping = needed(&scenario);
    found.put(&mut scenario.feedstock);
    let both = needed(&scenario);
    assert!(slipping < bare && both > slipping, "{bare} {slipping} {both}");
    assert_eq!(scenario.feedstock.entrance_correction, found.entrance.expect("found"));
}

/// One die tells neither slip nor ends: what is in the feedstock stays.
#[test]
fn one_die_leaves_slip_and_ends_as_they_are() {
    let fluid = PowerFluid { k: 20e3, n: 0.4, slip: (0.0, 1.0), ends: 1.5 };
    let readings =
        spaced(6e4, 3e5, 9).iter().map(|&stress| fluid.reading(160.0, 1e-3, 2e-2, stress, 2)).collect();
    let found = reduce(&Readings::Capillary(readings)).wall_flow;
    assert_eq!(found, WallFlow::default());
    let mut feedstock = demo::default_demo().scenario().feedstock;
    (feedstock.slip_velocity, feedstock.entrance_correction) = (7.0, 2.0);
    found.put(&mut feedstock);
    assert_eq!((feedstock.slip_velocity, feedstock.entrance_correction), (7.0, 2.0));
}
