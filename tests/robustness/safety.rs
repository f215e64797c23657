//! What is promised of a set point under scatter, against the model itself.

use gatefrost_core::case::Case;
use gatefrost_core::limits::{self, Limit};
use gatefrost_core::scenario::{Axis, Role, Scenario, demo};
use gatefrost_core::uncertainty::{Doubt, Uncertainty};
use gatefrost_safety::{Best, DISTURBED, Unknown, best, leverage, levers, present, unknowns, yields};
use gatefrost_tests::random::Random;

/// A demo on a coarse model, its scatter some times the usual.
fn coarse(name: &str, times: f64) -> Scenario {
    let mut s = demo::find(name).expect("is a demo").scenario();
    (s.model.axial_cells, s.model.layers) = (14, 8);
    scatters(&mut s).into_iter().for_each(|sigma| *sigma *= times);
    s
}

fn scatters(s: &mut Scenario) -> [&mut f64; 6] {
    let r = &mut s.scatter;
    [
        &mut r.melt_temperature,
        &mut r.mould_temperature,
        &mut r.injection_time,
        &mut r.hold_pressure,
        &mut r.hold_time,
        &mut r.solids_loading,
    ]
}

fn sigmas(s: &Scenario) -> [f64; 6] {
    let r = &s.scatter;
    [
        r.melt_temperature,
        r.mould_temperature,
        r.injection_time / 100.0 * s.setup.injection_time,
        r.hold_pressure,
        r.hold_time,
        r.solids_loading,
    ]
}

/// Least margin with every setting moved by so many standard deviations.
fn least(s: &Scenario, z: &[f64; 6]) -> f64 {
    let mut there = s.clone();
    for ((axis, sigma), z) in DISTURBED.into_iter().zip(sigmas(s)).zip(z) {
        there.set(axis, s.get(axis) + sigma * z);
    }
    if there.validate().is_err() {
        return f64::NEG_INFINITY;
    }
    limits::margins(&Case::resolve(&there).evaluate()).into_iter().fold(f64::INFINITY, f64::min)
}

/// Normal numbers by Box and Muller.
fn normal(random: &mut Random) -> [f64; 6] {
    std::array::from_fn(|_| {
        let (a, b): (f64, f64) = (random.between(0.0, 1.0).max(1e-12), random.between(0.0, 1.0));
        (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    })
}

/// Share of shots inside, sampled plainly.
fn counted(s: &Scenario, shots: usize, seed: u64) -> f64 {
    let mut random = Random::new(seed);
    let inside = (0..shots).filter(|_| least(s, &normal(&mut random)) >= 0.0).count();
    inside as f64 / shots as f64
}

/// Monte Carlo on the model: 600 shots have a standard error of two per cent at most.
#[test]
fn the_yield_is_that_of_many_shots() {
    for (name, times) in [("hinge", 12.0), ("sleeve", 12.0), ("yoke", 14.0)] {
        let s = coarse(name, times);
        let found = yields(&s).expect("valid");
        let shots = 600;
        let plain = 100.0 * counted(&s, shots, 7);
        let error = 100.0 * (0.25 / shots as f64).sqrt();
        let [low, high] = found.interval_percent;
        assert!(low <= found.inside_percent && found.inside_percent <= high);
        assert!(plain < 99.5, "{name}: the scatter is large enough to tell: {plain}");
        assert!(
            plain > low - 2.0 * error - 1.0 && plain < high + 2.0 * error + 1.0,
            "{name}: {plain} ± {error} against {found:?}"
        );
        let broken: f64 = found.broken.iter().map(|b| b.percent).sum();
        assert!((broken + found.inside_percent - 100.0).abs() < 1e-6, "every shot is inside or broken once");
    }
}

/// Where margins jump, as where a part sticks that was held too short, or many limits are near, what the
/// quadratics are not sure of is counted on the model: the interval is narrow and holds what plain Monte Carlo
/// finds, within its own three standard errors.
#[test]
fn the_yield_is_counted_where_margins_jump() {
    let set = |name: &str, times: f64, settings: &[(Axis, f64)]| {
        let mut s = coarse(name, times);
        s.model = demo::find(name).expect("is a demo").scenario().model.at_most(24, 12);
        s.set_all(settings);
        s
    };
    let places = [
        ("hinge", set("hinge", 1.0, &[(Axis::MouldTemperature, 54.0)])),
        ("yoke", set("yoke", 1.0, &[(Axis::HoldTime, 2.69)])),
        ("guide", set("guide", 6.0, &[])),
    ];
    for (name, s) in places {
        let found = yields(&s).expect("valid");
        let shots = 700;
        let plain = counted(&s, shots, 11);
        let error = 300.0 * (plain * (1.0 - plain) / shots as f64).sqrt();
        let [low, high] = found.interval_percent;
        assert!(plain > 0.03 && plain < 0.99, "{name}: near enough to tell: {plain}");
        assert!(high - low <= 12.0, "{name}: {found:?}");
        assert!(
            low - error <= 100.0 * plain && 100.0 * plain <= high + error,
            "{name}: {plain} of {found:?}"
        );
        let broken: f64 = found.broken.iter().map(|b| b.percent).sum();
        assert!((broken + found.inside_percent - 100.0).abs() < 1e-6, "every shot is inside or broken once");
    }
}

/// Nine tenths of the disturbance that it bears keep the set point inside in every direction that is
/// tried; in the worst direction a fifth more does not. Nothing tried at random bears more.
#[test]
fn the_best_set_point_bears_what_it_promises_and_more_than_others() {
    for name in ["hinge", "yoke"] {
        let mut s = coarse(name, 4.0);
        let found = best(&s).expect("valid");
        assert!(found.bears >= found.present_bears, "{found:?}");
        assert!(found.bears > 1.0 && found.bears < 25.0, "{name}: {}", found.bears);
        for (axis, value) in &found.settings {
            s.set(*axis, *value);
        }
        let mut random = Random::new(3);
        for _ in 0..60 {
            let z = normal(&mut random);
            let length = z.iter().map(|z| z * z).sum::<f64>().sqrt();
            let scaled = z.map(|z| 0.9 * found.bears * z / length);
            // Beyond what can be computed nothing is promised.
            let g = least(&s, &scaled);
            assert!(g >= 0.0 || g == f64::NEG_INFINITY, "{name}: {g} at {scaled:?} of {}", found.bears);
        }
        let nearest = &found.failing[0];
        let mut worst = [0.0; 6];
        for (z, ((_, d), sigma)) in worst.iter_mut().zip(nearest.disturbance.iter().zip(sigmas(&s))) {
            *z = 1.2 * d / sigma;
        }
        assert!(least(&s, &worst) < 0.0, "{name}: {nearest:?}");
        // A brute search: the least margin at the corners of a cube of one standard deviation about random
        // set points, against the same about the best.
        let corners = |s: &Scenario| {
            let sign = |k: usize, i: usize| if i >> k & 1 == 1 { 1.0 } else { -1.0 };
            let corner = |i: usize| least(s, &std::array::from_fn(|k| 3.0 * sign(k, i * 5 + 3)));
            // Beyond what can be computed nothing is promised.
            (0..8).map(corner).filter(|g| g.is_finite()).fold(f64::INFINITY, f64::min)
        };
        let here = corners(&s);
        let better = (0..40)
            .filter(|_| {
                let mut other = s.clone();
                for axis in &DISTURBED[..5] {
                    other.set(*axis, s.get(*axis) * (0.75 + 0.5 * random.between(0.0, 1.0)));
                }
                corners(&other) > here + 0.15
            })
            .count();
        assert!(better <= 4, "{name}: {better} of 40 are clearly further inside than {here}");
    }
}

/// Inside or outside is the model's own word for each limit, where margins jump too.
#[test]
fn no_limit_that_holds_is_said_to_fail() {
    let places: [(&str, &[(Axis, f64)]); 3] = [
        ("yoke", &[(Axis::HoldPressure, 46.0), (Axis::HoldTime, 4.5)]),
        ("guide", &[(Axis::MouldTemperature, 51.0)]),
        ("guide", &[(Axis::MouldTemperature, 53.0)]),
    ];
    for (name, settings) in places {
        let mut s = demo::find(name).expect("is a demo").scenario();
        s.set_all(settings);
        let found = present(&s).expect("valid");
        let margins = limits::margins(&Case::resolve(&s).evaluate());
        let least = margins.iter().copied().fold(f64::INFINITY, f64::min);
        let best = Best::of(&s, found.clone(), found);
        assert!(least.abs() > 1e-6 && (best.bears >= 0.0) == (least > 0.0), "{name}: {least} {best:?}");
        for f in best.failing {
            let g = margins[Limit::ALL.iter().position(|l| *l == f.limit).expect("is one")];
            assert!((f.at >= 0.0) == (g >= 0.0), "{name}: {f:?} although the margin is {g}");
        }
    }
}

/// More scatter in everything: the set point bears no more standard deviations, and no more shots stay inside, as
/// far as the intervals tell.
#[test]
fn more_scatter_is_never_safer() {
    let mut random = Random::new(31);
    let mut inside = 0;
    for k in 0..6 {
        let demo = &demo::DEMOS[k % demo::DEMOS.len()];
        let mut s =
            random.near(&Scenario { scatter: coarse(demo.name, 3.0).scatter, ..demo.scenario() }, 6.0);
        s.model = s.model.at_most(20, 10);
        s.feedstock.uncertainty = None;
        // What is missed already is left to others.
        let margins = limits::margins(&Case::resolve(&s).evaluate());
        s.ignored = Limit::ALL.into_iter().filter(|&l| margins[l as usize] < 0.1).collect();
        let mut more = s.clone();
        scatters(&mut more).into_iter().for_each(|sigma| *sigma *= random.between(1.2, 2.5));
        let bears = [&s, &more].map(|s| {
            let found = present(s).expect("valid");
            Best::of(s, found.clone(), found).bears
        });
        assert!(bears[1] <= bears[0] * 1.02, "{bears:?}\n{}", more.to_json());
        let [a, b] = [&s, &more].map(|s| yields(s).expect("valid"));
        assert!(b.interval_percent[0] <= a.interval_percent[1], "{a:?}, {b:?}\n{}", more.to_json());
        inside += usize::from(b.inside_percent < a.inside_percent);
    }
    assert!(inside >= 3, "the scatter tells in {inside} of 6");
}

/// A feedstock that is not known well costs yield where a limit that it decides is near.
#[test]
fn an_uncertain_feedstock_costs_yield() {
    let mut s = coarse("hinge", 1.0);
    let pressure = gatefrost_report::evaluate(&s).expect("valid").fill.required_pressure_mpa;
    s.limits.pressure_use = 105.0 * pressure / s.machine.max_pressure;
    let certain = yields(&s).expect("valid");
    let path = "feedstock.flow_law.cross_wlf.tau_star".to_owned();
    let doubt = Doubt { path, standard_error: 0.25, logarithmic: true };
    s.feedstock.uncertainty = Some(Uncertainty { numbers: vec![doubt], correlation: Vec::new() });
    let uncertain = yields(&s).expect("valid");
    assert!(!certain.feedstock_uncertain && uncertain.feedstock_uncertain);
    assert!(uncertain.inside_percent < certain.inside_percent - 5.0, "{certain:?} then {uncertain:?}");
    assert_eq!(uncertain.broken[0].limit, Limit::ShortShot);
}

/// The worse the contact with the mould, the later the gate freezes; a hold that is longer by a twentieth than it
/// must be is too short in many shots where the contact alone is uncertain, by 50 %.
#[test]
fn an_uncertain_contact_costs_yield() {
    let mut s = coarse("hinge", 1.0);
    s.ignored = Limit::ALL.into_iter().filter(|&limit| limit != Limit::HoldCover).collect();
    let g = limits::margins(&Case::resolve(&s).evaluate())[Limit::HoldCover as usize];
    s.limits.hold_cover *= (g - 0.05).exp();
    let certain = yields(&s).expect("valid");
    let path = "setup.contact_conductance".to_owned();
    let doubt = Doubt { path, standard_error: 0.5, logarithmic: true };
    s.feedstock.uncertainty = Some(Uncertainty { numbers: vec![doubt], correlation: Vec::new() });
    let uncertain = yields(&s).expect("valid");
    assert!(uncertain.feedstock_uncertain && certain.inside_percent > 90.0, "{certain:?}");
    assert!((40.0..80.0).contains(&uncertain.inside_percent), "{uncertain:?}");
}

/// Monotone levers: a stronger machine never narrows the window, and what helps one way hurts the other.
#[test]
fn levers_pull_the_way_they_must() {
    let mut s = coarse("hinge", 8.0);
    // No shot asks for more hold pressure than the weaker machine has: it would be given less, and be the better
    // for it.
    s.scatter.hold_pressure = 1.0;
    let levers = levers(&s).expect("valid");
    let of = |words: &str| {
        let lever = levers.iter().find(|l| l.change.starts_with(words)).expect(words);
        [lever.window_points.expect("computed"), lever.yield_points.expect("computed")]
    };
    // Neither line bounds the window here. Where they are looked for moves the others by what interpolation costs.
    for [more, less] in [
        [of("machine with 10 % more pressure"), of("machine with 10 % less pressure")],
        [of("10 % more clamp"), of("10 % less clamp")],
    ] {
        assert!(more.iter().all(|m| *m >= -1e-3) && less.iter().all(|l| *l <= 1e-3), "{more:?} {less:?}");
    }
    assert!(of("1 vol% more powder")[0] < 0.0 && of("1 vol% less powder")[0] > 0.0);
}

/// What a change does to the share of shots is what plain Monte Carlo finds, the same shots before and after, near
/// limits that jump as well: within three standard errors of either.
#[test]
fn levers_change_the_yield_as_the_model_does() {
    let mut mould = coarse("hinge", 2.0);
    mould.set(Axis::MouldTemperature, 52.0);
    let mut hold = coarse("yoke", 2.0);
    hold.set(Axis::HoldTime, 2.75);
    type Change = (&'static str, fn(&mut Scenario));
    let changes: [Change; 3] = [
        ("gate 10 % thicker", |s| s.cavity.scale_depth(Role::Gate, 1.1)),
        ("mould 5 K colder", |s| s.setup.mould_temperature -= 5.0),
        ("1 vol% less powder", |s| s.feedstock.solids_loading -= 1.0),
    ];
    let mut largest = 0.0_f64;
    for s in [mould, hold] {
        let levers = leverage(&s, &[]).expect("valid");
        for (words, change) in changes {
            let lever = levers.iter().find(|l| l.change == words).expect(words);
            let found = lever.yield_points.expect("computed");
            let mut changed = s.clone();
            change(&mut changed);
            let mut random = Random::new(5);
            let shots: Vec<f64> = (0..400)
                .map(|_| normal(&mut random))
                .map(|z| [&changed, &s].map(|s| f64::from(u8::from(least(s, &z) >= 0.0))))
                .map(|[after, before]| 100.0 * (after - before))
                .collect();
            let n = shots.len() as f64;
            let plain = shots.iter().sum::<f64>() / n;
            let error = (shots.iter().map(|d| (d - plain).powi(2)).sum::<f64>() / n / n).sqrt();
            assert!(
                (found - plain).abs() < 3.0 * error.hypot(1.0),
                "{words}: {found}, counted {plain} ± {error}"
            );
            let [low, high] = lever.yield_interval_points.expect("computed");
            assert!(low < high && low <= found && found <= high, "{words}: {lever:?}");
            assert!(
                low - 3.0 * error.max(0.2) < plain && plain < high + 3.0 * error.max(0.2),
                "{words}: {plain} ± {error} is not in {lever:?}"
            );
            largest = largest.max(plain.abs());
        }
    }
    assert!(largest > 10.0, "near enough to tell: {largest}");
}

/// What is promised of the best set point is what it bears when it is set; a hold of no time is no end of the
/// search; a box that was left behind holds nothing much better.
#[test]
fn the_best_set_point_keeps_its_promise_when_taken() {
    let places: [(&str, &[(Axis, f64)]); 3] =
        [("guide", &[]), ("hinge", &[(Axis::HoldTime, 0.0)]), ("hinge", &[(Axis::GateDepth, 0.2774)])];
    for (name, settings) in places {
        let mut s = demo::find(name).expect("is a demo").scenario();
        s.set_all(settings);
        let found = best(&s).expect("valid");
        assert!(found.bears > 3.0, "{name} {settings:?}: {found:?}");
        s.set_all(&found.settings);
        let there = present(&s).expect("valid").bears();
        assert!(
            (there - found.bears).abs() < 0.02 * found.bears,
            "{name}: {} promised, {there}",
            found.bears
        );
    }
    // A place of the first box that was once missed.
    let mut s = demo::find("hinge").expect("is a demo").scenario();
    s.set(Axis::GateDepth, 0.2774);
    let found = best(&s).expect("valid");
    s.set_all(&[
        (Axis::MeltTemperature, 180.0),
        (Axis::MouldTemperature, 34.5),
        (Axis::InjectionTime, 0.596),
        (Axis::HoldPressure, 74.1),
        (Axis::HoldTime, 1.8),
    ]);
    let other = present(&s).expect("valid").bears();
    assert!(found.bears > 0.95 * other, "{} found, {other} there", found.bears);
}

/// The three usual unknowns of a feedstock are ranked by how many of their standard errors lie before a limit that they
/// move: a number that is known twice as well has twice as many, and one without an error moves nothing. The first is
/// decided by the physics, not by the order of the list, and its limit is one that breaks shots.
#[test]
fn the_unknown_that_comes_to_a_limit_first_matters_most() {
    for name in ["hinge", "latch", "clasp"] {
        let mut s = demo::find(name).expect("a demo").scenario();
        s.feedstock.uncertainty = Some(Uncertainty::usual(&s.feedstock));
        let found = unknowns(&s).expect("valid");
        assert_eq!(found.len(), 3);
        let errors = |list: &[Unknown]| list.iter().map(|u| u.errors.unwrap_or(1e9)).collect::<Vec<_>>();
        assert!(errors(&found).is_sorted() && errors(&found)[0] < 0.9 * errors(&found)[1], "{found:?}");
        assert!(found.iter().all(|u| u.margin > 0.0 && u.margin_then < u.margin), "{found:?}");
        s.feedstock.uncertainty.as_mut().expect("stated").numbers.reverse();
        assert_eq!(unknowns(&s).expect("valid"), found, "the order of the list decides nothing");
        let first = found[0].path.to_string();
        for doubt in &mut s.feedstock.uncertainty.as_mut().expect("stated").numbers {
            doubt.standard_error *= if doubt.path == first { 0.5 } else { 0.0 };
        }
        let better = unknowns(&s).expect("valid");
        assert_eq!(better[0].path, first);
        let twice = better[0].errors.expect("moves") / found[0].errors.expect("moves");
        assert!((1.4..3.0).contains(&twice), "{name}: {twice} times as many");
        assert!(better[1..].iter().all(|u| u.errors.is_none() && u.limit.is_none()), "{better:?}");
    }
}
