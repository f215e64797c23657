//! The fastest thermal debinding that keeps the gas inside a wall below an allowed pressure.
//!
//! Each part of the binder decomposes by its reaction ([`super::kinetics`]), makes gas, and leaves a pore of its own
//! volume behind. The gas escapes through the pores that are open ([`super::gas`]). The temperature rises at the
//! greatest ramp as long as the pressure in the middle stays below the allowed one; otherwise it rises just so fast that
//! the pressure is the allowed one. It never falls.

use super::diffusion::Section;
use super::gas::{Atmosphere, permeability};
use super::kinetics::Reaction;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::search::root;

/// A part of the binder as the thermal step finds it.
#[derive(Debug, Clone, PartialEq)]
pub struct Fuel {
    /// Mass in the volume of the part, kg/m³.
    pub mass: f64,
    /// Share of the part's volume that it takes, from 0 to 1.
    pub volume: f64,
    /// How it decomposes.
    pub reaction: Reaction,
}

/// What goes into the furnace.
#[derive(Debug, Clone, PartialEq)]
pub struct Brown {
    /// The governing section.
    pub section: Section,
    /// Diameter of the grains between which the gas flows, m.
    pub grain: f64,
    /// Pores that are open at the beginning, as a share of the part's volume.
    pub porosity: f64,
    /// What is left of the binder.
    pub fuels: Vec<Fuel>,
}

/// How the furnace may be driven.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drive {
    /// Temperature at the beginning, K.
    pub from: f64,
    /// Temperature at the end, K.
    pub to: f64,
    /// Greatest ramp, K/s.
    pub ramp: f64,
    /// Greatest pressure of the gas above that outside, Pa.
    pub allowed: f64,
    /// The gas and what surrounds the part.
    pub atmosphere: Atmosphere,
}

/// A schedule and what happens during it; all lists have one entry for each time.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Schedule {
    /// Time, s.
    pub time: Vec<f64>,
    /// Temperature, K.
    pub temperature: Vec<f64>,
    /// Pressure in the middle above that outside, Pa.
    pub pressure: Vec<f64>,
    /// Share of each part that is left, one list a part.
    pub left: Vec<Vec<f64>>,
    /// Whether it came to its end within [`LONGEST`].
    pub complete: bool,
}

/// Longest schedule that is followed, s.
pub const LONGEST: f64 = 1000.0 * 3600.0;

/// Share of the mass of all parts below which the part counts as free of binder.
pub const CLEAN: f64 = 1e-3;

/// Steps after which a schedule is given up.
const MOST_STEPS: usize = 20_000;

/// How near to the allowed pressure a schedule that is held back stays, as a share of it.
const AT_LIMIT: f64 = 1e-7;

/// Greatest change of temperature in a step, K.
pub const STEP: f64 = 1.5;

impl Brown {
    /// Pores open, with these shares of the parts left.
    fn porosity(&self, left: &[f64]) -> f64 {
        let gone: f64 = self.fuels.iter().zip(left).map(|(fuel, left)| fuel.volume * (1.0 - left)).sum();
        (self.porosity + gone).clamp(1e-6, 0.95)
    }

    /// Pressure in the middle above that outside at `temperature`, Pa.
    fn excess(&self, left: &[f64], temperature: f64, drive: &Drive) -> f64 {
        let source: f64 = self
            .fuels
            .iter()
            .zip(left)
            .map(|(fuel, left)| fuel.mass * left * fuel.reaction.rate(temperature))
            .sum();
        let open = permeability(self.porosity(left), self.grain);
        drive.atmosphere.excess(self.section, source, temperature, open)
    }

    /// Mass of all that was there, and of what is left, kg/m³.
    fn masses(&self, left: &[f64]) -> [f64; 2] {
        let both = self.fuels.iter().zip(left).map(|(fuel, left)| [fuel.mass, fuel.mass * left]);
        both.fold([0.0; 2], |[all, now], [mass, still]| [all + mass, now + still])
    }

    /// Share of all that was there which is left.
    fn remaining(&self, left: &[f64]) -> f64 {
        let [all, now] = self.masses(left);
        if all > 0.0 { now / all } else { 0.0 }
    }

    /// Share of each part that is left after `dt` seconds at `temperature`.
    fn after(&self, left: &[f64], temperature: f64, dt: f64) -> Vec<f64> {
        let burnt =
            |(fuel, left): (&Fuel, &f64)| left * (-fuel.reaction.rate(temperature) * dt).exponential();
        self.fuels.iter().zip(left).map(burnt).collect()
    }

    /// Share of what is left that goes in one second, for the part that goes fastest.
    fn fastest(&self, left: &[f64], temperature: f64) -> f64 {
        let [all, now] = self.masses(left);
        let whole = now.max(1e-9 * all);
        self.fuels
            .iter()
            .zip(left)
            .map(|(fuel, left)| fuel.reaction.rate(temperature) * fuel.mass * left / whole)
            .fold(0.0, f64::max)
    }

    /// The fastest schedule from `drive.from` to `drive.to`, followed until at most [`CLEAN`] of the binder is left.
    pub fn schedule(&self, drive: &Drive) -> Schedule {
        self.schedule_in_steps(drive, STEP)
    }

    /// The same with steps of at most `step` K.
    pub fn schedule_in_steps(&self, drive: &Drive, step: f64) -> Schedule {
        let mut told = Schedule { left: vec![Vec::new(); self.fuels.len()], ..Schedule::default() };
        let mut left = vec![1.0; self.fuels.len()];
        let (mut time, mut temperature) = (0.0, drive.from);
        for _ in 0..MOST_STEPS {
            told.push(time, temperature, self.excess(&left, temperature, drive), &left);
            let hot = temperature >= drive.to;
            if hot && self.remaining(&left) <= CLEAN {
                told.complete = true;
                break;
            }
            if time > LONGEST {
                break;
            }
            let mut dt = self.step(&left, temperature, drive, step);
            let before = self.remaining(&left);
            let (next, burnt) = loop {
                let (next, burnt) = self.move_on(&left, temperature, dt, drive);
                // A step that loses too much would hide the pressure that it makes.
                let lost = before - self.remaining(&burnt);
                if lost <= 0.04 * before * step / STEP || before < CLEAN || dt < 0.02 * step / drive.ramp {
                    break (next, burnt);
                }
                dt *= 0.5;
            };
            (time, temperature, left) = (time + dt, next, burnt);
        }
        told
    }

    /// Length of the next step, s: at the greatest ramp it rises by `step`, and a fiftieth of what is left goes, more
    /// where little goes at all.
    fn step(&self, left: &[f64], temperature: f64, drive: &Drive, step: f64) -> f64 {
        let by_ramp = step / drive.ramp;
        let share = 0.02 * step / STEP;
        let by_loss = share / self.fastest(left, temperature).max(1e-12);
        // A step may be longer than the ramp allows only where the pressure holds the temperature back.
        let held = temperature >= drive.to
            || self.excess(left, (temperature + step).min(drive.to), drive) > drive.allowed;
        if held { by_loss.clamp(0.05 * by_ramp, 3600.0) } else { by_ramp.min(by_loss.max(0.1 * by_ramp)) }
    }

    /// Temperature and shares left after a step: as hot as ramp, end and allowed pressure let it be.
    fn move_on(&self, left: &[f64], temperature: f64, dt: f64, drive: &Drive) -> (f64, Vec<f64>) {
        let hottest = (temperature + drive.ramp * dt).min(drive.to);
        let reach = |next: f64| {
            let burnt = self.after(left, 0.5 * (temperature + next), dt);
            let pressure = self.excess(&burnt, next, drive);
            (burnt, pressure)
        };
        let (burnt, pressure) = reach(hottest);
        if pressure <= drive.allowed {
            return (hottest, burnt);
        }
        // The logarithm of the pressure is nearly straight over the temperature.
        let over = |pressure: f64| (pressure.max(1e-9) / drive.allowed).logarithm();
        let (stays, least) = reach(temperature);
        if least >= drive.allowed {
            return (temperature, stays);
        }
        let next =
            root([temperature, over(least)], [hottest, over(pressure)], AT_LIMIT, |next| over(reach(next).1));
        (next, reach(next).0)
    }
}

impl Schedule {
    fn push(&mut self, time: f64, temperature: f64, pressure: f64, left: &[f64]) {
        self.time.push(time);
        self.temperature.push(temperature);
        self.pressure.push(pressure);
        for (list, &left) in self.left.iter_mut().zip(left) {
            list.push(left);
        }
    }

    /// How long it takes, s; `None` if it did not come to its end.
    pub fn duration(&self) -> Option<f64> {
        self.time.last().copied().filter(|_| self.complete)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DRIVE: Drive = Drive {
        from: 300.0,
        to: 780.0,
        ramp: 3.0 / 60.0,
        allowed: 50e3,
        atmosphere: Atmosphere { pressure: 101_325.0, viscosity: 2.5e-5, molar_mass: 0.05 },
    };

    fn brown(half: f64, porosity: f64) -> Brown {
        Brown {
            section: Section::Slab { half },
            grain: 4e-6,
            porosity,
            fuels: vec![Fuel { mass: 140.0, volume: 0.155, reaction: Reaction::with_half_at(710.0, 230e3) }],
        }
    }

    #[test]
    fn with_open_pores_the_ramp_decides_and_the_rate_law_is_met() {
        let open = brown(1e-3, 0.25).schedule(&DRIVE);
        let ramped = (DRIVE.to - DRIVE.from) / DRIVE.ramp;
        assert!(
            (open.duration().unwrap() / ramped - 1.0).abs() < 0.02,
            "{:?} against {ramped}",
            open.duration()
        );
        // On the way the share left is that of a steady ramp.
        let reaction = Reaction::with_half_at(710.0, 230e3);
        for (t, left) in open.temperature.iter().zip(&open.left[0]).filter(|(t, _)| **t < DRIVE.to) {
            let expected = reaction.left_after_ramp(*t, DRIVE.ramp);
            assert!((left - expected).abs() < 2e-3, "{left} against {expected} at {t} K");
        }
    }

    #[test]
    fn with_closed_pores_the_pressure_decides_and_is_never_passed() {
        let walls = [4e-3, 8e-3, 12e-3];
        let times = walls.map(|half| {
            let schedule = brown(half, 0.02).schedule(&DRIVE);
            assert!(schedule.pressure.iter().all(|&p| p <= DRIVE.allowed * (1.0 + 1e-6)));
            assert!(schedule.temperature.windows(2).all(|pair| pair[1] >= pair[0]));
            let at_limit = schedule.pressure.iter().filter(|&&p| p > 0.98 * DRIVE.allowed).count();
            assert!(at_limit > 20, "{half}: the pressure is at its limit for a while");
            schedule.duration().expect("complete")
        });
        assert!(times[0] < times[1] && times[1] < times[2], "{times:?}");
        // Pores that solvent opened shorten it.
        assert!(brown(12e-3, 0.25).schedule(&DRIVE).duration().unwrap() < times[2]);
    }

    #[test]
    fn half_the_step_changes_the_time_by_little() {
        let brown = brown(4e-3, 0.02);
        let at = |step: f64| brown.schedule_in_steps(&DRIVE, step).duration().unwrap();
        let (coarse, fine) = (at(STEP), at(STEP / 8.0));
        assert!((coarse / fine - 1.0).abs() < 0.01, "{coarse} against {fine}");
    }

    #[test]
    fn without_binder_only_the_ramp_is_left() {
        let mut bare = brown(1e-3, 0.3);
        bare.fuels.clear();
        let schedule = bare.schedule(&DRIVE);
        assert!(schedule.complete && schedule.pressure.iter().all(|&p| p == 0.0));
    }
}
