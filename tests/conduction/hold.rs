//! The hold's cooling against the series: a path at melt temperature throughout, its wall suddenly
//! cold.

use super::series::Series;
use gatefrost_core::case::Case;
use gatefrost_core::cavity::Kind;
use gatefrost_core::fill::March;
use gatefrost_core::fill::conduction::{Step, step};
use gatefrost_core::pack::{self, Hold};
use gatefrost_tests::build::{self, power_law};
use gatefrost_tests::numeric::{bisect, off};
use serde_json::json;

/// Half gap or radius \[m\] and diffusivity \[m²/s\].
pub const H: f64 = 1.5e-3;
pub const ALPHA: f64 = 1.6 / 3.38e6;
/// Melt, wall, no-flow and ejection temperatures \[K\].
pub const MELT: f64 = 433.15;
pub const WALL: f64 = 313.15;
pub const NO_FLOW: f64 = 363.15;
pub const EJECTION: f64 = 323.15;

/// One passage that is gate and part at once, held from a uniform start. `activation` is the flow
/// activation energy of its Newtonian melt [kJ/mol].
pub fn held(kind: Kind, contact: f64, layers: usize, activation: f64) -> (Case, Hold) {
    let form = match kind {
        Kind::Flat => json!({ "strip": { "length": 20, "width": 20, "thickness": 2e3 * H } }),
        Kind::Round => json!({ "tube": { "length": 20, "diameter": 2e3 * H } }),
    };
    let changes = json!({
        "feedstock": {
            "flow_law": power_law(100.0, 1.0, activation),
            "no_flow_temperature": NO_FLOW - 273.15, "ejection_temperature": EJECTION - 273.15
        },
        "setup": {
            "melt_temperature": MELT - 273.15, "mould_temperature": WALL - 273.15, "contact_conductance": contact
        },
        "model": { "axial_cells": 4, "layers": layers }
    });
    let case =
        Case::resolve(&build::scenario(json!([{ "name": "path", "role": "part", "form": form }]), &changes));
    let start = March::new(&case.material, &case.cavity, case.drive);
    let hold = pack::hold(&case.material, &case.cavity, &start, case.hold);
    (case, hold)
}

pub fn biot(contact: f64) -> f64 {
    contact * H / 1.6
}

/// Time at which a falling temperature of the series reaches a level \[s\].
pub fn time_of(level: f64, temperature: impl Fn(f64) -> f64) -> f64 {
    let share = (level - WALL) / (MELT - WALL);
    bisect(|fourier| temperature(fourier) - share, 1e-4, 50.0) * H * H / ALPHA
}

fn worst(hold: &Hold, series: &Series, mean: impl Fn(usize) -> f64) -> f64 {
    let times = hold.history.time.iter().enumerate().skip(1);
    times.map(|(i, t)| (mean(i) - series.mean(t * ALPHA / (H * H))).abs()).fold(0.0, f64::max)
}

/// The whole history, within 0.05 % of the temperature step with a real contact, and 0.8 % with a
/// perfect one, whose start is singular; the time step sets it, not the layers. The same steps taken
/// by backward Euler err twenty times as much and more: the hold's own step is of second order.
#[test]
fn the_history_of_the_mean_follows_the_series() {
    for kind in [Kind::Flat, Kind::Round] {
        for contact in [1e3, 5e3, 1e7] {
            let series = Series::new(kind, biot(contact));
            let errors = [20, 40, 80].map(|count| {
                let hold = held(kind, contact, count, 30.0).1;
                worst(&hold, &series, |i| (hold.history.thickest[i] - WALL) / (MELT - WALL))
            });
            let (case, hold) = held(kind, contact, 80, 30.0);
            let layers = case.cavity.layers(0);
            let n = layers.count();
            let (none, still, mut scratch) = (vec![(0.0, 0.0); n], vec![0.0; n], vec![0.0; n]);
            let mut t = vec![1.0; n];
            let mut means = vec![1.0];
            for pair in hold.history.time.windows(2) {
                let fourier = (pair[1] - pair[0]) * ALPHA / (H * H);
                let one = Step { layers, before: 1.0, after: 1.0, fourier, biot: biot(contact), wall: 0.0 };
                step(&one, &mut t, &none, &still, &still, &mut scratch);
                means.push(t.iter().zip(&layers.area).map(|(t, a)| t * a).sum());
            }
            let euler = worst(&hold, &series, |i| means[i]);
            let real = contact < 1e4;
            let allowed = if real { 5e-4 } else { 8e-3 };
            assert!(errors.iter().all(|&e| e < allowed), "{kind:?}, hc {contact}: {errors:?}");
            assert!(!real || euler > 20.0 * errors[2], "{kind:?}, hc {contact}: {errors:?}, Euler {euler}");
        }
    }
}

/// Times of the events: part cool enough to eject (mean), gate's centre at the no-flow temperature.
#[test]
fn cooling_and_centre_freeze_times_follow_the_series() {
    for kind in [Kind::Flat, Kind::Round] {
        for contact in [1e3, 5e3, 1e7] {
            let series = Series::new(kind, biot(contact));
            let (case, hold) = held(kind, contact, 40, 30.0);
            let exact = time_of(EJECTION, |f| series.mean(f));
            let found = hold.part_cooled.expect("cools");
            assert!(off(found, exact) < 5e-3, "{kind:?}, hc {contact}: {found} against {exact} s");
            // The innermost layer's middle stands for the centre.
            let y = 0.5 * case.cavity.layers(0).faces[1];
            let exact = time_of(NO_FLOW, |f| series.at(y, f));
            let found = hold.gate_centre_freeze.expect("freezes");
            assert!(off(found, exact) < 5e-3, "{kind:?}, hc {contact}: {found} against {exact} s");
            assert!(off(exact, time_of(NO_FLOW, |f| series.at(0.0, f))) < 2e-3);
        }
    }
}
