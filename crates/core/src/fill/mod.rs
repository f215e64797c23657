//! Filling: gap-resolved, non-isothermal lubrication flow from the nozzle to the end of flow.
//!
//! Each step lets in what fills the cell of one front; branches share the flow as their resistance has
//! it, and fronts that meet weld. The flow in every wet cell follows from its
//! temperatures at the start of the step; then heat is stored, carried, conducted and dissipated,
//! cell by cell downstream, implicitly. Temperatures travel between cells on the cumulative flow
//! share ψ, which conserves enthalpy through changes of profile and of shape alike.

pub mod conduction;
mod march;
mod readings;
pub mod section;
mod split;
mod warmth;

pub use march::{Balance, Drive, Effort, Front, March, Weld};

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
    /// The same up to the switch-over: what filling at the set rate needs \[Pa\]. From there on the hold
    /// pressure is what there is. At most [`GREATEST_PRESSURE`].
    pub need: f64,
    /// Greatest pressure at the gate's entry \[Pa\].
    pub gate_peak: f64,
    /// Greatest opening force, ∫p dA over the projected area \[N\].
    pub opening_force: f64,
    /// Coldest front temperature \[K\].
    pub coldest_front: f64,
    /// Greatest nozzle pressure needed after the switch-over, at no less than a twentieth of the set
    /// rate \[Pa\]; zero where all of the volume is filled before.
    pub finishing_need: f64,
    /// The state just before the machine's pressure first ran out, where it did.
    pub before_limit: Option<Box<March<'a>>>,
}

/// Fills the path at the set rate with whatever pressure that takes.
///
/// Notes the state at which the machine's limit was first passed, for [`limited`] to go on from.
pub fn unlimited<'a>(material: &'a Material, cavity: &'a Cavity, drive: Drive) -> Fill<'a> {
    Start::new(material, cavity, drive).finish(drive)
}

/// Fills the path as the machine can, within its pressure, showing each moment and its nozzle pressure
/// to a watcher.
pub fn actual<'a>(
    material: &'a Material,
    cavity: &'a Cavity,
    drive: Drive,
    watch: &mut dyn FnMut(&March<'a>, f64),
) -> Fill<'a> {
    Run::new(March::new(material, cavity, drive), drive, true).finish(drive, watch)
}

/// Goes on from where the machine's pressure ran out, at that pressure and the rate it still gives,
/// until the path is full or the front stalls.
pub fn limited<'a>(start: March<'a>, drive: Drive) -> Fill<'a> {
    Run::new(start, drive, true).finish(drive, &mut |_, _| ())
}

/// A fill at the set rate up to the switch-over. What comes after it depends on the hold pressure, what
/// came before does not.
#[derive(Debug, Clone)]
pub struct Start<'a>(Run<'a>);

impl<'a> Start<'a> {
    /// Fills up to the switch-over with whatever pressure that takes.
    pub fn new(material: &'a Material, cavity: &'a Cavity, drive: Drive) -> Self {
        let mut run = Run::new(March::new(material, cavity, drive), drive, false);
        run.go(drive, &mut |_, _| (), Run::switched);
        Self(run)
    }

    /// Fills the rest. The drive may differ from that of the start in its hold pressure alone.
    pub fn finish(mut self, drive: Drive) -> Fill<'a> {
        self.0.march.drive = drive;
        self.0.finish(drive, &mut |_, _| ())
    }
}

/// A fill slower than this share of the set rate has stalled.
const STALLED: f64 = 1e-4;
/// Longest step of a slowed fill, as a share of the time elapsed.
const SLOW_STEP: f64 = 0.03;
/// So many steps of it cover a factor of 7000 in time. After them each may be longer than the one before by
/// this factor, so that any span of time takes a bounded number of steps.
const SLOW_STEPS: i32 = 300;
const SLOW_GROWTH: f64 = 1.03;
/// The same share once the work of a fill has passed its bound.
const ROUGH_STEP: f64 = 0.3;
/// Greatest pressure that is told apart \[Pa\]: ten times that of the strongest machine of the catalogue. A need
/// beyond it says only that the melt is too stiff to move.
pub const GREATEST_PRESSURE: f64 = 4e9;

/// After the switch-over, the rate below which the need is computed on at this share of the set rate.
const FINISHING: f64 = 0.05;

/// A fill under way.
#[derive(Debug, Clone)]
struct Run<'a> {
    march: March<'a>,
    /// Whether the machine's pressure is the most there is.
    limited: bool,
    record: Recorder,
    before_limit: Option<Box<March<'a>>>,
    rate: f64,
    /// Volume at which the pressure takes over; that of the path where it never does \[m³\].
    switch_volume: f64,
    switches: bool,
    /// Whether the pressure has taken over.
    turned: bool,
    /// Steps of the slowed fill so far.
    slow_steps: i32,
    over: bool,
}

impl<'a> Run<'a> {
    fn new(march: March<'a>, drive: Drive, limited: bool) -> Self {
        Self {
            switch_volume: drive.switch_over * march.cavity().volume,
            switches: drive.switch_over < 1.0,
            turned: false,
            slow_steps: 0,
            over: false,
            march,
            limited,
            record: Recorder::new(),
            before_limit: None,
            rate: drive.rate,
        }
    }

    fn switched(&self) -> bool {
        self.switches && self.march.volume() >= self.switch_volume * (1.0 - 1e-9)
    }

    /// Goes on until the path is full, the front stalls or it is told to pause.
    fn go(&mut self, drive: Drive, watch: &mut dyn FnMut(&March<'a>, f64), pause: impl Fn(&Self) -> bool) {
        while !self.over && !pause(self) {
            let switched = self.switched();
            let (q, pressure) = if switched { self.finish_on(drive) } else { self.inject(drive) };
            self.rate = q;
            self.record.note(&self.march, q, pressure);
            if !switched {
                self.record.need(pressure);
            }
            watch(&self.march, pressure);
            self.over = self.march.is_full() || q < STALLED * drive.rate;
            if self.over {
                break;
            }
            let mut dt = self.march.time_to_next();
            if q < 0.999 * drive.rate {
                self.slow_steps += 1;
                let longer = SLOW_GROWTH.powi((self.slow_steps - SLOW_STEPS).max(0));
                let share = if self.march.is_rough() { ROUGH_STEP } else { SLOW_STEP };
                dt = dt.min(share * longer * self.march.time);
            }
            if !switched && self.switches {
                dt = dt.min((self.switch_volume - self.march.volume()) / q);
            }
            self.march.advance(dt);
        }
    }

    /// Rate and nozzle pressure before the switch-over.
    fn inject(&mut self, drive: Drive) -> (f64, f64) {
        let (pressure, _) = self.march.flow(drive.rate);
        if pressure <= drive.max_pressure {
            return (drive.rate, pressure);
        }
        if self.limited {
            return (
                self.march.flow_at_pressure(drive.max_pressure, self.rate, slowed(drive)),
                drive.max_pressure,
            );
        }
        self.before_limit.get_or_insert_with(|| Box::new(self.march.clone()));
        (drive.rate, pressure)
    }

    /// Rate and nozzle pressure after the switch-over.
    fn finish_on(&mut self, drive: Drive) -> (f64, f64) {
        if !self.turned {
            // What the set rate needs up to here; from here on the hold pressure is what there is.
            self.turned = true;
            let (pressure, _) = self.march.flow(drive.rate);
            self.record.need(pressure);
        }
        let need = &mut self.record.finishing_need;
        let (q, pressure, short) = finish(&mut self.march, drive, self.rate, self.limited, need);
        if short {
            self.before_limit.get_or_insert_with(|| Box::new(self.march.clone()));
        }
        (q, pressure)
    }

    fn finish(mut self, drive: Drive, watch: &mut dyn FnMut(&March<'a>, f64)) -> Fill<'a> {
        self.go(drive, watch, |_| false);
        self.record.finish(self.march, self.before_limit)
    }
}

/// Range of the rates of a slowed fill \[m³/s\], from one that counts as stalled to the set rate.
fn slowed(drive: Drive) -> [f64; 2] {
    [0.5 * STALLED * drive.rate, drive.rate]
}

/// Rate, nozzle pressure and whether the hold pressure falls short, after the switch-over: the rate that
/// the hold pressure gives, at most the set rate. Unless the fill is limited, the need is computed on at
/// a share of the set rate.
fn finish(
    march: &mut March<'_>,
    drive: Drive,
    guess: f64,
    limited: bool,
    need: &mut f64,
) -> (f64, f64, bool) {
    let least = FINISHING * drive.rate;
    let stays = |pressure: f64| pressure > drive.hold_pressure && !limited;
    let at_least = march.flow_aside(least, stays);
    *need = need.max(at_least);
    let short = at_least > drive.hold_pressure;
    if stays(at_least) {
        return (least, at_least, true);
    }
    let (at_set_rate, _) = march.flow(drive.rate);
    if at_set_rate <= drive.hold_pressure {
        return (drive.rate, at_set_rate, false);
    }
    // With nothing to push against there is no rate to find.
    let pressure = drive.hold_pressure.max(1.0);
    (march.flow_at_pressure(pressure, guess, slowed(drive)), pressure, short)
}

/// Collects the history and the extremes of a run.
#[derive(Debug, Clone)]
struct Recorder {
    history: History,
    peak: f64,
    need: f64,
    gate_peak: f64,
    opening_force: f64,
    finishing_need: f64,
}

impl Recorder {
    fn new() -> Self {
        Self {
            history: History::default(),
            peak: 0.0,
            need: 0.0,
            gate_peak: 0.0,
            opening_force: 0.0,
            finishing_need: 0.0,
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
        h.front_temperature.push(march.front_temperature());
        self.peak = self.peak.max(pressure);
        self.gate_peak = self.gate_peak.max(gate);
        self.opening_force = self.opening_force.max(march.opening_force());
    }

    /// Takes note of a pressure that filling at the set rate needs.
    fn need(&mut self, pressure: f64) {
        self.need = self.need.max(pressure);
    }

    fn finish<'a>(self, march: March<'a>, before_limit: Option<Box<March<'a>>>) -> Fill<'a> {
        let told = |pressure: f64| pressure.min(GREATEST_PRESSURE);
        Fill {
            full: march.is_full(),
            coldest_front: march.coldest_front,
            finishing_need: told(self.finishing_need),
            end: march,
            history: self.history,
            peak: told(self.peak),
            need: told(self.need),
            gate_peak: self.gate_peak,
            opening_force: self.opening_force,
            before_limit,
        }
    }
}
