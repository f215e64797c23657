//! Filling: gap-resolved, non-isothermal lubrication flow from the nozzle to the end of flow.
//!
//! In each step the melt fills the cell of one front. Branches share the flow by their resistance, and fronts that meet
//! make a weld line. The flow in every wet cell follows from its temperatures at the start of the step. Then heat is
//! stored, carried, conducted and dissipated: implicitly, cell by cell in the order of the flow. Temperatures pass from
//! cell to cell by the cumulative share ψ of the flow, which conserves enthalpy where profile or section change.

mod accounts;
mod affine;
mod complete;
pub mod conduction;
mod drive;
mod fronts;
mod march;
mod ram;
mod readings;
mod record;
mod run;
pub mod section;
mod split;
mod warmth;

pub use accounts::{Balance, Effort};
pub use drive::Drive;
pub use march::{Front, March, Weld};
pub use ram::Ram;
pub(crate) use run::STALLED;
pub use run::Start;

use crate::cavity::Cavity;
use crate::feedstock::Material;
use run::{Run, Watch};

/// Greatest pressure that is computed \[Pa\]: ten times that of the strongest machine of the catalogue. A need that
/// reaches it is given as this value and means "this or more".
pub const GREATEST_PRESSURE: f64 = 4e9;

/// The fill in time; one entry a step, SI.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct History {
    /// Time \[s\].
    pub time: Vec<f64>,
    /// Nozzle pressure \[Pa\].
    pub nozzle: Vec<f64>,
    /// Pressure at the entry of the gate \[Pa\].
    pub gate: Vec<f64>,
    /// Flow rate \[m³/s\].
    pub rate: Vec<f64>,
    /// Volume filled \[m³\].
    pub volume: Vec<f64>,
    /// Distance of the front from the nozzle \[m\].
    pub front: Vec<f64>,
    /// Temperature laid down at the front \[K\].
    pub front_temperature: Vec<f64>,
}

/// A fill, as far as it went. The two needs are pressures of a fill without a limit; everything else is of the fill as
/// it was driven.
#[derive(Debug, Clone)]
pub struct Fill<'a> {
    /// The state at the end.
    pub end: March<'a>,
    /// The way there.
    pub history: History,
    /// Whether the whole path is full.
    pub full: bool,
    /// Whether the machine's greatest pressure was too little for the set rate, and whether the hold pressure was too
    /// little for a twentieth of that rate after the switch-over.
    pub ran_out: [bool; 2],
    /// Work spent on the needs; the work of the fill itself is in `end`.
    pub trial_effort: Effort,
    /// Whether the work of this fill, or of its needs, passed its bound, so that the rest was computed roughly.
    pub rough: bool,
    /// Whether the fill came to its switch-over.
    pub switched: bool,
    /// Greatest nozzle pressure \[Pa\].
    pub peak: f64,
    /// Greatest pressure at the gate's entry \[Pa\].
    pub gate_peak: f64,
    /// Greatest opening force, ∫p dA over the projected area \[N\].
    pub opening_force: f64,
    /// Coldest front temperature \[K\].
    pub coldest_front: f64,
    /// Greatest nozzle pressure that filling at the set rate up to the switch-over takes, had the machine no
    /// limit \[Pa\]; at most [`GREATEST_PRESSURE`].
    pub need: f64,
    /// Greatest nozzle pressure that filling the rest takes after this fill's switch-over, at no less than a
    /// twentieth of the set rate \[Pa\]; zero where all of the volume is filled before; at most
    /// [`GREATEST_PRESSURE`]. Where the fill stops before its switch-over, what that rate takes there.
    pub finishing_need: f64,
    /// Where the path is not full: the path with the rest filled ([`March::completed`]).
    completed: Option<Box<March<'a>>>,
}

impl<'a> Fill<'a> {
    /// The state at the end; if the path is not full, the state with the rest filled. Margins that need a full path are
    /// computed from it, so that they are continuous where the fill stops short. They are not shown.
    pub fn whole(&self) -> &March<'a> {
        self.completed.as_deref().unwrap_or(&self.end)
    }
}

/// Fills the path as the machine does: at the set rate while its pressure is enough, at its greatest pressure
/// where it is not, and after the switch-over at the hold pressure, never faster than set. The fill ends when
/// the path is full or the rate has fallen below 1e-4 of the set rate.
pub fn actual<'a>(material: &'a Material, cavity: &'a Cavity, drive: Drive) -> Fill<'a> {
    watched(material, cavity, drive, &mut |_, _| ())
}

/// The same as [`actual`], showing each moment and its nozzle pressure to a watcher.
pub fn watched<'a>(
    material: &'a Material,
    cavity: &'a Cavity,
    drive: Drive,
    watch: Watch<'_, 'a>,
) -> Fill<'a> {
    Start::watched(material, cavity, drive, watch).finish_watched(drive, watch)
}

/// Fills the path as if the machine had no limit: at the set rate up to the switch-over, at no less than a
/// twentieth of it after that. Nothing of this fill depends on the greatest pressure.
pub fn unlimited<'a>(material: &'a Material, cavity: &'a Cavity, drive: Drive) -> Fill<'a> {
    Run::unlimited(material, cavity, drive).finish_all(drive)
}
