//! Volume against temperature and pressure: published constants of Tait's equation through the scenario
//! document.

use gatefrost_core::case::Case;
use gatefrost_core::feedstock::{Material, ROOM};
use gatefrost_tests::build;
use gatefrost_tests::numeric::off;
use serde_json::{Value, json};

/// Constants of V = V₀[1 − 0.0894 ln(1 + p/B)], V₀ = A₀ + A₁t + A₂t² \[m³/kg\], B = B₀ exp(−B₁t) \[Pa\], t
/// in °C, and the range in which they hold \[°C\]: Danner and High, Handbook of Polymer Solution
/// Thermodynamics, as packaged by polykin.
struct Polymer {
    name: &'static str,
    a: [f64; 3],
    b: [f64; 2],
    range: [f64; 2],
}

const POLYMERS: [Polymer; 4] = [
    Polymer {
        name: "i-PP",
        a: [1.2033e-3, 4.8182e-7, 7.7589e-10],
        b: [1.4236e8, 4.0184e-3],
        range: [174.0, 297.0],
    },
    Polymer {
        name: "HDPE",
        a: [1.1567e-3, 6.2888e-7, 1.1268e-9],
        b: [1.7867e8, 4.7254e-3],
        range: [142.0, 198.0],
    },
    Polymer {
        name: "LDPE",
        a: [1.1004e-3, 1.4557e-6, -1.5749e-9],
        b: [1.7598e8, 4.6677e-3],
        range: [125.0, 197.0],
    },
    Polymer {
        name: "POM",
        a: [8.3198e-4, 2.7550e-7, 2.2000e-9],
        b: [3.1030e8, 4.4652e-3],
        range: [189.0, 218.0],
    },
];

impl Polymer {
    /// Specific volume at t \[°C\] and p \[Pa\].
    fn volume(&self, t: f64, p: f64) -> f64 {
        let [a0, a1, a2] = self.a;
        let b = self.b[0] * (-self.b[1] * t).exp();
        (a0 + t * (a1 + t * a2)) * (1.0 - 0.0894 * (p / b).ln_1p())
    }

    fn middle(&self) -> f64 {
        0.5 * (self.range[0] + self.range[1])
    }

    /// The melt's constants of the document, whose volume is a line: the tangent in the middle of the
    /// range. The transition stands far below, so that all of the range is melt.
    fn law(&self) -> Value {
        let [a0, a1, a2] = self.a;
        let (t, b5) = (self.middle(), 60.0);
        let slope = a1 + 2.0 * a2 * t;
        let at_b5 = a0 + t * (a1 + t * a2) + slope * (b5 - t);
        json!({ "tait": {
            "b1m": at_b5 * 1e3, "b2m": slope * 1e7, "b3m": self.b[0] * (-self.b[1] * b5).exp() / 1e6,
            "b4m": self.b[1] * 1e3, "b5": b5, "b6": 0,
            "b1s": at_b5 * 1e3, "b2s": 3, "b3s": 300, "b4s": 3, "b7": 0, "b8": 0.1, "b9": 0
        } })
    }
}

fn material(pvt: Value, loading: f64) -> Material {
    let part = json!([{ "name": "part", "role": "part", "form": { "strip": { "length": 20, "width": 10, "thickness": 2 } } }]);
    let changes = json!({ "feedstock": { "pvt": pvt, "solids_loading": loading } });
    Material::clone(&Case::resolve(&build::scenario(part, &changes)).material)
}

/// i-PP at 190 °C: 1.32268e-3 m³/kg at 0.1 MPa, 1.21415e-3 at 100 MPa.
#[test]
fn the_equation_gives_the_published_volumes() {
    let pp = &POLYMERS[0];
    assert!((pp.volume(190.0, 0.1e6) - 1.32268e-3).abs() < 6e-9, "{}", pp.volume(190.0, 0.1e6));
    assert!((pp.volume(190.0, 100e6) - 1.21415e-3).abs() < 6e-9, "{}", pp.volume(190.0, 100e6));
    let m = material(pp.law(), 0.0);
    let ratio = m.pvt.density(463.15, 0.1e6).0 / m.pvt.density(463.15, 100e6).0;
    assert!(off(ratio, 1.21415 / 1.32268) < 1e-5, "{ratio}");
}

/// Ratios of the densities of pure binder. Under pressure at one temperature they are exact but for the
/// table between half kelvins; from one temperature to another the line leaves out A₂(t − t_m)².
#[test]
fn four_polymers_are_reproduced_over_their_ranges() {
    for polymer in &POLYMERS {
        let m = material(polymer.law(), 0.0);
        let density = |t: f64, p: f64| m.pvt.density(t + 273.15, p).0;
        let [from, to] = polymer.range;
        for i in 0..=10 {
            let t = from + 0.1 * f64::from(i) * (to - from);
            for p in [10e6, 50e6, 100e6, 150e6] {
                let found = density(t, 0.1e6) / density(t, p);
                let exact = polymer.volume(t, p) / polymer.volume(t, 0.1e6);
                assert!(off(found, exact) < 1e-5, "{} {t} °C {p} Pa: {found} against {exact}", polymer.name);
            }
            let middle = polymer.middle();
            let found = density(middle, 0.1e6) / density(t, 0.1e6);
            let exact = polymer.volume(t, 0.1e6) / polymer.volume(middle, 0.1e6);
            let left_out = polymer.a[2] * (t - middle).powi(2) / polymer.volume(middle, 0.1e6);
            assert!((exact - found - left_out).abs() < 1e-5, "{} {t} °C: {found} {exact}", polymer.name);
        }
    }
}

/// Compressibility −(1/v) dv/dp, of which the solver makes its pressures, by differences of the
/// published volumes.
#[test]
fn compressibility_is_the_slope_of_the_volumes() {
    for polymer in &POLYMERS {
        let m = material(polymer.law(), 0.0);
        let t = polymer.middle();
        for p in [1e6, 60e6] {
            let (r, rise) = m.pvt.density(t + 273.15, p);
            let exact = -(polymer.volume(t, p + 1e4) / polymer.volume(t, p - 1e4)).ln() / 2e4;
            assert!(off(rise / r, exact) < 1e-4, "{}: {} against {exact}", polymer.name, rise / r);
        }
    }
}

/// The powder takes no part: v = w_p/ρ_p + w_b v_b, by mass, from the densities at room temperature.
#[test]
fn rigid_powder_dilutes_expansion_and_compression() {
    for law in [POLYMERS[0].law(), json!("linear")] {
        let (binder, mixture) = (material(law.clone(), 0.0), material(law, 60.0));
        // Of the document: powder 7950 kg/m³; the checks' binder 2600.
        let (powder, bound) = (0.6 * 7950.0, 0.4 * 2600.0);
        let [wp, wb] = [powder, bound].map(|m| m / (powder + bound));
        for (t, p) in [(ROOM, 0.0), (463.15, 0.0), (463.15, 80e6), (440.0, 30e6)] {
            let volume = wp / 7950.0 + wb / (2600.0 * binder.pvt.density(t, p).0);
            let found = mixture.density * mixture.pvt.density(t, p).0;
            assert!(off(found, 1.0 / volume) < 1e-9, "{t} K, {p} Pa");
        }
    }
}

/// β and κ of the linear law, as the document states them.
#[test]
fn the_linear_law_is_the_stated_one() {
    let m = material(json!("linear"), 0.0);
    let volume = |t: f64, p: f64| 1.0 / m.pvt.density(t, p).0;
    assert!((volume(ROOM, 0.0) - 1.0).abs() < 1e-12);
    assert!((volume(ROOM + 100.0, 0.0) - 1.1).abs() < 1e-12, "10e-4 1/K over 100 K");
    assert!(off(volume(ROOM, 100e6), 1.0 - 0.09) < 1e-12, "0.9 1/GPa under 100 MPa");
}
