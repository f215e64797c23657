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
    law: Viscosity,
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
        Self { law, from, intervals }
    }

    /// a(T, p) for T not below the table's lower end.
    #[inline(always)]
    pub fn at(&self, t: f64, p: f64) -> f64 {
        let place = (t - self.from) * (1.0 / STEP);
        let (index, fraction) = interval(place);
        match self.intervals.get(index) {
            Some(cubic) => hermite::value(cubic, fraction),
            None => self.outside(t, p),
        }
    }

    #[cold]
    fn outside(&self, t: f64, p: f64) -> f64 {
        self.law.mobility(t, p)
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
        self.intervals.get(index).map_or(self.floor, |cubic| hermite::value(cubic, fraction))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::{CrossWlfConstants, FlowLaw, PowerLawConstants};

    #[test]
    fn the_table_keeps_its_stated_error() {
        let steep = PowerLawConstants { activation_energy: 80.0, ..PowerLawConstants::default() };
        for law in [FlowLaw::CrossWlf(CrossWlfConstants::default()), FlowLaw::PowerLaw(steep)] {
            let law = Viscosity::resolve(&law, 1.0);
            let table = MobilityTable::new(law, 343.15);
            for i in 0..2500 {
                let t = 343.15 + 0.1 * f64::from(i);
                let (found, exact) = (table.at(t, 0.0), law.mobility(t, 0.0));
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
    fn a_law_that_feels_pressure_is_not_tabulated() {
        let constants = CrossWlfConstants { d3: 0.2, ..CrossWlfConstants::default() };
        let law = Viscosity::resolve(&FlowLaw::CrossWlf(constants), 1.0);
        let table = MobilityTable::new(law, 343.15);
        assert_eq!(table.at(430.0, 5e7), law.mobility(430.0, 5e7));
        assert!(table.at(430.0, 5e7) < table.at(430.0, 0.0));
    }
}
