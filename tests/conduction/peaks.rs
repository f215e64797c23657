//! Setting in two peaks against an independent solution with SciPy (`tests/reference/two_peaks.py`).

use gatefrost_core::cavity::{Kind, Layers};
use gatefrost_core::feedstock::{HeatContent, Peak};
use gatefrost_core::fill::conduction::Section;
use gatefrost_tests::numeric::interpolate;
use serde_json::Value;

/// Temperatures \[°C\] at the middles of the layers, in half gaps, and the mean heat content above the wall \[K\].
fn cooled(reference: &Value, peaks: &[Peak], time: f64, steps: usize) -> (Vec<[f64; 2]>, f64) {
    let number = |name: &str| reference[name].as_f64().expect("a number");
    let layers = Layers::new(Kind::Flat, 60);
    let heat = HeatContent::of_peaks(peaks);
    let [melt, wall] = ["melt", "wall"].map(|name| number(name) + 273.15);
    let fourier = number("diffusivity") * time / number("half_gap").powi(2);
    let share = fourier / steps as f64;
    let section = Section { layers: &layers, heat: &heat, share, biot: 1e9, wall, sink: 0.0 };
    let mut t = vec![melt; 60];
    let mut content: Vec<f64> = t.iter().map(|&t| heat.of(t)).collect();
    let mut scratch = vec![0.0; 4 * 60];
    for _ in 0..steps {
        let right: Vec<f64> = content.iter().zip(&layers.area).map(|(c, a)| c * a).collect();
        section.solve(&layers.area, &right, &mut t, &mut content, &mut scratch);
    }
    let mean = content.iter().zip(&layers.area).map(|(c, a)| c * a).sum::<f64>() - heat.of(wall);
    let mut from = 0.0;
    let place = |(t, a): (&f64, &f64)| {
        from += a;
        [from - 0.5 * a, t - 273.15]
    };
    (t.iter().zip(&layers.area).map(place).collect(), mean)
}

#[test]
fn a_slab_that_sets_in_two_peaks_cools_as_an_independent_solution_says() {
    let reference: Value = serde_json::from_str(include_str!("../reference/two_peaks.json")).expect("JSON");
    let list = |value: &Value| -> Vec<f64> {
        value.as_array().expect("a list").iter().map(|v| v.as_f64().expect("a number")).collect()
    };
    let peaks: Vec<Peak> = reference["peaks"]
        .as_array()
        .expect("a list")
        .iter()
        .map(list)
        .map(|p| Peak { solidus: p[0], liquidus: p[1], latent: p[2] })
        .collect();
    let places = list(&reference["places"]);
    for (k, time) in list(&reference["times"]).into_iter().enumerate() {
        let (profile, mean) = cooled(&reference, &peaks, time, 1500);
        let (x, t): (Vec<f64>, Vec<f64>) = profile.iter().map(|[x, t]| (*x, *t)).unzip();
        for (place, expected) in places.iter().zip(list(&reference["temperatures"][k])) {
            let found = interpolate(&x, &t, *place);
            assert!((found - expected).abs() < 0.25, "{time} s at {place}: {found} against {expected} °C");
        }
        let expected = reference["mean_content"][k].as_f64().expect("a number");
        assert!((mean / expected - 1.0).abs() < 3e-3, "{time} s: {mean} against {expected} K");
        // With the first peak alone the slab is far colder.
        let (one, _) = cooled(&reference, &peaks[..1], time, 300);
        assert!(one[20][1] < t[20] - 1.0, "{time} s: the second peak holds heat back");
    }
}
