//! What happens on a machine whose pressure runs out, and what filling would need.

use gatefrost_core::case::Case;
use gatefrost_core::fill;
use gatefrost_core::limits::{self, Limit};
use gatefrost_core::scenario::{Scenario, demo};
use gatefrost_core::stages::Stage;
use gatefrost_report::{Outcome, Report, evaluate, hold_study, moments};
use gatefrost_tests::build::{self, isothermal, merge, power_law};
use gatefrost_tests::numeric::{bisect, interpolate, off};
use gatefrost_tests::random::Random;
use serde_json::{Value, json};

/// A stiff, fast case: the demo `sleeve` 1.2 vol% below its critical loading, filled in 0.05 s.
fn stiff_sleeve() -> Scenario {
    let mut s = demo::DEMOS.iter().find(|d| d.name == "sleeve").expect("a demo").scenario();
    s.feedstock.solids_loading = s.feedstock.critical_loading - 1.2;
    s.setup.injection_time = 0.05;
    s.setup.hold_pressure = 50.0;
    s.machine.max_rate = 5000.0;
    s
}

/// A long thin strip that freezes while it fills.
fn freezing_strip() -> Scenario {
    let form = json!({ "strip": { "length": 150, "width": 20, "thickness": 0.8 } });
    let changes = json!({
        "feedstock": { "solids_loading": 60, "measured_loading": 60 },
        "setup": { "injection_time": 1.0, "hold_pressure": 50 }
    });
    build::scenario(json!([{ "name": "strip", "role": "part", "form": form }]), &changes)
}

fn on_machine(s: &Scenario, max_pressure: f64) -> Scenario {
    let mut s = s.clone();
    s.machine.max_pressure = max_pressure;
    s
}

fn report(s: &Scenario) -> Report {
    evaluate(s).expect("valid")
}

/// People size machines by the need: it is a number of the part, the melt and the setting alone.
#[test]
fn the_need_does_not_depend_on_the_machine() {
    let mut all = vec![stiff_sleeve(), freezing_strip()];
    all.extend(demo::DEMOS.iter().map(demo::Demo::scenario));
    let mut random = Random::new(14);
    while all.len() < 20 {
        let found = Scenario::from_json(&random.document(5).to_string());
        all.extend(found.ok().filter(|s| s.validate().is_ok()));
    }
    let mut passed = 0;
    for (k, s) in all.iter().enumerate() {
        let hold =
            s.setup.further_hold.iter().map(|step| step.pressure).fold(s.setup.hold_pressure, f64::max);
        let need = |max_pressure: f64| {
            let case = Case::resolve(&on_machine(s, max_pressure));
            fill::actual(&case.material, &case.cavity, case.drive).need / 1e6
        };
        let free = need(400.0);
        let weak = (0.4 * free).clamp(hold.max(0.01), 400.0);
        passed += usize::from(weak < free);
        for machine in [weak, 0.5 * (weak + 400.0)] {
            assert_eq!(need(machine), free, "scenario {k}, machine of {machine} MPa");
        }
        let case = Case::resolve(s);
        let unlimited = fill::unlimited(&case.material, &case.cavity, case.drive).need / 1e6;
        assert_eq!(unlimited, free, "scenario {k}");
    }
    assert!(passed > 4, "machines that are too weak: {passed}");
}

/// A Newtonian melt at one temperature in a strip of length L: a front at s that runs at v takes p = 12 η s v/h².
/// Once the pressure P runs out at s₀ = P h²/(12 η V), the front obeys s ds/dt = P h²/12η: s² grows linearly.
/// Everything that is told of the end of this fill is at that pressure and at the rate left there.
#[test]
fn everything_told_is_of_the_fill_that_the_pressure_allows() {
    let (eta, length, w, h, speed) = (200.0, 0.1, 20e-3, 2e-3, 1.0);
    let most = 20e6_f64;
    let per = 12.0 * eta / (h * h);
    let start = most / per / speed;
    assert!((0.1..0.5).contains(&(start / length)), "the pressure has to run out on the way: {start}");
    let time = |s: f64| start / speed + (s * s - start * start) * per / 2.0 / most;
    let run = |cells: usize| {
        let mut changes = isothermal();
        merge(
            &mut changes,
            &json!({
                "feedstock": { "flow_law": power_law(eta, 1.0, 0.0) },
                "setup": { "injection_time": length / speed, "hold_pressure": 10.0 },
                "window": { "y": { "from": 1.0, "to": 19.0 } },
                "machine": { "max_pressure": most / 1e6 },
                "model": { "axial_cells": cells, "layers": 40 }
            }),
        );
        let form = json!({ "strip": { "length": length * 1e3, "width": w * 1e3, "thickness": h * 1e3 } });
        report(&build::scenario(json!([{ "name": "path", "role": "part", "form": form }]), &changes))
    };
    let r = run(200);
    assert_eq!(r.fill.outcome, Outcome::FullButSlow);
    let history = &r.fill.history;
    for percent in [40.0, 70.0, 100.0] {
        let found = interpolate(&history.filled_percent, &history.time_s, percent);
        assert!(off(found, time(percent / 100.0 * length)) < 1e-2, "{percent} %: {found}");
    }
    let flow = &r.fill.passages[0];
    assert!(off(flow.pressure_drop_mpa, most / 1e6) < 1e-3, "{flow:?}");
    assert!(off(r.fill.nozzle_pressure_mpa, most / 1e6) < 1e-6);
    let last = history.rate_cm3_s.last().copied().expect("a step");
    assert!(off(last, 1e6 * w * h * most / per / length) < 2e-3, "{last}");
    // Wall stress P h/(2 s), greatest where the pressure runs out.
    assert!(off(flow.wall_stress_kpa, most * h / 2.0 / start / 1e3) < 2e-2, "{flow:?}");
    // The opening force of a linear pressure: P L w/2.
    assert!(
        off(r.fill.opening_force_kn, most * length * w / 2.0 / 1e3) < 5e-3,
        "{}",
        r.fill.opening_force_kn
    );
    // And the one number without a limit: 12 η L V/h².
    assert!(off(r.fill.required_pressure_mpa, per * length * speed / 1e6) < 1e-3);
}

/// The hold of a fill that was slowed begins with the temperatures and pressures that this fill left.
#[test]
fn the_hold_follows_the_slowed_fill() {
    let s = on_machine(&stiff_sleeve(), 70.0);
    let r = report(&s);
    assert_eq!(r.fill.outcome, Outcome::FullButSlow);
    let hold = r.hold.as_ref().expect("the part is full");
    let followed = moments(&s).expect("valid");
    let first = followed.moments.iter().find(|m| m.stage != gatefrost_report::Phase::Fill).expect("a hold");
    assert!(off(first.time_s, r.fill.fill_time_s) < 1e-9);
    let parts =
        followed.cells.iter().enumerate().filter(|(_, c)| r.cavity.passages[c.passage].role == "part");
    let hottest = parts.map(|(i, _)| first.mean_temperature_c[i]).fold(f64::NEG_INFINITY, f64::max);
    assert!((hold.history.hottest_part_c[0] - hottest).abs() < 1e-6, "{hottest}");
    let study = hold_study(&s).expect("valid");
    assert_eq!(study.gate_freeze_s, hold.gate_freeze_s);
    // The impossible fill would leave another gate.
    let strong = report(&on_machine(&s, 400.0)).hold.expect("the part is full");
    let [slowed, impossible] = [hold, &strong].map(|hold| hold.gate_freeze_s.expect("freezes"));
    assert!(off(slowed, impossible) > 0.01, "{slowed} and {impossible} s");
    let cycle: f64 = r.cool.cycle.iter().filter(|p| !p.inside).map(|p| p.seconds).sum();
    assert!(off(r.cool.cycle_s.expect("cools"), cycle) < 1e-12);
    assert_eq!(r.cool.cycle[1].seconds, r.fill.fill_time_s);
}

/// Margins as the machine's pressure passes what a setting needs: no step of any of them.
#[test]
fn no_margin_jumps_where_the_pressure_begins_to_run_out() {
    let mut all: Vec<Scenario> = demo::DEMOS.iter().map(demo::Demo::scenario).collect();
    all.push(stiff_sleeve());
    for s in &all {
        let need = Case::resolve(s).evaluate().fill.need / 1e6;
        let at = |max_pressure: f64| limits::margins(&Case::resolve(&on_machine(s, max_pressure)).evaluate());
        let [enough, hardly, short] = [1.001, 0.999, 0.97].map(|share| at(share * need));
        for limit in Limit::ALL {
            let [a, b, c] = [&enough, &hardly, &short].map(|g| g[limit as usize]);
            assert!((a - b).abs() < 0.02, "{}, {limit:?}: {a} to {b}", s.name);
            assert!((b - c).abs() < 0.2, "{}, {limit:?}: {b} to {c}", s.name);
        }
    }
}

/// The short-shot margin is ln(usable pressure/need) however far outside.
#[test]
fn the_short_shot_margin_is_the_logarithm_of_the_machine() {
    for s in [stiff_sleeve(), freezing_strip()] {
        let g = |p: f64| {
            limits::margins(&Case::resolve(&on_machine(&s, p)).evaluate())[Limit::ShortShot as usize]
        };
        let strong = g(400.0);
        for machine in [200.0, 100.0, 60.0, 50.0] {
            assert!((g(machine) - strong - (machine / 400.0_f64).ln()).abs() < 1e-12, "{machine} MPa");
        }
    }
}

/// Where the fill stops short there is no part: nothing of a hold is told, and nothing is left without a reason.
#[test]
fn a_short_shot_has_no_hold() {
    let s = on_machine(&freezing_strip(), 70.0);
    let r = report(&s);
    assert_eq!(r.fill.outcome, Outcome::ShortShot);
    assert!(r.hold.is_none() && !r.inside);
    assert!(r.cool.cycle.is_empty() && r.cool.cycle_s.is_none() && r.cool.cooling_time_s.is_none());
    assert!(r.after.oversize_factor.is_none() && r.after.no_size.is_some());
    assert!(r.fill.paths.iter().all(|p| p.shrinkage_percent.is_empty()));
    assert!(r.margins.iter().all(|m| limits::stage(m.limit) < Stage::Hold), "{:?}", r.margins);
    assert!(r.margins.iter().any(|m| m.limit == Limit::ShortShot && m.g < 0.0));
    assert!(r.remarks[0].starts_with("Short shot"), "{:?}", r.remarks);
    assert!(hold_study(&s).expect("valid").hold_time_s.is_empty());
    // Nobody who leaves the limit out gets a whole part by that.
    let mut ignored = s.clone();
    ignored.ignored = Limit::ALL.to_vec();
    assert!(!report(&ignored).inside);
}

/// Margins that need a full path go on where the fill stops just short of one.
#[test]
fn margins_go_on_where_the_path_just_stays_short() {
    let mut s = demo::default_demo().scenario();
    s.setup.switch_over = 100.0;
    s.setup.hold_pressure = 1.0;
    let at = |max_pressure: f64| Case::resolve(&on_machine(&s, max_pressure));
    let full = |p: f64| if at(p).evaluate().fill.full { 1.0 } else { -1.0 };
    let (mut low, mut high) = (5.0, 40.0);
    assert!(full(low) < 0.0 && full(high) > 0.0);
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        *(if full(middle) > 0.0 { &mut high } else { &mut low }) = middle;
    }
    let (low, high) = (at(low), at(high));
    let [short, whole] = [&low, &high].map(|case| case.evaluate());
    assert!(short.hold.is_none() && whole.hold.is_some());
    let [a, b] = [&short, &whole].map(limits::margins);
    for limit in Limit::ALL {
        let [a, b] = [&a, &b].map(|g| g[limit as usize]);
        assert!(a.is_finite() && (a - b).abs() < 0.3, "{limit:?}: {a} and {b}");
    }
}

fn limited_before_the_end() -> Scenario {
    let document: Value =
        serde_json::from_str(include_str!("limited-before-the-end.json")).expect("the case is JSON");
    build::read(&document)
}

/// Greatest shear rate over the gap of a cell: the rate at which the viscosity law, in closed form, carries each
/// layer's share of the wall stress.
fn rate_over_the_gap(case: &Case, wall_stress: f64, cell: usize, temperatures: &[f64]) -> f64 {
    let m = &case.material;
    let points = &case.cavity.layers(cell).stress_points;
    let of = |(j, &t): (usize, &f64)| {
        if t <= m.no_flow {
            return 0.0;
        }
        let stress = points[j] * wall_stress;
        let excess = |log: f64| m.viscosity.viscosity(log.exp(), t, 0.0).ln() + log - stress.ln();
        bisect(excess, -20.0, 25.0).exp()
    };
    temperatures.iter().enumerate().map(of).fold(0.0, f64::max)
}

/// The greatest rate of each cell is that of a moment at which melt flowed so, and not of a flow that was only
/// tried: the same is found again moment by moment from the wall stress and the temperatures.
#[test]
fn greatest_rates_are_of_what_flowed() {
    let mut s = limited_before_the_end();
    s.model = s.model.at_most(40, 12);
    let case = Case::resolve(&s);
    let cells = case.cavity.cells.len();
    let (mut flowed, mut sheared) = (vec![0.0_f64; cells], vec![0.0_f64; cells]);
    let fill = fill::watched(&case.material, &case.cavity, case.drive, &mut |march, _| {
        // The last moment is that of a front that stands.
        let moves = march.rate[0] > 1e-4 * case.drive.rate;
        for &i in march.reached.iter().filter(|_| moves) {
            flowed[i] = flowed[i].max(march.rate[i]);
            let rate = rate_over_the_gap(&case, march.stress[i].wall, i, march.layer_temperatures(i));
            sheared[i] = sheared[i].max(rate);
        }
    });
    assert!(fill.ran_out[0], "the case has to meet its limit");
    for i in 0..cells {
        assert_eq!(fill.end.greatest_flow[i], flowed[i], "cell {i}");
        let (found, expected) = (fill.end.greatest_rate[i], sheared[i]);
        assert!(
            off(found, expected) < 0.02 || found == expected,
            "cell {i}: {found} where {expected} flowed"
        );
    }
}

/// Whoever asks for more than the machine's rate is told that this machine cannot do it.
#[test]
fn a_rate_beyond_the_machine_is_said_first() {
    let mut s = demo::default_demo().scenario();
    let said = |s: &Scenario| report(s).remarks.iter().any(|r| r.contains("this machine cannot do"));
    assert!(!said(&s));
    s.machine.max_rate = 0.5;
    let r = report(&s);
    assert!(r.remarks[0].contains("at most 0.5 cm³/s"), "{:?}", r.remarks);
    assert!(r.margins.iter().any(|m| m.limit == Limit::Rate && m.g < 0.0));
    // What it says of the least time is met there.
    s.setup.injection_time = 1.001 * Case::resolve(&s).cavity.volume / 0.5e-6;
    assert!(!said(&s));
}

/// The greatest of a fill includes the instant at which the machine switches over.
#[test]
fn the_switch_over_counts_among_the_greatest() {
    let mut s = stiff_sleeve();
    s.machine.max_pressure = 400.0;
    for cells in [4, 20, 60] {
        s.model.axial_cells = cells;
        let fill = report(&s).fill;
        let peak = fill.nozzle_pressure_mpa / fill.required_pressure_mpa;
        assert!(
            peak > 1.0 - 1e-6,
            "{cells} cells: {} of {}",
            fill.nozzle_pressure_mpa,
            fill.required_pressure_mpa
        );
    }
    let case = Case::resolve(&s);
    let mut greatest = 0.0_f64;
    let fill = fill::watched(&case.material, &case.cavity, case.drive, &mut |march, _| {
        greatest = greatest.max(march.opening_force());
    });
    assert!(fill.opening_force >= greatest && greatest > 0.0, "{} {greatest}", fill.opening_force);
}

/// Time in the barrel counts the cycle with the fill that this machine does.
#[test]
fn the_cycle_in_the_barrel_has_the_slowed_fill() {
    let mut s = demo::default_demo().scenario();
    (s.machine.max_pressure, s.setup.hold_pressure) = (25.0, 25.0);
    let r = report(&s);
    assert_eq!(r.fill.outcome, Outcome::FullButSlow);
    let shots = s.machine.barrel_shots * s.machine.shot_volume / r.cavity.volume_cm3;
    let minutes = shots * r.cool.cycle_s.expect("it opens") / 60.0;
    let told = r.margins.iter().find(|m| m.limit == Limit::Residence).expect("it is told").value;
    assert!((told / minutes - 1.0).abs() < 1e-9, "{told} against {minutes} min");
    assert!(r.cool.cycle.iter().any(|part| part.name == "fill" && part.seconds == r.fill.fill_time_s));
    assert!(r.fill.fill_time_s > 1.02 * s.setup.injection_time);
}
