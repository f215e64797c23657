//! One section's implicit step against the series.

use super::series::Series;
use gatefrost_core::cavity::{Kind, Layers};
use gatefrost_core::feedstock::HeatContent;
use gatefrost_core::fill::conduction::Section;
use gatefrost_tests::numeric::order;

/// Layers' temperatures after `steps` equal steps of backward Euler to the Fourier number, from 1 in
/// surroundings at 0, nothing setting.
pub fn cooled(layers: &Layers, biot: f64, fourier: f64, steps: usize) -> Vec<f64> {
    let n = layers.count();
    let heat = HeatContent::new(0.0, 1.0, 0.0);
    let one = Section { layers, heat: &heat, share: fourier / steps as f64, biot, wall: 0.0, sink: 0.0 };
    let (mut t, mut content, mut scratch) = (vec![1.0; n], vec![1.0; n], vec![0.0; 4 * n]);
    for _ in 0..steps {
        let right: Vec<f64> = t.iter().zip(&layers.area).map(|(t, a)| t * a).collect();
        one.solve(&layers.area, &right, &mut t, &mut content, &mut scratch);
    }
    t
}

fn mean(layers: &Layers, t: &[f64]) -> f64 {
    t.iter().zip(&layers.area).map(|(t, a)| t * a).sum()
}

#[test]
fn mean_and_middle_follow_the_series_at_every_biot_number() {
    for kind in [Kind::Flat, Kind::Round] {
        let layers = Layers::new(kind, 60);
        for biot in [0.1, 1.0, 10.0, 1e6] {
            let series = Series::new(kind, biot);
            for fourier in [0.02, 0.1, 0.3, 1.0] {
                // First order in time: extrapolated from 400 and 800 steps.
                let (coarse, fine) =
                    (cooled(&layers, biot, fourier, 400), cooled(&layers, biot, fourier, 800));
                let t: Vec<f64> = coarse.iter().zip(&fine).map(|(c, f)| 2.0 * f - c).collect();
                let off = (mean(&layers, &t) - series.mean(fourier)).abs();
                assert!(off < 3e-4, "{kind:?}, Bi {biot}, Fo {fourier}: mean off by {off}");
                let y = 0.5 * layers.faces[1];
                let off = (t[0] - series.at(y, fourier)).abs();
                assert!(off < 1e-3, "{kind:?}, Bi {biot}, Fo {fourier}: middle off by {off}");
            }
        }
    }
}

#[test]
fn the_step_is_of_first_order_in_time_and_the_layers_of_second() {
    for kind in [Kind::Flat, Kind::Round] {
        let layers = Layers::new(kind, 40);
        let [a, b, c] = [50, 100, 200].map(|steps| mean(&layers, &cooled(&layers, 5.0, 0.3, steps)));
        assert!((order(a, b, c) - 1.0).abs() < 0.1, "{kind:?} time: {}", order(a, b, c));
        let [a, b, c] = [10, 20, 40].map(|count| {
            let layers = Layers::new(kind, count);
            mean(&layers, &cooled(&layers, 5.0, 0.3, 200))
        });
        assert!((order(a, b, c) - 2.0).abs() < 0.3, "{kind:?} layers: {}", order(a, b, c));
    }
}
