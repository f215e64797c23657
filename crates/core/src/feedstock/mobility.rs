//! Mobility against temperature as tables: the exponentials of a flow law and of the no-flow transition
//! without their cost.

use super::Viscosity;
use super::hermite::{self, Cubic};
use super::interval;

/// Step of the table \[K\]. An exponential that grows by s per kelvin leaves a remainder of s⁴/384 of
/// itself: 4e-6 at a fifth per kelvin, steeper than feedstocks are above their no-flow temperature.
const STEP: f64 = 1.0;
/// Span of the table above its lower end \[K\].
const SPAN: usize = 200;

/// Cubic Hermite table of a(T) at no pressure, from the no-flow temperature upwards.
#[derive(Debug, Clone)]
pub struct MobilityTable {
    from: f64,
    /// Coefficients of a in the fraction of each interval, constant first; empty where the law feels
    /// pressure and the table would not do.
    intervals: Vec<Cubic>,
}

impl MobilityTable {
    /// Tabulates a law from the temperature `from` \[K\].
    pub fn new(law: Viscosity, from: f64) -> Self {
        let mut intervals = Vec::new();
        if !law.feels_pressure() {
            // Slopes by central differences over a hundredth of a step, good to 1e-9 of the slope.
            let node = |i: usize| {
                let (t, h) = (from + STEP * i as f64, 0.01 * STEP);
                let slope = (law.mobility(t + h, 0.0) - law.mobility(t - h, 0.0)) / (2.0 * h);
                (law.mobility(t, 0.0), STEP * slope)
            };
            intervals = hermite::pieces(SPAN, &node);
        }
        Self { from, intervals }
    }

    /// a(T) at temperatures; no number where the table does not hold it. Returns whether there are such.
    #[inline(always)]
    pub fn fill(&self, t: &[f64], out: &mut [f64]) -> bool {
        hermite::fill(&self.intervals, t, self.from, 1.0 / STEP, out, &mut [])
    }
}

/// Steps per unit of u = (ΔT/w)² in the table of the cut-off; the remainder of exp(−u) is 4e-8 of itself.
const CUT_OFF_STEPS: f64 = 16.0;

/// The share exp(−u) of the mobility that is left below the no-flow temperature, down to a floor.
#[derive(Debug, Clone)]
pub struct CutOff {
    floor: f64,
    intervals: Vec<Cubic>,
}

impl CutOff {
    /// Tabulates it down to `floor`.
    pub fn new(floor: f64) -> Self {
        let node = |i: usize| {
            let left = (-(i as f64) / CUT_OFF_STEPS).exp();
            (left, -left / CUT_OFF_STEPS)
        };
        let count = (-floor.ln() * CUT_OFF_STEPS) as usize;
        Self { floor, intervals: hermite::pieces(count, &node) }
    }

    /// What is left at u.
    #[inline(always)]
    pub fn at(&self, u: f64) -> f64 {
        let (index, fraction) = interval(u * CUT_OFF_STEPS);
        self.intervals.get(index).map_or(self.floor, |cubic| hermite::value(*cubic, fraction))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::feedstock::Material;
    use crate::scenario::{CrossWlfConstants, Feedstock, FlowLaw, PowerLawConstants};

    #[test]
    fn the_table_keeps_its_stated_error() {
        let steep = PowerLawConstants { activation_energy: 80.0, ..PowerLawConstants::default() };
        for law in [FlowLaw::CrossWlf(CrossWlfConstants::default()), FlowLaw::PowerLaw(steep)] {
            let law = Viscosity::resolve(&law, 1.0);
            let table = MobilityTable::new(law, 343.15);
            for i in 0..2000 {
                let t = 343.15 + 0.1 * f64::from(i);
                let (mut found, exact) = ([0.0; 5], law.mobility(t, 0.0));
                assert!(!table.fill(&[t; 5], &mut found));
                assert_eq!(found, [found[0]; 5]);
                let found = found[0];
                assert!((found / exact - 1.0).abs() < 4e-6, "{law:?} at {t}: {found} against {exact}");
            }
        }
    }

    #[test]
    fn the_cut_off_keeps_its_stated_error() {
        let cut_off = CutOff::new(1e-12);
        for i in 0..4000 {
            let u = 0.01 * f64::from(i);
            let (found, exact) = (cut_off.at(u), (-u).exp().max(1e-12));
            assert!((found / exact - 1.0).abs() < if u < 27.5 { 4e-8 } else { 0.07 }, "{u}: {found}");
        }
        assert_eq!([cut_off.at(1e9), cut_off.at(f64::INFINITY)], [1e-12; 2]);
    }

    #[test]
    fn beyond_the_table_the_law_itself_is_asked() {
        let material = Material::resolve(&Feedstock::default());
        let hot = material.no_flow + 0.5 + SPAN as f64;
        let (t, mut out) = ([hot, hot - 1.0, material.no_flow - 1.0], [0.0; 3]);
        material.mobilities(&t, 0.0, &mut out);
        assert_eq!(out[0], material.viscosity.mobility(hot, 0.0));
        assert!((out[1] / material.viscosity.mobility(hot - 1.0, 0.0) - 1.0).abs() < 4e-6);
        assert!((out[2] / (material.mobility_at_no_flow * (-1.0_f64).exp()) - 1.0).abs() < 1e-7);
    }

    #[test]
    fn a_law_that_feels_pressure_is_not_tabulated() {
        let constants = CrossWlfConstants { d3: 0.2, ..CrossWlfConstants::default() };
        let law = Viscosity::resolve(&FlowLaw::CrossWlf(constants.clone()), 1.0);
        let table = MobilityTable::new(law, 343.15);
        assert!(table.fill(&[430.0], &mut [0.0]));
        let feedstock = Feedstock { flow_law: FlowLaw::CrossWlf(constants), ..Feedstock::default() };
        let material = Material::resolve(&feedstock);
        let mobility = |t: f64, p: f64| {
            let mut out = [0.0];
            material.mobilities(&[t], p, &mut out);
            out[0]
        };
        assert_eq!(mobility(430.0, 5e7), material.viscosity.mobility(430.0, 5e7));
        assert!(mobility(430.0, 5e7) < mobility(430.0, 0.0));
    }
}
