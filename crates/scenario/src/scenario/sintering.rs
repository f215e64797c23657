//! The furnace run, and how the powder densifies in it.

use crate::catalogue::parameters;
use std::ops::RangeInclusive;

parameters! {
    /// One stretch of the furnace run: a ramp to a temperature, and a hold there.
    pub struct FurnaceStretch at "sintering.stretches.*" {
        required ramp = 5.0 in 0.01 to 100.0, "β", "K/min", "r", "Ramp",
            "Rate at which the furnace heats up to the temperature of this stretch.", "1 to 10 K/min, common practice";
        required temperature = 1360.0 in 100.0 to 2400.0, "T", "°C", "T", "Temperature of the stretch",
            "Temperature at the end of the ramp, which is then held.", "316L 1350 to 1390, 17-4PH 1300 to 1380, alumina 1550 to 1650 °C, from memory";
        required hold = 120.0 in 0.0 to 6000.0, "t", "min", "t", "Hold of the stretch",
            "Time at that temperature.", "1 to 3 h, common practice";
    }
}

parameters! {
    /// How the powder densifies. Without a work at half of the way, the curve passes through the sintered density that is
    /// set, after the furnace run that is set.
    pub struct Sintering at "sintering" {
        number energy = 300.0 in 20.0 to 2000.0, "Q", "kJ/mol", "Qs", "Activation energy of sintering",
            "How fast densification follows the temperature.", "316L about 280, alumina 440 to 500 kJ/mol, from memory; fit it to your densities";
        number energy_error = 40.0 in 0.0 to 1000.0, "ΔQ", "kJ/mol", "Qse", "Standard error of that energy",
            "Standard error of the activation energy.", "assumed";
        number width = 1.2 in 0.05 to 20.0, "w_Θ", "", "wTh", "Width of the rise of density",
            "How many units of ln Θ the density takes to rise; the smaller, the steeper.", "1 to 2, from memory; fit it to your densities";
        optional log_half = -29.0 in -400.0 to 100.0, "ln Θ_½", "", "lTh", "Work at half of the way",
            "Logarithm of the work Θ, in s/K, at which half of the way from the debound to the full density is done. With it, the furnace run decides the sintered density.", "fit it to your densities";
        optional fitted_at = 1300.0 in 100.0 to 2400.0, "T_Θ", "°C", "TTh", "Middle temperature of the runs",
            "Mean temperature of the runs that the sintering curve was fitted to. The farther the furnace run is from it, the more the error of the activation energy counts. Left out, it is that of the furnace run.", "a fit to your densities gives it";
        number full_density = 99.5 in 60.0 to 100.0, "ρ_e", "%", "rinf", "Density after a long time",
            "Density that the part comes to in the end, relative to that of the solid; closed pores remain.", "98 to 99.9 %, from memory";
        number temperature_scatter = 5.0 in 0.0 to 200.0, "ΔT_f", "K", "dTf", "Deviation of the furnace",
            "How far the furnace may be from its set temperature, from place to place and from run to run.", "±5 K, common practice";
    }
    others {
        /// The furnace run. A document that leaves it out gets the usual one of steel, or none for a powder of another density.
        stretches: Vec<FurnaceStretch> = vec![FurnaceStretch::default()];
    }
}

/// Densities of solids that sinter in about the usual run of steel, kg/m³: 17-4PH 7800, low-alloy steel 7850, 316L 7950 (from
/// memory). Alumina is 3970, zirconia 6050, copper 8960: each needs a run of its own.
const STEEL: RangeInclusive<f64> = 7400.0..=8200.0;

impl Sintering {
    /// Whether the usual numbers of this group, which are those of steel, stand for a powder of this density in kg/m³.
    pub fn is_usual_for(powder_density: f64) -> bool {
        STEEL.contains(&powder_density)
    }

    /// The furnace run where a document states none: the usual one of steel for a powder of its density, otherwise none.
    pub fn usual_run(powder_density: f64) -> Vec<FurnaceStretch> {
        if Self::is_usual_for(powder_density) { vec![FurnaceStretch::default()] } else { Vec::new() }
    }
}

/// Greatest number of stretches of a furnace run.
pub const MAX_STRETCHES: usize = 12;
