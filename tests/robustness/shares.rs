//! Shares of shots inside, against probabilities that are known.

use gatefrost_core::case::Case;
use gatefrost_core::limits::{self, Limit};
use gatefrost_core::scenario::{Axis, Scenario, demo};
use gatefrost_core::uncertainty::{Doubt, Uncertainty};
use gatefrost_safety::{Yield, leverage, yields};

/// Share of a normal distribution below so many standard deviations, from a table (Abramowitz and Stegun, table 26.1,
/// from memory).
const TABLE: [(f64, f64); 8] = [
    (0.0, 0.5),
    (0.5, 0.691_462),
    (1.0, 0.841_345),
    (1.5, 0.933_193),
    (2.0, 0.977_250),
    (2.5, 0.993_790),
    (3.0, 0.998_650),
    (4.0, 0.999_968_3),
];

/// Both halves of the table.
fn table() -> impl Iterator<Item = (f64, f64)> {
    let [below, above] = [-1.0, 1.0].map(|sign| {
        TABLE.iter().map(move |(z, share)| (sign * z, if sign < 0.0 { 1.0 - share } else { *share }))
    });
    below.chain(above)
}

/// The first demo on a coarse model, with one limit that applies and no scatter.
fn with_one_limit(limit: Limit) -> Scenario {
    let mut s = demo::default_demo().scenario();
    (s.model.axial_cells, s.model.layers) = (8, 5);
    s.ignored = Limit::ALL.into_iter().filter(|&other| other != limit).collect();
    let r = &mut s.scatter;
    for sigma in [&mut r.melt_temperature, &mut r.mould_temperature, &mut r.injection_time] {
        *sigma = 0.0;
    }
    (r.hold_pressure, r.hold_time, r.solids_loading) = (0.0, 0.0, 0.0);
    s
}

/// The interval has a width and holds the truth, which is given as a share.
fn holds(found: &Yield, truth: f64) -> bool {
    let [low, high] = found.interval_percent;
    assert!(low < high, "an interval of no width: {found:?}");
    assert!(low <= found.inside_percent && found.inside_percent <= high, "{found:?}");
    (low..=high).contains(&(100.0 * truth))
}

/// Only the machine's rate bounds the window, and only the injection time scatters: a shot is inside where its time
/// is longer than volume over rate. The share inside is that of the normal distribution, up to where less
/// than one shot in 30 000 is of the other kind, and the interval holds it, within a tenth of a point.
#[test]
fn the_interval_holds_a_share_known_from_the_normal_distribution() {
    for (z, truth) in table() {
        let mut s = with_one_limit(Limit::Rate);
        s.scatter.injection_time = 2.0;
        let needed = s.get(Axis::FlowRate);
        s.limits.rate_use = 100.0;
        s.machine.max_rate = needed / (1.0 - 0.02 * z);
        let found = yields(&s).expect("valid");
        assert!(holds(&found, truth), "{z}: {truth} is not in {found:?}");
        assert!((found.inside_percent - 100.0 * truth).abs() < 1.0, "{z}: {truth} {found:?}");
        let [low, high] = found.interval_percent;
        assert!(high - low < 8.0, "{z}: {found:?}");
    }
}

/// Only the ejection temperature bounds the window and is uncertain, nothing scatters: all shots of a feedstock
/// agree, and 128 feedstocks tell no more than 128 trials do. The interval holds the probability; where all of
/// them agree, at either end, it reaches as far as the rule of three.
#[test]
fn the_interval_knows_how_many_feedstocks_were_drawn() {
    for (z, truth) in table() {
        let mut s = with_one_limit(Limit::Ejection);
        s.setup.cooling_time = None;
        let error = 2.0;
        s.feedstock.ejection_temperature = s.setup.mould_temperature + error * z;
        let path = "feedstock.ejection_temperature".to_owned();
        let doubt = Doubt { path, standard_error: error, logarithmic: false };
        s.feedstock.uncertainty = Some(Uncertainty { numbers: vec![doubt], correlation: Vec::new() });
        let found = yields(&s).expect("valid");
        assert!(found.feedstock_uncertain && holds(&found, truth), "{z}: {truth} is not in {found:?}");
        let [low, high] = found.interval_percent;
        let three = 300.0 / 128.0;
        if found.inside_percent == 0.0 {
            assert!((high - three).abs() < 1e-9, "{z}: {found:?}");
        }
        if found.inside_percent == 100.0 {
            assert!((100.0 - low - three).abs() < 1e-9, "{z}: {found:?}");
        }
        assert!(high - low >= three - 1e-9, "{z}: {found:?}");
    }
}

/// The same of what a change does: a mould 5 K hotter or colder moves the distribution by 2.5 standard errors, and the
/// other changes do nothing here. A change that none of 128 feedstocks shows may still be that of one in 43.
#[test]
fn what_a_change_does_is_known_no_better_than_the_feedstocks_tell() {
    let share = |z: f64| table().find(|(at, _)| *at == z).map_or(1.0, |(_, share)| share);
    for z in [0.5, 1.5, 4.0] {
        let mut s = with_one_limit(Limit::Ejection);
        s.setup.cooling_time = None;
        s.feedstock.ejection_temperature = s.setup.mould_temperature + 2.0 * z;
        let path = "feedstock.ejection_temperature".to_owned();
        let doubt = Doubt { path, standard_error: 2.0, logarithmic: false };
        s.feedstock.uncertainty = Some(Uncertainty { numbers: vec![doubt], correlation: Vec::new() });
        for lever in leverage(&s, &[]).expect("valid") {
            let moved = match &*lever.change {
                "mould 5 K hotter" => z - 2.5,
                "mould 5 K colder" => z + 2.5,
                _ => z,
            };
            let truth = 100.0 * (share(moved) - share(z));
            let [low, high] = lever.yield_interval_points.expect("computed");
            assert!(low <= truth && truth <= high, "{z}: {truth} is not in {lever:?}");
            assert!(high - low > 2.0 * 300.0 / 128.0 - 1e-9, "{z}: {lever:?}");
        }
    }
}

/// Far outside and far inside, for the usual scatter of every demo: never "between 0 % and 0 %".
#[test]
fn no_interval_is_without_width() {
    for d in demo::DEMOS {
        let mut s = d.scenario();
        s.model = s.model.at_most(10, 6);
        let (inside, mut outside) = (s.clone(), s.clone());
        outside.machine.shot_volume = 0.5 * s.cavity.volume();
        for s in [inside, outside] {
            let least =
                limits::margins(&Case::resolve(&s).evaluate()).into_iter().fold(f64::INFINITY, f64::min);
            let found = yields(&s).expect("valid");
            assert!(holds(&found, found.inside_percent / 100.0), "{}", d.name);
            assert!(least > 0.0 || found.interval_percent[0] < 100.0, "{}: {found:?}", d.name);
            assert!(found.interval_percent.iter().all(|p| (0.0..=100.0).contains(p)), "{found:?}");
        }
    }
}
