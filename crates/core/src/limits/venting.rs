//! Venting: the pressure of the air ahead of the melt, that the vents must let out as fast as melt comes in.
//!
//! Air of volume flow Q, at the mould's temperature, flows through a slit of width w, depth h and length L: mass flow
//! w h³ (p² − p₁²)/(24 μ L R T) (laminar, isothermal), and leaves its end, at p₁, no faster than sound:
//! p₁² = p₀² + (p Q/Q_c)², Q_c = C_d w h a (2/(γ+1))^((γ+1)/(2(γ−1))). This is the ellipse of ISO 6358 with the
//! critical ratio 0, for what has friction before it. With the mass flow p Q/R T both together give
//! p² (1 − Q²/Q_c²) − (24 μ L Q/w h³) p − p₀² = 0. The air of a mould that fills comes to this pressure
//! from below; with it the last of the air leaves.
//!
//! With several ram speeds the air may need more before: at the end of a fast step little of it is left. The volume V of
//! the air falls at the rate Q, and dp/d(−ln V) = p − ṁ(p) R T/Q from the ambient pressure on. Under one rate p only comes
//! nearer to the pressure above. So the greatest is that at the end of a step, or that of the last rate.

use super::definition::{Definition, Measure, Scale};
use super::edge;
use crate::fill::Drive;
use crate::stages::Needs;
use gatefrost_numerics::elementary::Elementary;

/// Ambient pressure \[Pa\].
const AMBIENT: f64 = 101_325.0;
/// Gas constant of air \[J/kg K\] and its ratio of heat capacities.
const AIR: f64 = 287.05;
const GAMMA: f64 = 1.4;
/// (2/(γ+1))^((γ+1)/(2(γ−1))) for that ratio.
const CHOKED: f64 = 0.578_703_704;
/// Contraction at the end of the land, from memory.
const DISCHARGE: f64 = 0.8;
/// Steps in the logarithm of the volume of the air over one step of the ram.
const STEPS: usize = 48;
/// Least 1 − γ h λ of such a step: a pressure that grows as the air closes grows no faster than its volume falls.
const LEAST_DAMPING: f64 = 0.1;
/// Greatest pressure that is reported, in multiples of the allowed one.
const TIMES: f64 = 5.0;

/// Viscosity of air \[Pa s\] at a temperature \[K\]: Sutherland's formula with the constants of the U.S. Standard
/// Atmosphere 1976.
fn viscosity(t: f64) -> f64 {
    1.458e-6 * t.power(1.5) / (t + 110.4)
}

/// A slit that lets air out: friction 24 μ L/(w h³) \[Pa s/m³\] and the greatest volume flow Q_c \[m³/s\] through its end.
#[derive(Debug, Clone, Copy)]
struct Slit {
    friction: f64,
    sonic: f64,
}

impl Slit {
    /// A slit of width, depth and length \[m\] with air at a temperature \[K\].
    fn new([width, depth, length]: [f64; 3], t: f64) -> Self {
        Self {
            friction: 24.0 * viscosity(t) * length / (width * depth.powi(3)),
            sonic: DISCHARGE * width * depth * (GAMMA * AIR * t).sqrt() * CHOKED,
        }
    }

    /// Pressure \[Pa\] that drives a volume flow \[m³/s\] out; infinite where that would take more than the speed of sound.
    fn pressure(self, flow: f64) -> f64 {
        let friction = self.friction * flow;
        let left = 1.0 - (flow / self.sonic).powi(2);
        if left <= 0.0 {
            return f64::INFINITY;
        }
        (0.5 * friction + (0.25 * friction * friction + left * AMBIENT * AMBIENT).sqrt()) / left
    }

    /// Mass flow times R T \[Pa m³/s\] that a pressure \[Pa\] drives out: p² − p₀² = f m + (m/Q_c)².
    fn leaves(self, p: f64) -> f64 {
        let more = (p * p - AMBIENT * AMBIENT).max(0.0);
        let friction = self.friction;
        2.0 * more / (friction + (friction * friction + 4.0 * more / self.sonic.powi(2)).sqrt())
    }

    /// Pressure \[Pa\] of air that begins at `p` and is closed to a share of its volume at a rate \[m³/s\].
    ///
    /// Rosenbrock's method of second order with γ = 1 + 1/√2, which is stable however wide the vents are.
    fn closed(self, mut p: f64, share: f64, rate: f64) -> f64 {
        const GAMMA: f64 = 1.0 + std::f64::consts::FRAC_1_SQRT_2;
        let h = -share.logarithm() / STEPS as f64;
        let rise = |p: f64| p - self.leaves(p) / rate;
        for _ in 0..STEPS {
            let d = 1e-6 * p;
            let slope = (rise(p + d) - rise(p)) / d;
            let damping = 1.0 / (1.0 - GAMMA * h * slope).max(LEAST_DAMPING);
            let first = rise(p) * damping;
            let second = (rise(p + h * first) - 2.0 * first) * damping;
            p = (p + h * (1.5 * first + 0.5 * second)).max(AMBIENT);
        }
        p
    }
}

/// Greatest pressure \[Pa\] of the air while the ram goes through its steps.
fn greatest(drive: &Drive, slit: Slit) -> f64 {
    let (mut p, mut most, mut filled) = (AMBIENT, 0.0_f64, 0.0);
    while drive.rate_until(filled) < 1.0 {
        let until = drive.rate_until(filled);
        p = slit.closed(p, (1.0 - until) / (1.0 - filled), drive.rate_at(filled));
        most = most.max(p);
        filled = until;
    }
    // The last of the air leaves at the rate that is set at the end.
    most.max(slit.pressure(drive.rate_at(1.0)))
}

pub(super) const DEFINITION: Definition = Definition {
    unit: edge::MEGAPASCAL,
    measure: Needs::Setting(|case| {
        let vents = case.mould.vents;
        let slit = Slit::new([vents.width, vents.depth, vents.land], case.drive.wall);
        let found = greatest(&case.drive, slit);
        let threshold = case.thresholds.air_pressure;
        let most = TIMES * threshold;
        Measure {
            value: found.min(most),
            beyond_reckoning: found > most,
            ..Measure::new(found, threshold, Scale::RatioBelow)
        }
    }),
    found: "To leave through the vents as fast as the melt comes in, the air needs a pressure of",
    beyond: "the air burns the melt or stops it",
    remedy: "Slower injection, or vents that are wider, shorter, or deeper as far as they do not flash.",
};

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::Case;
    use crate::fill::Ram;
    use crate::scenario::{RamStep, demo};

    /// Vents 50 mm wide in all, 0.01 mm deep, over a land of 1 mm.
    const VENTS: [f64; 3] = [50e-3, 10e-6, 1e-3];

    /// fluids 1.3.1, `ATMOSPHERE_1976.viscosity`, and `API520_C` for air: C/0.03948 = √γ (2/(γ+1))^3.
    #[test]
    fn air_is_as_the_tables_have_it() {
        for (t, expected) in [(293.15, 1.813_406e-5), (313.15, 1.907_574e-5), (333.15, 1.998_825e-5)] {
            assert!((viscosity(t) / expected - 1.0).abs() < 1e-4, "{t}: {}", viscosity(t));
        }
        assert!((GAMMA.sqrt() * CHOKED - 0.684_731_456).abs() < 1e-8);
    }

    /// fluids 1.3.1, `isothermal_gas` on a tube of hydraulic diameter 2h with Darcy's factor 96/Re and the density
    /// of the entry: friction, and the kinetic term 2 ln(p/p₀) where here is the loss at the end, which takes somewhat
    /// more. Solved for the pressure with SciPy's brentq. Below lies friction alone.
    #[test]
    fn the_pressure_is_that_of_isothermal_flow_in_a_slit() {
        for (vents, flow, t, expected) in [
            ([30e-3, 10e-6, 1e-3], 5e-6, 313.15, 146_648.0),
            ([30e-3, 10e-6, 1e-3], 10e-6, 313.15, 206_048.0),
            ([20e-3, 15e-6, 2e-3], 5e-6, 318.15, 141_493.0),
            ([10e-3, 20e-6, 1e-3], 8e-6, 333.15, 128_747.0),
        ] {
            let found = Slit::new(vents, t).pressure(flow);
            assert!(found > expected && found < 1.035 * expected, "{found} against {expected}");
            let [w, h, l] = vents;
            let friction = 24.0 * viscosity(t) * l * flow / (w * h.powi(3));
            assert!(found > 0.5 * friction + (0.25 * friction * friction + AMBIENT * AMBIENT).sqrt());
        }
    }

    /// Hardly any flow: Δp = 12 μ L Q/(w h³), as of a liquid. Hardly any land: the mass flow p Q/RT is that of
    /// sound at the pressure inside, C_d A p √(γ/RT) (2/(γ+1))^3 (from memory), and no pressure brings more.
    #[test]
    fn little_flow_is_that_of_a_liquid_and_much_that_of_sound() {
        let [w, h, l] = VENTS;
        let over = Slit::new(VENTS, 313.15).pressure(1e-8) - AMBIENT;
        let liquid = 12.0 * viscosity(313.15) * l * 1e-8 / (w * h.powi(3));
        assert!((over / liquid - 1.0).abs() < 2e-3, "{over} against {liquid}");
        let short = [w, h, 1e-12];
        let sonic = DISCHARGE * w * h * (1.4 * 287.05 * 313.15_f64).sqrt() * (2.0_f64 / 2.4).powi(3);
        let mass = |p: f64, q: f64| p * q / (AIR * 313.15);
        let p = Slit::new(short, 313.15).pressure(0.999 * sonic);
        let bound = DISCHARGE * w * h * p * (1.4_f64 / (287.05 * 313.15)).sqrt() * (2.0_f64 / 2.4).powi(3);
        assert!(
            mass(p, 0.999 * sonic) < bound && mass(p, 0.999 * sonic) > 0.99 * bound && p > 20.0 * AMBIENT
        );
        assert_eq!(Slit::new(short, 313.15).pressure(1.001 * sonic), f64::INFINITY);
    }

    /// Air that is closed in steps: the pressure at the end of a fast step may be the greatest. Stepped by hand, with many
    /// small steps. Wide vents make the equation stiff; then the air has the pressure of the present rate at once.
    #[test]
    fn a_fast_step_before_a_slow_one_decides() {
        let (rate, volume, t) = (5e-6, 2e-6, 313.15);
        for (depth, end, speeds) in
            [(10e-6, 0.95, [100.0, 5.0]), (10e-6, 0.5, [20.0, 100.0]), (60e-6, 0.95, [100.0, 5.0])]
        {
            let slit = Slit::new([50e-3, depth, 1e-3], t);
            let steps = [[100.0 * end, speeds[0]], [100.0 * (1.0 - end), speeds[1]]];
            let ram = Ram::resolve(&steps.map(|[share, speed]| RamStep { share, speed }));
            let drive = Drive { rate, ram, ..Case::resolve(&demo::default_demo().scenario()).drive };
            let (mut left, mut p, mut most) = (volume, AMBIENT, 0.0_f64);
            while left > 1e-4 * volume {
                let flow = drive.rate_at(1.0 - left / volume);
                let dv = 2e-6 * left;
                p += (p * flow - slit.leaves(p)) * dv / flow / left;
                left -= dv;
                most = most.max(p);
            }
            let found = greatest(&drive, slit);
            assert!((found / most - 1.0).abs() < 2e-3, "{depth} {speeds:?}: {found} against {most}");
            let last = slit.pressure(drive.rate_at(1.0));
            assert_eq!(speeds[0] > speeds[1], found > 1.001 * last, "{found} {last}");
        }
    }

    /// A volume of air that melt closes at a constant rate: dp/dt = (p Q − RT ṁ(p))/V, stepped by hand with the
    /// friction of the slit, comes to the pressure from below as the last of it leaves.
    #[test]
    fn the_air_of_a_closing_cavity_comes_to_that_pressure() {
        let (flow, t) = (5e-6, 313.15);
        let [w, h, l] = VENTS;
        let steady = Slit::new(VENTS, t).pressure(flow);
        let sonic = DISCHARGE * w * h * (GAMMA * AIR * t).sqrt() * CHOKED;
        // Volume flow, times pressure, that a pressure drives: p² − p₀² = f m + (m/Q_c)² with m = p Q.
        let friction = 24.0 * viscosity(t) * l / (w * h.powi(3));
        let leaves = |p: f64| {
            let more = p * p - AMBIENT * AMBIENT;
            2.0 * more / (friction + (friction * friction + 4.0 * more / (sonic * sonic)).sqrt())
        };
        let (mut volume, mut p) = (1.6e-6, AMBIENT);
        while volume > 1e-9 {
            let dv = 1e-4 * volume;
            p += (p * flow - leaves(p)) * dv / flow / volume;
            volume -= dv;
            assert!(p <= steady * (1.0 + 1e-9), "{p} of {steady}");
        }
        assert!((p / steady - 1.0).abs() < 1e-3, "{p} of {steady}");
    }
}
