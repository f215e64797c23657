//! The bands about the lines against feedstocks drawn one by one, and contacts with the mould.

use gatefrost_core::limits::Limit;
use gatefrost_core::scenario::{Scenario, demo};
use gatefrost_core::uncertainty::{Doubt, Uncertainty};
use gatefrost_window::{Bands, Detail, margins_of};

const FEEDSTOCKS: usize = 200;

/// The demo with an uncertainty, on a model that is quick enough to be evaluated by the thousand.
fn uncertain() -> Scenario {
    let mut scenario = demo::find("pawl").expect("is a demo").scenario();
    scenario.model.axial_cells = 16;
    scenario.model.layers = 10;
    scenario
}

/// Standard normal numbers that repeat themselves (a linear congruence, Box and Muller).
fn normals() -> impl FnMut() -> f64 {
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    let mut uniform = move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((state >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    };
    move || (-2.0 * uniform().ln()).sqrt() * (std::f64::consts::TAU * uniform()).cos()
}

/// Fraction of side `side` (0 across, 1 up) at which a limit is just met, the other side held at `held`;
/// searched within `bounds`.
fn met(s: &Scenario, limit: Limit, side: usize, held: f64, bounds: [f64; 2]) -> Option<f64> {
    let (x, y) = (&s.window.x, &s.window.y);
    let margin = |f: f64| {
        let at = if side == 0 { [x.at(f), y.at(held)] } else { [x.at(held), y.at(f)] };
        margins_of(s, &[x.axis, y.axis], &at)[0][limit as usize]
    };
    let [mut a, mut b] = bounds;
    let low = margin(a);
    if (low < 0.0) == (margin(b) < 0.0) {
        return None;
    }
    for _ in 0..9 {
        let middle = 0.5 * (a + b);
        if (margin(middle) < 0.0) == (low < 0.0) { a = middle } else { b = middle }
    }
    Some(0.5 * (a + b))
}

/// Where the edges of a limit's band cross a line along `side`, as fractions of that side.
fn edges(s: &Scenario, bands: &Bands, limit: Limit, side: usize, held: f64) -> Vec<f64> {
    let band = bands.bands.iter().find(|b| b.limit == limit).expect("a band");
    let mut found = Vec::new();
    for edge in &band.edges {
        for pair in edge.windows(2) {
            let [a, b] = [pair[0], pair[1]].map(|p| s.window.fraction(p));
            let (from, to) = (a[1 - side] - held, b[1 - side] - held);
            if (from < 0.0) != (to < 0.0) {
                found.push(a[side] + from / (from - to) * (b[side] - a[side]));
            }
        }
    }
    found.sort_by(f64::total_cmp);
    found
}

/// Each edge against the 2.5 and 97.5 % of where the lines of 200 drawn feedstocks lie. So few leave a
/// quantile uncertain by a tenth of the half width, one standard error; what is allowed is a quarter, for
/// that and for the second order, and 0.6 % of the axis for the search and the lattice.
#[test]
fn bands_hold_what_drawn_feedstocks_do() {
    let s = uncertain();
    let uncertainty = s.feedstock.uncertainty.clone().expect("has one");
    let bands = Bands::of(&s, Detail::Fine).expect("can be computed");
    assert_eq!(bands.not_followed, 0);
    // Limit, side to look along, where the other side is held, and where to search.
    let cases = [
        (Limit::ShortShot, 0, 0.02, [0.0, 0.6]),
        (Limit::Burning, 1, 0.1, [0.3, 0.95]),
        (Limit::ColdFront, 0, 0.4, [0.5, 1.0]),
    ];
    for (limit, side, held, within) in cases {
        let mut found = edges(&s, &bands, limit, side, held);
        found.retain(|edge| (within[0]..within[1]).contains(edge));
        assert_eq!(found.len(), 2, "{limit:?}: {found:?}");
        let mut normal = normals();
        let mut lines: Vec<f64> = (0..FEEDSTOCKS)
            .map(|_| {
                let drawn: Vec<f64> = uncertainty.numbers.iter().map(|_| normal()).collect();
                let other = uncertainty.draw(&s, &drawn);
                met(&other, limit, side, held, within).expect("each drawn line is crossed")
            })
            .collect();
        lines.sort_by(f64::total_cmp);
        let quantile = |p: f64| lines[((p * FEEDSTOCKS as f64) as usize).min(FEEDSTOCKS - 1)];
        let half = 0.5 * (found[1] - found[0]);
        for (edge, p) in found.iter().zip([0.025, 0.975]) {
            let off = (edge - quantile(p)).abs();
            assert!(off < 0.25 * half + 0.006, "{limit:?}: {edge} against {}, half {half}", quantile(p));
        }
    }
}

/// An uncertain contact with the mould, log-normal by 30 %: the edges are where the lines lie with the contact
/// 1.96 standard deviations better and worse.
#[test]
fn a_band_of_the_contact_is_where_the_lines_of_other_contacts_are() {
    let mut s = uncertain();
    let path = "setup.contact_conductance".to_owned();
    let contact = Uncertainty {
        numbers: vec![Doubt { path, standard_error: 0.3, logarithmic: true }],
        correlation: Vec::new(),
    };
    s.feedstock.uncertainty = Some(contact.clone());
    let bands = Bands::of(&s, Detail::Fine).expect("can be computed");
    let within = [0.3, 1.0];
    let mut found = edges(&s, &bands, Limit::ColdFront, 0, 0.4);
    found.retain(|edge| (within[0]..within[1]).contains(edge));
    assert_eq!(found.len(), 2, "{found:?}");
    let half = 0.5 * (found[1] - found[0]);
    assert!(half > 0.01, "{found:?}");
    // The better the contact, the sooner the front is cold.
    for (edge, sign) in found.iter().zip([1.96, -1.96]) {
        let other = contact.draw(&s, &[sign]);
        let better = other.setup.contact_conductance > s.setup.contact_conductance;
        assert!(better == (sign > 0.0) && other.feedstock.uncertainty.is_none());
        let line = met(&other, Limit::ColdFront, 0, 0.4, within).expect("is crossed");
        assert!((edge - line).abs() < 0.25 * half + 0.006, "{edge} and {line}, half {half}");
    }
}

fn with(times: f64) -> Scenario {
    let mut s = uncertain();
    let known: &mut Uncertainty = s.feedstock.uncertainty.as_mut().expect("has one");
    known.numbers.iter_mut().for_each(|doubt| doubt.standard_error *= times);
    s
}

#[test]
fn without_uncertainty_there_is_no_band_and_nothing_is_evaluated() {
    let none = Bands::of(&with(0.0), Detail::Fine).expect("can be computed");
    assert_eq!((none.bands.len(), none.evaluations), (0, 0));
    let mut s = uncertain();
    s.feedstock.uncertainty = None;
    let none = Bands::of(&s, Detail::Fine).expect("can be computed");
    assert_eq!((none.bands.len(), none.evaluations), (0, 0));
}

/// To first order: an eighth and a quarter of the errors, so that the second order plays no part.
#[test]
fn twice_the_uncertainty_is_twice_as_wide() {
    let [one, two] = [0.125, 0.25].map(|times| Bands::of(&with(times), Detail::Fine).expect("computes"));
    let mut compared = 0;
    for band in &one.bands {
        // The time in the barrel hardly depends on the feedstock: what is left is the steps of the solver.
        if band.limit == Limit::Residence {
            continue;
        }
        let Some(wide) = two.bands.iter().find(|b| b.limit == band.limit) else { continue };
        for (a, b) in band.half_width.iter().zip(&wide.half_width) {
            let (Some(a), Some(b)) = (a, b) else { continue };
            assert!((b / a - 2.0).abs() < 0.15, "{:?}: {a} and {b}", band.limit);
            compared += 1;
        }
    }
    assert!(compared >= 6, "{compared}");
}

#[test]
fn limits_left_out_and_limits_that_no_feedstock_moves_have_no_band() {
    let mut s = uncertain();
    let all = Bands::of(&s, Detail::Coarse).expect("can be computed");
    let has = |bands: &Bands, limit| bands.bands.iter().any(|b| b.limit == limit);
    assert!(has(&all, Limit::ShortShot) && !has(&all, Limit::Rate));
    s.ignored = vec![Limit::ShortShot];
    let fewer = Bands::of(&s, Detail::Coarse).expect("can be computed");
    assert!(!has(&fewer, Limit::ShortShot));
}

/// A loading that spans the plane is what the axis says, however uncertain.
#[test]
fn a_number_that_spans_the_plane_is_known_there() {
    let mut s = uncertain();
    s.window.x = gatefrost_core::scenario::Span {
        axis: gatefrost_core::scenario::Axis::SolidsLoading,
        from: 52.0,
        to: 61.0,
    };
    let known = s.feedstock.uncertainty.as_mut().expect("has one");
    known.correlation.clear();
    known.numbers.truncate(1);
    known.numbers[0].path = "feedstock.solids_loading".to_owned();
    known.numbers[0].standard_error = 1.0;
    let bands = Bands::of(&s, Detail::Coarse).expect("can be computed");
    assert!(bands.evaluations > 0);
    assert_eq!(bands.bands, []);
}
