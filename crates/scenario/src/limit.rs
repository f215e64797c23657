//! The limits of the window: one list gives each its variant, its name in documents, its label and the number
//! that moves it.

use serde::{Deserialize, Serialize};

macro_rules! limits {
    ($($(#[$about:meta])* $variant:ident: $name:literal, $label:literal, $threshold:literal;)*) => {
        /// A limit of the window.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
        #[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
        pub enum Limit {
            $($(#[$about])* #[serde(rename = $name)] $variant,)*
        }

        impl Limit {
            /// How many limits there are.
            pub const COUNT: usize = [$($name),*].len();

            /// Every limit, in the order of the work.
            pub const ALL: [Self; Self::COUNT] = [$(Self::$variant),*];

            /// The name that documents and links have for it.
            pub fn name(self) -> &'static str {
                match self { $(Self::$variant => $name,)* }
            }

            /// Short name, to stand beside the limit's line.
            pub fn label(self) -> &'static str {
                match self { $(Self::$variant => $label,)* }
            }

            /// Path of the number in the scenario that moves it.
            pub fn threshold(self) -> &'static str {
                match self { $(Self::$variant => $threshold,)* }
            }
        }
    };
}

// Variant: name, label, number that moves it. The order is that of the work. A name never changes once it is
// released: documents and links hold it.
limits! {
    /// Filling at the set rate needs more pressure than the machine has.
    ShortShot: "short_shot", "short shot", "limits.pressure_use";
    /// The hold pressure does not fill the rest after the switch-over.
    SwitchOver: "switch_over", "short after switch-over", "setup.hold_pressure";
    /// The melt is too stiff at the gate.
    StiffGate: "stiff_gate", "stiff at the gate", "limits.gate_viscosity";
    /// The melt shoots into the part as a strand.
    Jetting: "jetting", "jetting", "limits.jet_speed";
    /// Powder and binder part under shear.
    Separation: "separation", "separation", "limits.shear_rate";
    /// The binder begins to decompose.
    Burning: "burning", "burning", "limits.burn_reserve";
    /// The melt is hot in the barrel for too long.
    Residence: "residence", "time in the barrel", "feedstock.barrel_time";
    /// The vents let the air out too slowly.
    Venting: "venting", "venting", "limits.air_pressure";
    /// The flow front is too cold to weld.
    ColdFront: "cold_front", "cold front", "limits.cold_front_reserve";
    /// Two fronts are too cold where they meet.
    Weld: "weld", "weld line", "limits.weld_reserve";
    /// The opening force lifts the mould.
    Flash: "flash", "flash", "limits.clamp_use";
    /// Packing cannot make up for shrinkage.
    Sink: "sink", "sink", "limits.shrinkage";
    /// The pressure is let off before the gate has frozen.
    HoldCover: "hold_cover", "hold too short", "limits.hold_cover";
    /// The part still presses on its walls when the mould opens.
    Residual: "residual", "sticking", "limits.residual_pressure";
    /// The mould is too hot for the part ever to be ejected.
    Ejection: "ejection", "ejected too hot", "feedstock.ejection_temperature";
    /// The cooling water warms too much.
    CoolingWater: "cooling_water", "cooling water", "limits.water_rise";
    /// The machine cannot deliver that much in one shot.
    Shot: "shot", "machine's shot", "machine.shot_volume";
    /// The machine cannot inject that fast.
    Rate: "rate", "machine's rate", "limits.rate_use";
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

    /// A page finds a limit by its name, and draws its line by its label.
    #[test]
    fn no_two_limits_share_a_name_or_a_label() {
        for (k, a) in Limit::ALL.into_iter().enumerate() {
            for b in &Limit::ALL[..k] {
                assert!(a.name() != b.name() && a.label() != b.label(), "{a:?} and {b:?}");
            }
        }
    }
}
