//! What a hold is accounted for: its balances and its work.

use super::mass::MANY;

/// Balances of the hold: mass in volumes of cold mixture \[m³\], heat above the wall \[J\].
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Balance {
    /// Mass there at first, from pvT.
    pub mass_before: f64,
    /// Mass that came in from the nozzle.
    pub mass_delivered: f64,
    /// Mass there at last, from pvT: ∫ρ dV.
    pub mass_after: f64,
    /// Heat stored at first and at last.
    pub stored: [f64; 2],
    /// Heat brought by the melt.
    pub inflow: f64,
    /// Heat of dissipation.
    pub dissipated: f64,
    /// Heat lost to the wall.
    pub lost: f64,
    /// Heat of what was packed in on top of the volume.
    pub packed: f64,
}

impl Balance {
    /// (Mass before + delivered − after)/before.
    pub fn mass_closure(&self) -> f64 {
        (self.mass_before + self.mass_delivered - self.mass_after) / self.mass_before
    }

    /// What is missing from the heat balance, relative to all heat that was there or came in plus
    /// `floor` \[J\].
    pub fn enthalpy_closure(&self, floor: f64) -> f64 {
        let came = self.stored[0] + self.inflow.abs() + self.dissipated;
        let missing =
            self.stored[0] + self.inflow + self.dissipated - self.lost - self.packed - self.stored[1];
        missing / (came + floor)
    }
}

/// The work of computing a hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Effort {
    /// Steps in time.
    pub steps: u32,
    /// Sections solved for what they let through.
    pub sections: u32,
    /// Solutions for the pressures of all cells.
    pub solutions: u32,
    /// Sections that the flow has carried heat through.
    pub stirred: u32,
    /// Line solves of conduction, of several sections each.
    pub lines: u32,
}

impl Effort {
    /// Whether the work has passed its bound; pressures are solved roughly from there on.
    pub fn is_rough(&self) -> bool {
        self.solutions > MANY
    }
}
