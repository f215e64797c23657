//! Monotone laws of hold and cooling, and margins that do not jump.

use gatefrost_core::case::Case;
use gatefrost_core::pack::{self, Hold, HoldDrive};
use gatefrost_core::scenario::{Scenario, Thresholds, demo};
use gatefrost_report::hold_study;

fn held(s: &Scenario) -> Hold {
    s.validate().expect("valid");
    Case::resolve(s).evaluate().hold.expect("the part is full")
}

/// A demo whose hold is one step, as long as all of its own.
fn one_step(d: &demo::Demo) -> Scenario {
    let mut s = d.scenario();
    s.setup.hold_time += s.setup.further_hold.drain(..).map(|step| step.time).sum::<f64>();
    s
}

/// A number of the hold for each value of a setting, demo by demo.
fn along(
    values: &[f64],
    set: impl Fn(&mut Scenario, f64),
    read: impl Fn(&Hold) -> f64,
) -> Vec<(&'static str, Vec<f64>)> {
    let of = |d: &'static demo::Demo| {
        let at = |&v: &f64| {
            let mut s = one_step(d);
            set(&mut s, v);
            read(&held(&s))
        };
        (d.name, values.iter().map(at).collect())
    };
    demo::DEMOS.iter().map(of).collect()
}

fn freeze(h: &Hold) -> f64 {
    h.gate_freeze().expect("freezes")
}

#[test]
fn more_hold_pressure_packs_more() {
    let shares = [0.13, 0.31, 0.5, 0.69, 0.87];
    let set = |s: &mut Scenario, v: f64| s.setup.hold_pressure = v * s.machine.max_pressure;
    for (name, mass) in along(&shares, set, |h| h.part_mass) {
        assert!(mass.windows(2).all(|m| m[1] > m[0]), "{name}: {mass:?}");
    }
}

#[test]
fn a_hotter_mould_freezes_the_gate_later() {
    let moulds = [25.0, 32.0, 40.0, 48.0];
    for (name, time) in along(&moulds, |s, v| s.setup.mould_temperature = v, freeze) {
        assert!(time.windows(2).all(|t| t[1] > t[0]), "{name}: {time:?}");
    }
}

/// Whether heat of melting is given up before a melt ceases to flow.
fn sets_while_it_flows(d: &demo::Demo) -> bool {
    let feedstock = d.scenario().feedstock;
    feedstock.latent_heat > 0.0 && feedstock.no_flow_temperature < feedstock.liquidus
}

/// Gate freeze by conduction alone.
#[test]
fn latent_heat_delays_freezing_by_conduction() {
    for d in demo::DEMOS.iter().filter(|d| sets_while_it_flows(d)) {
        let at = |latent: f64| {
            let mut s = d.scenario();
            s.feedstock.latent_heat = latent;
            let case = Case::resolve(&s);
            let point = case.evaluate();
            let still = HoldDrive { convection: false, ..case.hold.clone() };
            freeze(&pack::hold(&case.material, &case.cavity, &point.fill.end, &still))
        };
        let time = [0.0, 60.0, 120.0, 180.0].map(at);
        assert!(time.windows(2).all(|t| t[1] > t[0]), "{}: {time:?}", d.name);
    }
}

/// Not gate freeze with creep: a part that sets later draws less melt through the gate, which then freezes sooner.
#[test]
fn latent_heat_delays_cooling() {
    let cooled = |h: &Hold| h.part_cooled.expect("the part cools");
    for (name, time) in along(&[0.0, 60.0, 120.0, 180.0], |s, v| s.feedstock.latent_heat = v, cooled) {
        let f = demo::find(name).map(|d| d.scenario().feedstock);
        // A peak that begins below the ejection temperature gives its heat up after the part has left the mould.
        let after = f.is_some_and(|f| f.liquidus <= f.ejection_temperature);
        let later = |t: &[f64]| if after { t[1] > t[0] * (1.0 - 1e-9) } else { t[1] > t[0] };
        assert!(time.windows(2).all(later), "{name}: {time:?}");
    }
}

/// A hold let off before the gate is frozen loses mass, the more the sooner; one longer than that by the
/// reserve that the limit asks for changes nothing.
#[test]
fn only_a_hold_shorter_than_gate_freeze_loses_mass() {
    // A few bar pack so little that what runs back is less than what cooling draws in.
    let packed = |d: &&demo::Demo| d.scenario().setup.hold_pressure > 10.0;
    for d in demo::DEMOS.iter().filter(packed) {
        let mut s = one_step(d);
        s.setup.hold_time = 30.0;
        let long = held(&s);
        let mut mass = |share: f64| {
            s.setup.hold_time = share * freeze(&long);
            held(&s).part_mass
        };
        let short = [0.1, 0.2, 0.4].map(&mut mass);
        assert!(short.windows(2).all(|m| m[1] > m[0]), "{}: {short:?}", d.name);
        assert!(short[2] < 0.999 * long.part_mass, "{}: {short:?} of {}", d.name, long.part_mass);
        for share in [Thresholds::default().hold_cover / 100.0, 1.5, 3.0] {
            let kept = mass(share) / long.part_mass - 1.0;
            assert!(kept.abs() < 1e-5, "{} at {share}: {kept}", d.name);
        }
    }
}

/// Creeping melt, latent heat and the contact's resistance each delay the freezing of every gate.
#[test]
fn the_study_of_the_hold_shows_what_delays_freezing() {
    for d in demo::DEMOS.iter().filter(|d| sets_while_it_flows(d)) {
        for gate in hold_study(&d.scenario()).expect("valid").gates {
            let times = [gate.freeze_s, gate.without_creep_s, gate.without_latent_s, gate.perfect_contact_s];
            let times = times.map(|t| t.expect("freezes"));
            assert!(times.windows(2).all(|t| t[1] < t[0]), "{} {}: {times:?}", d.name, gate.name);
        }
    }
}

/// A reading of the hold: its name, its unit and how to take it.
type Reading = (&'static str, f64, fn(&Hold) -> f64);

/// Where a reading changes most between neighbours of a row of hold times, finer rows find a slope and no
/// step. Only between gate freeze and the reserve after it may it be as good as one: there the melt that
/// runs back either tears the gate open or does not.
#[test]
fn readings_of_the_hold_do_not_jump() {
    const STEPS: usize = 12;
    for d in demo::DEMOS {
        let scenario = d.scenario();
        let long = held(&scenario);
        let last = freeze(&long);
        let first = long.gates.iter().filter_map(|g| g.freeze).fold(last, f64::min);
        let reserve = Thresholds::default().hold_cover / 100.0;
        for (from, to) in [(0.3 * first, 0.95 * first), (reserve * last, 2.0 * last)] {
            let readings: [Reading; 3] = [
                ("residual pressure", 1e6, |h| h.opened.residual),
                ("shrinkage", 1e-3, |h| h.sink.shrinkage),
                ("part mass", 1e-6, |h| h.part_mass),
            ];
            let at = |time: f64| {
                let mut s = scenario.clone();
                s.setup.hold_time = time;
                held(&s)
            };
            let place = |[low, high]: [f64; 2], k: usize| low + (high - low) * k as f64 / STEPS as f64;
            // The first steps are the same for each reading.
            let row: Vec<_> = (0..=STEPS).map(|k| at(place([from, to], k))).collect();
            for (what, unit, read) in readings {
                let mut span = [from, to];
                let mut values: Vec<f64> = row.iter().map(|h| read(h) / unit).collect();
                let mut steps = Vec::new();
                for round in 0..3 {
                    if round > 0 {
                        values = (0..=STEPS).map(|k| read(&at(place(span, k))) / unit).collect();
                    }
                    let change = |k: usize| (values[k + 1] - values[k]).abs();
                    let most = (0..STEPS).max_by(|&i, &j| change(i).total_cmp(&change(j))).expect("some");
                    steps.push(change(most));
                    span = [place(span, most), place(span, most + 1)];
                }
                assert!(steps[2] < 0.1 * steps[0] + 0.3, "{} {what} {from} to {to}: {steps:?}", d.name);
            }
        }
    }
}
