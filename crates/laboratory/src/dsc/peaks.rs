//! The peaks of a scan over its baseline.
//!
//! The baseline is the straight line through the means of both ends. The sign is that with which the greatest deviation is
//! positive, so that it does not matter which way the instrument draws a peak. A peak to the other side is no peak of
//! this list; its place is reported. A peak is a stretch above the scatter of the
//! readings, however small beside the highest: the backbone's may be a hundredth of the wax's. Where it is so small, it is
//! told from a bent baseline by its width. Two maxima with a valley deeper than the scatter are two peaks that overlap. A
//! flank that grows steep twice hides a further part: a shoulder, which is named and not parted.
//! Onset and end are where the steepest tangents of the flanks meet the baseline, as is customary (ISO 11357-3, from memory).

use super::reading::{Direction, Scan};
use super::shoulder;
use gatefrost_numerics::order;
use serde::{Deserialize, Serialize};

/// Share of the readings at each end that the baseline goes through.
const ENDS: f64 = 0.05;
/// A peak rises above this share of the highest.
const LEAST: f64 = 0.005;
/// A peak below this share of the highest is no wider than [`WIDEST`].
const SMALL: f64 = 0.04;
/// Width of a small peak at half its height above its feet \[K\]: what is wider is the bend of a baseline, from memory.
const WIDEST: f64 = 40.0;
/// A valley that parts two peaks lies below this share of the lower one.
const VALLEY: f64 = 0.985;
/// A peak rises above the scatter by this factor.
const CLEAR: f64 = 6.0;

/// A deviation to the other side is reported above this share of the highest peak.
const OTHER_WAY: f64 = 0.2;

/// A peak.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DscPeak {
    /// Where it begins, in the direction of the scan, by tangents \[°C\].
    pub onset: f64,
    /// Where it is highest \[°C\].
    pub peak: f64,
    /// Where it ends, in the direction of the scan, by tangents \[°C\].
    pub end: f64,
    /// Heat for each gram of the sample \[J/g\].
    pub heat: f64,
    /// Heat for each kilogram of the whole binder [kJ/kg].
    pub heat_of_binder: f64,
    /// Whether it overlaps another.
    pub overlaps: bool,
}

/// What a scan holds.
pub(super) struct Found {
    /// The peaks, the coldest first.
    pub peaks: Vec<DscPeak>,
    /// First and last point of the baseline \[°C, J/gK\].
    pub baseline: [[f64; 2]; 2],
    /// Whether the peaks point down in the table.
    pub upside_down: bool,
    /// Shoulders of peaks: where the peak is highest, and where the shoulder is \[°C\].
    pub shoulders: Vec<[f64; 2]>,
    /// Where the curve lies on the other side of the baseline by a share of the highest peak that cannot be bending \[°C\].
    pub other_way: Option<f64>,
}

/// The straight line through the means of both ends: its first and its last point.
fn baseline(points: &[[f64; 2]]) -> [[f64; 2]; 2] {
    let count = ((points.len() as f64 * ENDS) as usize).max(3);
    let mean = |some: &[[f64; 2]], of: usize| some.iter().map(|p| p[of]).sum::<f64>() / some.len() as f64;
    let (first, last) = (&points[..count], &points[points.len() - count..]);
    let [x0, y0, x1, y1] = [mean(first, 0), mean(first, 1), mean(last, 0), mean(last, 1)];
    let at = |x: f64| [x, y0 + (y1 - y0) / (x1 - x0) * (x - x0)];
    [at(points[0][0]), at(points[points.len() - 1][0])]
}

/// Deviations from the baseline, positive at the greatest, and whether they were turned over for that.
fn above_baseline(points: &[[f64; 2]], [[x0, y0], [x1, y1]]: [[f64; 2]; 2]) -> (Vec<f64>, bool) {
    let slope = (y1 - y0) / (x1 - x0);
    let mut above: Vec<f64> = points.iter().map(|[x, y]| y - y0 - slope * (x - x0)).collect();
    let greatest = above.iter().fold(0.0_f64, |most, d| if d.abs() > most.abs() { *d } else { most });
    if greatest < 0.0 {
        above.iter_mut().for_each(|d| *d = -*d);
    }
    (above, greatest < 0.0)
}

/// Scatter of neighbouring readings: the median of the absolute second differences, as a standard deviation.
fn scatter(above: &[f64]) -> f64 {
    let mut bends: Vec<f64> = above.windows(3).map(|w| (w[0] - 2.0 * w[1] + w[2]).abs()).collect();
    order::sort(&mut bends);
    bends.get(bends.len() / 2).map_or(0.0, |median| median / 0.6745 / 6.0_f64.sqrt())
}

/// Means over five neighbours.
fn smoothed(above: &[f64]) -> Vec<f64> {
    let last = above.len() - 1;
    let mean = |i: usize| {
        let some = &above[i.saturating_sub(2)..=(i + 2).min(last)];
        some.iter().sum::<f64>() / some.len() as f64
    };
    (0..above.len()).map(mean).collect()
}

/// The baseline of a scan and the peaks above it.
pub(super) fn found(scan: &Scan, binder_share: f64) -> Found {
    let baseline = baseline(&scan.points);
    let (above, upside_down) = above_baseline(&scan.points, baseline);
    let smooth = smoothed(&above);
    let noise = scatter(&above);
    let highest = smooth.iter().copied().fold(0.0, f64::max);
    let least = (CLEAR * noise).max(LEAST * highest);
    let mut peaks = Vec::new();
    let lowest = (0..smooth.len()).min_by(|&i, &j| smooth[i].total_cmp(&smooth[j])).unwrap_or(0);
    let deep = -smooth[lowest] > (CLEAR * noise).max(OTHER_WAY * highest);
    let other_way = deep.then(|| scan.points[lowest][0]);
    if highest <= 0.0 || highest < CLEAR * noise {
        return Found { peaks, baseline, upside_down, shoulders: Vec::new(), other_way: None };
    }
    let mut shoulders = Vec::new();
    let mut i = 0;
    while i < smooth.len() {
        if smooth[i] <= least {
            i += 1;
            continue;
        }
        let from = i;
        while i < smooth.len() && smooth[i] > least {
            i += 1;
        }
        let tops = tops(&smooth, from, i, CLEAR * noise);
        for k in 0..tops.len() {
            // Outwards to the valley, or to where nothing is left of the peak.
            let faint = noise.max(2e-3 * highest);
            let lower = if k > 0 {
                valley(&smooth, tops[k - 1], tops[k])
            } else {
                (0..from).rev().find(|&j| smooth[j] <= faint).unwrap_or(0)
            };
            let upper = if k + 1 < tops.len() {
                valley(&smooth, tops[k], tops[k + 1])
            } else {
                (i..smooth.len()).find(|&j| smooth[j] <= faint).unwrap_or(smooth.len() - 1)
            };
            if smooth[tops[k]] < SMALL * highest && width(scan, &smooth, [lower, tops[k], upper]) > WIDEST {
                continue;
            }
            let heat: f64 = (lower..upper)
                .map(|j| 0.5 * (above[j] + above[j + 1]) * (scan.points[j + 1][0] - scan.points[j][0]))
                .sum();
            let cold = tangent(scan, &smooth, lower, tops[k]);
            let hot = tangent(scan, &smooth, upper, tops[k]);
            let (onset, end) = if scan.direction == Direction::Heating { (cold, hot) } else { (hot, cold) };
            // Smoothing moves the top of a lopsided peak by up to two readings.
            let near = tops[k].saturating_sub(2)..=(tops[k] + 2).min(above.len() - 1);
            let top = near.max_by(|&i, &j| above[i].total_cmp(&above[j])).unwrap_or(tops[k]);
            let hidden = shoulder::of(scan, &smooth, [lower, tops[k], upper], noise);
            shoulders.extend(hidden.iter().map(|&t| [scan.points[top][0], t]));
            peaks.push(DscPeak {
                onset,
                peak: scan.points[top][0],
                end,
                heat,
                heat_of_binder: heat / binder_share,
                overlaps: tops.len() > 1 || !hidden.is_empty(),
            });
        }
    }
    Found { peaks, baseline, upside_down, shoulders, other_way }
}

/// Width of a peak at half its height above the higher of its feet \[K\].
fn width(scan: &Scan, smooth: &[f64], [lower, top, upper]: [usize; 3]) -> f64 {
    let half = 0.5 * (smooth[top] + smooth[lower].max(smooth[upper]));
    let cold = (lower..=top).rev().find(|&i| smooth[i] < half).unwrap_or(lower);
    let hot = (top..=upper).find(|&i| smooth[i] < half).unwrap_or(upper);
    scan.points[hot][0] - scan.points[cold][0]
}

/// Lowest place between two.
fn valley(smooth: &[f64], a: usize, b: usize) -> usize {
    (a..=b).min_by(|&i, &j| smooth[i].total_cmp(&smooth[j])).unwrap_or(a)
}

/// Maxima of a stretch that a valley of at least this depth parts.
fn tops(smooth: &[f64], from: usize, to: usize, depth: f64) -> Vec<usize> {
    let rises = |i: usize| {
        (i == 0 || smooth[i] > smooth[i - 1]) && smooth.get(i + 1).is_none_or(|&next| smooth[i] >= next)
    };
    let mut tops: Vec<usize> = (from..to).filter(|&i| rises(i)).collect();
    loop {
        // The shallowest valley that parts no peaks merges its lower neighbour into the higher.
        let merge = tops.windows(2).position(|w| {
            let (low, lower) = (smooth[valley(smooth, w[0], w[1])], smooth[w[0]].min(smooth[w[1]]));
            low > VALLEY * lower || lower - low < depth
        });
        let Some(k) = merge else { return tops };
        let lower = if smooth[tops[k]] < smooth[tops[k + 1]] { k } else { k + 1 };
        tops.remove(lower);
    }
}

/// Where the steepest tangent of the flank between an end and the top meets the baseline \[°C\].
fn tangent(scan: &Scan, smooth: &[f64], end: usize, top: usize) -> f64 {
    let (a, b) = (end.min(top), end.max(top));
    let t = |i: usize| scan.points[i][0];
    let slope = |i: usize| (smooth[i + 1] - smooth[i - 1]) / (t(i + 1) - t(i - 1));
    let inner = (a.max(1)..=b.min(smooth.len() - 2)).filter(|&i| i != top);
    let Some(steepest) = inner.max_by(|&i, &j| slope(i).abs().total_cmp(&slope(j).abs())) else {
        return t(end);
    };
    let crossing = t(steepest) - smooth[steepest] / slope(steepest);
    crossing.clamp(t(a), t(b))
}
