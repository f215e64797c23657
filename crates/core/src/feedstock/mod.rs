//! The material that the solvers need, from the powder, binder and flow law of a scenario.

mod decomposition;
pub mod flow;
mod heat;
pub mod loading;
pub mod mixture;
mod mobility;
mod pvt;
mod slip;

pub use decomposition::Decomposition;
pub use flow::{FlowCurve, Shift, Viscosity, ZERO_CELSIUS};
pub use heat::{HeatContent, MOST_PEAKS, Peak};
pub use mobility::{CutOff, MobilityTable};
pub use pvt::{Pvt, ROOM};
pub use slip::{Slip, SlipFlow};

use crate::cavity::{Cell, Flowing, Layers};
use crate::scenario;
use gatefrost_numerics::elementary::Elementary;

/// Least width w of the no-flow transition \[K\]: fluidity falls as exp(−(ΔT/w)²) below where setting begins.
const NO_FLOW_WIDTH: f64 = 1.0;
/// Over the setting range the fluidity falls to a thousandth at T_nf, as small as that of a gate that counts as frozen:
/// the range is √ln 1000 widths.
const WIDTHS: f64 = 2.628_260_884_878_662;
/// A section does not flow if its middle is this far below the no-flow temperature \[K\], or by the setting range if that
/// is more. Its fluidity has come to its floor before: 5.3 widths below where setting begins.
const FROZEN_THROUGH: f64 = 8.0;
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
    /// Mobility above where setting begins, tabulated.
    pub mobility_table: MobilityTable,
    /// Share of the mobility that remains below where setting begins.
    pub cut_off: CutOff,
    /// Temperature at which setting begins on cooling: the no-flow temperature and the setting range \[K\].
    pub sets: f64,
    /// Mobility at that temperature without pressure, where the cut-off starts \[1/(Pa s)\].
    pub mobility_where_it_sets: f64,
    /// Width of the cut-off \[K\].
    pub setting_width: f64,
    /// A section does not flow if its middle is below this temperature \[K\].
    pub frozen: f64,
    /// η_r(φ)/η_r(φ₁), the factor of the viscosity at rest.
    pub loading_factor: f64,
    /// No-flow temperature \[K\].
    pub no_flow: f64,
    /// Temperature on heating above which the last part of the binder has melted \[K\]: as stated, or the
    /// highest liquidus.
    pub melted: f64,
    /// Median particle size \[m\].
    pub d50: f64,
    /// Particle size d90 \[m\]: as stated, or 2.2 d50.
    pub d90: f64,
    /// Ejection temperature \[K\].
    pub ejection: f64,
    /// Decomposition of the binder.
    pub decomposition: Decomposition,
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
        let first =
            scenario::MeltingPeak { latent_heat: f.latent_heat, solidus: f.solidus, liquidus: f.liquidus };
        let peaks = || std::iter::once(&first).chain(&f.further_melting);
        let latent = |peak: &scenario::MeltingPeak| Peak {
            solidus: peak.solidus,
            liquidus: peak.liquidus,
            latent: (1.0 - mass) * peak.latent_heat * 1e3 / heat_capacity,
        };
        let last = peaks().filter(|peak| peak.latent_heat > 0.0).map(|peak| peak.liquidus).reduce(f64::max);
        let no_flow = f.no_flow_temperature + ZERO_CELSIUS;
        let sets = no_flow + f.setting_range;
        let energy = f.barrel_energy * 1e3 / flow::R;
        Self {
            density: mixture::density(phi, f.powder_density, f.binder_density),
            heat_capacity,
            heat: HeatContent::of_peaks(&peaks().map(latent).collect::<Vec<_>>()),
            pvt: Pvt::resolve(f),
            conductivity: f.conductivity_factor
                * f.conductivity_rule.conductivity(
                    phi,
                    f.critical_loading / 100.0,
                    f.powder_conductivity,
                    f.binder_conductivity,
                ),
            curve: FlowCurve::new(viscosity),
            mobility_table: MobilityTable::new(viscosity, sets),
            cut_off: CutOff::new(NO_FLOW_FLOOR),
            sets,
            mobility_where_it_sets: viscosity.mobility(sets, 0.0),
            setting_width: (f.setting_range / WIDTHS).max(NO_FLOW_WIDTH),
            frozen: no_flow - f.setting_range.max(FROZEN_THROUGH),
            log_reference_stress: viscosity.reference_stress().logarithm(),
            viscosity,
            loading_factor,
            no_flow,
            melted: f.melted_temperature.or(last).unwrap_or(f.liquidus) + ZERO_CELSIUS,
            d50: f.particle_size * 1e-6,
            d90: f.particle_size_90.unwrap_or(D90_OVER_D50 * f.particle_size) * 1e-6,
            ejection: f.ejection_temperature + ZERO_CELSIUS,
            decomposition: Decomposition::new(f.burn_onset + ZERO_CELSIUS, energy),
            barrel: [f.barrel_time * 60.0, f.barrel_reference + ZERO_CELSIUS, energy],
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
        Flowing {
            exponent: self.viscosity.exponent(),
            entrance: self.entrance,
            slip: self.slip.map(|slip| slip.exponent()),
        }
    }

    /// Slip in a section, from the mobilities \[1/(Pa s)\] of its layers, middle first; layers beyond them do not flow.
    ///
    /// What flows slips along what has set, at the stress τ_w ŷ there and on a film as mobile as the melt beside it. The
    /// velocity u holds at the melt temperature T_m \[K\]: Q_s = A Σ u(τ_w) a(T_j)/a(T_m) Δ(A_j ŷ_j^s), with
    /// [`Layers::slip_weight`]. So slip ends with the flow of the melt.
    pub fn slip_in(&self, cell: &Cell, layers: &Layers, mobility: &[f64], melt: f64) -> Option<SlipFlow> {
        let slip = self.slip?;
        let weighted = mobility.iter().zip(&layers.slip_weight);
        let share = weighted.map(|(mobility, weight)| mobility * weight).sum::<f64>()
            / self.viscosity.mobility(melt, 0.0);
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
        self.mobility_where_it_sets * NO_FLOW_FLOOR
    }

    /// Mobilities a(T, p) \[1/(Pa s)\] at temperatures \[K\] and one pressure \[Pa\], cut off below where setting
    /// begins.
    pub fn mobilities(&self, t: &[f64], p: f64, out: &mut [f64]) {
        let count = t.len();
        let out = &mut out[..count];
        // The middle is the warmest: layers that set are the last.
        let flowing = t.iter().rposition(|&t| t >= self.sets).map_or(0, |last| last + 1);
        let missing = self.mobility_table.fill(&t[..flowing], &mut out[..flowing]);
        for j in flowing..count {
            out[j] = self.mobility_below(t[j]);
        }
        if missing {
            self.solve_for_mobilities(t, p, out);
        }
    }

    /// Mobility below where setting begins \[1/(Pa s)\].
    #[inline(always)]
    fn mobility_below(&self, t: f64) -> f64 {
        let depth = (self.sets - t) / self.setting_width;
        self.mobility_where_it_sets * self.cut_off.at(depth * depth)
    }

    // Temperatures that the table does not hold.
    #[cold]
    fn solve_for_mobilities(&self, t: &[f64], p: f64, out: &mut [f64]) {
        for (out, &t) in out.iter_mut().zip(t) {
            if out.is_nan() {
                *out = if t >= self.sets { self.viscosity.mobility(t, p) } else { self.mobility_below(t) };
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Feedstock;

    /// Over the setting range the fluidity falls from that of the flow law to a thousandth, without a jump; below the
    /// no-flow temperature it falls on to nothing. Without a range it stays that of the flow law down to T_nf.
    #[test]
    fn over_the_setting_range_the_melt_thickens_to_no_flow() {
        let material =
            |setting_range| Material::resolve(&Feedstock { setting_range, ..Feedstock::default() });
        let at = |m: &Material, above: f64| {
            let mut out = [0.0];
            m.mobilities(&[m.no_flow + above], 0.0, &mut out);
            out[0]
        };
        for range in [4.0, 8.0, 20.0] {
            let m = material(range);
            let law = |above: f64| m.viscosity.mobility(m.no_flow + above, 0.0);
            assert!((at(&m, range + 0.1) / law(range + 0.1) - 1.0).abs() < 1e-5, "{range} K: the flow law");
            let left: Vec<f64> = (0..=40).map(|i| at(&m, range * f64::from(i) / 40.0)).collect();
            assert!(left.is_sorted() && left[39] > 0.98 * left[40], "{range} K: {left:?}");
            let steepest = left.windows(2).map(|w| (w[1] / w[0]).ln()).fold(0.0, f64::max);
            assert!(steepest < 0.5, "{range} K: no jump: {steepest}");
            let share = left[0] / law(range);
            assert!((share * 1e3 - 1.0).abs() < 1e-3, "{range} K: a thousandth at T_nf: {share}");
            assert!(at(&m, m.frozen - m.no_flow - 0.1) < 2e-12 * law(range), "{range} K: nothing flows");
        }
        let abrupt = material(0.0);
        let law = abrupt.viscosity.mobility(abrupt.no_flow, 0.0);
        assert!(at(&abrupt, 0.01) > 0.999 * law && at(&abrupt, -3.0) < 2e-4 * law);
    }

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
