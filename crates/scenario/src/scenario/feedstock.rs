//! The feedstock as the user describes it.

use super::Family;
use super::conductivity::ConductivityRule;
use super::flow_law::{CrossWlfConstants, FlowLaw};
use crate::catalogue::parameters;
use crate::uncertainty::Uncertainty;
use serde::{Deserialize, Serialize};

/// How the volume of the binder follows temperature and pressure; the powder is taken as rigid.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum PvtLaw {
    /// v = v₀ (1 + β_b (T − 23 °C)) (1 − κ_b p).
    Linear,
    /// Tait's equation in two domains.
    Tait(TaitConstants),
}

impl PvtLaw {
    /// The law of a name, `linear` or `tait`, with the catalogue's constants.
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "linear" => Some(Self::Linear),
            "tait" => Some(Self::Tait(TaitConstants::default())),
            _ => None,
        }
    }
}

parameters! {
    /// Constants of v = v₀(T) [1 − 0.0894 ln(1 + p/B(T))] + v_t, with t = T − b₅ and the transition at
    /// T_t = b₅ + b₆ p. Above it v₀ = b₁ₘ + b₂ₘ t, B = b₃ₘ exp(−b₄ₘ t), v_t = 0; below it the same with
    /// b₁ₛ to b₄ₛ, and v_t = b₇ exp(b₈ t − b₉ p). Only ratios of volumes are used: the density at room
    /// temperature is the binder's own.
    pub struct TaitConstants at "feedstock.pvt.tait" {
        required b1m = 1.2 in 0.1 to 10.0, "b_1m", "cm³/g", "b1m", "Volume of the melt",
            "Specific volume of the melt at the transition temperature, without pressure.", "i-PP 1.20 cm³/g at 0 °C extrapolated, Danner and High";
        required b2m = 7.0 in 0.0 to 50.0, "b_2m", "1e-4 cm³/gK", "b2m", "Expansion of the melt",
            "Rise of the melt's specific volume with temperature.", "i-PP about 7e-4 cm³/gK at 190 °C, from the constants of Danner and High";
        required b3m = 150.0 in 1.0 to 5000.0, "b_3m", "MPa", "b3m", "Stiffness of the melt",
            "B of the melt at the transition temperature.", "i-PP 142 MPa at 0 °C, Danner and High";
        required b4m = 4.5 in 0.0 to 50.0, "b_4m", "1e-3/K", "b4m", "Softening of the melt",
            "How fast B of the melt falls with temperature.", "i-PP 4.0e-3, HDPE 4.7e-3 1/K, Danner and High";
        required b5 = 60.0 in -100.0 to 400.0, "b_5", "°C", "b5", "Transition temperature",
            "Temperature of the transition without pressure.", "paraffin melts at 46 to 68 °C, handbook tables from memory";
        required b6 = 0.2 in 0.0 to 2.0, "b_6", "K/MPa", "b6", "Rise of the transition",
            "How far pressure raises the transition.", "from memory";
        required b1s = 1.135 in 0.1 to 10.0, "b_1s", "cm³/g", "b1s", "Volume of the solid",
            "Specific volume of the solid at the transition temperature, without pressure and without what melting adds.", "illustrative";
        required b2s = 6.0 in 0.0 to 50.0, "b_2s", "1e-4 cm³/gK", "b2s", "Expansion of the solid",
            "Rise of the solid's specific volume with temperature.", "illustrative";
        required b3s = 250.0 in 1.0 to 5000.0, "b_3s", "MPa", "b3s", "Stiffness of the solid",
            "B of the solid at the transition temperature.", "illustrative";
        required b4s = 3.0 in 0.0 to 50.0, "b_4s", "1e-3/K", "b4s", "Softening of the solid",
            "How fast B of the solid falls with temperature.", "illustrative";
        required b7 = 0.065 in 0.0 to 5.0, "b_7", "cm³/g", "b7", "Volume of melting",
            "What melting adds to the specific volume. With b₁ₘ − b₁ₛ the two domains meet.", "illustrative";
        required b8 = 0.1 in 0.0 to 5.0, "b_8", "1/K", "b8", "Sharpness of melting",
            "How sharply melting sets in below the transition.", "illustrative";
        required b9 = 0.025 in 0.0 to 1.0, "b_9", "1/MPa", "b9", "Pressure dependence of melting",
            "How fast pressure reduces the volume of melting.", "b₈ b₆ keeps it constant along the transition; a little more balances the more compressible melt";
    }
}

/// How viscosity grows with solids loading; published forms, see `feedstock::loading`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum LoadingLaw {
    /// (1 − φ/φc)^−m, customary for PIM with m = 2.
    Power,
    /// (1 − φ/φc)^(−2.5 φc), Krieger and Dougherty with an intrinsic viscosity of 2.5.
    KriegerDougherty,
    /// (1 + 1.25 φ/(1 − φ/φc))², Eilers.
    Eilers,
    /// (1 + 0.75 x/(1 − x))², x = φ/φc, Chong.
    Chong,
    /// (1 − φ/φc)^−2, Quemada.
    Quemada,
    /// exp(2.5 φ/(1 − φ/φc)), Mooney. It is far too large at the loadings of PIM.
    Mooney,
}

/// What "so many times as viscous" means in a fluid that thins, when a flow law is carried from the loading at which it
/// was measured to another; see `feedstock::flow::Shift`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum LoadingScaling {
    /// By homogenisation: the binder between the particles is sheared faster than the mixture.
    #[default]
    Homogenised,
    /// At equal shear stress.
    EqualStress,
    /// At equal shear rate.
    EqualRate,
}

parameters! {
    /// Powder, binder and their mixture.
    pub struct Feedstock at "feedstock" {
        number solids_loading = 60.0 in 0.0 to 80.0, "φ", "vol%", "phi", "Solids loading",
            "Volume share of powder in the feedstock. Work 2 to 5 vol% below the critical loading.", "common practice";
        number critical_loading = 66.0 in 20.0 to 90.0, "φ_c", "vol%", "phic", "Critical loading",
            "Loading at which the binder only just fills the voids and the viscosity diverges.", "316L optimum 69, Ti-6Al-4V 60, ZrO2 49.92 vol% reported; see the model in the handbook";
        number measured_loading = 60.0 in 0.0 to 80.0, "φ_1", "vol%", "phi1", "Loading of the flow law",
            "Loading at which the flow law was measured. The law is scaled from it to the solids loading.", "common practice";
        number loading_exponent = 2.0 in 0.5 to 4.0, "m", "", "m", "Exponent of the loading law",
            "m in (1 − φ/φc)^−m; used by the power form only.", "about 2 for PIM, handbook";
        number powder_density = 7950.0 in 500.0 to 25000.0, "ρ_p", "kg/m³", "rp", "Powder density",
            "Density of the solid, not of the loose powder.", "316L 7900 to 8030, handbook tables from memory";
        number powder_heat_capacity = 480.0 in 50.0 to 3000.0, "c_p", "J/kgK", "cp", "Powder heat capacity",
            "Specific heat of the powder material.", "316L 450 to 502, handbook tables from memory";
        number powder_conductivity = 15.0 in 0.05 to 1000.0, "k_p", "W/mK", "kp", "Powder conductivity",
            "Thermal conductivity of the powder material.", "316L 14.6 to 15.9, handbook tables from memory";
        number particle_size = 10.0 in 0.05 to 200.0, "d_50", "µm", "d50", "Median particle size",
            "Half of the powder by mass is finer. Below about 20 µm is usual.", "common practice";
        optional particle_size_90 = 22.0 in 0.05 to 500.0, "d_90", "µm", "d90", "Particle size d90",
            "Nine tenths of the powder by mass are finer. Left out, it is estimated as 2.2 times the median.", "2.2 d50 is usual for gas-atomised powder of PIM, from memory";
        number binder_density = 880.0 in 300.0 to 3000.0, "ρ_b", "kg/m³", "rb", "Binder density",
            "Density of the binder blend at room temperature. The pvT law says how it falls on melting.", "paraffin about 900, PP 905 to 910 kg/m³ when solid, handbook tables from memory";
        number binder_heat_capacity = 2300.0 in 500.0 to 6000.0, "c_b", "J/kgK", "cb", "Binder heat capacity",
            "Specific heat of the binder blend, without the heat of melting.", "paraffin 2140 to 2900, PP 1800 to 1925, handbook tables from memory";
        number binder_conductivity = 0.2 in 0.02 to 5.0, "k_b", "W/mK", "kb", "Binder conductivity",
            "Thermal conductivity of the binder blend.", "paraffin 0.2 to 0.25, PP 0.12 to 0.22, handbook tables from memory";
        number conductivity_factor = 1.0 in 0.1 to 10.0, "f_k", "", "fk", "Conductivity over its estimate",
            "Measured conductivity of the feedstock over the one that the rule gives. 1: not measured.", "the rules lie a factor of two to three apart for metals";
        number latent_heat = 0.0 in 0.0 to 1000.0, "L_b", "kJ/kg", "Lb", "Latent heat of the binder",
            "Heat that the binder blend gives up when its first melting peak solidifies, spread evenly from liquidus to solidus.", "paraffin 160 to 210, stearic acid 215 kJ/kg, handbook tables from memory";
        number solidus = 45.0 in -100.0 to 400.0, "T_s", "°C", "Ts", "Solidus of the binder",
            "Temperature at which the binder has solidified: all of the latent heat is given up.", "paraffin melts at 46 to 68 °C, handbook tables from memory";
        number liquidus = 65.0 in -100.0 to 450.0, "T_l", "°C", "Tl", "Liquidus of the binder",
            "Temperature above which all of the binder is molten.", "paraffin melts at 46 to 68 °C, handbook tables from memory";
        optional melted_temperature = 140.0 in -50.0 to 450.0, "T_mb", "°C", "Tmb", "Melted temperature of the backbone",
            "Temperature on heating above which the last part of the binder has melted. Left out, it is the highest liquidus.", "end of the last peak of a DSC on heating; PP 160 to 170, HDPE 125 to 135, POM 165 to 175 °C, from memory";
        number binder_expansion = 10.0 in 0.0 to 50.0, "β_b", "1e-4/K", "bb", "Binder expansion",
            "Volume expansion per kelvin, as a mean from room to melt temperature, melting included; used by the linear pvT law only.", "from memory; i-PP melt about 6e-4 1/K plus melting";
        number binder_compressibility = 0.9 in 0.01 to 5.0, "κ_b", "1/GPa", "kb3", "Binder compressibility",
            "Relative loss of volume per pressure, as a mean up to 100 MPa; used by the linear pvT law only.", "i-PP at 190 °C: 0.82 1/GPa from the Tait constants of Danner and High";
        number no_flow_temperature = 70.0 in -50.0 to 400.0, "T_nf", "°C", "Tnf", "No-flow temperature",
            "Below it the feedstock does not flow under any pressure of the machine.", "paraffin melts at 46 to 68 °C, handbook tables from memory";
        number setting_range = 5.0 in 0.0 to 20.0, "ΔT_s", "K", "Tsr", "Setting range",
            "Over so many kelvins above the no-flow temperature the viscosity rises from the flow law to no flow. 0: abruptly.", "a polyolefin crystallises over 5 to 10 K of a DSC on cooling, from memory";
        number ejection_temperature = 55.0 in -50.0 to 400.0, "T_e", "°C", "Te", "Ejection temperature",
            "Highest mean temperature at which the green part keeps its shape.", "common practice";
        number burn_onset = 210.0 in 50.0 to 600.0, "T_b", "°C", "Tb", "Onset of decomposition",
            "Temperature at which the first binder part begins to decompose.", "wax 180 to 250 °C, stearic acid 200 °C, PP 350 to 400 °C, from memory";
        number barrel_time = 30.0 in 0.1 to 1000.0, "t_b", "min", "tb", "Allowed time in the barrel",
            "Longest time at the reference temperature before the binder has degraded too far. Other temperatures follow Arrhenius' law.", "customary for hot barrels, from memory; find your own by trial";
        number barrel_reference = 170.0 in 20.0 to 450.0, "T_r,b", "°C", "Tbr", "Reference temperature of the time in the barrel",
            "Melt temperature for which the allowed time is given.", "common practice";
        number barrel_energy = 100.0 in 0.0 to 500.0, "E_b", "kJ/mol", "Eb", "Activation energy of degradation",
            "How fast the allowed time falls with temperature.", "loss of wax and stearic acid of the order of 100 kJ/mol, from memory";
        number swell = 1.05 in 1.0 to 3.0, "B", "", "B", "Die swell",
            "Thickness of a free strand over that of the gate it leaves.", "feedstocks 1.0 to 1.1, well below pure polymers, from memory";
        number slip_velocity = 0.0 in 0.0 to 10000.0, "u_s", "mm/s", "us1", "Slip at the wall",
            "Velocity with which the melt slips along the wall at a wall stress of 100 kPa; 0 for none. Mooney's analysis of two or more dies gives it.", "measure it; wax-based feedstocks slip by 1 to 100 mm/s, order of magnitude, from memory";
        number slip_exponent = 2.0 in 0.2 to 8.0, "s", "", "se", "Exponent of slip",
            "s in u = u_s (τ_w/100 kPa)^s.", "1 to 4 for filled melts, from memory";
        number entrance_correction = 0.0 in 0.0 to 100.0, "e", "", "ec", "End correction",
            "Pressure lost where the flow enters a narrower passage, as a length of it in half gaps or radii; 0 for none. Bagley's analysis of two or more dies gives it.", "measure it; Bagley's correction is Δp = 2τ_w (L/R + e)";
        number sintered_density = 97.0 in 50.0 to 100.0, "ρ_s", "%", "rs", "Sintered density",
            "Density after sintering, relative to that of the solid. With the loading it decides the shrinkage in the furnace.", "common practice";
        number powder_loss = 0.0 in 0.0 to 20.0, "w", "%", "pl", "Powder lost in the furnace",
            "Share of the powder's mass that leaves it in the furnace, such as oxygen and carbon.", "0 to 2 % for steels, from memory; find your own by weighing";
    }
    others {
        /// Name of the feedstock.
        name: String = String::from("Stainless steel in wax and polypropylene");
        /// Where its flow constants come from; shown wherever they show.
        provenance: String = String::from("illustrative");
        /// How viscosity grows with loading.
        loading_law: LoadingLaw = LoadingLaw::Power;
        /// How the flow law is carried to another loading.
        loading_scaling: LoadingScaling = LoadingScaling::Homogenised;
        /// How the conductivity of the mixture is estimated.
        conductivity_rule: ConductivityRule = ConductivityRule::LewisNielsen;
        /// How the binder's volume follows temperature and pressure.
        pvt: PvtLaw = PvtLaw::Linear;
        /// How far the numbers may be off. `None`: not stated. A document that does not state it gets
        /// [`Uncertainty::usual`] when it is read; one that states an empty list takes the numbers as exact.
        #[cfg_attr(feature = "typescript", ts(optional))]
        uncertainty: Option<Uncertainty> = None, sparse;
        /// The family that the binder belongs to, where it is stated.
        family: Option<Family> = None;
        /// Further melting peaks of the binder, after the first.
        further_melting: Vec<MeltingPeak> = Vec::new();
        /// The measured flow law.
        flow_law: FlowLaw = FlowLaw::CrossWlf(CrossWlfConstants::default());
    }
}

/// Greatest number of melting peaks after the first.
pub const MAX_FURTHER_PEAKS: usize = 4;

parameters! {
    /// One further melting peak of the binder.
    pub struct MeltingPeak at "feedstock.further_melting.*" {
        required latent_heat = 40.0 in 0.0 to 1000.0, "L_b", "kJ/kg", "L", "Latent heat of the melting peak",
            "Heat for each kilogram of the whole binder that this part gives up when it solidifies.", "PP about 90, HDPE about 200 kJ/kg of the part itself, from memory; times its share";
        required solidus = 100.0 in -100.0 to 400.0, "T_s", "°C", "s", "Solidus of the melting peak",
            "Temperature at which this part of the binder has solidified.", "PP crystallises at 105 to 125 °C on cooling, from memory";
        required liquidus = 120.0 in -100.0 to 450.0, "T_l", "°C", "l", "Liquidus of the melting peak",
            "Temperature at which this part of the binder begins to solidify.", "PP crystallises at 105 to 125 °C on cooling, from memory";
    }
}
