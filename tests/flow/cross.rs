//! Cross–WLF flow against an integral over the gap written apart: Simpson's rule, shear rate at each
//! stress by bisection, and the flow rate inverted by bisection on the gradient.

use gatefrost_report::evaluate;
use gatefrost_tests::build::{self, isothermal, merge};
use gatefrost_tests::numeric::{bisect, off, simpson};
use serde_json::{Value, json};
use std::f64::consts::PI;

/// Constants in SI, T* in kelvin.
struct Fluid {
    n: f64,
    tau: f64,
    d1: f64,
    d2: f64,
    d3: f64,
    a1: f64,
    a2: f64,
}

impl Fluid {
    fn viscosity(&self, rate: f64, t: f64, p: f64) -> f64 {
        let star = self.d2 + self.d3 * p;
        let zero = self.d1 * (-self.a1 * (t - star) / (self.a2 + self.d3 * p + t - star)).exp();
        zero / (1.0 + (zero * rate / self.tau).powf(1.0 - self.n))
    }

    /// Shear rate at a stress, by bisection on its logarithm.
    fn rate(&self, stress: f64, t: f64, p: f64) -> f64 {
        let excess = |log: f64| (self.viscosity(log.exp(), t, p) * log.exp() / stress).ln();
        bisect(excess, -60.0, 60.0).exp()
    }

    /// Flow through a slit of width w (or a tube, w = 0) of half gap H at the gradient G.
    fn flow(&self, g: f64, w: f64, half: f64, t: f64, p: f64) -> f64 {
        // Integrated by parts: Q = 2w ∫ y γ̇ dy flat, π ∫ r² γ̇ dr round.
        let local = |y: f64| {
            if y == 0.0 {
                0.0
            } else if w > 0.0 {
                2.0 * w * y * self.rate(y * g, t, p)
            } else {
                PI * y * y * self.rate(0.5 * y * g, t, p)
            }
        };
        simpson(local, 0.0, half, 60)
    }

    fn gradient(&self, q: f64, w: f64, half: f64, t: f64, p: f64) -> f64 {
        bisect(|log| self.flow(log.exp(), w, half, t, p) - q, 0.0, 30.0).exp()
    }

    fn law(&self) -> Value {
        json!({ "cross_wlf": {
            "n": self.n, "tau_star": self.tau / 1e3, "d1": self.d1, "d2": self.d2 - 273.15, "d3": self.d3 * 1e6,
            "a1": self.a1, "a2": self.a2
        } })
    }

    /// The pressure that the solver finds for a path of one passage.
    fn found(&self, form: &Value, time: f64, cells: usize, layers: usize) -> f64 {
        let mut changes = isothermal();
        merge(
            &mut changes,
            &json!({
                "feedstock": { "flow_law": self.law() },
                "setup": { "injection_time": time },
                "model": { "axial_cells": cells, "layers": layers }
            }),
        );
        let s = build::scenario(json!([{ "name": "path", "role": "part", "form": form }]), &changes);
        evaluate(&s).expect("valid").fill.required_pressure_mpa * 1e6
    }
}

fn fluid(n: f64, d3: f64) -> Fluid {
    Fluid { n, tau: 4e4, d1: 8e8, d2: 333.15, d3, a1: 22.0, a2: 51.6 }
}

const T: f64 = 433.15;

/// From the Newtonian plateau to well into the power law; layers of second order, 40 of them.
#[test]
fn slit_and_tube_from_plateau_to_power_law() {
    for n in [0.2, 0.35, 0.8] {
        let f = fluid(n, 0.0);
        for time in [100.0, 1.0, 0.05] {
            let slit = json!({ "strip": { "length": 40, "width": 20, "thickness": 2 } });
            let q = 40e-3 * 20e-3 * 2e-3 / time;
            let exact = 40e-3 * f.gradient(q, 20e-3, 1e-3, T, 0.0);
            let errors = [20, 40].map(|layers| off(f.found(&slit, time, 12, layers), exact));
            assert!(errors[0] < 3e-3 && errors[1] < 1e-3, "slit, n {n}, {time} s: {errors:?}");

            let tube = json!({ "tube": { "length": 40, "diameter": 4 } });
            let q = 40e-3 * PI * 4e-6 / time;
            let exact = 40e-3 * f.gradient(q, 0.0, 2e-3, T, 0.0);
            let errors = [20, 40].map(|layers| off(f.found(&tube, time, 12, layers), exact));
            assert!(errors[0] < 3e-3 && errors[1] < 1e-3, "tube, n {n}, {time} s: {errors:?}");
        }
    }
}

/// The gradient integrated over the radius of a disc, where the rate falls from plateau to plateau.
#[test]
fn a_disc_with_its_falling_rate() {
    let f = fluid(0.35, 0.0);
    let form = json!({ "disc": { "inner_radius": 2, "outer_radius": 20, "thickness": 2 } });
    let time = 0.5;
    let q = PI * (400e-6 - 4e-6) * 2e-3 / time;
    let exact = simpson(|r| f.gradient(q, 2.0 * PI * r, 1e-3, T, 0.0), 2e-3, 20e-3, 20);
    let errors = [20, 80].map(|cells| off(f.found(&form, time, cells, 40), exact));
    assert!(errors[0] < 2e-3 && errors[1] < 1e-3, "{errors:?}");
}

/// Pressure that stiffens the melt: dp/ds = −G(p) along the path, p = 0 at the front, by the
/// classical Runge–Kutta method on the independent G.
#[test]
fn viscosity_that_rises_with_pressure() {
    let f = fluid(0.35, 0.3e-6);
    let form = json!({ "strip": { "length": 60, "width": 20, "thickness": 1 } });
    let q = 60e-3 * 20e-3 * 1e-3 / 0.05;
    let g = |p: f64| f.gradient(q, 20e-3, 0.5e-3, T, p);
    let (steps, mut exact) = (20, 0.0);
    let h = 60e-3 / f64::from(steps);
    for _ in 0..steps {
        let a = g(exact);
        let b = g(exact + 0.5 * h * a);
        let c = g(exact + 0.5 * h * b);
        let d = g(exact + h * c);
        exact += h / 6.0 * (a + 2.0 * b + 2.0 * c + d);
    }
    let flat = 60e-3 * g(0.0);
    assert!(exact > 1.1 * flat, "the case has to show the effect: {exact} against {flat}");
    let errors = [20, 40, 80].map(|cells| off(f.found(&form, 0.05, cells, 40), exact));
    assert!(errors[2] < 2e-3, "{errors:?}");
}

/// The same law written about another reference temperature: D2 + s, A2 + s, A1 A2/(A2 + s) and
/// D1 exp(−A1 s/(A2 + s)) give the same viscosity at every temperature, and the same pole D2 − A2. So a set with
/// its D2 near 100 °C, as they are published, fills a 40 °C mould as the same set about another reference does,
/// although the law has its pole above the temperature of the mould.
#[test]
fn a_law_with_its_pole_between_mould_and_no_flow_temperature_flows_as_it_does_about_another_reference() {
    let near = gatefrost_core::scenario::CrossWlfConstants {
        n: 0.35,
        tau_star: 60.0,
        d1: 1e10,
        d2: 100.0,
        d3: 0.0,
        a1: 27.0,
        a2: 51.6,
    };
    let shift = 60.0;
    let far = gatefrost_core::scenario::CrossWlfConstants {
        d1: near.d1 * (-near.a1 * shift / (near.a2 + shift)).exp(),
        d2: near.d2 + shift,
        a1: near.a1 * near.a2 / (near.a2 + shift),
        a2: near.a2 + shift,
        ..near.clone()
    };
    let reports = [near, far].map(|law| {
        let mut s = gatefrost_core::scenario::demo::default_demo().scenario();
        s.feedstock.flow_law = gatefrost_core::scenario::FlowLaw::CrossWlf(law);
        (s.feedstock.no_flow_temperature, s.setup.mould_temperature) = (70.0, 40.0);
        evaluate(&s).expect("the pole, 48.4 °C, lies below what flows")
    });
    let [a, b] = reports.each_ref().map(|r| {
        let hold = r.hold.as_ref().expect("the part is full");
        (r.fill.nozzle_pressure_mpa, hold.part_mass_g, hold.gate_freeze_s)
    });
    assert!(a.0.is_finite() && a.0 > 1.0 && a.1 > 0.0 && a.2.is_some_and(|t| t > 0.0), "{a:?}");
    assert!(off(a.0, b.0) < 1e-6 && off(a.1, b.1) < 1e-6, "{a:?} {b:?}");
    for margin in &reports[0].margins {
        assert!(margin.g.is_finite() && margin.value.is_finite(), "{margin:?}");
    }
}
