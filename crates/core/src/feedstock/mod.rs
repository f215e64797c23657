//! The material that the solvers need, from the powder, binder and flow law of a scenario.

pub mod flow;
mod heat;
pub mod loading;
pub mod mixture;
mod mobility;
mod pvt;
mod slip;

pub use flow::{FlowCurve, Shift, Viscosity, ZERO_CELSIUS};
pub use heat::HeatContent;
pub use mobility::{CutOff, MobilityTable};
pub use pvt::{Pvt, ROOM};
pub use slip::Slip;

use crate::cavity::{Cell, Flowing, Layers};
use crate::fill::section::SlipFlow;
use crate::scenario;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::order::greater;

/// Width of the no-flow transition \[K\]: fluidity falls as exp(−(ΔT/w)²) below T_nf.
const NO_FLOW_WIDTH: f64 = 1.0;
/// Share of the fluidity that remains well below the no-flow temperature, so that every stress is finite.
const NO_FLOW_FLOOR: f64 = 1e-12;

/// d90 over d50 where only the median is stated: gas-atomised powders of PIM, from memory.
const D90_OVER_D50: f64 = 2.2;

/// A feedstock in SI.
#[derive(Debug, Clone)]
pub struct Material {
    /// Density ρ \[kg/m³\].
    pub density: f64,
    /// Specific heat c_p \[J/kg K\].
    pub heat_capacity: f64,
    /// Conductivity k \[W/m K\].
    pub conductivity: f64,
    /// Heat content against temperature, latent heat included.
    pub heat: HeatContent,
    /// Density against temperature and pressure.
    pub pvt: Pvt,
    /// Flow law at the loading in use.
    pub viscosity: Viscosity,
    /// ln of its reference stress in Pa.
    pub log_reference_stress: f64,
    /// Shape of the flow law, tabulated.
    pub curve: FlowCurve,
    /// Mobility above the no-flow temperature, tabulated.
    pub mobility_table: MobilityTable,
    /// Share of the mobility that remains below the no-flow temperature.
    pub cut_off: CutOff,
    /// Mobility at the no-flow temperature without pressure, where the cut-off starts \[1/(Pa s)\].
    pub mobility_at_no_flow: f64,
    /// η_r(φ)/η_r(φ₁), the factor of the viscosity at rest.
    pub loading_factor: f64,
    /// No-flow temperature \[K\].
    pub no_flow: f64,
    /// Temperature on heating above which the last part of the binder has melted \[K\]: as stated, or the liquidus.
    pub melted: f64,
    /// Median particle size \[m\].
    pub d50: f64,
    /// Particle size d90 \[m\]: as stated, or 2.2 d50.
    pub d90: f64,
    /// Ejection temperature \[K\].
    pub ejection: f64,
    /// Onset of binder decomposition \[K\].
    pub burn_onset: f64,
    /// Degradation of the binder: time borne at a reference temperature \[s\], that temperature \[K\], and activation
    /// energy over gas constant \[K\].
    pub barrel: [f64; 3],
    /// Slip along the wall, if there is any.
    pub slip: Option<Slip>,
    /// Bagley's end correction, in half gaps or radii.
    pub entrance: f64,
    /// Depth of a free strand over that of the gate it leaves, B.
    pub swell: f64,
}

/// A year \[s\]: the longest time in the barrel that is computed.
const YEAR: f64 = 3.15e7;

/// The flow law of a validated feedstock at the loading in use, and η_r(φ)/η_r(φ₁).
pub fn at_loading(f: &scenario::Feedstock) -> (Viscosity, f64) {
    let relative = |phi: f64| {
        loading::relative_viscosity(
            f.loading_law,
            phi / 100.0,
            f.critical_loading / 100.0,
            f.loading_exponent,
        )
    };
    let factor = relative(f.solids_loading) / relative(f.measured_loading);
    let binder = (100.0 - f.solids_loading) / (100.0 - f.measured_loading);
    (Viscosity::resolve(&f.flow_law, Shift::new(f.loading_scaling, factor, binder)), factor)
}

impl Material {
    /// Resolves a validated feedstock.
    pub fn resolve(f: &scenario::Feedstock) -> Self {
        let phi = f.solids_loading / 100.0;
        let (viscosity, loading_factor) = at_loading(f);
        let mass = mixture::powder_mass_fraction(phi, f.powder_density, f.binder_density);
        let heat_capacity = mass * f.powder_heat_capacity + (1.0 - mass) * f.binder_heat_capacity;
        let latent = (1.0 - mass) * f.latent_heat * 1e3 / heat_capacity;
        Self {
            density: mixture::density(phi, f.powder_density, f.binder_density),
            heat_capacity,
            heat: HeatContent::new(f.solidus, f.liquidus, latent),
            pvt: Pvt::resolve(f),
            conductivity: f.conductivity_factor
                * f.conductivity_rule.conductivity(
                    phi,
                    f.critical_loading / 100.0,
                    f.powder_conductivity,
                    f.binder_conductivity,
                ),
            curve: FlowCurve::new(viscosity),
            mobility_table: MobilityTable::new(viscosity, f.no_flow_temperature + ZERO_CELSIUS),
            cut_off: CutOff::new(NO_FLOW_FLOOR),
            mobility_at_no_flow: viscosity.mobility(f.no_flow_temperature + ZERO_CELSIUS, 0.0),
            log_reference_stress: viscosity.reference_stress().logarithm(),
            viscosity,
            loading_factor,
            no_flow: f.no_flow_temperature + ZERO_CELSIUS,
            melted: f.melted_temperature.unwrap_or(f.liquidus) + ZERO_CELSIUS,
            d50: f.particle_size * 1e-6,
            d90: f.particle_size_90.unwrap_or(D90_OVER_D50 * f.particle_size) * 1e-6,
            ejection: f.ejection_temperature + ZERO_CELSIUS,
            burn_onset: f.burn_onset + ZERO_CELSIUS,
            barrel: [
                f.barrel_time * 60.0,
                f.barrel_reference + ZERO_CELSIUS,
                f.barrel_energy * 1e3 / flow::R,
            ],
            slip: Slip::resolve(f),
            entrance: f.entrance_correction,
            swell: f.swell,
        }
    }

    /// Time \[s\] that the binder bears at a temperature \[K\]: t_b exp[(E/R)(1/T − 1/T_r)], at most a year.
    pub fn barrel_time(&self, t: f64) -> f64 {
        let [time, reference, energy] = self.barrel;
        (time * (energy * (1.0 / t - 1.0 / reference)).exponential()).min(YEAR)
    }

    /// What the cavity has to know of the melt.
    pub fn flowing(&self) -> Flowing {
        Flowing { exponent: self.viscosity.exponent(), entrance: self.entrance }
    }

    /// Slip in a section with layers of these temperatures \[K\]: the area that flows slips along the wall.
    pub fn slip_in(&self, cell: &Cell, layers: &Layers, temperature: &[f64]) -> Option<SlipFlow> {
        let slip = self.slip?;
        let flows = |t: f64| {
            let depth = greater(self.no_flow - t, 0.0) * (1.0 / NO_FLOW_WIDTH);
            self.cut_off.at(depth * depth)
        };
        let share: f64 = temperature.iter().zip(&layers.area).map(|(t, area)| flows(*t) * area).sum();
        Some(SlipFlow { slip, ratio: share * cell.volume / (cell.length * cell.flow_constant) })
    }

    /// Heat capacity per volume ρc_p \[J/m³K\].
    pub fn volumetric_heat(&self) -> f64 {
        self.density * self.heat_capacity
    }

    /// Thermal diffusivity α = k/ρc_p \[m²/s\].
    pub fn diffusivity(&self) -> f64 {
        self.conductivity / self.volumetric_heat()
    }

    /// Mobility well below the no-flow temperature \[1/(Pa s)\].
    pub fn frozen_mobility(&self) -> f64 {
        self.mobility_at_no_flow * NO_FLOW_FLOOR
    }

    /// Mobilities a(T, p) \[1/(Pa s)\] at temperatures \[K\] and one pressure \[Pa\], cut off below the no-flow
    /// temperature.
    pub fn mobilities(&self, t: &[f64], p: f64, out: &mut [f64]) {
        let count = t.len();
        let out = &mut out[..count];
        // The middle is the warmest: layers below the no-flow temperature are the last.
        let flowing = t.iter().rposition(|&t| t >= self.no_flow).map_or(0, |last| last + 1);
        let missing = self.mobility_table.fill(&t[..flowing], &mut out[..flowing]);
        for j in flowing..count {
            out[j] = self.mobility_below(t[j]);
        }
        if missing {
            self.solve_for_mobilities(t, p, out);
        }
    }

    /// Mobility below the no-flow temperature \[1/(Pa s)\].
    #[inline(always)]
    fn mobility_below(&self, t: f64) -> f64 {
        let depth = (self.no_flow - t) * (1.0 / NO_FLOW_WIDTH);
        self.mobility_at_no_flow * self.cut_off.at(depth * depth)
    }

    // Temperatures that the table does not hold.
    #[cold]
    fn solve_for_mobilities(&self, t: &[f64], p: f64, out: &mut [f64]) {
        for (out, &t) in out.iter_mut().zip(t) {
            if out.is_nan() {
                *out = if t >= self.no_flow { self.viscosity.mobility(t, p) } else { self.mobility_below(t) };
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Feedstock;

    #[test]
    fn what_is_not_stated_follows_from_liquidus_and_median() {
        let plain = Feedstock { liquidus: 75.0, particle_size: 12.0, ..Feedstock::default() };
        let material = Material::resolve(&plain);
        assert!((material.melted - 348.15).abs() < 1e-9, "the liquidus: {}", material.melted);
        assert!((material.d90 - 26.4e-6).abs() < 1e-12, "2.2 d50: {}", material.d90);
        let stated = Feedstock { melted_temperature: Some(168.0), particle_size_90: Some(19.0), ..plain };
        let material = Material::resolve(&stated);
        assert!((material.melted - 441.15).abs() < 1e-9 && (material.d90 - 19e-6).abs() < 1e-12);
        assert!((material.d50 - 12e-6).abs() < 1e-12);
    }
}
