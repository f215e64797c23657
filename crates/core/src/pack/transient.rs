//! The hold and the cooling in time: the loop over the steps.

use super::HoldDrive;
use super::conduction::Conduction;
use super::convection::Convection;
use super::events::Events;
use super::outcome::Hold;
use super::state::State;
use crate::cavity::Cavity;
use crate::feedstock::Material;
use crate::fill::March;
use gatefrost_numerics::order::rounded;

/// Longest transient, in steps.
const MAX_STEPS: usize = 600;
/// Longest transient \[s\], eleven days: what has not happened by then counts as never.
const LONGEST: f64 = 1e6;
/// First step as a share of the time in which the gate cools, and growth from step to step.
const FIRST_STEP: f64 = 1.0 / 100.0;
const GROWTH: f64 = 1.3;
/// Growth once all gates are shut: only cooling is left.
const SEALED_GROWTH: f64 = 1.5;
/// Longest step then, as a share of the time elapsed. Melt under pressure still moves inside the part, and how far it
/// moves must not depend on the steps.
const SEALED_STEP: f64 = 0.1;
/// Longest step until the gates have frozen: the greater of this share of the time in which they cool and this share of
/// the time elapsed. A gate may freeze late, or never.
const LONGEST_STEP: [f64; 2] = [1.0 / 3.0, 0.05];
/// Greatest change of ln(gate fluidity) aimed at in a step: the pressure that a gate seals in is decided while it
/// closes.
const CLOSING_STEP: f64 = 0.2;
/// The same between a gate's freezing and its being shut, where melt still creeps.
const SHUTTING_STEP: f64 = 0.4;

/// The fluidity is not computed anew for a stress that changed by less than this in its logarithm.
const SAME_STRESS: f64 = 0.02;

/// One moment of the hold, for a watcher.
#[derive(Debug, Clone, Copy)]
pub struct Moment<'a> {
    /// Time from the end of filling \[s\].
    pub time: f64,
    /// Nozzle pressure \[Pa\].
    pub nozzle: f64,
    /// Pressure of each cell \[Pa\].
    pub pressure: &'a [f64],
    /// Layer temperatures, cell by cell \[K\].
    pub temperature: &'a [f64],
}

/// Holds and cools the cavity from its state at the end of filling until the gates have frozen and the part and its
/// runners can be ejected. Where the wall is too warm for one of these, that one is not waited for. At most 600 steps
/// and 1e6 s are computed.
pub fn hold(material: &Material, cavity: &Cavity, end: &March<'_>, drive: &HoldDrive) -> Hold {
    hold_watched(material, cavity, end, drive, &mut |_| ())
}

/// The same, showing each moment to a watcher.
pub fn hold_watched(
    material: &Material,
    cavity: &Cavity,
    end: &March<'_>,
    drive: &HoldDrive,
    watch: &mut dyn FnMut(Moment<'_>),
) -> Hold {
    let mut t = State::new(material, cavity, end, drive);
    let mut events = Events::new(&t);
    let mut stepper = Stepper::new(cavity);
    let can_freeze = drive.wall < material.no_flow;
    let pace = pace(&t);
    let mut dt = pace * FIRST_STEP;
    watch(moment(&t));
    for _ in 0..MAX_STEPS {
        if events.over(&t) || t.time > LONGEST {
            break;
        }
        // A step ends where the nozzle pressure changes; the flow follows it at once.
        let to_change = drive.to_change(t.time);
        // The length of a step depends on how little the last one changed the gates. Where flow keeps a gate open,
        // each rounding would grow from step to step, until last digits decide: the length is rounded.
        let step = rounded(dt, 8).min(to_change);
        stepper.step(&mut t, step, &events.shut, events.all_shut());
        let closing = events.note(&mut t);
        watch(moment(&t));
        if events.all_shut() {
            dt = (step.max(0.5 * dt) * SEALED_GROWTH).min(SEALED_STEP * t.time);
            continue;
        }
        dt = step.max(0.5 * dt) * GROWTH;
        if can_freeze && !events.all_frozen() {
            let longest = (LONGEST_STEP[0] * pace).max(LONGEST_STEP[1] * t.time);
            dt = dt.min(step * CLOSING_STEP / closing.max(1e-9)).min(longest).max(0.02 * step);
        } else if can_freeze {
            dt = dt.min(step * SHUTTING_STEP / closing.max(1e-9));
        }
        if step >= to_change {
            dt = dt.min(pace * FIRST_STEP);
        }
    }
    events.finish(t)
}

/// Moves the state on by steps: conduction, then the masses, then the heat that the flow carries along.
struct Stepper {
    conduction: Conduction,
    convection: Convection,
}

impl Stepper {
    fn new(cavity: &Cavity) -> Self {
        Self { conduction: Conduction::new(cavity), convection: Convection::new(cavity) }
    }

    fn step(&mut self, t: &mut State<'_>, dt: f64, shut: &[bool], sealed: bool) {
        t.effort.steps += 1;
        let nozzle = t.drive.pressure(t.time);
        // Behind shut gates and without nozzle pressure hardly anything flows.
        let stirs = t.drive.convection && !(sealed && nozzle == 0.0);
        if !stirs {
            t.warming.fill(0.0);
        }
        t.leaving.clone_from(&t.content);
        t.meet_walls(dt);
        self.conduction.step(t, dt);
        t.begin_step(shut);
        t.flow(nozzle, dt);
        // The fluidity depends on the stress, and the stress on the flow: with the stress of the last step alone a gate
        // that closes would close too soon. A second solution makes the step second order.
        if !sealed && t.resist(shut, SAME_STRESS) {
            t.flow(nozzle, dt);
        }
        t.masses.commit();
        t.solved_temperature.clone_from(&t.temperature);
        if stirs {
            self.convect(t, dt);
        }
        t.warm_steel(dt);
        t.time += dt;
    }

    /// Carries heat along with what flowed in the step.
    fn convect(&mut self, t: &mut State<'_>, dt: f64) {
        t.stirred.clear();
        self.convection.carry(t, dt);
        t.effort.stirred += t.stirred.len() as u32;
        for k in 0..t.stirred.len() {
            let i = t.stirred[k];
            // Elsewhere creeping melt hardly changes the resistance.
            if t.in_gate(i) {
                t.renew(i);
            }
        }
    }
}

/// Time in which the quickest gate cools \[s\], by conduction inside and contact at the wall.
fn pace(t: &State<'_>) -> f64 {
    let of = |&gate: &usize| {
        let gate = &t.cavity.passages[gate];
        let h = 0.5 * (gate.half_gap[0] + gate.half_gap[1]);
        let inside = h * h / (2.5 * t.material.diffusivity());
        inside + h * t.material.volumetric_heat() / t.drive.contact.conductance
    };
    t.cavity.gates.iter().map(of).fold(f64::INFINITY, f64::min)
}

fn moment<'a>(t: &'a State<'_>) -> Moment<'a> {
    Moment {
        time: t.time,
        nozzle: t.drive.pressure(t.time),
        pressure: &t.masses.pressure,
        temperature: &t.temperature,
    }
}
