//! Where the resistance to flow stops rising with the loading.
//!
//! Beyond the critical loading the binder no longer wets all powder: the mass crumbles or slips, and the torque falls. Such
//! readings do not follow the divergence. Fitted with the others, they put the critical loading too high. Three
//! explanations of the readings are compared by their likelihoods: every reading is on the curve A(1 − φ/φc)^−m; the
//! readings above the loading of a peak are not; a single loading is not, because a reading is wrong. A reading off the
//! curve may be anywhere in the range of the logarithms. The prior probability of a peak or a wrong reading is one in
//! twenty, for any number of readings beyond the peak. Each loading from which the readings fall may be the peak. The
//! recommended loading does not depend on this choice: it is below every such loading ([`super::falls`]).

use super::divergence::{ResistanceOptions, USUAL_SCATTER, grid_above, linear};
use super::falls::{Falls, Level, levels};
use super::profile::{DENSEST, Linear, least, solve};
use super::{LoadingReading, Resistance};
use gatefrost_core::format::number;
use gatefrost_numerics::elementary::Elementary;
use serde::{Deserialize, Serialize};

/// Greatest number of falls that are tried as the peak, the deepest first.
const MOST_PEAKS: usize = 8;
/// −ln of the prior probability that readings are off the curve.
const UNLIKELY: f64 = 3.0;
/// Logarithms closer than this are equal: twice the usual scatter.
const LEVEL: f64 = 2.0 * USUAL_SCATTER;

/// A peak of the readings, and the readings above its loading.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Peak {
    /// Loading of the peak [vol%].
    pub at: f64,
    /// Mean reading there.
    pub height: f64,
    /// Least loading at which the readings no longer rise [vol%]. The critical loading is not above it.
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
    /// The readings on the curve.
    pub kept: Vec<(Resistance, LoadingReading)>,
    /// The peak, if there is one.
    pub peak: Option<Peak>,
    /// Where the readings fall.
    pub falls: Falls,
}

impl Rise {
    /// Finds a peak and leaves out the readings above its loading.
    pub fn of(readings: &[(Resistance, LoadingReading)], options: &ResistanceOptions) -> Self {
        let positive = readings.iter().all(|(_, r)| r.value > 0.0);
        let levels = if positive { levels(readings) } else { Vec::new() };
        let falls = Falls::of(&levels);
        let peak = found(readings, &levels, &falls, options);
        let below = |(_, r): &&(Resistance, LoadingReading)| peak.is_none_or(|p| r.loading < p.failed_from);
        Self { kept: readings.iter().filter(below).copied().collect(), peak, falls }
    }

    /// Greatest critical loading of a fit, as a fraction.
    pub fn below(&self) -> f64 {
        self.peak.map_or(DENSEST, |peak| (0.01 * peak.failed_from).min(DENSEST))
    }

    /// Loading after which the readings fall and do not rise again, and the next, which bounds the critical loading [vol%].
    pub fn bound(&self) -> Option<[f64; 2]> {
        self.peak.map(|peak| [peak.at, peak.failed_from]).or(self.falls.bound())
    }

    /// Least loading from which the readings fall [vol%]. The recommended loading is below it.
    pub fn ceiling(&self) -> Option<f64> {
        [self.peak.map(|peak| peak.at), self.falls.ceiling()].into_iter().flatten().reduce(f64::min)
    }

    /// Peak and falls in sentences.
    pub fn text(&self, of: Resistance) -> String {
        let falls = self.falls.text(of, self.peak.map_or(f64::INFINITY, |peak| peak.at));
        let peak = self.peak.map_or_else(String::new, |peak| peak.text(of) + " ");
        peak + &falls
    }
}

/// The peak that explains the readings best, if that is better than no peak.
fn found(
    readings: &[(Resistance, LoadingReading)],
    levels: &[Level],
    falls: &Falls,
    options: &ResistanceOptions,
) -> Option<Peak> {
    let most = levels.iter().map(|l| l.log).fold(f64::NEG_INFINITY, f64::max);
    let range = most - levels.iter().map(|l| l.log).fold(f64::INFINITY, f64::min);
    let explained = |keep: &dyn Fn(f64) -> bool| {
        let kept: Vec<_> = readings.iter().filter(|(_, r)| keep(r.loading)).copied().collect();
        let left_out = readings.len() - kept.len();
        let off = left_out as f64 * range.max(1.0).logarithm() + if left_out > 0 { UNLIKELY } else { 0.0 };
        unlikely(&linear(&kept, options, DENSEST)).map_or(f64::INFINITY, |cost| cost + off)
    };
    let alone = |loading: f64| explained(&|other| (other - loading).abs() > 1e-6);
    let mut without = f64::INFINITY;
    let mut best: Option<(f64, Peak)> = None;
    for fall in falls.deepest(MOST_PEAKS) {
        // The rise may have ended before the fall.
        let top = levels.iter().position(|l| l.log >= fall.height - LEVEL)?;
        let (peak, next) = (&levels[top], levels.get(top + 1)?);
        let cost = explained(&|loading| loading < next.loading);
        without = without.min(alone(peak.loading));
        // Leaving out the last loading is the same as leaving out all readings beyond the peak.
        if top + 2 < levels.len() {
            without = without.min(alone(next.loading));
        }
        if best.is_none_or(|(least, _)| cost < least) {
            let left_out = readings.iter().filter(|(_, r)| r.loading >= next.loading).count();
            let (at, height) = (peak.loading, peak.log.exponential());
            let (failed_from, fallen) = (next.loading, next.log.exponential());
            best = Some((cost, Peak { at, height, failed_from, fallen, left_out }));
        }
    }
    let (cost, peak) = best?;
    (cost < without.min(explained(&|_| true))).then_some(peak)
}

/// −ln of the greatest likelihood of readings on the curve. The scatter is that of the readings and one more reading with
/// the usual scatter. `None` with too few readings.
fn unlikely(model: &Linear<'_>) -> Option<f64> {
    let (count, degrees) = (model.readings as f64, model.degrees()? as f64);
    let cost = |x: f64| {
        let Some(solved) = solve(model, x) else { return f64::INFINITY };
        let variance = (solved.squares + USUAL_SCATTER.powi(2)) / (degrees + 1.0);
        let known = model
            .known
            .map_or(0.0, |[mean, error]| 0.5 * ((solved.linear[model.free - 1] - mean) / error).powi(2));
        0.5 * (count * (std::f64::consts::TAU * variance).logarithm() + solved.squares / variance) + known
    };
    let grid = grid_above(model.above, DENSEST, 100);
    let costs: Vec<f64> = grid.iter().map(|&x| cost(x)).collect();
    Some(cost(least(&cost, &grid, &costs)?))
}
