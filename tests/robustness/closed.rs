//! What would open a window that is closed.

use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Axis, Role, Scenario, Span, demo};
use gatefrost_safety::{Closed, closed, usable};
use gatefrost_window::{Detail, closest, margins_here, margins_of, trace};

/// A demo on a coarse model.
fn coarse(name: &str) -> Scenario {
    let mut s = demo::find(name).expect("is a demo").scenario();
    s.model = s.model.at_most(14, 8);
    s
}

fn worst(found: &Closed) -> f64 {
    found.as_set.as_ref().expect("computed").worst.g
}

/// Every change that is named does something, and the best comes first.
fn assert_ranked(found: &Closed) {
    let gained: Vec<f64> = found.levers.iter().filter_map(|lever| lever.gained).collect();
    assert!(gained.iter().all(|by| by.abs() > 1e-3), "a row that says nothing: {found:#?}");
    assert!(gained.is_sorted_by(|a, b| a >= b), "{gained:?}");
    for lever in &found.levers {
        assert_eq!(lever.gained.is_some(), lever.closest.is_some(), "{lever:?}");
    }
}

/// A hold pressure so low that it does not fill what is left after the switch-over, anywhere in the plane of injection time
/// and melt temperature: more hold pressure comes first and opens the window, as the window itself says.
#[test]
fn a_hold_pressure_that_closes_the_window_comes_first() {
    let mut s = coarse("hinge");
    s.set(Axis::HoldPressure, 4.0);
    assert_eq!(usable(&s, 0).map(f64::abs), Some(0.0), "closed");
    let found = closed(&s);
    assert_ranked(&found);
    assert!(worst(&found) < 0.0, "{found:?}");
    // The closest place lies between the pressure, which asks for hot melt, and what hot melt breaks.
    let worst = found.as_set.as_ref().expect("computed").worst.limit;
    assert!(matches!(worst, Limit::SwitchOver | Limit::Burning), "{worst:?}");
    let first = &found.levers[0];
    assert_eq!(first.change, "hold pressure from 4 to 12 MPa");
    assert!(first.closest.as_ref().expect("computed").worst.g > 0.0, "{first:?}");
    s.set(Axis::HoldPressure, 12.0);
    assert!(usable(&s, 0).expect("computed") > 0.0, "what is said to open the window does");
}

/// Only the machine's shot bounds the window: what a change does is known, ln V/V' of the volumes, and the one that
/// opens the window comes first. Settings do nothing, and are not said to.
#[test]
fn a_change_of_known_worth_is_worth_that() {
    let mut s = coarse("hinge");
    s.ignored = Limit::ALL.into_iter().filter(|&limit| limit != Limit::Shot).collect();
    let volume = s.cavity.volume();
    let with = |role: &[Role], factor: f64| {
        let mut changed = s.clone();
        role.iter().for_each(|role| changed.cavity.scale_depth(*role, factor));
        (volume / changed.cavity.volume()).ln()
    };
    let expected = [
        ("walls of the part 5 % thinner", with(&[Role::Part], 0.95)),
        ("sprue and runners 10 % thinner", with(&[Role::Sprue, Role::Runner], 0.9)),
        ("sprue and runners 10 % thicker", with(&[Role::Sprue, Role::Runner], 1.1)),
        ("walls of the part 5 % thicker", with(&[Role::Part], 1.05)),
    ];
    s.machine.shot_volume = volume * (-0.5 * expected[0].1.min(expected[1].1)).exp();
    let found = closed(&s);
    assert_eq!(usable(&s, 0), Some(0.0), "closed");
    assert_ranked(&found);
    for (words, by) in expected {
        let lever = found.levers.iter().find(|lever| lever.change == words).expect(words);
        assert!((lever.gained.expect("computed") - by).abs() < 1e-9, "{words}: {by} {lever:?}");
    }
    assert!(found.levers[0].closest.as_ref().expect("computed").worst.g > 0.0, "{:?}", found.levers[0]);
    for words in ["hold pressure", "hold time", "mould", "machine", "10 % more clamp"] {
        assert!(found.without_effect.iter().any(|change| change.starts_with(words)), "{words}: {found:?}");
        assert!(!found.levers.iter().any(|lever| lever.change.starts_with(words)), "{words}: {found:?}");
    }
}

/// Without any hold every place sinks: a hold time that is longer by a second is offered all the same.
#[test]
fn a_hold_of_no_time_is_made_longer() {
    let mut s = coarse("hinge");
    s.set(Axis::HoldTime, 0.0);
    let found = closed(&s);
    assert_ranked(&found);
    assert!(found.levers.iter().any(|lever| lever.change == "hold time from 0 to 1 s"), "{found:#?}");
    assert!(!found.without_effect.iter().any(|change| change.starts_with("hold time")), "{found:?}");
}

/// What spans the plane is no lever: it is moved there already. A flow rate is the injection time.
#[test]
fn what_spans_the_plane_is_no_lever() {
    let mut s = coarse("hinge");
    s.machine.shot_volume = 0.5 * s.cavity.volume();
    let side = |axis, from, to| Span { axis, from, to };
    for (x, y, moved) in [
        (
            side(Axis::FlowRate, 1.0, 20.0),
            side(Axis::HoldPressure, 20.0, 70.0),
            ["injection", "hold pressure"],
        ),
        (side(Axis::GateDepth, 0.3, 1.0), side(Axis::SolidsLoading, 55.0, 62.0), ["gate", "1 vol%"]),
        (side(Axis::MouldTemperature, 30.0, 50.0), side(Axis::HoldTime, 1.0, 5.0), ["mould", "hold time"]),
    ] {
        (s.window.x, s.window.y) = (x, y);
        let found = closed(&s);
        let mut words: Vec<&str> = found.levers.iter().map(|lever| &*lever.change).collect();
        words.extend(found.without_effect.iter().map(|change| &**change));
        assert!(words.len() > 15, "{words:?}");
        for moved in moved {
            assert!(!words.iter().any(|w| w.starts_with(moved)), "{moved}: {words:?}");
        }
    }
}

/// The best of the worst margin is no less than what a grid of 31 × 31 places finds, and is what the model says
/// there.
#[test]
fn nowhere_in_the_plane_is_the_worst_margin_better() {
    type Change = fn(&mut Scenario);
    let cases: [(&str, Change); 4] = [
        ("hinge", |s| s.set(Axis::HoldPressure, 8.0)),
        ("guide", |s| s.machine.max_pressure *= 0.12),
        ("sleeve", |s| s.limits.viscosity = 100.0),
        ("yoke", |s| s.set(Axis::HoldTime, 0.5)),
    ];
    for (name, change) in cases {
        let mut s = coarse(name);
        change(&mut s);
        s.setup.hold_pressure = s.setup.hold_pressure.min(s.machine.max_pressure);
        let found = closest(&s).expect("valid").expect("limits apply");
        let axes = s.window.axes();
        let least = |places: &[[f64; 2]]| {
            let all = margins_of(&s, &axes, places.as_flattened());
            let worst = |g: &[f64; Limit::COUNT]| {
                let applying = Limit::ALL.into_iter().zip(g).filter(|(limit, _)| !s.ignored.contains(limit));
                applying.map(|(_, g)| *g).fold(f64::INFINITY, f64::min)
            };
            all.iter().map(worst).fold(f64::NEG_INFINITY, f64::max)
        };
        assert!((least(&[found.place]) - found.worst.g).abs() < 1e-9, "{name}: {found:?}");
        let share = |k: usize| k as f64 / 30.0;
        let grid: Vec<[f64; 2]> =
            (0..31 * 31).map(|k| s.window.value([share(k % 31), share(k / 31)])).collect();
        let best = least(&grid);
        assert!(found.worst.g > best - 0.01, "{name}: {} found, {best} on the grid", found.worst.g);
        assert!(best < 0.0, "{name}: closed");
    }
}

/// The figure and the table name one place, where what is missed most is missed no more than at the set point. All that
/// is missed there is told: after a short shot what the hold does not meet, too.
#[test]
fn the_figure_and_the_table_name_one_place_and_all_that_it_misses() {
    type Change = fn(&mut Scenario);
    let cases: [(&str, Change); 2] =
        [("stiff", |s| s.limits.viscosity = 100.0), ("short", |s| s.set(Axis::HoldPressure, 2.0))];
    for (name, change) in cases {
        let mut s = coarse("hinge");
        change(&mut s);
        let nearest = trace(&s, Detail::Fine).expect("valid").nearest.expect("closed");
        let table = closest(&s).expect("valid").expect("limits apply");
        assert_eq!((nearest.place, &nearest.missed[0]), (table.place, &table.worst), "{name}");
        let here = margins_here(&s).into_iter().fold(f64::INFINITY, f64::min);
        assert!(table.worst.g >= here, "{name}: {here} at the set point, {table:?}");
        let there = margins_of(&s, &s.window.axes(), &nearest.place)[0];
        let missed: Vec<Limit> =
            Limit::ALL.into_iter().zip(there).filter(|(_, g)| *g < 0.0).map(|(limit, _)| limit).collect();
        let mut told: Vec<Limit> = nearest.missed.iter().map(|m| m.limit).collect();
        told.sort_by_key(|limit| *limit as usize);
        assert_eq!(told, missed, "{name}");
        if name == "short" {
            assert!(missed.contains(&Limit::SwitchOver) && missed.contains(&Limit::Sink), "{missed:?}");
        }
    }
}
