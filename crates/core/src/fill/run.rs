//! One fill from its first step to its last. Each step is driven by the set rate, by the machine's greatest pressure or
//! by the hold pressure.

use super::accounts::Effort;
use super::drive::Drive;
use super::march::March;
use super::record::Recorder;
use super::{Fill, GREATEST_PRESSURE};
use crate::cavity::Cavity;
use crate::feedstock::Material;

/// A fill that is slower than this share of the set rate has stalled.
pub(crate) const STALLED: f64 = 1e-4;
/// Longest step of a slowed fill, as a share of the elapsed time. A step is never shorter than at the set rate.
const SLOW_STEP: f64 = 0.03;
/// This many slow steps cover a factor of 7000 in time. After that each step may be longer than the one before by the
/// factor `SLOW_GROWTH`, so that any span of time takes a bounded number of steps.
const SLOW_STEPS: i32 = 300;
const SLOW_GROWTH: f64 = 1.03;
/// Replaces [`SLOW_STEP`] once the work of a fill has passed its bound.
const ROUGH_STEP: f64 = 0.3;
/// Least share of a step. A step is cut short where the machine's pressure would run out before its end.
const LEAST_STEP: f64 = 0.1;
/// Nozzle pressures within this factor of a limit are at the limit, because they are solved to a tolerance.
const AT_LIMIT: f64 = 1.001;
/// After the switch-over, the needed pressure is computed for this share of the set rate.
const FINISHING: f64 = 0.05;

/// Called at each moment of a fill with its state and the nozzle pressure.
pub(super) type Watch<'w, 'a> = &'w mut dyn FnMut(&March<'a>, f64);

/// A fill up to the switch-over. Up to there it does not depend on the hold pressure.
#[derive(Debug, Clone)]
pub struct Start<'a>(Run<'a>);

impl<'a> Start<'a> {
    /// Fills up to the switch-over, or until the front stalls.
    pub fn new(material: &'a Material, cavity: &'a Cavity, drive: Drive) -> Self {
        Self::watched(material, cavity, drive, &mut |_, _| ())
    }

    pub(super) fn watched(
        material: &'a Material,
        cavity: &'a Cavity,
        drive: Drive,
        watch: Watch<'_, 'a>,
    ) -> Self {
        let mut run = Run::new(March::new(material, cavity, drive), true);
        run.go(drive, watch, &Run::switched);
        Self(run)
    }

    /// Fills the rest. `drive` may differ from that of the start only in its hold pressure.
    pub fn finish(self, drive: Drive) -> Fill<'a> {
        self.finish_watched(drive, &mut |_, _| ())
    }

    pub(super) fn finish_watched(mut self, drive: Drive, watch: Watch<'_, 'a>) -> Fill<'a> {
        self.0.march.drive = Drive { max_pressure: self.0.march.drive.max_pressure, ..drive };
        self.0.go(drive, watch, &|_| false);
        self.0.finish(drive)
    }
}

/// A fill under way.
#[derive(Debug, Clone)]
pub(super) struct Run<'a> {
    march: March<'a>,
    /// Whether the machine's greatest pressure and the hold pressure limit this fill.
    limited: bool,
    record: Recorder,
    rate: f64,
    /// Volume at which the hold pressure takes over, or the volume of the path if it never does \[m³\].
    switch_volume: f64,
    switches: bool,
    /// Whether the hold pressure has taken over.
    turned: bool,
    /// Whether the needed pressure has been computed to its end, by a fill without a limit.
    parted: bool,
    /// Whether the machine's pressure has run out, and whether the hold pressure has.
    ran_out: [bool; 2],
    /// Steps at less than the set rate so far.
    slow_steps: i32,
    /// Work of the fills without a limit, beyond the work of this fill.
    trial_effort: Effort,
    /// Whether one of those fills has passed its bound of work.
    rough: bool,
    over: bool,
}

/// Flow of a step after the switch-over.
struct Finishing {
    rate: f64,
    pressure: f64,
    /// Pressure that the least rate needs \[Pa\].
    at_least: f64,
}

impl<'a> Run<'a> {
    fn new(mut march: March<'a>, limited: bool) -> Self {
        let drive = march.drive;
        // The machine's pressure is set once it limits the fill. Until then the needed pressure depends on no machine.
        march.drive.max_pressure = GREATEST_PRESSURE;
        Self {
            switch_volume: drive.switch_over * march.cavity().volume,
            switches: drive.switch_over < 1.0,
            turned: false,
            parted: false,
            ran_out: [false; 2],
            slow_steps: 0,
            trial_effort: Effort::default(),
            rough: false,
            over: false,
            march,
            limited,
            record: Recorder::default(),
            rate: drive.rate,
        }
    }

    /// A fill whose pressure has no limit.
    pub(super) fn unlimited(material: &'a Material, cavity: &'a Cavity, drive: Drive) -> Self {
        Self::new(March::new(material, cavity, drive), true).freed()
    }

    /// Continues to the end.
    pub(super) fn finish_all(mut self, drive: Drive) -> Fill<'a> {
        self.go(drive, &mut |_, _| (), &|_| false);
        self.finish(drive)
    }

    /// A copy of this fill that continues without a limit on its pressure.
    fn freed(&self) -> Self {
        let mut free = self.clone();
        free.limited = false;
        free.march.drive.max_pressure = GREATEST_PRESSURE;
        free
    }

    /// Share of the volume that is filled.
    fn filled(&self) -> f64 {
        self.march.volume() / self.march.cavity().volume
    }

    /// Range of the rates of a slowed fill \[m³/s\], from one that has stalled to the set rate.
    fn slowed(&self, drive: Drive) -> [f64; 2] {
        [0.5 * STALLED * drive.rate, self.set_rate(drive)]
    }

    /// Rate that is set where the fill stands \[m³/s\].
    fn set_rate(&self, drive: Drive) -> f64 {
        drive.rate_at(self.filled())
    }

    fn switched(&self) -> bool {
        self.switches && self.march.volume() >= self.switch_volume * (1.0 - 1e-9)
    }

    /// Continues until the path is full, the front stalls or `pause` returns true.
    fn go(&mut self, drive: Drive, watch: Watch<'_, 'a>, pause: &dyn Fn(&Self) -> bool) {
        while !self.over && !pause(self) {
            let flow = if self.switched() { self.finish_on(drive) } else { self.inject(drive) };
            self.take(flow, drive, watch);
        }
    }

    /// Records the rate and the nozzle pressure that were solved for, and makes one step with them.
    fn take(&mut self, (q, pressure): (f64, f64), drive: Drive, watch: Watch<'_, 'a>) {
        self.rate = q;
        let stalled = q < STALLED * drive.rate;
        if !stalled {
            self.march.keep_greatest();
        }
        self.record.note(&self.march, q, pressure);
        watch(&self.march, pressure);
        self.over = self.march.is_full() || stalled;
        if self.over {
            return;
        }
        let mut dt = self.march.time_to_next();
        if self.limited && !self.ran_out[0] && !self.switched() {
            dt *= self.share_of_step(pressure, drive);
        }
        let set = self.set_rate(drive);
        if q < set {
            self.slow_steps += 1;
            let longer = SLOW_GROWTH.powi((self.slow_steps - SLOW_STEPS).max(0));
            let share = if self.march.is_rough() { ROUGH_STEP } else { SLOW_STEP };
            dt = dt.min((share * longer * self.march.time).max(dt * q / set));
        }
        if !self.switched() && self.switches {
            dt = dt.min((self.switch_volume - self.march.volume()) / q);
        }
        let filled = self.filled();
        let until = drive.rate_until(filled);
        if until < 1.0 {
            dt = dt.min((until - filled) * self.march.cavity().volume / q);
        }
        self.march.advance(dt);
    }

    /// The share of a step at the set rate after which the pressure reaches the machine's greatest pressure. The
    /// pressure is taken to rise evenly as the fronts advance.
    fn share_of_step(&self, pressure: f64, drive: Drive) -> f64 {
        let left = drive.max_pressure - pressure;
        (left / self.march.rise_to_next()).clamp(LEAST_STEP, 1.0)
    }

    /// Rate and nozzle pressure before the switch-over.
    fn inject(&mut self, drive: Drive) -> (f64, f64) {
        let set = self.set_rate(drive);
        let (pressure, _) = self.march.flow(set);
        if !self.parted {
            self.record.need = self.record.need.max(pressure);
        }
        if !self.limited || pressure + self.march.rise_to_next() <= drive.max_pressure {
            return (set, self.march.nozzle_pressure());
        }
        // From here on a fill without a limit and this machine's fill may differ.
        if !self.parted {
            self.parted = true;
            self.record.need = self.need_from_here(drive, pressure);
            self.march.drive.max_pressure = drive.max_pressure;
        }
        if pressure <= drive.max_pressure {
            return (set, self.march.nozzle_pressure());
        }
        self.at_machine_limit(drive)
    }

    /// Rate and nozzle pressure of the flow that needs the machine's greatest pressure.
    fn at_machine_limit(&mut self, drive: Drive) -> (f64, f64) {
        self.ran_out[0] = true;
        let rate = self.march.flow_at_pressure(drive.max_pressure, self.rate, self.slowed(drive));
        (rate, self.pressure_at_limit(drive.max_pressure))
    }

    /// Nozzle pressure of a flow that needs `limit` \[Pa\]. This is the limit within the tolerance of the solution, or
    /// less where the pressure drop of a single cell reaches the limit.
    fn pressure_at_limit(&self, limit: f64) -> f64 {
        (AT_LIMIT * self.march.nozzle_pressure()).min(limit)
    }

    /// Greatest pressure that the set rate needs up to the switch-over, if nothing limits the pressure \[Pa\]. The flow
    /// has been solved at the set rate, which needs `pressure`.
    fn need_from_here(&mut self, drive: Drive, pressure: f64) -> f64 {
        let mut free = self.freed();
        free.parted = false;
        free.take((self.set_rate(drive), pressure), drive, &mut |_, _| ());
        free.go(drive, &mut |_, _| (), &|run| run.switched() || run.record.need >= GREATEST_PRESSURE);
        free.take_need_at_switch_over(drive);
        self.add_work(&free);
        free.record.need
    }

    /// Adds the work of a fill that was copied from this one and continued without a limit.
    fn add_work(&mut self, free: &Self) {
        self.trial_effort.add(free.march.effort.beyond(self.march.effort));
        self.rough |= free.march.is_rough();
    }

    fn take_need_at_switch_over(&mut self, drive: Drive) {
        if self.switched() {
            let (pressure, _) = self.march.flow(self.set_rate(drive));
            self.record.need = self.record.need.max(pressure);
        }
    }

    /// Records the flow at the instant of the switch-over, which the machine still drives.
    fn note_switch_over(&mut self, drive: Drive) {
        let (asked, _) = self.march.flow(self.set_rate(drive));
        if !self.parted {
            self.record.need = self.record.need.max(asked);
        }
        let (rate, pressure) = if self.limited && asked > drive.max_pressure {
            self.at_machine_limit(drive)
        } else {
            (self.set_rate(drive), self.march.nozzle_pressure())
        };
        if rate >= STALLED * drive.rate {
            self.march.keep_greatest();
        }
        self.record.note(&self.march, rate, pressure);
    }

    /// Rate and nozzle pressure after the switch-over.
    fn finish_on(&mut self, drive: Drive) -> (f64, f64) {
        if !self.turned {
            // From here on the hold pressure drives the flow.
            self.turned = true;
            self.note_switch_over(drive);
            if self.limited {
                self.march.drive.max_pressure = drive.max_pressure;
            }
        }
        let Finishing { rate, pressure, at_least } = self.finishing_flow(drive);
        if !self.ran_out[1] {
            self.record.finishing_need = self.record.finishing_need.max(at_least);
        }
        if self.limited && !self.ran_out[1] && at_least > drive.hold_pressure {
            self.ran_out[1] = true;
            let mut free = self.freed();
            free.ran_out[1] = false;
            free.go(drive, &mut |_, _| (), &|run| run.record.finishing_need >= GREATEST_PRESSURE);
            self.record.finishing_need = free.record.finishing_need;
            self.add_work(&free);
        }
        (rate, pressure)
    }

    /// The flow under the hold pressure, at most at the set rate. A fill without a limit keeps at least the share
    /// [`FINISHING`] of the set rate.
    fn finishing_flow(&mut self, drive: Drive) -> Finishing {
        let least = FINISHING * drive.rate;
        let free = !self.limited;
        let stays = |pressure: f64| free && pressure > drive.hold_pressure;
        let at_least = self.march.try_flow(least, stays);
        if stays(at_least) {
            return Finishing { rate: least, pressure: self.march.nozzle_pressure(), at_least };
        }
        let (at_set_rate, _) = self.march.flow(self.set_rate(drive));
        if at_set_rate <= drive.hold_pressure {
            return Finishing {
                rate: self.set_rate(drive),
                pressure: self.march.nozzle_pressure(),
                at_least,
            };
        }
        // A hold pressure of zero drives no flow.
        let pressure = drive.hold_pressure.max(1.0);
        let rate = self.march.flow_at_pressure(pressure, self.rate, self.slowed(drive));
        Finishing { rate, pressure: self.pressure_at_limit(pressure), at_least }
    }

    fn finish(mut self, drive: Drive) -> Fill<'a> {
        let full = self.march.is_full();
        if self.switches && !self.turned && !full {
            let least = FINISHING * drive.rate;
            (self.record.finishing_need, _) = self.march.clone().flow(least);
        }
        let pressure = self.record.history.nozzle.last().copied().unwrap_or(drive.max_pressure);
        let completed =
            (!full).then(|| Box::new(self.march.completed(pressure, self.rate, self.slowed(drive))));
        let Recorder { history, peak, need, gate_peak, opening_force, finishing_need } = self.record;
        Fill {
            full,
            ran_out: self.ran_out,
            trial_effort: self.trial_effort,
            rough: self.rough || self.march.is_rough(),
            switched: self.turned,
            peak,
            gate_peak,
            opening_force,
            coldest_front: self.march.coldest_front,
            need: need.min(GREATEST_PRESSURE),
            finishing_need: finishing_need.min(GREATEST_PRESSURE),
            completed,
            end: self.march,
            history,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::Case;
    use crate::scenario::demo;

    #[test]
    fn a_fill_past_its_bound_of_work_ends_and_says_that_it_is_rough() {
        for d in demo::DEMOS {
            let case = Case::resolve(&d.scenario());
            let fresh = || Run::new(March::new(&case.material, &case.cavity, case.drive), true);
            let usual = fresh().finish_all(case.drive);
            let mut run = fresh();
            run.march.effort.iterations = u32::MAX / 2;
            let rough = run.finish_all(case.drive);
            assert!(!usual.rough && rough.rough && rough.full, "{}", d.name);
            // Two rounds instead of forty split the flow among the branches nearly as well.
            assert!(
                (rough.need / usual.need - 1.0).abs() < 0.05,
                "{}: {} {}",
                d.name,
                rough.need,
                usual.need
            );
        }
    }
}
