//! Volume of the mixture against temperature and pressure: a binder that expands and yields, and a
//! powder that does neither.

use super::ZERO_CELSIUS;
use crate::scenario::{Feedstock, PvtLaw, TaitConstants};
use gatefrost_numerics::elementary::Elementary;

/// Temperature of the cold part \[K\]: 23 °C, the standard atmosphere of ISO 291.
pub const ROOM: f64 = 296.15;

/// C of Tait's equation, the same for all polymers.
const TAIT: f64 = 0.0894;
/// Least volume of a binder, relative to that at room temperature, whatever its constants.
const LEAST_VOLUME: f64 = 0.3;
/// Least B of Tait's equation \[Pa\], whatever its constants: at C = 0.0894 a bulk modulus of 0.11 GPa, a tenth of
/// that of hydrocarbon melts. With less, 1 − C ln(1 + p/B) has no volume left at the pressures of a machine.
const LEAST_STIFFNESS: f64 = 1e7;
/// Width over which the two domains are blended \[K\], so that volume is continuous for any constants.
const BLEND: f64 = 2.0;
/// Step and first node of the temperature table \[K\].
const STEP: f64 = 0.5;
const FROM: f64 = 223.15;
/// Nodes of the temperature table, up to 500 °C.
const NODES: usize = 1101;

/// pvT of a mixture. Densities are relative to that of the cold mixture without pressure.
#[derive(Debug, Clone)]
pub struct Pvt {
    /// Share of powder in the volume of the cold mixture.
    powder: f64,
    binder: Binder,
}

#[derive(Debug, Clone)]
enum Binder {
    Linear { expansion: f64, compressibility: f64 },
    Tait(Box<Tait>),
}

impl Pvt {
    /// Resolves the law of a validated feedstock.
    pub fn resolve(f: &Feedstock) -> Self {
        let binder = match &f.pvt {
            PvtLaw::Linear => Binder::Linear {
                expansion: f.binder_expansion * 1e-4,
                compressibility: f.binder_compressibility * 1e-9,
            },
            PvtLaw::Tait(constants) => Binder::Tait(Box::new(Tait::new(constants))),
        };
        Self { powder: f.solids_loading / 100.0, binder }
    }

    /// Relative density r = ρ(T, p)/ρ(room, 0) = 1/(φ + (1 − φ) v_b(T, p)/v_b(room, 0)) at a temperature
    /// \[K\] and a pressure \[Pa\], and its rise dr/dp \[1/Pa\].
    pub fn density(&self, t: f64, p: f64) -> (f64, f64) {
        let (v, slope) = match &self.binder {
            Binder::Linear { expansion, compressibility } => {
                // Far outside of what a binder does the law would leave no volume at all.
                let warm = (1.0 + expansion * (t - ROOM)).max(LEAST_VOLUME);
                let squeezed = 1.0 - compressibility * p;
                if squeezed < LEAST_VOLUME {
                    (warm * LEAST_VOLUME, 0.0)
                } else {
                    (warm * squeezed, -warm * compressibility)
                }
            }
            Binder::Tait(tait) => tait.at_pressure(p).volume(t),
        };
        let r = self.of_volume(v);
        (r, -r * r * (1.0 - self.powder) * slope)
    }

    /// Appends the relative densities at temperatures \[K\] and one pressure \[Pa\].
    pub fn densities(&self, t: &[f64], p: f64, out: &mut Vec<f64>) {
        match &self.binder {
            Binder::Linear { .. } => out.extend(t.iter().map(|&t| self.density(t, p).0)),
            Binder::Tait(tait) => {
                let at = tait.at_pressure(p);
                out.extend(t.iter().map(|&t| self.of_volume(at.volume(t).0)));
            }
        }
    }

    fn of_volume(&self, binder: f64) -> f64 {
        1.0 / (self.powder + (1.0 - self.powder) * binder)
    }

    /// Pressure \[Pa\] at which the relative density is `density` at the temperature `t` \[K\]; zero where
    /// it is reached without.
    pub fn pressure_at(&self, density: f64, t: f64) -> f64 {
        let mut p = 0.0;
        // The density is increasing and concave in pressure: Newton from below climbs without overshoot.
        for _ in 0..40 {
            let (r, rise) = self.density(t, p);
            let step = (density - r) / rise;
            p = (p + step).clamp(0.0, 2e9);
            if step.abs() < 1.0 || p == 0.0 {
                break;
            }
        }
        p
    }
}

/// The binder's specific volume relative to that at room temperature, by Tait's equation in two
/// domains: v = v₀(T)[1 − C ln(1 + p/B(T))] + v_t(T, p).
///
/// The one-domain form of the melt is that of Danner and High (Handbook of Polymer Solution
/// Thermodynamics); the two-domain form, with b₁ to b₉, is from memory.
#[derive(Debug, Clone)]
struct Tait {
    transition: f64,
    /// Rise of the transition \[K/Pa\].
    rise: f64,
    /// Pressure on melting \[1/Pa\].
    on_melting: f64,
    /// What melting adds at most, relative to the volume at room temperature: b₇.
    most_melting: f64,
    nodes: Vec<Node>,
}

/// What depends on temperature alone, relative to the volume at room temperature.
#[derive(Debug, Clone, Copy, Default)]
struct Node {
    /// v₀ of melt and solid.
    volume: [f64; 2],
    /// 1/B of melt and solid \[1/Pa\].
    softness: [f64; 2],
    /// v_t without pressure.
    melting: f64,
}

impl Tait {
    fn new(c: &TaitConstants) -> Self {
        let transition = c.b5 + ZERO_CELSIUS;
        let exact = |t: f64| {
            let above = t - transition;
            // Far from its domain a line or an exponential may turn absurd; it is not used there.
            let melting = c.b7 * (c.b8 * above).clamp(-60.0, 60.0).exponential();
            Node {
                volume: [c.b1m + c.b2m * 1e-4 * above, c.b1s + c.b2s * 1e-4 * above].map(|v| v.max(0.01)),
                softness: [(c.b3m, c.b4m), (c.b3s, c.b4s)].map(|(b3, b4)| {
                    let softer = (b4 * 1e-3 * above).clamp(-5.0, 5.0).exponential();
                    (softer / (b3 * 1e6)).min(1.0 / LEAST_STIFFNESS)
                }),
                melting,
            }
        };
        let mut tait = Self {
            transition,
            rise: c.b6 * 1e-6,
            on_melting: c.b9 * 1e-6,
            most_melting: c.b7,
            nodes: (0..NODES).map(|i| exact(FROM + STEP * i as f64)).collect(),
        };
        let room = tait.at_pressure(0.0).volume(ROOM).0;
        tait.most_melting /= room;
        for node in &mut tait.nodes {
            node.volume = node.volume.map(|v| v / room);
            node.melting /= room;
        }
        tait
    }

    fn at_pressure(&self, p: f64) -> AtPressure<'_> {
        // Tension lets the melt expand as it yields; beyond a little the logarithm would end.
        let p = p.max(-5e6);
        AtPressure {
            tait: self,
            p,
            transition: self.transition + self.rise * p,
            pressed_back: (-self.on_melting * p).exponential(),
        }
    }
}

/// The law at one pressure.
struct AtPressure<'a> {
    tait: &'a Tait,
    p: f64,
    transition: f64,
    pressed_back: f64,
}

impl AtPressure<'_> {
    /// Relative volume and its slope against pressure \[1/Pa\].
    #[inline(always)]
    fn volume(&self, t: f64) -> (f64, f64) {
        let place = ((t - FROM) * (1.0 / STEP)).clamp(0.0, (NODES - 2) as f64);
        let index = place as usize;
        let (f, nodes) = (place - index as f64, &self.tait.nodes);
        let (a, b) = (&nodes[index], &nodes[index + 1]);
        let between = |a: f64, b: f64| a + f * (b - a);
        let domain = |d: usize| {
            let v0 = between(a.volume[d], b.volume[d]);
            let softness = between(a.softness[d], b.softness[d]);
            let x = softness * self.p;
            let (log, inverse) = log_one_plus(x);
            (v0 * (1.0 - TAIT * log), -v0 * TAIT * softness * inverse)
        };
        // 0 in the solid, 1 in the melt.
        let above = 0.5 + (t - self.transition) / BLEND;
        if above >= 1.0 {
            return domain(0);
        }
        let (mut v, mut slope) = domain(1);
        let melting = between(a.melting, b.melting) * self.pressed_back;
        if melting < self.tait.most_melting {
            v += melting;
            slope -= melting * self.tait.on_melting;
        } else {
            v += self.tait.most_melting;
        }
        if above > 0.0 {
            let weight = above * above * (3.0 - 2.0 * above);
            let (melt, melt_slope) = domain(0);
            // The weight moves with the transition too.
            let shift = -6.0 * above * (1.0 - above) * self.tait.rise / BLEND;
            slope += weight * (melt_slope - slope) + shift * (melt - v);
            v += weight * (melt - v);
        }
        (v, slope)
    }
}

/// ln(1 + x), to 1e-8 of a specific volume, and 1/(1 + x), without the cost of the library's for the
/// small x of moulding: 2 artanh(s), s = x/(2 + x).
#[inline(always)]
fn log_one_plus(x: f64) -> (f64, f64) {
    if x > 1.0 {
        return (x.logarithm_1p(), 1.0 / (1.0 + x));
    }
    // One division for both.
    let both = 1.0 / ((2.0 + x) * (1.0 + x));
    let s = x * (1.0 + x) * both;
    let q = s * s;
    let series = 1.0
        + q * (1.0 / 3.0
            + q * (0.2 + q * (1.0 / 7.0 + q * (1.0 / 9.0 + q * (1.0 / 11.0 + q * (1.0 / 13.0 + q / 15.0))))));
    (2.0 * s * series, (2.0 + x) * both)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn melt(b1m: f64, b2m: f64, b3m: f64, b4m: f64) -> TaitConstants {
        // Everything is melt above −100 °C.
        TaitConstants { b1m, b2m, b3m, b4m, b5: -100.0, b1s: b1m, b7: 0.0, ..TaitConstants::default() }
    }

    #[test]
    fn the_logarithm_keeps_its_stated_error() {
        for i in -4..=200 {
            let x = 0.01 * f64::from(i);
            let (log, inverse) = log_one_plus(x);
            assert!((log - x.ln_1p()).abs() < 1e-8 && (inverse * (1.0 + x) - 1.0).abs() < 1e-14, "{x}");
        }
    }

    /// Specific volumes of molten polymers under pressure, v(T, p)/v(T, 0.1 MPa) = 1 − C ln(1 + p/B)
    /// with B = B₀ exp(−B₁t): constants of Danner and High as packaged by polykin 0.6.
    #[test]
    fn published_compressions_of_polymer_melts_are_reproduced() {
        for (name, b0, b1, t, p, ratio) in [
            ("i-PP", 142.36e6, 4.0184e-3, 190.0, 100e6, 1.21415 / 1.32268),
            ("HDPE", 178.67e6, 4.7254e-3, 170.0, 100e6, 1.0 - 0.0894 * (1.0 + 100.0 / 80.02_f64).ln()),
        ] {
            let mut c = melt(1.2, 7.0, b0 * 1e-6 * (b1 * 100.0_f64).exp(), b1 * 1e3);
            c.b6 = 0.0;
            let tait = Tait::new(&c);
            let volume = |p: f64| tait.at_pressure(p).volume(t + ZERO_CELSIUS).0;
            let found = volume(p) / volume(0.1e6);
            assert!((found - ratio).abs() < 2e-4, "{name}: {found} against {ratio}");
        }
    }

    #[test]
    fn volume_is_continuous_and_its_slope_is_its_own() {
        let tait = Tait::new(&TaitConstants::default());
        for p in [0.0, 20e6, 80e6, 150e6] {
            let at = tait.at_pressure(p);
            let mut last = at.volume(290.0).0;
            for i in 1..2000 {
                let t = 290.0 + 0.1 * f64::from(i);
                let (v, slope) = at.volume(t);
                // Volume grows with temperature, by no more than a hundredth a kelvin; where the domains
                // meet under pressure their constants leave it still to 5e-5.
                assert!(v > last - 5e-5 && v - last < 1e-3, "{t} K, {p} Pa: {last} then {v}");
                last = v;
                let h = 1e4;
                let difference =
                    (tait.at_pressure(p + h).volume(t).0 - tait.at_pressure(p - h).volume(t).0) / (2.0 * h);
                let negligible = 1e-14;
                assert!(
                    (slope - difference).abs() < 1e-3 * slope.abs() + negligible,
                    "{t} K, {p} Pa: {slope} against {difference}"
                );
                assert!(slope < 0.0);
            }
        }
    }

    #[test]
    fn the_pressure_is_found_that_makes_a_density() {
        for pvt in [PvtLaw::Linear, PvtLaw::Tait(TaitConstants::default())] {
            let pvt = Pvt::resolve(&Feedstock { pvt, ..Feedstock::default() });
            for t in [310.0, 350.0, 430.0] {
                let (r, _) = pvt.density(t, 63e6);
                assert!((pvt.pressure_at(r, t) / 63e6 - 1.0).abs() < 1e-6);
            }
            assert_eq!(pvt.pressure_at(0.5, 430.0), 0.0);
            assert!((pvt.density(ROOM, 0.0).0 - 1.0).abs() < 1e-12);
        }
    }
}
