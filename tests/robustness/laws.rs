//! Monotone laws of the window on random scenarios: more machine never shrinks it, a stricter threshold never
//! widens it, a limit left out never shrinks it. Each is looked at place by place, and in what is traced.

use gatefrost_core::catalogue;
use gatefrost_core::document;
use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Axis, Scenario, demo};
use gatefrost_tests::random::Random;
use gatefrost_window::{Detail, Margins, Surface, Window, margins_at, margins_here, trace, window};

/// Scenarios near the demos, on a model of few cells.
/// The first demos: their machines are so far inside the catalogue's ranges that a law has room on both sides.
const DEMOS: usize = 5;

fn scenarios(count: usize, seed: u64) -> Vec<Scenario> {
    let mut random = Random::new(seed);
    let mut near = |k: usize| {
        let mut s = random.near(&demo::DEMOS[k % DEMOS].scenario(), 20.0);
        s.model = s.model.at_most(8, 4);
        s.feedstock.uncertainty = None;
        s
    };
    (0..count).map(&mut near).collect()
}

/// Margins where a coarse window looks at them, and the window itself.
struct Seen {
    margins: Vec<Margins>,
    window: Window,
}

impl Seen {
    fn of(s: &Scenario) -> Self {
        s.validate_plane().unwrap_or_else(|e| panic!("{e}"));
        let margins = margins_at(s, &Surface::new(Detail::Coarse, &[]).wanted(), &[]);
        Self::at(s, margins)
    }

    fn at(s: &Scenario, margins: Vec<Margins>) -> Self {
        let surface = Surface::by(Detail::Coarse, &[], |_| margins.clone());
        Self { window: window(s, &surface), margins }
    }

    /// Whether every limit that counts holds at a place.
    fn usable(&self, s: &Scenario, place: usize) -> bool {
        let holds = |(limit, g): (Limit, &f64)| *g >= 0.0 || s.ignored.contains(&limit);
        Limit::ALL.into_iter().zip(&self.margins[place]).all(holds)
    }
}

/// Whether a place, in shares of the sides, lies within a window's outlines: they cross a line from it to the
/// right an odd number of times.
fn within(window: &Window, [x, y]: [f64; 2]) -> bool {
    let mut inside = false;
    for outline in &window.outlines {
        for k in 0..outline.len() {
            let [a, b] = [outline[k], outline[(k + 1) % outline.len()]].map(|p| window.plane.fraction(p));
            if (a[1] > y) != (b[1] > y) && a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]) > x {
                inside = !inside;
            }
        }
    }
    inside
}

/// Share of the plane that lies within the first window and not within the second.
fn beyond(smaller: &Window, larger: &Window) -> f64 {
    const SIDE: usize = 50;
    let places = (0..SIDE * SIDE).map(|k| [k % SIDE, k / SIDE].map(|i| (i as f64 + 0.5) / SIDE as f64));
    places.filter(|&p| within(smaller, p) && !within(larger, p)).count() as f64 / (SIDE * SIDE) as f64
}

/// A change of a scenario to the kinder, by a share of what it changes: its name, and the limit that is then
/// farther away. The others stay as they are.
type Kinder = (&'static str, Limit, fn(&mut Scenario, f64));

const THRESHOLDS: [Kinder; 18] = [
    ("pressure use", Limit::ShortShot, |s, by| raise(&mut s.limits.pressure_use, by, 100.0)),
    ("rate use", Limit::Rate, |s, by| raise(&mut s.limits.rate_use, by, 100.0)),
    ("clamp use", Limit::Flash, |s, by| raise(&mut s.limits.clamp_use, by, 100.0)),
    ("reserve above melting", Limit::Melted, |s, by| ease(&mut s.limits.melt_reserve, by)),
    ("viscosity", Limit::StiffGate, |s, by| raise(&mut s.limits.viscosity, by, 1e6)),
    ("wall stress", Limit::WallStress, |s, by| raise(&mut s.limits.wall_stress, by, 100.0)),
    ("shear rate", Limit::Separation, |s, by| raise(&mut s.limits.shear_rate, by, 1e8)),
    ("speed of a strand", Limit::Jetting, |s, by| raise(&mut s.limits.jet_speed, by, 1e3)),
    ("air pressure", Limit::Venting, |s, by| {
        s.limits.air_pressure = 0.11 + (s.limits.air_pressure - 0.11) * (1.0 + by)
    }),
    ("loss of binder", Limit::Burning, |s, by| raise(&mut s.limits.binder_loss, by, 50.0)),
    ("onset of decomposition", Limit::Burning, |s, by| raise(&mut s.feedstock.burn_onset, by, 600.0)),
    ("cold front", Limit::ColdFront, |s, by| ease(&mut s.limits.cold_front_reserve, by)),
    ("weld line", Limit::Weld, |s, by| ease(&mut s.limits.weld_reserve, by)),
    ("hold over gate freeze", Limit::HoldCover, |s, by| s.limits.hold_cover *= 1.0 - 0.5 * by),
    ("residual pressure", Limit::Residual, |s, by| raise(&mut s.limits.residual_pressure, by, 400.0)),
    ("rise of the water", Limit::CoolingWater, |s, by| raise(&mut s.limits.water_rise, by, 50.0)),
    ("time in the barrel", Limit::Residence, |s, by| raise(&mut s.feedstock.barrel_time, by, 1e3)),
    ("shots in the barrel", Limit::Residence, |s, by| s.machine.barrel_shots /= 1.0 + by),
];

/// Of limits that are the same over most planes, and cut hardly any.
const EVERYWHERE: [Kinder; 6] = [
    ("loss while soft", Limit::Sink, |s, by| raise(&mut s.limits.soft_loss, by, 20.0)),
    ("share of the shot", Limit::SmallShot, |s, by| s.limits.shot_share *= 1.0 - 0.5 * by),
    ("distance to the critical loading", Limit::Loading, |s, by| s.limits.loading_gap *= 1.0 - 0.5 * by),
    ("grains over the gate", Limit::GatePowder, |s, by| s.limits.gate_grains *= 1.0 - 0.5 * by),
    ("gate over the wall", Limit::GateWall, |s, by| raise(&mut s.limits.gate_wall, by, 1e3)),
    ("migration", Limit::Migration, |s, by| raise(&mut s.limits.migration, by, 1e3)),
];

/// Not a larger barrel: there the melt waits longer.
const MACHINES: [Kinder; 5] = [
    ("greatest pressure", Limit::ShortShot, |s, by| raise(&mut s.machine.max_pressure, by, 400.0)),
    ("greatest rate", Limit::Rate, |s, by| raise(&mut s.machine.max_rate, by, 5e3)),
    ("clamp force", Limit::Flash, |s, by| raise(&mut s.machine.clamp_force, by, 1e5)),
    ("width of the vents", Limit::Venting, |s, by| raise(&mut s.mould.vent_width, by, 1e4)),
    ("cooling water", Limit::CoolingWater, |s, by| raise(&mut s.mould.water_flow, by, 1e3)),
];

/// A reserve in kelvin, up to 150 K less or more.
fn ease(reserve: &mut f64, by: f64) {
    *reserve = (*reserve - 150.0 * by).clamp(0.0, 200.0);
}

fn raise(value: &mut f64, by: f64, most: f64) {
    *value = (*value * (1.0 + by)).min(most);
}

/// A scenario in whose window a change's limit counts, and a kinder one: the limit cuts off about half of what the
/// others leave, and then less. Limits that would leave nothing are left out. `None` where the limit can not be
/// brought there.
fn pair(
    s: &Scenario,
    before: &Seen,
    &(_, limit, change): &Kinder,
    random: &mut Random,
) -> Option<[Scenario; 2]> {
    let mut s = s.clone();
    let broken = |l: Limit| before.margins.iter().filter(|m| m[l as usize] < 0.0).count();
    s.ignored =
        Limit::ALL.into_iter().filter(|&l| l != limit && 2 * broken(l) > before.margins.len()).collect();
    let others = Scenario { ignored: [&s.ignored[..], &[limit]].concat(), ..s.clone() };
    let mut left: Vec<usize> =
        (0..before.margins.len()).filter(|&place| before.usable(&others, place)).collect();
    left.sort_by(|&a, &b| before.margins[a][limit as usize].total_cmp(&before.margins[b][limit as usize]));
    let middle = Surface::new(Detail::Coarse, &[]).wanted()[*left.get(left.len() / 2)?];
    let at = |by: f64| {
        let mut changed = s.clone();
        change(&mut changed, by);
        changed.validate_plane().is_ok().then_some(changed)
    };
    let steps = [-0.97, -0.9, -0.8, -0.65, -0.5, -0.35, -0.2, 0.0, 0.3, 0.7, 0.95];
    let missed = |s: &Scenario| margins_at(s, &[middle], &[])[0][limit as usize] < 0.0;
    let last = steps.iter().rposition(|&by| at(by).is_some_and(|s| missed(&s)))?;
    Some([at(steps[last])?, at(random.between(steps[last], 1.0))?])
}

/// Each change on so many of the scenarios: the margin of the limit nowhere falls, every place that was usable
/// still is, and what is traced holds what was traced before, up to what interpolation between the places costs.
fn never_shrinks(changes: &[Kinder], each: usize, scenarios: &[Scenario]) {
    let mut random = Random::new(9);
    let as_they_are: Vec<Seen> = scenarios.iter().map(Seen::of).collect();
    let mut wider = 0;
    for (k, change) in changes.iter().enumerate() {
        let &(what, limit, _) = change;
        let mut tried = 0;
        for n in (0..scenarios.len()).map(|n| (k + n) % scenarios.len()) {
            if tried == each {
                break;
            }
            let Some([strict, kinder]) = pair(&scenarios[n], &as_they_are[n], change, &mut random) else {
                continue;
            };
            tried += 1;
            let [before, after] = [&strict, &kinder].map(Seen::of);
            let said = || format!("{what}\n{}\n{}", strict.to_json(), kinder.to_json());
            for (place, (a, b)) in before.margins.iter().zip(&after.margins).enumerate() {
                let [a, b] = [a, b].map(|margins| margins[limit as usize]);
                assert!(b >= a - SAME, "{a} fell to {b}: {}", said());
                assert!(
                    !before.usable(&strict, place) || after.usable(&kinder, place),
                    "{place}: {}",
                    said()
                );
            }
            let lost = beyond(&before.window, &after.window);
            assert!(lost <= BETWEEN, "{lost} of the plane is lost: {}", said());
            wider += usize::from(after.window.usable_share > before.window.usable_share + BETWEEN);
        }
        assert_eq!(tried, each, "{what} cuts no window");
    }
    let tried = each * changes.len();
    assert!(4 * wider >= 3 * tried, "{wider} of {tried} are wider");
}

/// Margins that differ by no more are the same: past the machine's pressure the fill is computed without heat
/// that no machine could put in.
const SAME: f64 = 1e-6;
/// Share of the plane that the lines may be off between the places that were looked at.
const BETWEEN: f64 = 0.004;

#[test]
fn a_stronger_machine_never_shrinks_the_window() {
    let mut all = scenarios(10, 11);
    // A machine that is too weak to fill may still hold.
    for s in &mut all {
        s.setup.hold_pressure *= 0.2;
        for side in [&mut s.window.x, &mut s.window.y] {
            if side.axis == Axis::HoldPressure {
                (side.from, side.to) = (0.2 * side.from, 0.2 * side.to);
            }
        }
    }
    never_shrinks(&MACHINES, 2, &all);
}

/// Every number of the group `limits` is one of those that are moved here.
#[test]
fn every_threshold_has_its_change() {
    let mut s = demo::default_demo().scenario();
    s.limits.shot_share = 20.0;
    let before = document::tree(&s).expect("a document");
    let mut moved = Vec::new();
    for (_, _, change) in THRESHOLDS.iter().chain(&EVERYWHERE) {
        let mut kinder = s.clone();
        change(&mut kinder, 0.1);
        let after = document::tree(&kinder).expect("a document");
        let limits = before["limits"].as_object().expect("thresholds");
        moved.extend(
            limits.iter().filter(|(name, value)| after["limits"][*name] != **value).map(|(name, _)| name),
        );
    }
    for p in catalogue::all().filter(|p| p.group == "limits") {
        assert!(moved.iter().any(|name| *name == p.field), "{} is moved by no line above", p.path());
    }
}

#[test]
fn a_stricter_threshold_never_widens_the_window() {
    never_shrinks(&THRESHOLDS, 1, &scenarios(18, 12));
}

/// The same on windows whose lines are refined: each is looked at in other places.
#[test]
fn refined_windows_are_nested_too() {
    let mut random = Random::new(13);
    let all = [&THRESHOLDS[..], &MACHINES].concat();
    let mut wider = 0;
    for s in scenarios(12, 13) {
        let change = &all[random.below(all.len() as u64) as usize];
        let Some(pair) = pair(&s, &Seen::of(&s), change, &mut random) else { continue };
        let [before, after] = pair.each_ref().map(|s| trace(s, Detail::Fine).expect("valid"));
        let lost = beyond(&before, &after);
        assert!(lost <= BETWEEN, "{}: {lost} of the plane is lost\n{}", change.0, pair[0].to_json());
        wider += usize::from(after.usable_share > before.usable_share + BETWEEN);
    }
    assert!(wider >= 3, "{wider} are wider");
}

#[test]
fn a_limit_left_out_never_shrinks_the_window() {
    let mut wider = 0;
    for s in scenarios(10, 14) {
        let mut fewer = s.clone();
        let mut before = Seen::of(&s);
        for limit in Limit::ALL {
            fewer.ignored.push(limit);
            // Margins are what they were; they are not looked at.
            let after = Seen::at(&fewer, before.margins.clone());
            let lost = beyond(&before.window, &after.window);
            assert!(lost == 0.0, "{limit:?}: {lost} of the plane is lost\n{}", s.to_json());
            assert!(after.window.lines.iter().all(|line| line.limit != limit));
            wider += usize::from(after.window.usable_share > before.window.usable_share);
            before = after;
        }
        let all = before.window.usable_share;
        assert!((all - 1.0).abs() < 1e-9, "without limits all of the plane is usable: {all}");
        assert_eq!(Seen::of(&fewer).margins, before.margins, "what is left out is computed as before");
    }
    assert!(wider >= 10, "{wider} are wider");
}

fn margin(s: &Scenario, limit: Limit) -> f64 {
    s.validate().unwrap_or_else(|e| panic!("{e}"));
    margins_here(s)[limit as usize]
}

/// A margin along rising values of a setting, scenario by scenario: it must not fall, and must rise somewhere.
fn rises(seed: u64, limit: Limit, set: impl Fn(&mut Scenario, f64)) {
    let mut rose = 0;
    for s in scenarios(15, seed) {
        let at = |by: f64| {
            let mut s = s.clone();
            set(&mut s, by);
            margin(&s, limit)
        };
        let along = [1.0, 1.2, 1.5, 2.0, 3.0].map(at);
        assert!(along.windows(2).all(|g| g[1] >= g[0] - SAME), "{limit:?}: {along:?}\n{}", s.to_json());
        rose += usize::from(along[4] > along[0] + SAME);
    }
    assert!(rose >= 10, "{limit:?} rises in {rose} of 15");
}

#[test]
fn margins_rise_with_what_gives_them_room() {
    rises(21, Limit::ShortShot, |s, by| s.machine.max_pressure *= by);
    rises(22, Limit::Shot, |s, by| s.machine.shot_volume *= by);
    for (seed, (_, limit, change)) in (40..).zip(EVERYWHERE) {
        rises(seed, limit, |s, by| {
            // Documents of version 1 ask for no share, and margins of ratios are capped where powder is fine.
            (s.limits.shot_share, s.limits.migration) = (20.0, 0.005);
            change(s, by - 1.0);
        });
    }
    rises(23, Limit::Rate, |s, by| s.machine.max_rate *= by);
    rises(24, Limit::Rate, |s, by| s.setup.injection_time *= by);
    rises(25, Limit::Venting, |s, by| s.setup.injection_time *= by);
    rises(26, Limit::HoldCover, |s, by| s.setup.hold_time *= by);
}

/// In a larger barrel the melt waits longer.
#[test]
fn a_larger_shot_costs_time_in_the_barrel() {
    for s in scenarios(8, 27) {
        let larger = Scenario {
            machine: gatefrost_core::scenario::Machine {
                shot_volume: 2.0 * s.machine.shot_volume,
                ..s.machine.clone()
            },
            ..s.clone()
        };
        let [a, b] = [&s, &larger].map(|s| margin(s, Limit::Residence));
        assert!((a - b - 2_f64.ln()).abs() < 1e-9, "{a} and {b}\n{}", s.to_json());
    }
}

/// What filling at the set rate needs is a matter of the fill: the hold pressure comes after it.
#[test]
fn the_hold_pressure_does_not_change_what_filling_needs() {
    for s in scenarios(10, 28) {
        let needs = |hold: f64| {
            let mut s = s.clone();
            s.setup.hold_pressure = hold * s.machine.max_pressure;
            margin(&s, Limit::ShortShot)
        };
        let low = needs(0.2);
        for hold in [0.5, 0.8, 1.0] {
            assert!(
                (needs(hold) - low).abs() < 1e-9,
                "{} at {hold}, {low} at 0.2\n{}",
                needs(hold),
                s.to_json()
            );
        }
    }
}
