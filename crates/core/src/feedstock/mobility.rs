//! Tables of mobility against temperature, which save the exponentials of the flow law and of the no-flow transition.

use super::Viscosity;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::hermite::{self, Cubic};
use gatefrost_numerics::interval;

/// Step of the table \[K\]. For an exponential that grows by s per kelvin its relative error is s⁴/384.
const STEP: f64 = 1.0;
/// Steepest growth s of the mobility in the table \[1/K\], for an error of 5e-6. A WLF form whose pole lies just below the
/// no-flow temperature is steeper there; the law itself is evaluated then.
const STEEPEST: f64 = 0.21;
/// Span of the table above its lower end \[K\].
const SPAN: usize = 200;

/// Cubic Hermite table of a(T) without pressure, from the no-flow temperature upwards, or from where the law is no steeper
/// than 0.21 per kelvin: the steepness of every law falls with temperature.
#[derive(Debug, Clone)]
pub struct MobilityTable {
    from: f64,
    /// Coefficients of a in the fraction of each interval, constant first; empty if the law depends on pressure.
    intervals: Vec<Cubic>,
}

impl MobilityTable {
    /// Tabulates a law from the temperature `no_flow` \[K\].
    pub fn new(law: Viscosity, no_flow: f64) -> Self {
        let mut intervals = Vec::new();
        let mut from = no_flow;
        if !law.feels_pressure() {
            let node = |i: usize| no_flow + STEP * i as f64;
            let steep = |i: &usize| {
                law.mobility(node(i + 1), 0.0) > (STEEPEST * STEP).exponential() * law.mobility(node(*i), 0.0)
            };
            from = (0..SPAN).rev().find(steep).map_or(no_flow, |last| node(last + 1));
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

    /// a(T) at temperatures \[K\]; NaN where the table does not hold it. Returns whether there are such.
    #[inline(always)]
    pub fn fill(&self, t: &[f64], out: &mut [f64]) -> bool {
        hermite::fill(&self.intervals, t, self.from, 1.0 / STEP, out, &mut [])
    }
}

/// Steps per unit of u = (ΔT/w)² in the table of the cut-off, for a relative error of 4e-8 of exp(−u).
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
            let left = (-(i as f64) / CUT_OFF_STEPS).exponential();
            (left, -left / CUT_OFF_STEPS)
        };
        let count = (-floor.logarithm() * CUT_OFF_STEPS) as usize;
        Self { floor, intervals: hermite::pieces(count, &node) }
    }

    /// The share that remains at u.
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
            let law = Viscosity::measured(&law);
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

    /// Customary Cross–WLF sets have D2 near 100 °C, so that the pole lies a few kelvin below a no-flow
    /// temperature: where the law is too steep for the table, the law itself is asked.
    #[test]
    fn near_the_pole_of_the_wlf_form_the_law_itself_is_asked() {
        for no_flow_temperature in [49.5, 55.0, 70.0, 90.0] {
            let constants =
                CrossWlfConstants { d1: 1e14, d2: 100.0, a1: 30.0, ..CrossWlfConstants::default() };
            let feedstock = Feedstock {
                flow_law: FlowLaw::CrossWlf(constants),
                no_flow_temperature,
                ..Feedstock::default()
            };
            let material = Material::resolve(&feedstock);
            let mut before = 0.0;
            for i in 0..1500 {
                let t = material.sets + 0.1 * f64::from(i);
                let mut found = [0.0; 5];
                material.mobilities(&[t; 5], 0.0, &mut found);
                let exact = material.viscosity.mobility(t, 0.0);
                assert!(
                    (found[0] / exact - 1.0).abs() < 5e-6,
                    "{no_flow_temperature} at {t}: {} {exact}",
                    found[0]
                );
                assert!(found[0] >= before, "{no_flow_temperature} at {t}: warmer melt flows more easily");
                before = found[0];
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
        let hot = material.sets + 0.5 + SPAN as f64;
        let (t, mut out) = ([hot, hot - 1.0, material.sets - material.setting_width], [0.0; 3]);
        material.mobilities(&t, 0.0, &mut out);
        assert_eq!(out[0], material.viscosity.mobility(hot, 0.0));
        assert!((out[1] / material.viscosity.mobility(hot - 1.0, 0.0) - 1.0).abs() < 4e-6);
        assert!((out[2] / (material.mobility_where_it_sets * (-1.0_f64).exp()) - 1.0).abs() < 1e-7);
    }

    #[test]
    fn a_law_that_feels_pressure_is_not_tabulated() {
        let constants = CrossWlfConstants { d3: 0.2, ..CrossWlfConstants::default() };
        let law = Viscosity::measured(&FlowLaw::CrossWlf(constants.clone()));
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
