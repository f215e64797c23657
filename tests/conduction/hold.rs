//! The hold's cooling against the series: a path at melt temperature throughout, its wall suddenly
//! cold.

use super::series::{Series, TABLE};
use gatefrost_core::case::Case;
use gatefrost_core::cavity::{Kind, Layers};
use gatefrost_core::feedstock::HeatContent;
use gatefrost_core::fill::March;
use gatefrost_core::fill::conduction::Section;
use gatefrost_core::pack::{self, Hold, HoldDrive};
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

/// One passage that is gate and part at once. `activation` is the flow activation energy of its
/// Newtonian melt [kJ/mol], `width` that of a flat one [mm].
pub fn path(kind: Kind, width: f64, contact: f64, layers: usize, activation: f64) -> Case {
    walled_path(kind, [width, contact, activation], layers, false)
}

/// The same with or without side walls; its width, contact and activation energy together.
pub fn walled_path(
    kind: Kind,
    [width, contact, activation]: [f64; 3],
    layers: usize,
    side_walls: bool,
) -> Case {
    let form = match kind {
        Kind::Flat => json!({ "strip": { "length": 20, "width": width, "thickness": 2e3 * H } }),
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
        "model": { "axial_cells": 4, "layers": layers, "side_walls": side_walls }
    });
    let mut case =
        Case::resolve(&build::scenario(json!([{ "name": "path", "role": "part", "form": form }]), &changes));
    // The series know of no melt that creeps in.
    case.hold = HoldDrive { convection: false, ..case.hold };
    case
}

/// Holds it from a uniform start.
pub fn held(kind: Kind, contact: f64, layers: usize, activation: f64) -> (Case, Hold) {
    let case = path(kind, 20.0, contact, layers, activation);
    let start = March::new(&case.material, &case.cavity, case.drive);
    let hold = pack::hold(&case.material, &case.cavity, &start, &case.hold);
    drop(start);
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

/// Means of the section by backward Euler over the same times.
fn euler(layers: &Layers, contact: f64, times: &[f64]) -> Vec<f64> {
    let n = layers.count();
    let heat = HeatContent::new(0.0, 1.0, 0.0);
    let (mut t, mut content, mut scratch) = (vec![1.0; n], vec![1.0; n], vec![0.0; 4 * n]);
    let mut means = vec![1.0];
    for pair in times.windows(2) {
        let share = (pair[1] - pair[0]) * ALPHA / (H * H);
        let one = Section { layers, heat: &heat, share, biot: biot(contact), wall: 0.0, sink: 0.0 };
        let right: Vec<f64> = t.iter().zip(&layers.area).map(|(t, a)| t * a).collect();
        one.solve(&layers.area, &right, &mut t, &mut content, &mut scratch);
        means.push(t.iter().zip(&layers.area).map(|(t, a)| t * a).sum());
    }
    means
}

/// The whole history, within 0.1 % of the temperature step with a real contact, and 1 % with a perfect
/// one, whose start is singular; the time step sets it, not the layers. The same steps taken by
/// backward Euler err ten times as much and more: the hold's own step is of second order.
#[test]
fn the_history_of_the_mean_follows_the_series() {
    for kind in [Kind::Flat, Kind::Round] {
        for contact in [1e3, 5e3, 1e7] {
            let series = Series::new(kind, biot(contact));
            let shown = |hold: &Hold, i: usize| (hold.history.hottest_part[i] - WALL) / (MELT - WALL);
            let errors = [20, 40, 80].map(|count| {
                let hold = held(kind, contact, count, 30.0).1;
                worst(&hold, &series, |i| shown(&hold, i))
            });
            let (case, hold) = held(kind, contact, 80, 30.0);
            let means = euler(case.cavity.layers(0), contact, &hold.history.time);
            let euler = worst(&hold, &series, |i| means[i]);
            let real = contact < 1e4;
            let allowed = if real { 1e-3 } else { 1e-2 };
            assert!(errors.iter().all(|&e| e < allowed), "{kind:?}, hc {contact}: {errors:?}, Euler {euler}");
            assert!(!real || euler > 10.0 * errors[2], "{kind:?}, hc {contact}: {errors:?}, Euler {euler}");
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
            let found = hold.gates[0].centre_freeze.expect("freezes");
            assert!(off(found, exact) < 5e-3, "{kind:?}, hc {contact}: {found} against {exact} s");
            assert!(off(exact, time_of(NO_FLOW, |f| series.at(0.0, f))) < 2e-3);
        }
    }
}

/// Late in the cooling the chart's one term is all: the middle of the hold's own section falls as
/// A₁ exp(−λ₁² Fo), with λ₁ and A₁ of the textbook's table at Bi = 0.1, 1 and 10. The hold's
/// steps grow with the time elapsed, to a decay time at last: 1.5 % of what is left as long as that is an
/// eighth, 0.18 % of what there was after that.
#[test]
fn the_middle_of_the_hold_follows_the_one_term_charts() {
    for (biot, slab, cylinder) in TABLE {
        for (kind, [lambda, a]) in [(Kind::Flat, slab), (Kind::Round, cylinder)] {
            let case = path(kind, 20.0, biot * 1.6 / H, 80, 30.0);
            let start = March::new(&case.material, &case.cavity, case.drive);
            let mut seen = Vec::new();
            pack::hold_watched(&case.material, &case.cavity, &start, &case.hold, &mut |m| {
                seen.push((m.time * ALPHA / (H * H), (m.temperature[0] - WALL) / (MELT - WALL)));
            });
            let late: Vec<_> = seen.into_iter().filter(|(fourier, _)| *fourier > 0.5).collect();
            assert!(late.len() >= 3, "{kind:?}, Bi {biot}: {late:?}");
            for (fourier, found) in late {
                let exact = a * (-lambda * lambda * fourier).exp();
                assert!(
                    (found - exact).abs() < 1.5e-2 * exact.max(0.12),
                    "{kind:?}, Bi {biot}, Fo {fourier}: {found} against {exact}"
                );
            }
        }
    }
}
