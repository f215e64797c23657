//! How uncertain a schedule of a furnace is: the schedule with each number in turn one standard error higher.

use crate::debinding::thermal::Schedule;
use gatefrost_numerics::elementary::Elementary;

/// A schedule in coarse steps, and the same with one number changed at a time.
#[derive(Debug, Default)]
pub(super) struct Shifted {
    pub(super) usual: Schedule,
    pub(super) changed: Vec<Schedule>,
}

/// A list of a schedule, with one entry for each time.
pub(super) type Listed<'a> = &'a dyn Fn(&Schedule) -> &[f64];

impl Shifted {
    /// Standard error of the logarithm of the time; zero where the usual one does not come to its end.
    pub(super) fn log_error(&self) -> f64 {
        let Some(usual) = self.usual.duration() else { return 0.0 };
        let changes = self.changed.iter().filter_map(Schedule::duration);
        changes.map(|changed| (changed / usual).logarithm()).fold(0.0, Elementary::hypotenuse)
    }

    /// Standard error of a list of the schedule at a time in s. After its end a schedule stays as it is.
    pub(super) fn error(&self, list: Listed<'_>, time: f64) -> f64 {
        let usual = at(&self.usual, list, time);
        self.changed.iter().map(|changed| at(changed, list, time) - usual).fold(0.0, Elementary::hypotenuse)
    }
}

/// A list between its times, straight.
fn at(schedule: &Schedule, list: Listed<'_>, time: f64) -> f64 {
    let (times, values) = (&schedule.time, list(schedule));
    let i = times.partition_point(|t| *t <= time);
    match (i.checked_sub(1).and_then(|i| values.get(i)), values.get(i)) {
        (Some(before), Some(after)) => {
            let (from, to) = (times[i - 1], times[i]);
            before + (after - before) * (time - from) / (to - from)
        }
        (Some(last), None) => *last,
        (None, Some(first)) => *first,
        (None, None) => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(end: f64) -> Schedule {
        Schedule {
            time: vec![0.0, end],
            temperature: vec![300.0, 400.0],
            complete: true,
            ..Schedule::default()
        }
    }

    /// Straight schedules of 100, 110 and 80 s: after 50 s they are at 350, 345.45 and 362.5 K (by hand).
    #[test]
    fn errors_add_up_by_their_squares() {
        let shifted = Shifted { usual: line(100.0), changed: vec![line(110.0), line(80.0)] };
        let by_hand = (4.545_454_5_f64.powi(2) + 12.5_f64.powi(2)).sqrt();
        assert!((shifted.error(&|s| &s.temperature, 50.0) - by_hand).abs() < 1e-6);
        // At 100 s the slower one is at 390.9 K, and the faster one stays at 400 K.
        assert!((shifted.error(&|s| &s.temperature, 100.0) - 9.090_909).abs() < 1e-5);
        let of_time = (1.1_f64.ln().powi(2) + 0.8_f64.ln().powi(2)).sqrt();
        assert!((shifted.log_error() - of_time).abs() < 1e-12);
    }
}
