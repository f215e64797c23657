//! The part's named dimensions, and how well the furnace repeats.

use crate::catalogue::parameters;
use serde::{Deserialize, Serialize};

/// How a dimension runs in the mould.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Flow {
    /// Across the flow of the melt.
    #[default]
    Across,
    /// Along the flow of the melt.
    Along,
}

/// How a dimension lies in the furnace.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Stands {
    /// Level, on the setter.
    #[default]
    Horizontal,
    /// Upright: gravity shortens it.
    Vertical,
}

parameters! {
    /// One named dimension of the sintered part.
    pub struct Dimension at "sizes.dimensions.*" {
        required size = 20.0 in 0.01 to 5000.0, "L_f", "mm", "L", "Final size",
            "Nominal size of the sintered part.", "the drawing";
        number tolerance = 0.1 in 0.0001 to 100.0, "t", "mm", "t", "Tolerance ±",
            "How far the sintered size may be from the nominal one, to either side.", "±0.3 to ±0.5 % of the size, common practice";
        optional cavity = 24.0 in 0.01 to 10000.0, "L_c", "mm", "c", "Size of the cavity",
            "Size that is cut. Left out, the cavity is cut for the present set point.", "the drawing of the mould";
    }
    others {
        /// Name of the dimension.
        name: String = String::from("length"), required;
        /// Whether it runs along the flow of the melt or across it.
        flow: Flow = Flow::Across;
        /// Whether it is lying or upright in the furnace.
        stands: Stands = Stands::Horizontal;
    }
}

parameters! {
    /// From the cavity to the size of the sintered part.
    pub struct Sizes at "sizes" {
        number capability = 1.33 in 0.0 to 10.0, "C_pk", "", "Cpk", "Least capability of a size",
            "Least Cpk of the named dimensions: the distance of the mean from the nearer tolerance, over three standard deviations.", "1.33, common practice";
        number along_factor = 1.0 in 0.9 to 1.1, "f_a", "", "faf", "Factor along the flow",
            "Cavity over sintered part along the flow, over the same across it. 1 until it is measured on a part.", "up to a few 0.1 %, from memory; measure it";
        number vertical_factor = 1.0 in 0.9 to 1.1, "f_v", "", "fvf", "Factor of an upright dimension",
            "Cavity over sintered part for a dimension upright in the furnace, over the same for one lying in it.", "gravity and the setter make 0.1 to 0.5 %, from memory; measure it";
        optional measured_filled = 98.5 in 50.0 to 120.0, "S_m", "%", "Sm", "Measured filling of the cavity",
            "Volume of the cold green part over that of its cavity, measured on parts that this set point made. Left out, it follows from the hold.", "a fit to measured parts gives it";
        number density_scatter = 0.3 in 0.0 to 10.0, "σ_ρ", "%", "srho", "Scatter of the sintered density",
            "Standard deviation of the sintered density from part to part and from run to run, in per cent of the solid's density.", "0.2 to 0.5 %, from memory; find your own by weighing";
        number measuring_scatter = 0.02 in 0.0 to 10.0, "σ_m", "%", "smea", "Other scatter of a length",
            "Standard deviation of a length from all that is not counted by itself: measuring, handling, the place in the furnace.", "assumed; find your own by measuring";
    }
    others {
        /// The named dimensions.
        dimensions: Vec<Dimension> = Vec::new();
    }
}

/// Greatest number of named dimensions.
pub const MAX_DIMENSIONS: usize = 24;
