//! The space that is searched for the set point that withstands most.

use super::super::lots::lot_slopes;
use super::super::{COARSE, DIMENSIONS, DISTURBED, ROUGH, SET, Values};
use super::super::{at_most, bounds, counting, scatter_at};
use gatefrost_core::scenario::Scenario;
use gatefrost_window::Margins;

/// How far from a set point is searched at once: kelvin, kelvin, a share of the time, a share of the
/// machine's pressure, a share of the time; the loading stays within its scatter.
const BOX: [f64; SET] = [15.0, 10.0, 0.5, 0.2, 0.4];
/// Colder moulds than this, and than the present one, are not looked for \[°C\]: cooling water is hardly colder, and
/// dew settles on them (common practice).
const COLDEST_MOULD: f64 = 10.0;
/// Least and greatest value of each setting.
pub(super) type Room = [[f64; 2]; DIMENSIONS];

/// What is searched: a scenario, rougher models of it, and what can be computed.
pub(super) struct SearchSpace<'a> {
    pub scenario: &'a Scenario,
    /// The coarse model that proposes places.
    pub coarse: Scenario,
    /// The rough model that selects the directions to check.
    pub rough: Scenario,
    /// What can be computed.
    pub computable: Room,
    pub counting: Vec<usize>,
    /// By how much each margin rises with one standard deviation of the lots' viscosity.
    pub lots: Margins,
    /// The set point that is searched about.
    pub present: Values,
}

impl<'a> SearchSpace<'a> {
    pub fn new(scenario: &'a Scenario, present: Values) -> Self {
        let coarse = at_most(scenario, COARSE);
        Self {
            scenario,
            lots: lot_slopes(&coarse),
            coarse,
            rough: at_most(scenario, ROUGH),
            computable: bounds(scenario),
            counting: counting(scenario),
            present,
        }
    }

    /// The box about a place that is searched at once.
    pub fn around(&self, x: &Values) -> Room {
        let (mut about, wide) = (self.computable, self.wide(x));
        about[1][0] = about[1][0].max(COLDEST_MOULD);
        for k in 0..DIMENSIONS {
            let [low, high] = &mut about[k];
            (*low, *high) = (low.max(x[k] - wide[k]).min(x[k]), high.min(x[k] + wide[k]).max(x[k]));
        }
        about
    }

    /// Its half widths. Short times get the width of a usual time.
    pub fn wide(&self, x: &Values) -> Values {
        let time = |k: usize| x[k].max(DISTURBED[k].parameter().default.unwrap_or(0.0));
        let scale = [1.0, 1.0, time(2), self.scenario.machine.max_pressure, time(4)];
        let mut half = self.narrow(x);
        for k in 0..SET {
            half[k] = half[k].max(BOX[k] * scale[k]);
        }
        half
    }

    /// Half widths that a few standard deviations need.
    pub fn narrow(&self, x: &Values) -> Values {
        let sigma = scatter_at(self.scenario, x);
        std::array::from_fn(|k| (4.0 * sigma[k]).max(0.01 * x[k].abs()))
    }

    pub fn least(&self, margins: &Margins) -> f64 {
        self.counting.iter().map(|&k| margins[k]).fold(f64::INFINITY, f64::min)
    }

    /// A place near this one that a machine can be set to: of the steps below and above each setting, those that are
    /// worth most. A setting whose steps cannot be computed stays.
    pub fn dialled(&self, x: &Values, worth: &dyn Fn(&Values) -> f64) -> Values {
        let steps: [[f64; 2]; SET] = std::array::from_fn(|k| {
            let [low, high] = self.computable[k];
            let steps =
                DISTURBED[k].steps_about(x[k]).map(|step| (low..=high).contains(&step).then_some(step));
            [steps[0].or(steps[1]), steps[1].or(steps[0])].map(|step| step.unwrap_or(x[k]))
        });
        let place = |choice: usize| -> Values {
            std::array::from_fn(|k| if k < SET { steps[k][choice >> k & 1] } else { x[k] })
        };
        let places = (0..1 << SET).map(place).map(|place| (place, worth(&place)));
        places.max_by(|a, b| a.1.total_cmp(&b.1)).map_or(*x, |(place, _)| place)
    }

    /// The place nearest to this one that a machine can be set to.
    pub fn dialled_near(&self, x: &Values) -> Values {
        self.dialled(x, &|place: &Values| -(0..SET).map(|k| (place[k] - x[k]).abs()).sum::<f64>())
    }

    /// A place disturbed, as far as that can be computed.
    pub fn moved(&self, x: &Values, disturbance: &Values) -> Values {
        std::array::from_fn(|k| {
            let [low, high] = self.computable[k];
            (x[k] + disturbance[k]).clamp(low, high)
        })
    }
}
