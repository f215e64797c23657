//! The speed of the ram, in steps.

use crate::scenario::{MAX_RAM_STEPS, RamStep};

/// Steps of the injection rate, each up to a share of the volume. Their mean rate is the set rate: the volume divided by
/// the sum of the steps' times.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ram {
    /// Share of the volume at which each step ends, and its rate over the mean rate. Steps that are not used end at 1.
    steps: [[f64; 2]; MAX_RAM_STEPS],
}

impl Default for Ram {
    /// One speed.
    fn default() -> Self {
        Self { steps: [[1.0, 1.0]; MAX_RAM_STEPS] }
    }
}

impl Ram {
    /// The steps of a validated scenario.
    pub fn resolve(steps: &[RamStep]) -> Self {
        let mut ram = Self::default();
        let whole: f64 = steps.iter().map(|step| step.share).sum();
        // Time of all steps at unit speed and volume: the factor that makes the mean rate 1.
        let time: f64 = steps.iter().map(|step| step.share / whole / step.speed).sum();
        let mut end = 0.0;
        for (slot, step) in ram.steps.iter_mut().zip(steps) {
            end += step.share / whole;
            *slot = [end, step.speed * time];
        }
        // The last step ends at 1 exactly, and so do those that are not used.
        if let Some(step) = steps.last() {
            ram.steps[steps.len() - 1..].fill([1.0, step.speed * time]);
        }
        ram
    }

    /// Rate over the mean rate at a share of the volume, and the share at which it changes next.
    pub(super) fn at(&self, filled: f64) -> [f64; 2] {
        // A step ends at its share to rounding.
        let step =
            self.steps.iter().find(|step| filled < step[0] - 1e-9).unwrap_or(&self.steps[MAX_RAM_STEPS - 1]);
        [step[1], step[0]]
    }

    /// Greatest rate over the mean rate.
    pub fn greatest(&self) -> f64 {
        self.steps.iter().map(|step| step[1]).fold(0.0, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_steps_take_the_time_of_the_mean_rate() {
        let steps =
            [[30.0, 20.0], [60.0, 100.0], [10.0, 40.0]].map(|[share, speed]| RamStep { share, speed });
        let ram = Ram::resolve(&steps);
        let (mut time, mut from) = (0.0, 0.0);
        while from < 1.0 {
            let [rate, until] = ram.at(from);
            time += (until - from) / rate;
            from = until;
        }
        assert!((time - 1.0).abs() < 1e-12, "{time}");
        assert!((ram.at(0.5)[0] / ram.at(0.1)[0] - 5.0).abs() < 1e-12);
        assert!((ram.greatest() - ram.at(0.5)[0]).abs() < 1e-12);
        assert_eq!(Ram::resolve(&[]), Ram::default());
    }
}
