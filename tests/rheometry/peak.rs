//! Torques and viscosities that stop rising with the loading.

use crate::made::normal;
use gatefrost_laboratory::critical::{
    CriticalLoading, CriticalOptions, DensityOptions, ResistanceOptions, assess, density, read,
};
use gatefrost_tests::random::Random;

fn torques(rows: &[(f64, f64)]) -> String {
    let mut text = "loading [vol%],torque [N·m]\n".to_owned();
    for (loading, torque) in rows {
        text += &format!("{loading},{torque}\n");
    }
    text
}

fn found(rows: &[(f64, f64)]) -> CriticalLoading {
    assess(&read(&torques(rows)).expect("a table"), &CriticalOptions::default())
}

/// Torques that rise up to 64 vol% and fall at 65. Made up for this test.
const PAST: [(f64, f64); 9] = [
    (54.0, 0.62),
    (56.0, 0.80),
    (58.0, 1.08),
    (60.0, 1.62),
    (61.0, 2.05),
    (62.0, 2.85),
    (63.0, 4.6),
    (64.0, 9.5),
    (65.0, 7.0),
];

/// Torques A(1 − φ/φc)^−2 with a scatter.
fn rising(random: &mut Random, loadings: &[f64], critical: f64, scatter: f64) -> Vec<(f64, f64)> {
    let at = |l: f64| 0.05 * (1.0 - l / critical).powi(-2);
    loadings.iter().map(|&l| (l, at(l) * (scatter * normal(random)).exp())).collect()
}

#[test]
fn a_torque_that_falls_bounds_the_critical_loading_and_what_is_recommended() {
    let readings = found(&PAST);
    let peak = readings.peak.unwrap();
    assert_eq!((peak.at, peak.failed_from, peak.left_out), (64.0, 65.0, 1));
    let critical = readings.critical.unwrap();
    assert!((64.0..=65.0).contains(&critical.value), "{critical:?}");
    assert!(critical.low.unwrap() >= 64.0 && critical.high.unwrap() <= 65.0, "{critical:?}");
    let [low, high] = readings.recommended.unwrap();
    assert!(low >= 59.0 && high <= 63.0, "{low} {high}");
    for part in ["stops rising above 64 vol%", "9.5 N·m", "7 N·m at 65 vol%", "left out", "at most 65 vol%"]
    {
        assert!(readings.verdict.contains(part), "{part:?} is not in {:?}", readings.verdict);
    }
    assert!(readings.reason.contains("Never work at 65 vol% or above"), "{}", readings.reason);
    assert_eq!(readings.resistance.unwrap().readings, 8);
    // The order of the rows changes nothing, nor does it matter how far the torque falls beyond.
    let mut turned = PAST.to_vec();
    turned.reverse();
    assert_eq!(found(&turned).critical, Some(critical));
    let further: Vec<_> = PAST.into_iter().chain([(66.0, 5.5), (67.0, 5.1)]).collect();
    let further = found(&further);
    assert_eq!((further.peak.unwrap().left_out, further.critical), (3, Some(critical)));
}

/// What is left once the fallen readings are gone gives the critical loading that made them.
#[test]
fn the_readings_before_the_peak_tell_the_critical_loading() {
    let mut random = Random::new(12);
    for _ in 0..20 {
        let mut rows = rising(&mut random, &[50.0, 53.0, 56.0, 58.0, 60.0, 62.0, 63.0], 65.3, 0.03);
        let top = rows[6].1;
        rows.extend([(66.5, 0.7 * top), (68.0, 0.5 * top)]);
        let readings = found(&rows);
        assert_eq!(readings.peak.unwrap().failed_from, 66.5);
        let critical = readings.critical.unwrap();
        assert!((critical.value - 65.3).abs() < 1.2, "{critical:?}");
        let held =
            ResistanceOptions { exponent: Some(2.0), exponent_error: 0.0, ..ResistanceOptions::default() };
        let held = CriticalOptions { resistance: held, ..CriticalOptions::default() };
        let critical = assess(&read(&torques(&rows)).unwrap(), &held).critical.unwrap();
        assert!((critical.value - 65.3).abs() < 0.4, "{critical:?}");
    }
}

/// Readings that rise, with more or less scatter, are taken for falling once or twice in a hundred at most.
#[test]
fn scatter_is_no_peak() {
    let mut random = Random::new(21);
    let loadings = [50.0, 53.0, 55.0, 57.0, 59.0, 60.5, 62.0];
    for scatter in [0.0, 0.03, 0.1, 0.25] {
        let peaks =
            (0..120).filter(|_| found(&rising(&mut random, &loadings, 66.0, scatter)).peak.is_some()).count();
        assert!(peaks <= 3, "{peaks} of 120 at a scatter of {scatter}");
    }
}

/// One reading far off, high or low, in the midst of others that rise, is no peak. Nor is a last one that misses
/// by little more than the scatter.
#[test]
fn one_reading_that_is_off_is_no_peak() {
    let mut random = Random::new(5);
    let loadings = [50.0, 52.0, 54.0, 56.0, 58.0, 59.0, 60.0, 61.0];
    for _ in 0..30 {
        let rows = rising(&mut random, &loadings, 66.0, 0.04);
        for (place, factor) in [(4, 4.0), (4, 0.3), (2, 5.0), (7, 0.85)] {
            let mut off = rows.clone();
            off[place].1 *= factor;
            let readings = found(&off);
            assert_eq!(readings.peak, None, "{place} times {factor}: {off:?}");
        }
    }
}

/// The peak bounds what both signs say together, too, and where torque alone cannot be fitted.
#[test]
fn the_bound_holds_beside_densities() {
    let with = |peak: f64, rows: &[(f64, f64)]| {
        let mut text = "loading [vol%];density [kg/m³];torque [N·m]\n".to_owned();
        for loading in [54.0, 56.0, 58.0, 60.0, 61.0, 62.0, 63.0, 64.0, 65.0, 67.0, 69.0, 71.0] {
            let rho =
                density::density(0.01 * loading, 0.01 * peak, 7950.0, 900.0) + 25.0 * (9.0 * loading).sin();
            let torque =
                rows.iter().find(|row| row.0 == loading).map_or_else(String::new, |row| row.1.to_string());
            text += &format!("{loading};{rho:.1};{torque}\n");
        }
        let density = DensityOptions { powder_density: Some(7950.0), binder_density: Some(900.0) };
        assess(&read(&text).unwrap(), &CriticalOptions { density, ..CriticalOptions::default() })
    };
    let agreeing = with(64.8, &PAST);
    assert_eq!(agreeing.agree, Some(true), "{}", agreeing.verdict);
    let critical = agreeing.critical.unwrap();
    assert!(critical.value <= 65.0 && critical.high.unwrap() <= 65.0, "{critical:?}");
    // Trapped air may hide the peak of the density: what has been seen to fail bounds it all the same.
    for rows in [&PAST[..], &PAST[5..]] {
        let apart = with(68.0, rows);
        let (critical, [_, high]) = (apart.critical.unwrap(), apart.recommended.unwrap());
        assert!(critical.value <= 65.0 && high <= 63.0, "{critical:?} {}", apart.verdict);
        assert!(apart.reason.contains("Never work at 65 vol%"), "{}", apart.reason);
    }
}

#[test]
fn viscosities_are_treated_alike() {
    for (head, factor) in [("viscosity [Pa·s]", 40.0), ("relative viscosity", 15.0)] {
        let mut text = format!("loading [vol%],{head}\n");
        for (loading, torque) in PAST {
            text += &format!("{loading},{}\n", factor * torque);
        }
        let readings = assess(&read(&text).unwrap(), &CriticalOptions::default());
        assert_eq!(readings.peak.unwrap().failed_from, 65.0, "{head}");
        assert!(readings.critical.unwrap().value <= 65.0, "{head}: {}", readings.verdict);
    }
}

/// A gentle hump: torques that rise to 64 vol% and fall again. Made up for this test.
const HUMP: [(f64, f64); 11] = [
    (50.0, 0.5),
    (53.0, 0.65),
    (56.0, 0.72),
    (58.0, 1.0),
    (60.0, 1.05),
    (61.0, 1.4),
    (62.0, 1.5),
    (63.0, 2.1),
    (64.0, 2.3),
    (65.0, 2.0),
    (66.0, 1.6),
];

/// Whatever the fit makes of the readings, a fall is named by its loadings, and nothing at the loading from which
/// the torque falls, or above, is recommended.
#[test]
fn a_fall_is_named_and_bounds_what_is_recommended() {
    let with = |loading: f64, torque: f64, more: &[(f64, f64)]| -> Vec<(f64, f64)> {
        let given = PAST.map(|row| if row.0 == loading { (loading, torque) } else { row });
        given.into_iter().chain(more.iter().copied()).collect()
    };
    let repeated = [(64.0, 6.5), (64.0, 9.1), (65.0, 7.3)];
    for (rows, ends) in [
        (HUMP.to_vec(), true),
        (with(0.0, 0.0, &[(66.0, 12.0)]), false),
        (with(62.0, 2.0, &[(66.0, 5.5)]), true),
        (with(63.0, 2.7, &[]), true),
        (with(0.0, 0.0, &repeated), false),
    ] {
        let readings = found(&rows);
        let said = format!("{} {} {rows:?}", readings.verdict, readings.reason);
        assert!(
            said.contains("64 vol%") && said.contains("at 65 vol%") || said.contains("at 66 vol%"),
            "{said}"
        );
        assert!(said.contains("Nothing at 64 vol% or above is recommended"), "{said}");
        let [low, high] = readings.recommended.unwrap();
        assert!(low < high && high < 64.0, "{low} {high}: {said}");
        let critical = readings.critical.unwrap();
        assert!(!ends || critical.value <= 65.0 && critical.high.unwrap() <= 65.0, "{critical:?} {said}");
    }
}

/// A rise after a fall lifts the bound only where the fall is no larger than scatter, and that is said.
#[test]
fn a_rise_after_a_fall_counts_where_the_fall_is_scatter() {
    let mut random = Random::new(3);
    let mut rows = rising(&mut random, &[50.0, 53.0, 56.0, 58.0, 60.0, 61.0, 62.0], 66.0, 0.0);
    let at_60 = rows[4].1;
    rows[5].1 = 0.97 * at_60;
    let within = found(&rows);
    assert!(within.verdict.contains("falls from") && within.verdict.contains("3 %"), "{}", within.verdict);
    assert!(
        within.verdict.contains("taken for scatter") && !within.reason.contains("Nothing at"),
        "{within:?}"
    );
    rows[5].1 = 0.8 * at_60;
    let beyond = found(&rows);
    assert!(beyond.reason.contains("Nothing at 60 vol% or above"), "{}", beyond.reason);
    assert!(beyond.recommended.unwrap()[1] < 60.0);
    // The same fall, of means of three readings that scatter by a fifth each.
    for factor in [0.75, 1.3] {
        let repeats: Vec<_> = rows[4..6].iter().map(|&(l, t)| (l, factor * t)).collect();
        rows.extend(repeats);
    }
    let repeated = found(&rows);
    assert!(repeated.verdict.contains("the scatter of the repeated readings"), "{}", repeated.verdict);
    assert!(repeated.recommended.unwrap()[1] > 60.0, "{}", repeated.reason);
}

/// Scatter of up to 10 % on readings past a peak puts no recommended loading at the true peak or above.
#[test]
fn no_scatter_puts_the_recommendation_at_the_peak_or_above() {
    let mut sharp = PAST.to_vec();
    sharp.push((66.0, 5.5));
    for (rows, name) in [(sharp, "sharp"), (HUMP.to_vec(), "hump")] {
        for scatter in [0.02, 0.05, 0.1] {
            let mut random = Random::new(77);
            let mut above = 0;
            for _ in 0..20 {
                let read: Vec<_> =
                    rows.iter().map(|&(l, t)| (l, t * (scatter * normal(&mut random)).exp())).collect();
                let assessed = found(&read);
                let high = assessed.recommended.map_or(0.0, |range| range[1]);
                above += usize::from(high >= 64.0);
            }
            assert_eq!(above, 0, "{above} of 20: {name}, scatter {scatter}");
        }
    }
}
