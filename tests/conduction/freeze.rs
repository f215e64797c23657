//! Gate freeze: the hand formula, and the fluidity of the gate integrated over the series.

use super::hold::{ALPHA, EJECTION, H, MELT, NO_FLOW, WALL, biot, held, time_of};
use super::series::Series;
use gatefrost_core::cavity::Kind;
use gatefrost_core::cool::{Where, cooling_time};
use gatefrost_tests::numeric::{bisect, off, simpson};

/// With perfect contact the transient tends to the hand formula; with a real contact it takes longer,
/// by about the time the contact's resistance adds.
#[test]
fn the_hand_formula_is_the_limit_of_perfect_contact() {
    for kind in [Kind::Flat, Kind::Round] {
        let hand = |place| cooling_time(kind, place, H, ALPHA, MELT, WALL, NO_FLOW).expect("cools");
        let centre: Vec<f64> = [2e3, 2e4, 2e5, 1e7]
            .iter()
            .map(|&contact| held(kind, contact, 60, 30.0).1.gates[0].centre_freeze.expect("freezes"))
            .collect();
        assert!(centre.windows(2).all(|w| w[1] < w[0]), "better contact freezes sooner: {centre:?}");
        assert!(
            off(centre[3], hand(Where::Centre)) < 1e-2,
            "{kind:?}: {centre:?}, hand {}",
            hand(Where::Centre)
        );
        assert!(centre[0] > 1.3 * hand(Where::Centre), "{kind:?}: {centre:?}");
        let series = Series::new(kind, 1e9);
        let mean = cooling_time(kind, Where::Mean, H, ALPHA, MELT, WALL, EJECTION).expect("cools");
        assert!(off(mean, time_of(EJECTION, |f| series.mean(f))) < 1e-4, "one term is enough");
    }
}

/// The gate's fluidity ∫ y² a(T) dy (∫ r³ a dr) of a Newtonian melt of activation energy E, cut off as
/// exp(−((T_nf − T)/1 K)²) below T_nf, over the series' temperatures: the instant at which it is a
/// thousandth of its start.
#[test]
fn gate_freeze_is_where_the_fluidity_has_gone() {
    const R: f64 = 8.314_462_618;
    for kind in [Kind::Flat, Kind::Round] {
        for contact in [2e3, 1e5] {
            let series = Series::new(kind, biot(contact));
            let mobility = |t: f64| {
                let arrhenius = (40e3 / R * (1.0 / MELT - 1.0 / t)).exp();
                let below = (NO_FLOW - t).max(0.0);
                arrhenius * (-below * below).exp()
            };
            let power = if kind == Kind::Flat { 2 } else { 3 };
            let fluidity = |fourier: f64| {
                let local = |y: f64| mobility(WALL + (MELT - WALL) * series.at(y, fourier)) * y.powi(power);
                simpson(local, 0.0, 1.0, 200) * f64::from(power + 1)
            };
            let exact = bisect(|fourier| (fluidity(fourier) / 1e-3).ln(), 0.05, 20.0) * H * H / ALPHA;
            let found = [20, 40, 80].map(|n| held(kind, contact, n, 40.0).1.gate_freeze().expect("freezes"));
            assert!(off(found[2], exact) < 2e-3, "{kind:?}, hc {contact}: {found:?} against {exact} s");
            assert!(off(found[0], exact) < 1e-2, "{kind:?}, hc {contact}: {found:?} against {exact} s");
        }
    }
}
