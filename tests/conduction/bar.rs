//! What a wide gap leaves out: a bar of rectangular section cools from its edges too. Its temperature is
//! the product of those of two slabs (Carslaw and Jaeger, §5.6, from memory).

use super::hold::{ALPHA, EJECTION, H, MELT, WALL, biot, path};
use super::series::Series;
use gatefrost_core::cavity::Kind;
use gatefrost_core::fill::March;
use gatefrost_core::pack;
use gatefrost_report::evaluate;
use gatefrost_tests::build;
use gatefrost_tests::numeric::{bisect, off};
use serde_json::json;

/// Time until the mean of a bar `aspect` times as wide as thick allows ejection \[s\].
fn bar(aspect: f64, contact: f64) -> f64 {
    let (thin, wide) =
        (Series::new(Kind::Flat, biot(contact)), Series::new(Kind::Flat, aspect * biot(contact)));
    let level = (EJECTION - WALL) / (MELT - WALL);
    let mean = |fourier: f64| thin.mean(fourier) * wide.mean(fourier / (aspect * aspect));
    bisect(|fourier| mean(fourier) - level, 1e-4, 50.0) * H * H / ALPHA
}

/// A strip is computed as a wide gap: it takes as long to cool whatever its width, and longer than the
/// bar it is, by a third where it is twice as wide as thick, by a few per cent where it is wide.
#[test]
fn a_strip_cools_no_faster_than_the_bar_it_is() {
    let contact = 5e3;
    let cooled = |aspect: f64| {
        let case = path(Kind::Flat, aspect * 2e3 * H, contact, 40, 30.0);
        let start = March::new(&case.material, &case.cavity, case.drive);
        pack::hold(&case.material, &case.cavity, &start, &case.hold).part_cooled.expect("cools")
    };
    let wide = cooled(40.0);
    let left_out = [1.0, 2.0, 5.0, 10.0, 40.0].map(|aspect| {
        assert!(off(cooled(aspect), wide) < 1e-9, "the width does not enter");
        wide / bar(aspect, contact) - 1.0
    });
    assert!(left_out.windows(2).all(|w| w[1] < w[0]) && left_out[4] > 0.0, "{left_out:?}");
    assert!((0.2..0.45).contains(&left_out[1]), "twice as wide as thick: {left_out:?}");
    assert!(left_out[4] < 0.02, "{left_out:?}");
}

/// Where the edges count for a third of the time, the report says that they are left out.
#[test]
fn the_report_says_where_the_edges_are_left_out() {
    let said = |width: f64| {
        let form = json!({ "strip": { "length": 20, "width": width, "thickness": 2 } });
        let s = build::scenario(json!([{ "name": "bar", "role": "part", "form": form }]), &json!({}));
        evaluate(&s).expect("valid").remarks.iter().any(|r| r.contains("edges are left out"))
    };
    assert!(said(2.0) && said(3.9) && !said(4.0) && !said(40.0));
}
