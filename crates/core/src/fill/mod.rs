//! Filling: gap-resolved, non-isothermal lubrication flow from the nozzle to the end of flow.
//!
//! Each step lets in what fills the front's cell. The flow in every wet cell follows from its
//! temperatures at the start of the step; then heat is stored, carried, conducted and dissipated,
//! cell by cell downstream, implicitly. Temperatures travel between cells on the cumulative flow
//! share ψ, which conserves enthalpy through changes of profile and of shape alike.

pub mod conduction;
mod march;
pub mod section;

pub use march::{Balance, Drive, March};

use crate::cavity::Cavity;
use crate::feedstock::Material;

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

/// A fill, as far as it went.
#[derive(Debug, Clone)]
pub struct Fill<'a> {
    /// The state at the end.
    pub end: March<'a>,
    /// The way there.
    pub history: History,
    /// Whether the whole path is full.
    pub full: bool,
    /// Greatest nozzle pressure \[Pa\].
    pub peak: f64,
    /// Greatest pressure at the gate's entry \[Pa\].
    pub gate_peak: f64,
    /// Greatest opening force, ∫p dA over the projected area \[N\].
    pub opening_force: f64,
    /// Coldest front temperature \[K\].
    pub coldest_front: f64,
    /// The state just before the machine's pressure first ran out, where it did.
    pub before_limit: Option<Box<March<'a>>>,
}

/// Fills the path at the set rate with whatever pressure that takes.
///
/// Notes the state at which the machine's limit was first passed, for [`limited`] to go on from.
pub fn unlimited<'a>(material: &'a Material, cavity: &'a Cavity, drive: Drive) -> Fill<'a> {
    run(March::new(material, cavity, drive), drive, false)
}

/// Goes on from where the machine's pressure ran out, at that pressure and the rate it still gives,
/// until the path is full or the front stalls.
pub fn limited<'a>(start: March<'a>, drive: Drive) -> Fill<'a> {
    run(start, drive, true)
}

/// A fill slower than this share of the set rate has stalled.
const STALLED: f64 = 1e-4;
/// Longest step of a slowed fill, as a share of the time elapsed.
const SLOW_STEP: f64 = 0.03;

fn run<'a>(mut march: March<'a>, drive: Drive, limited: bool) -> Fill<'a> {
    let mut record = Recorder::new(&march);
    let mut before_limit = None;
    let mut rate = drive.rate;
    loop {
        let (mut pressure, _) = march.flow(drive.rate);
        let mut q = drive.rate;
        if pressure > drive.max_pressure {
            if before_limit.is_none() && !limited {
                before_limit = Some(Box::new(march.clone()));
            }
            if limited {
                q = march.flow_at_pressure(drive.max_pressure, rate);
                pressure = drive.max_pressure;
            }
        }
        rate = q;
        record.note(&march, q, pressure);
        if march.is_full() || q < STALLED * drive.rate {
            break;
        }
        let mut volume = march.room();
        if q < 0.999 * drive.rate {
            volume = volume.min(q * SLOW_STEP * march.time);
        }
        march.advance(q, volume);
    }
    record.finish(march, before_limit)
}

/// Collects the history and the extremes of a run.
struct Recorder {
    history: History,
    peak: f64,
    gate_peak: f64,
    opening_force: f64,
    coldest_front: f64,
}

impl Recorder {
    fn new(march: &March<'_>) -> Self {
        Self {
            history: History::default(),
            peak: 0.0,
            gate_peak: 0.0,
            opening_force: 0.0,
            coldest_front: march.front_temperature,
        }
    }

    fn note(&mut self, march: &March<'_>, q: f64, pressure: f64) {
        let gate = march.gate_pressure();
        let h = &mut self.history;
        h.time.push(march.time);
        h.nozzle.push(pressure);
        h.gate.push(gate);
        h.rate.push(q);
        h.volume.push(march.volume());
        h.front.push(march.front_distance());
        h.front_temperature.push(march.front_temperature);
        self.peak = self.peak.max(pressure);
        self.gate_peak = self.gate_peak.max(gate);
        self.opening_force = self.opening_force.max(march.opening_force());
        self.coldest_front = self.coldest_front.min(march.front_temperature);
    }

    fn finish<'a>(self, march: March<'a>, before_limit: Option<Box<March<'a>>>) -> Fill<'a> {
        Fill {
            full: march.is_full(),
            end: march,
            history: self.history,
            peak: self.peak,
            gate_peak: self.gate_peak,
            opening_force: self.opening_force,
            coldest_front: self.coldest_front,
            before_limit,
        }
    }
}
