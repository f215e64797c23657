//! The trial log as a table, and logs that cannot be used.

use crate::simulated::{bar, shots};
use gatefrost_calibration::prior::{Prior, Shots};
use gatefrost_calibration::solve::Model;
use gatefrost_calibration::{Read, Unusable, calibrate, table};
use gatefrost_core::scenario::{Scenario, Shot, link};

#[test]
fn a_log_is_written_and_read_back() {
    let mut log = shots();
    log[0].name = "first, again".to_owned();
    (log[0].coolant, log[1].coolant) = (1, 0);
    (log[1].flash, log[2].sink) = (Some(1.0), Some(0.0));
    (log[1].second_hold_pressure, log[1].second_hold_time) = (Some(12.5), Some(3.0));
    (log[2].peak_pressure, log[3].part_mass, log[4].filled) = (Some(61.25), Some(7.125), Some(81.5));
    log[5].repeats = 12;
    log[6].cavity_pressure = Some(31.5);
    log[6].sensor = Some("bar, far end".to_owned());
    let read = table::read(&table::write(&log)).expect("a log");
    assert_eq!(read.shots, log);
    assert!(read.notes.is_empty(), "{:?}", read.notes);
}

/// 850 bar are 85 MPa, 438.15 K are 165 °C, 0.8 s are 800 ms.
#[test]
fn units_separators_and_decimal_commas_are_those_of_the_laboratory() {
    let text = "shot;melt temperature [K];coolant [°C];injection time [ms];hold pressure [bar];hold time [s];peak pressure (bar);weight [g];flash\n\
                A1;438,15;38;800;500;4,5;850;7,25;yes\n";
    let log = table::read(text).expect("a log");
    let shot = &log.shots[0];
    assert_eq!((shot.name.as_str(), shot.coolant, shot.flash), ("A1", 1, Some(1.0)));
    for (found, expected) in [
        (shot.melt_temperature, 165.0),
        (shot.injection_time, 0.8),
        (shot.hold_pressure, 50.0),
        (shot.hold_time, 4.5),
        (shot.peak_pressure.expect("read"), 85.0),
        (shot.part_mass.expect("read"), 7.25),
    ] {
        assert!((found - expected).abs() < 1e-9, "{found} for {expected}");
    }
    assert_eq!(log.notes, ["Decimal commas were read."]);
}

fn refused(text: &str) -> String {
    table::read(text).expect_err("refused").to_string()
}

#[test]
fn what_is_wrong_with_a_table_is_named() {
    let head = "melt temperature [°C],steel temperature [°C],injection time [s],peak pressure [MPa]\n";
    let many = format!("{head}{}", "165,40,0.8,60\n".repeat(10_000));
    assert!(refused(&many).contains("The log has 10000 shots; at most 200 are read"), "{}", refused(&many));
    let mixed = refused(&format!("{head}165,40,0.8,60 bar\n"));
    assert!(mixed.contains("bar here, MPa above: use one unit for the whole column"), "{mixed}");
    let whose = refused("melt temperature [°C],mould temperature [°C],injection time [s]\n165,40,1\n");
    assert!(whose.contains("does not say whose temperature it is"), "{whose}");
    let range = refused(&format!("{head}1650,40,0.8,60\n"));
    assert!(range.contains("line 2, column “melt temperature [°C]”: It is 1650 °C; accepted is"), "{range}");
    let missing = refused("melt temperature [°C],steel temperature [°C]\n165,40\n");
    assert!(missing.contains("Columns are missing: injection time [s]"), "{missing}");
    let empty = refused(&format!("{head}165,,0.8,60\n"));
    assert!(empty.contains("The cell is empty"), "{empty}");
}

/// The pressure in the cavity falls along the flow: a sensor in a section further on reads less. Without a name the sensor is in
/// the first section.
#[test]
fn a_sensor_reads_less_further_from_the_gate() {
    let mut s = bar();
    let mut end = s.cavity.passages[2].clone();
    end.name = "end".to_owned();
    s.cavity.passages.push(end);
    let at = |section: Option<&str>| {
        let shot = Shot { sensor: section.map(str::to_owned), ..shots()[4].clone() };
        let prior = Prior::of(&s, std::slice::from_ref(&shot));
        let model = Shots { prior: &prior, asked: vec![(shot, vec![Read::CavityPressure])] };
        Read::CavityPressure.value(model.predict(&vec![0.0; prior.names.len()], false)[0])
    };
    let [unnamed, first, second] = [None, Some("bar"), Some("end")].map(at);
    assert_eq!(unnamed, first);
    assert!(first > 1.02 * second && second > 0.0, "{first} {second}");
    let named = unusable(|s| s.shots[0].sensor = Some("lid".to_owned()));
    assert!(
        named.contains("Shot 1: the pressure sensor is in \"lid\"") && named.contains("part: bar."),
        "{named}"
    );
}

fn unusable(change: impl FnOnce(&mut Scenario)) -> String {
    let mut s = bar();
    s.shots = shots();
    s.shots.iter_mut().for_each(|shot| shot.peak_pressure = Some(60.0));
    change(&mut s);
    match calibrate(&s, "", &mut |_| true) {
        Err(Unusable::Log(sentences)) => sentences.join("\n"),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_log_that_cannot_be_used_is_refused_in_sentences() {
    assert!(unusable(|s| s.shots.clear()).contains("The trial log is empty"));
    let none = unusable(|s| s.shots.iter_mut().for_each(|shot| shot.peak_pressure = None));
    assert!(none.contains("No shot of the log has a reading"), "{none}");
    let pressure = unusable(|s| s.shots[2].peak_pressure = Some(340.0));
    assert!(
        pressure.contains("Shot 3: the peak pressure of 340 MPa is above the machine’s greatest, 300 MPa"),
        "{pressure}"
    );
    let mass = unusable(|s| s.shots[0].part_mass = Some(72.0));
    assert!(mass.contains("Shot 1: a part mass of 72 g is more than the cavity can hold, 2.6 g"), "{mass}");
    let cold = unusable(|s| s.shots[1].melt_temperature = 80.0);
    assert!(
        cold.contains("Shot 2: the melt temperature of 80 °C is not above the no-flow temperature"),
        "{cold}"
    );
}

#[test]
fn a_stop_is_obeyed() {
    let mut s = bar();
    s.shots = shots();
    s.shots[0].peak_pressure = Some(60.0);
    assert_eq!(calibrate(&s, "", &mut |_| false), Err(Unusable::Stopped));
}

/// One setting is calibrated with, but it is said what it cannot tell; two shots of one setting that differ are named.
#[test]
fn a_single_setting_and_contradictory_shots_are_remarked_on() {
    let mut s = bar();
    let shot = Shot { peak_pressure: Some(60.0), part_mass: Some(2.45), ..shots()[4].clone() };
    s.shots = vec![shot.clone(), shot.clone(), Shot { part_mass: Some(2.60), ..shot }];
    let c = calibrate(&s, "", &mut |_| true).expect("a calibration");
    let told = c.remarks.join("\n");
    assert!(told.contains("All shots have one setting"), "{told}");
    assert!(told.contains("have the same setting and a part mass of 2.45 and 2.6 g"), "{told}");
}

/// The file has the log; a link says how many shots it has, and carries means and bands.
#[test]
fn a_link_carries_the_bands_and_not_the_log() {
    let mut s = crate::simulated::trial(2).scenario;
    s.model.side_walls = true;
    s = calibrate(&s, "2026-11-30", &mut |_| true).expect("a calibration").scenario;
    let text = link::encode(&s);
    let opened = link::decode(&text);
    assert_eq!(opened.problems, []);
    let o = opened.scenario;
    assert_eq!((o.shots.len(), o.logged(), s.logged()), (0, 8, 8));
    assert_eq!(o.feedstock, s.feedstock);
    assert_eq!(o.setup.contact_conductance, s.setup.contact_conductance);
    assert_eq!(o.trials.mass_scale, s.trials.mass_scale);
    let again = Scenario::from_json(&s.to_json()).expect("a document");
    assert_eq!(again, s);
}

/// Reading back the table of a log that is in the calibration already adds nothing twice; rows that were not in it yet are
/// replaced by those of the table.
#[test]
fn a_table_adds_no_shot_of_the_calibration_twice() {
    let mut log = shots();
    log[..3].iter_mut().for_each(|shot| shot.used = 1);
    let rows = table::read(&table::write(&log[1..5])).expect("a log").shots;
    let (shots, note) = table::taken_in(&log, rows);
    assert_eq!(shots, log[..5]);
    assert!(note.expect("a note").starts_with("2 rows are in the calibration already"));
    let (shots, note) = table::taken_in(&log[..3], vec![log[6].clone()]);
    assert_eq!((shots.len(), &shots[3], note), (4, &log[6], None));
}

/// The page's worked example is the case of the handbook.
#[test]
fn the_example_of_the_page_is_that_of_the_handbook() {
    let script = include_str!("../../www/js/calibration/example.js");
    let example = script.split('`').nth(1).expect("a table");
    assert!(include_str!("../../www/handbook/calibration.md").contains(example));
    assert_eq!(table::read(example).expect("a log").shots.len(), 6);
}
