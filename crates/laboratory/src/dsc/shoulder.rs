//! Shoulders: a part whose peak lies on the flank of another and has no maximum of its own.
//!
//! From its top a flank grows steeper until its inflexion and then levels off. Where it levels off in between and grows steep
//! again, a second peak adds to it.

use super::reading::Scan;

/// Between two steep places the flank is flatter than this share of the less steep one.
const LEVEL: f64 = 0.95;
/// The less steep place has at least this share of the greatest slope of its flank.
const STEEP: f64 = 0.12;
/// Slopes of a shoulder differ by this many times their scatter.
const CLEAR: f64 = 6.0;
/// Slopes are taken over this share of a flank.
const SPAN: f64 = 0.05;

/// Where the flanks of a peak have shoulders \[°C\], at most one each. The peak is given by its ends and its top, `noise` is
/// the scatter of a reading.
pub(super) fn of(scan: &Scan, smooth: &[f64], [lower, top, upper]: [usize; 3], noise: f64) -> Vec<f64> {
    let cold: Vec<usize> = (lower..=top).rev().collect();
    let hot: Vec<usize> = (top..=upper).collect();
    [cold, hot].iter().filter_map(|flank| on(scan, smooth, flank, noise)).collect()
}

/// The shoulder of a flank, whose readings go down from the top.
fn on(scan: &Scan, smooth: &[f64], flank: &[usize], noise: f64) -> Option<f64> {
    let half = ((flank.len() as f64 * SPAN) as usize).max(2);
    if flank.len() < 6 * half {
        return None;
    }
    let t = |i: usize| scan.points[flank[i]][0];
    // How fast the curve falls away from the top.
    let falls: Vec<f64> = (half..flank.len() - half)
        .map(|i| (smooth[flank[i - half]] - smooth[flank[i + half]]) / (t(i + half) - t(i - half)).abs())
        .collect();
    let scatter = noise / (t(2 * half) - t(0)).abs();
    let greatest = falls.iter().copied().fold(0.0, f64::max);
    // The deepest place between two steeper ones.
    let mut before = Vec::with_capacity(falls.len());
    let mut most = f64::NEG_INFINITY;
    for fall in &falls {
        most = most.max(*fall);
        before.push(most);
    }
    let mut found: Option<(f64, usize)> = None;
    let mut after = f64::NEG_INFINITY;
    for i in (0..falls.len()).rev() {
        after = after.max(falls[i]);
        let lesser = before[i].min(after);
        let clear =
            lesser > STEEP * greatest && falls[i] < LEVEL * lesser && lesser - falls[i] > CLEAR * scatter;
        if clear && found.is_none_or(|(depth, _)| lesser - falls[i] > depth) {
            found = Some((lesser - falls[i], i));
        }
    }
    found.map(|(_, i)| t(i + half))
}
