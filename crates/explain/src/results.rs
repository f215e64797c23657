//! What the paths of results are read from: the report, and the plan of what follows the mould.

use gatefrost_after::plan::{FromMould, Plan, plan};
use gatefrost_core::scenario::{Scenario, ScenarioError};
use gatefrost_report::Report;
use gatefrost_safety::from_mould;

/// What a path is read from. One that begins with `plan.` is read from the plan, every other from the report.
#[derive(Clone, Copy)]
pub struct Results<'a> {
    /// The report of the set point.
    pub report: &'a Report,
    /// What follows the mould; absent where no path of it is read.
    pub planned: Option<&'a Planned>,
}

impl<'a> Results<'a> {
    /// The plan.
    pub fn plan(&self) -> Option<&'a Plan> {
        Some(&self.planned?.plan)
    }
}

/// What follows the mould, with what the mould hands on to it.
#[derive(Debug, Clone, PartialEq)]
pub struct Planned {
    /// What the mould hands on; `None` where no part of a known size comes out of it.
    pub mould: Option<FromMould>,
    /// The plan.
    pub plan: Plan,
}

impl Planned {
    /// What follows the mould of a scenario.
    ///
    /// # Errors
    /// Whatever [`Scenario::validate`] finds.
    pub fn of(scenario: &Scenario) -> Result<Self, ScenarioError> {
        from_mould(scenario).map(|mould| Self::with(scenario, mould))
    }

    /// The same with what the mould hands on. The scenario is valid.
    fn with(scenario: &Scenario, mould: Option<FromMould>) -> Self {
        Self { plan: plan(scenario, mould.as_ref()), mould }
    }
}

/// What has to be computed for a path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Root {
    /// The report.
    Report,
    /// The sizes: what the mould hands on, and the sintered density.
    Sizes,
    /// The weight of the brown part: what the mould hands on, and debinding.
    Brown,
    /// Debinding. What the mould hands on does not change it.
    Debinding,
    /// Sintering. What the mould hands on does not change it.
    Sintering,
}

impl Root {
    pub(crate) fn of(path: &str) -> Self {
        match path.strip_prefix("plan.") {
            None => Self::Report,
            Some("sizes.weights.brown_g" | "sizes.weights_of_one.brown_g") => Self::Brown,
            Some(rest) if rest.starts_with("sizes.") => Self::Sizes,
            Some(rest) if rest.starts_with("sintering.") || rest.starts_with("sintered_") => Self::Sintering,
            Some(_) => Self::Debinding,
        }
    }

    /// Whether the mould is needed.
    pub(crate) fn of_mould(self) -> bool {
        matches!(self, Self::Sizes | Self::Brown)
    }

    /// Heads of the numbers of a scenario that it depends on, besides feedstock, cavity, mould, machine and set point.
    pub(crate) fn heads(self) -> &'static [&'static str] {
        match self {
            Self::Report => &[],
            Self::Sizes => &["sizes.", "scatter.", "sintering."],
            Self::Brown | Self::Debinding => &["debinding."],
            Self::Sintering => &["sintering."],
        }
    }

    /// What follows the mould of a valid scenario, as far as results of this root need it.
    pub(crate) fn planned(self, scenario: &Scenario) -> Option<Planned> {
        match self {
            Self::Report => None,
            _ if self.of_mould() => Planned::of(scenario).ok(),
            _ => Some(Planned::with(scenario, None)),
        }
    }

    /// The same with what the mould hands on. Sizes and sintering do without the steps of debinding, which take long.
    pub(crate) fn planned_with(self, scenario: &Scenario, mould: Option<FromMould>) -> Planned {
        if matches!(self, Self::Sizes | Self::Sintering) {
            let mut other = scenario.clone();
            other.debinding.steps.clear();
            return Planned::with(&other, mould);
        }
        Planned::with(scenario, mould)
    }
}
