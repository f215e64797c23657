//! The limits that bound the window, by name.

use serde::{Deserialize, Serialize};

/// A limit of the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Limit {
    /// Filling at the set rate needs more pressure than the machine has.
    ShortShot,
    /// The hold pressure does not fill the rest after the switch-over.
    SwitchOver,
    /// The melt is too stiff at the gate.
    StiffGate,
    /// The melt shoots into the part as a strand.
    Jetting,
    /// Powder and binder part under shear.
    Separation,
    /// The binder begins to decompose.
    Burning,
    /// The melt is hot in the barrel for too long.
    Residence,
    /// The vents let the air out too slowly.
    Venting,
    /// The flow front is too cold to weld.
    ColdFront,
    /// Two fronts are too cold where they meet.
    Weld,
    /// The opening force lifts the mould.
    Flash,
    /// Packing cannot make up for shrinkage.
    Sink,
    /// The pressure is let off before the gate has frozen.
    HoldCover,
    /// The part still presses on its walls when the mould opens.
    Residual,
    /// The mould is too hot for the part ever to be ejected.
    Ejection,
    /// The cooling water warms too much.
    CoolingWater,
    /// The machine cannot deliver that much in one shot.
    Shot,
    /// The machine cannot inject that fast.
    Rate,
}

impl Limit {
    /// How many limits there are.
    pub const COUNT: usize = 18;

    /// Every limit, in the order of the work.
    pub const ALL: [Self; Self::COUNT] = [
        Self::ShortShot,
        Self::SwitchOver,
        Self::StiffGate,
        Self::Jetting,
        Self::Separation,
        Self::Burning,
        Self::Residence,
        Self::Venting,
        Self::ColdFront,
        Self::Weld,
        Self::Flash,
        Self::Sink,
        Self::HoldCover,
        Self::Residual,
        Self::Ejection,
        Self::CoolingWater,
        Self::Shot,
        Self::Rate,
    ];

    /// The number of the scenario that says where it lies.
    pub fn threshold(self) -> &'static str {
        match self {
            Self::ShortShot => "limits.pressure_use",
            Self::SwitchOver => "setup.hold_pressure",
            Self::StiffGate => "limits.gate_viscosity",
            Self::Jetting => "limits.jet_speed",
            Self::Separation => "limits.shear_rate",
            Self::Burning => "limits.burn_reserve",
            Self::Residence => "feedstock.barrel_time",
            Self::Venting => "limits.air_pressure",
            Self::ColdFront => "limits.cold_front_reserve",
            Self::Weld => "limits.weld_reserve",
            Self::Flash => "limits.clamp_use",
            Self::Sink => "limits.shrinkage",
            Self::HoldCover => "limits.hold_cover",
            Self::Residual => "limits.residual_pressure",
            Self::Ejection => "feedstock.ejection_temperature",
            Self::CoolingWater => "limits.water_rise",
            Self::Shot => "machine.shot_volume",
            Self::Rate => "limits.rate_use",
        }
    }

    /// Short name, to stand beside the limit's line.
    pub fn label(self) -> &'static str {
        match self {
            Self::ShortShot => "short shot",
            Self::SwitchOver => "short after switch-over",
            Self::StiffGate => "stiff at the gate",
            Self::Jetting => "jetting",
            Self::Separation => "separation",
            Self::Burning => "burning",
            Self::Residence => "time in the barrel",
            Self::Venting => "venting",
            Self::ColdFront => "cold front",
            Self::Weld => "weld line",
            Self::Flash => "flash",
            Self::Sink => "sink",
            Self::HoldCover => "hold too short",
            Self::Residual => "sticking",
            Self::Ejection => "ejected too hot",
            Self::CoolingWater => "cooling water",
            Self::Shot => "machine's shot",
            Self::Rate => "machine's rate",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Limit;
    use crate::catalogue;

    #[test]
    fn every_limit_says_which_number_moves_it() {
        for limit in Limit::ALL {
            assert!(catalogue::at(limit.threshold()).is_some(), "{limit:?}");
        }
    }
}
