//! What a wide gap leaves out: a bar of rectangular section cools from its edges too. Its temperature is
//! the product of those of two slabs (Carslaw and Jaeger, §5.6, from memory).

use super::hold::{ALPHA, EJECTION, H, MELT, WALL, biot, walled_path};
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

fn cooled(aspect: f64, side_walls: bool) -> f64 {
    let contact = 5e3;
    let case = walled_path(Kind::Flat, [aspect * 2e3 * H, contact, 30.0], 40, side_walls);
    let start = March::new(&case.material, &case.cavity, case.drive);
    pack::hold(&case.material, &case.cavity, &start, &case.hold).part_cooled.expect("cools")
}

/// Without side walls a strip takes as long to cool whatever its width: longer than the bar it is by a third
/// where it is twice as wide as thick. With them it takes as long as the bar, within 2 %.
#[test]
fn a_strip_with_side_walls_cools_as_the_bar_it_is() {
    let contact = 5e3;
    let wide = cooled(40.0, false);
    for aspect in [1.0, 2.0, 5.0, 10.0, 40.0] {
        assert!(off(cooled(aspect, false), wide) < 1e-9, "the width does not enter");
        let (found, exact) = (cooled(aspect, true), bar(aspect, contact));
        assert!(off(found, exact) < 0.02, "{aspect}: {found} against {exact}");
    }
    assert!((0.2..0.45).contains(&(wide / bar(2.0, contact) - 1.0)));
}

/// Where the edges decide a third of the time and are switched off, the report says that they are left out.
#[test]
fn the_report_says_where_the_edges_are_left_out() {
    let said = |width: f64| {
        let form = json!({ "strip": { "length": 20, "width": width, "thickness": 2 } });
        let s = build::scenario(json!([{ "name": "bar", "role": "part", "form": form }]), &json!({}));
        let mut walled = s.clone();
        walled.model.side_walls = true;
        let said = |s| evaluate(s).expect("valid").remarks.iter().any(|r| r.contains("edges are left out"));
        assert!(!said(&walled), "{width}");
        said(&s)
    };
    assert!(said(2.0) && said(3.9) && !said(4.0) && !said(40.0));
}
