//! The cycle of one shot: its stretches in their order, and how long each takes.

use crate::case::Case;
use crate::pack::Hold;

/// The stretches of a cycle \[s\].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cycle {
    /// Closing, opening and ejecting.
    pub idle: f64,
    /// Injection.
    pub fill: f64,
    /// Hold, all steps together.
    pub held: f64,
    /// From the end of the hold until the mould opens.
    pub cooling: f64,
    /// Metering of the next shot, inside the cooling: the mould waits for it.
    pub plasticising: f64,
}

impl Cycle {
    /// The cycle with a fill of `fill` seconds. Cooling lasts until the mould opens, and at least until the next shot is
    /// metered. If the mould waits for a part that never cools to its ejection temperature, it opens when the part has
    /// come to rest.
    pub fn of(case: &Case, hold: &Hold, fill: f64) -> Self {
        let held = case.hold.time();
        let plasticising = Self::plasticising(case);
        let opened = case.hold.opens.unwrap_or(hold.opened.time);
        let cooling = (opened - held).max(plasticising);
        Self { idle: case.machine.idle_time, fill, held, cooling, plasticising }
    }

    /// Whether the mould opens: at the time that is set, or when all is cool enough. Otherwise there is no cycle, and
    /// [`Self::of`] only keeps the margins that depend on it continuous.
    pub fn ends(case: &Case, hold: &Hold) -> bool {
        case.hold.opens.is_some() || hold.part_cooled.and(hold.runner_cooled).is_some()
    }

    /// Time to meter the next shot, V/Q_d \[s\].
    pub fn plasticising(case: &Case) -> f64 {
        case.cavity.volume / case.machine.dosing_rate
    }

    /// The whole cycle \[s\].
    pub fn whole(&self) -> f64 {
        self.idle + self.fill + self.held + self.cooling
    }
}
