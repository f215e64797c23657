//! Where the resistance to flow stops rising with the loading.
//!
//! Past the critical loading the powder is no longer wetted throughout: the mass crumbles or slips, and torque
//! falls. Such readings say nothing of the divergence, and read as still rising they put the critical loading
//! too high. Three explanations of the readings compete, each by its likelihood: every reading lies on the
//! curve A(1 − φ/φc)^−m; those above the loading of the peak do not; the peak alone does not, as where one
//! reading is off. A reading that does not lie on the curve may lie anywhere in the range of the logarithms,
//! and is unlikely beforehand (one in twenty). A reading has to be some 3.5 standard deviations below the
//! curve before it counts as past a peak.

use super::profile::{DENSEST, Linear, least, solve};
use super::resistance::{USUAL_SCATTER, grid_above, linear};
use super::{LoadingReading, Resistance, ResistanceOptions};
use gatefrost_core::format::number;
use gatefrost_numerics::order;
use serde::{Deserialize, Serialize};

/// −ln of how likely a reading is beforehand to lie off the curve.
const UNLIKELY: f64 = 3.0;
/// Logarithms closer than this count as the same height: twice the usual scatter.
const LEVEL: f64 = 2.0 * USUAL_SCATTER;

/// A peak of the readings, and what lies above its loading.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Peak {
    /// Loading of the peak [vol%].
    pub at: f64,
    /// Mean reading there.
    pub height: f64,
    /// Least loading that did not rise any more [vol%]: the critical loading lies no higher.
    pub failed_from: f64,
    /// Mean reading at that loading.
    pub fallen: f64,
    /// Readings above the peak, left out of the fit.
    pub left_out: usize,
}

impl Peak {
    /// The peak in a sentence.
    pub fn text(&self, of: Resistance) -> String {
        let unit = if of.unit().is_empty() { String::new() } else { format!(" {}", of.unit()) };
        let readings = match self.left_out {
            1 => "The reading there is left out".to_owned(),
            n => format!("The {n} readings from there on are left out"),
        };
        format!(
            "The {} stops rising above {} vol%: it is {}{unit} there and {}{unit} at {} vol%. {readings}, and the critical loading is at most {} vol%.",
            of.label(),
            number(self.at, 4),
            number(self.height, 3),
            number(self.fallen, 3),
            number(self.failed_from, 4),
            number(self.failed_from, 4)
        )
    }
}

/// Readings up to their peak.
pub(super) struct Rise {
    /// Those that lie on the curve.
    pub kept: Vec<(Resistance, LoadingReading)>,
    /// The peak, where there is one.
    pub peak: Option<Peak>,
}

impl Rise {
    /// Looks for a peak and leaves out what lies above its loading.
    pub fn of(readings: &[(Resistance, LoadingReading)], options: &ResistanceOptions) -> Self {
        let peak = found(readings, options);
        let below = |(_, r): &&(Resistance, LoadingReading)| peak.is_none_or(|p| r.loading < p.failed_from);
        Self { kept: readings.iter().filter(below).copied().collect(), peak }
    }

    /// Greatest critical loading that the readings allow, as a fraction.
    pub fn below(&self) -> f64 {
        self.peak.map_or(DENSEST, |peak| (0.01 * peak.failed_from).min(DENSEST))
    }
}

/// Readings at one loading: loading, mean of the logarithms.
fn levels(readings: &[(Resistance, LoadingReading)]) -> Vec<[f64; 2]> {
    let mut sorted: Vec<(f64, f64)> = readings.iter().map(|(_, r)| (r.loading, r.value.ln())).collect();
    order::sort_by(&mut sorted, |r| r.0);
    let of_one = sorted.chunk_by(|a, b| b.0 - a.0 < 1e-6);
    of_one.map(|run| [run[0].0, run.iter().map(|r| r.1).sum::<f64>() / run.len() as f64]).collect()
}

fn found(readings: &[(Resistance, LoadingReading)], options: &ResistanceOptions) -> Option<Peak> {
    if readings.iter().any(|(_, r)| r.value <= 0.0) {
        return None;
    }
    let levels = levels(readings);
    let most = levels.iter().map(|l| l[1]).fold(f64::NEG_INFINITY, f64::max);
    let range = most - levels.iter().map(|l| l[1]).fold(f64::INFINITY, f64::min);
    let top = levels.iter().position(|l| l[1] >= most - LEVEL)?;
    let next = *levels.get(top + 1)?;
    let [at, height] = levels[top];
    let off = |count: usize| count as f64 * (range.max(1.0).ln() + UNLIKELY);
    let explained = |keep: &dyn Fn(f64) -> bool| {
        let kept: Vec<_> = readings.iter().filter(|(_, r)| keep(r.loading)).copied().collect();
        let left_out = readings.len() - kept.len();
        unlikely(&linear(&kept, options, DENSEST)).map(|cost| (cost + off(left_out), left_out))
    };
    let (past, left_out) = explained(&|loading| loading < next[0])?;
    let others = [explained(&|_| true), explained(&|loading| (loading - at).abs() > 1e-6)];
    let better = others.iter().flatten().all(|(cost, _)| past < *cost);
    better.then(|| Peak { at, height: height.exp(), failed_from: next[0], fallen: next[1].exp(), left_out })
}

/// −ln of the greatest likelihood of readings on the curve, with the scatter that they and one reading of the
/// usual scatter have; `None` with too few readings.
fn unlikely(model: &Linear<'_>) -> Option<f64> {
    let (count, degrees) = (model.readings as f64, model.degrees()? as f64);
    let cost = |x: f64| {
        let Some(solved) = solve(model, x) else { return f64::INFINITY };
        let variance = (solved.squares + USUAL_SCATTER.powi(2)) / (degrees + 1.0);
        let known = model
            .known
            .map_or(0.0, |[mean, error]| 0.5 * ((solved.linear[model.free - 1] - mean) / error).powi(2));
        0.5 * (count * (std::f64::consts::TAU * variance).ln() + solved.squares / variance) + known
    };
    let grid = grid_above(model.above, DENSEST, 100);
    let costs: Vec<f64> = grid.iter().map(|&x| cost(x)).collect();
    Some(cost(least(&cost, &grid, &costs)?))
}
