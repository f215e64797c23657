//! The limits of the window: one list gives each its variant, its name in documents, its label, the number that moves
//! it, and what it rests on.

use serde::{Deserialize, Serialize};

/// What a limit rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Ground {
    /// It follows from a property or from the machine.
    Physics,
    /// A customary value of the trade.
    Habit,
    /// Only the user's own trials can tell it.
    Choice,
}

impl Ground {
    /// In words.
    pub fn label(self) -> &'static str {
        match self {
            Self::Physics => "physics",
            Self::Habit => "habit of the trade",
            Self::Choice => "your choice",
        }
    }
}

macro_rules! limits {
    ($($(#[$about:meta])* $variant:ident: $name:literal, $label:literal, $threshold:literal,
        since $since:literal, $ground:ident, $why:literal;)*) => {
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

            /// The version of the document in which it began.
            pub fn since(self) -> u32 {
                match self { $(Self::$variant => $since,)* }
            }

            /// What it rests on.
            pub fn ground(self) -> Ground {
                match self { $(Self::$variant => Ground::$ground,)* }
            }

            /// What the value of its threshold rests on, with the source: one or two sentences.
            pub fn why(self) -> &'static str {
                match self { $(Self::$variant => $why,)* }
            }
        }
    };
}

// Variant: name, label, number that moves it, version of the document in which it began, what it rests on, why.
// The order is that of the work. A name never changes once it is released: documents and links hold it.
limits! {
    /// Filling at the set rate needs more pressure than the machine has.
    ShortShot: "short_shot", "short shot", "limits.pressure_use", since 1, Physics,
        "The pressure follows from the flow law and the sections. The reserve of the machine's pressure is common practice.";
    /// The hold pressure does not fill the rest after the switch-over.
    SwitchOver: "switch_over", "short after switch-over", "setup.hold_pressure", since 1, Physics,
        "The pressure follows from the flow law and the sections. It is compared with the hold pressure that is set.";
    /// The backbone of the binder has not melted.
    Melted: "melted", "unmelted", "limits.melt_reserve", since 2, Physics,
        "The melted temperature is a property of the binder. The reserve is common practice.";
    /// The melt is too stiff in the section of the lowest shear rate.
    StiffGate: "stiff_gate", "stiff melt", "limits.viscosity", since 1, Habit,
        "1000 Pa·s is the customary ceiling for high-pressure moulding. Feedstocks below about 100 Pa·s flow well (Int. J. Mater. Forming 2021, doi 10.1007/s12289-021-01612-0, read).";
    /// So much powder that hardly any binder is left to flow.
    Loading: "loading", "near critical loading", "limits.loading_gap", since 2, Habit,
        "2 to 5 vol% below the critical loading is common practice.";
    /// Grains of the powder bridge the gate.
    GatePowder: "gate_powder", "gate against powder", "limits.gate_grains", since 2, Habit,
        "Ten coarse grains over the depth of the gate are common practice.";
    /// The gate is thicker than the wall behind it.
    GateWall: "gate_wall", "gate against wall", "limits.gate_wall", since 2, Habit,
        "Gates of 50 to 80 % of the wall are usual (from memory). A gate thicker than its wall freezes after it and tears it when it is cut.";
    /// The melt shoots into the part as a strand.
    Jetting: "jetting", "jetting", "limits.jet_speed", since 1, Choice,
        "We found no published value. 0.5 to 1 m/s is the cautious value of practice (from memory). Find your own by trial.";
    /// The melt slips or breaks up at the wall.
    WallStress: "wall_stress", "wall stress", "limits.wall_stress", since 2, Habit,
        "Slip and melt fracture begin at 0.1 to 0.5 MPa, depending on the feedstock (from memory). Gates often bear more: what breaks up there heals behind them.";
    /// Powder and binder part under shear.
    Separation: "separation", "separation", "limits.shear_rate", since 1, Habit,
        "Shear rates of 100 to 100 000 1/s are usual (from memory). The rate stands for a process that is not computed; how far grains can move is told by “migration”.";
    /// Grains move away from the wall in the time that they are sheared.
    Migration: "migration", "migration", "limits.migration", since 2, Physics,
        "Grains cross the gap once (a/H)² γ̇ t is of order 1; ½ is an order of magnitude (from memory). The scale of the time is that of Nott and Brady, J. Fluid Mech. 275 (1994) 157 (abstract read).";
    /// The binder decomposes.
    Burning: "burning", "burning", "limits.binder_loss", since 1, Physics,
        "The loss follows from the onset of decomposition and Arrhenius' law. That 1 % is too much is common practice.";
    /// The melt is hot in the barrel for too long.
    Residence: "residence", "time in the barrel", "feedstock.barrel_time", since 1, Choice,
        "Time and activation energy are from memory. Find your own by trial.";
    /// The vents let the air out too slowly.
    Venting: "venting", "venting", "limits.air_pressure", since 1, Physics,
        "Air that is compressed to three times the ambient pressure without loss of heat warms from 40 to 155 °C (closed form).";
    /// The flow front is too cold to weld.
    ColdFront: "cold_front", "cold front", "limits.cold_front_reserve", since 1, Habit,
        "The reserve above the no-flow temperature is common practice.";
    /// Two fronts are too cold where they meet.
    Weld: "weld", "weld line", "limits.weld_reserve", since 1, Habit,
        "The reserve above the no-flow temperature is common practice.";
    /// The opening force lifts the mould.
    Flash: "flash", "flash", "limits.clamp_use", since 1, Physics,
        "The force is the pressure over the projected area. The reserve of the clamp force is common practice.";
    /// A section shrinks while it is soft and no longer fed.
    Sink: "sink", "sink", "limits.soft_loss", since 1, Choice,
        "The contraction follows from the volume of the melt. That 0.5 % shows, 0.01 mm of a wall of 2 mm, is our judgement: find your own by trial.";
    /// The pressure is let off before the gate has frozen.
    HoldCover: "hold_cover", "hold too short", "limits.hold_cover", since 1, Habit,
        "Gate freeze and a reserve are common practice.";
    /// The part still presses on its walls when the mould opens.
    Residual: "residual", "sticking", "limits.residual_pressure", since 1, Choice,
        "The force of ejection is not computed. Find your own threshold by trial.";
    /// The mould is too hot for the part ever to be ejected.
    Ejection: "ejection", "ejected too hot", "feedstock.ejection_temperature", since 1, Physics,
        "The ejection temperature is a property of the feedstock.";
    /// The cooling water warms too much.
    CoolingWater: "cooling_water", "cooling water", "limits.water_rise", since 1, Habit,
        "3 to 5 K is common practice.";
    /// The machine cannot deliver that much in one shot.
    Shot: "shot", "machine's shot", "machine.shot_volume", since 1, Physics,
        "The greatest shot is a property of the machine.";
    /// The shot is too small a share of what the machine can deliver.
    SmallShot: "small_shot", "small shot", "limits.shot_share", since 2, Habit,
        "20 to 80 % of the greatest shot is common practice: a smaller one is metered less evenly and waits longer in the barrel.";
    /// The machine cannot inject that fast.
    Rate: "rate", "machine's rate", "limits.rate_use", since 1, Physics,
        "The greatest rate is a property of the machine. The reserve is common practice.";
    /// A toleranced size of the sintered part is not capable.
    Size: "size", "size tolerance", "sizes.capability", since 2, Habit,
        "The sizes follow from conservation of powder, their scatter from that of the settings, the loading and the furnace. A Cpk of 1.33 is common practice.";
    /// Debinding takes longer than is accepted.
    Debinding: "debinding", "debinding time", "debinding.longest", since 2, Choice,
        "How long you are willing to wait. The time follows from the steps of debinding and from the wall that governs them.";
}

#[cfg(test)]
mod tests {
    use super::Limit;
    use crate::catalogue;
    use crate::scenario::VERSION;

    #[test]
    fn every_limit_says_which_number_moves_it() {
        for limit in Limit::ALL {
            assert!(catalogue::at(limit.threshold()).is_some(), "{limit:?}");
            assert!((1..=VERSION).contains(&limit.since()), "{limit:?}");
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
