//! The chain of stages: what is set, the fill, the hold, and what may follow.
//!
//! A stage is added here and nowhere else: its variant in [`Stage`], its result in [`Reached`] and [`Point`], its
//! arm in [`Needs`], and the call that runs it in [`Shared::up_to`] and [`Case::evaluate`]. The window asks each limit
//! for the last stage that it takes, and evaluates no further than the limits of a place take it.

use crate::case::Case;
use crate::fill::{self, Fill};
use crate::pack::{self, Hold};
use serde::{Deserialize, Serialize};

/// The stages of an evaluation, in their order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// What is set; nothing has been solved.
    Setting,
    /// The fill.
    Fill,
    /// Hold and cooling.
    Hold,
}

impl Stage {
    /// All of them, in their order.
    pub const ALL: [Self; 3] = [Self::Setting, Self::Fill, Self::Hold];

    /// The last one: an evaluation that goes so far is whole.
    pub const LAST: Self = Self::ALL[Self::ALL.len() - 1];
}

/// One set point, evaluated: what this machine does there.
#[derive(Debug, Clone)]
pub struct Point<'a> {
    /// What was evaluated.
    pub case: &'a Case,
    /// The fill, as the machine does it.
    pub fill: Fill<'a>,
    /// The hold that follows; `None` if the path is not full.
    pub hold: Option<Hold>,
}

/// What the stages have computed so far; `None` from the first one that was not run.
#[derive(Debug, Clone, Copy)]
pub struct Reached<'a> {
    /// What is evaluated.
    pub case: &'a Case,
    /// The fill.
    pub fill: Option<&'a Fill<'a>>,
    /// The hold.
    pub hold: Option<&'a Hold>,
}

/// How a quantity is taken from an evaluation, by the last stage that it needs.
pub enum Needs<T> {
    /// From what is set.
    Setting(fn(&Case) -> T),
    /// From the fill.
    Fill(fn(&Case, &Fill<'_>) -> T),
    /// From the hold.
    Hold(fn(&Case, &Fill<'_>, &Hold) -> T),
}

impl<T> Needs<T> {
    /// The last stage that it needs.
    pub fn stage(&self) -> Stage {
        match self {
            Self::Setting(_) => Stage::Setting,
            Self::Fill(_) => Stage::Fill,
            Self::Hold(_) => Stage::Hold,
        }
    }

    /// The quantity; `None` if a stage that it needs was not run.
    pub fn of(&self, reached: Reached<'_>) -> Option<T> {
        let Reached { case, fill, hold } = reached;
        match self {
            Self::Setting(of) => Some(of(case)),
            Self::Fill(of) => Some(of(case, fill?)),
            Self::Hold(of) => Some(of(case, fill?, hold?)),
        }
    }
}

impl Case {
    /// Runs all stages that this machine comes to: after a short shot there is no hold.
    pub fn evaluate(&self) -> Point<'_> {
        let fill = fill::actual(&self.material, &self.cavity, self.drive);
        let hold = fill.full.then(|| self.hold_after(&fill));
        Point { case: self, fill, hold }
    }

    /// The hold after a fill. If the path is not full, the hold of [`Fill::whole`]: no such part is moulded,
    /// and only margins are taken from it, so that they are continuous where the fill stops short.
    pub fn hold_after(&self, fill: &Fill<'_>) -> Hold {
        pack::hold(&self.material, &self.cavity, fill.whole(), &self.hold)
    }
}

impl Point<'_> {
    /// What this machine has come to.
    pub fn reached(&self) -> Reached<'_> {
        Reached { case: self.case, fill: Some(&self.fill), hold: self.hold.as_ref() }
    }

    /// Calls `take` with the results of all stages, those after a short shot included: see [`Shared::up_to`].
    pub fn carried_on<T>(&self, take: impl FnOnce(Reached<'_>) -> T) -> T {
        let further = self.hold.is_none().then(|| self.case.hold_after(&self.fill));
        take(Reached { hold: further.as_ref().or(self.hold.as_ref()), ..self.reached() })
    }
}

/// What set points have in common that differ only in settings that act after the switch-over: the fill up to there.
#[derive(Debug, Clone)]
pub struct Shared<'a>(Option<fill::Start<'a>>);

impl<'a> Shared<'a> {
    /// Runs what set points share whose evaluations end with a stage.
    pub fn of(case: &'a Case, last: Stage) -> Self {
        Self((last >= Stage::Fill).then(|| fill::Start::new(&case.material, &case.cavity, case.drive)))
    }

    /// Runs the rest up to a stage, for a case that shares this start, and calls `take` with the results. A stage runs
    /// whatever the one before came to: where the path is not full, the hold is that of [`Fill::whole`], so that
    /// margins are continuous there. Of a start without a fill nothing further is run.
    pub fn up_to<T>(&self, case: &Case, last: Stage, take: impl FnOnce(Reached<'_>) -> T) -> T {
        let start = self.0.as_ref().filter(|_| last >= Stage::Fill);
        let fill = start.map(|start| start.clone().finish(case.drive));
        let hold = fill.as_ref().filter(|_| last >= Stage::Hold).map(|fill| case.hold_after(fill));
        take(Reached { case, fill: fill.as_ref(), hold: hold.as_ref() })
    }
}
