//! How far an estimated share may lie from the true one, with 95 %.

/// Where all of n independent trials agree, up to 3/n of all may not, with 95 % (Hanley and Lippman-Hand, J. Am.
/// Med. Assoc. 249 (1983) 1743, from memory).
pub const RULE_OF_THREE: f64 = 3.0;

/// Half widths below and above a share p whose estimate has a variance: Wilson's score interval of z standard
/// errors, for n = p(1 − p)/variance independent trials (E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209,
/// from memory). Zero where nothing varies: then the rule of three has to tell.
pub fn score(share: f64, variance: f64, z: f64) -> [f64; 2] {
    if variance <= 0.0 {
        return [0.0; 2];
    }
    let shrink = z * z * variance / (share * (1.0 - share)).max(variance);
    let middle = (share + 0.5 * shrink) / (1.0 + shrink);
    let half = (z * z * variance + 0.25 * shrink * shrink).sqrt() / (1.0 + shrink);
    [share - (middle - half), middle + half - share]
}

/// Mean of values, and its variance from the spread of the means of equally large groups: each value belongs to
/// one.
pub fn mean_of_groups(values: &[f64], groups: usize, group: impl Fn(usize) -> usize) -> (f64, f64) {
    let mut means = vec![0.0; groups];
    for (place, value) in values.iter().enumerate() {
        means[group(place)] += value * groups as f64 / values.len() as f64;
    }
    let n = groups as f64;
    let mean = means.iter().sum::<f64>() / n;
    (mean, means.iter().map(|m| (m - mean).powi(2)).sum::<f64>() / (n * (n - 1.0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Wilson's interval for 3 of 20 and for 50 of 100, by hand: z = 1.96.
    #[test]
    fn the_score_interval_is_that_of_the_formula() {
        for (found, of, expected) in [(3.0, 20.0, [0.0524, 0.3604]), (50.0, 100.0, [0.4038, 0.5962])] {
            let share: f64 = found / of;
            let [below, above] = score(share, share * (1.0 - share) / of, 1.96);
            assert!((share - below - expected[0]).abs() < 1e-4, "{below}");
            assert!((share + above - expected[1]).abs() < 1e-4, "{above}");
        }
        assert_eq!(score(1.0, 0.0, 2.0), [0.0; 2]);
    }

    /// Groups that are the same leave no variance; of groups that are each of one kind it is that of so many
    /// trials.
    #[test]
    fn the_variance_is_that_of_the_groups() {
        let even: Vec<f64> = (0..64).map(|n| f64::from(n / 8 % 2)).collect();
        let (mean, none) = mean_of_groups(&even, 8, |n| n % 8);
        assert!((mean - 0.5).abs() < 1e-12 && none < 1e-12, "{mean} {none}");
        let (mean, trials) = mean_of_groups(&even, 8, |n| n / 8);
        assert!((mean - 0.5).abs() < 1e-12 && (trials - 0.25 / 7.0).abs() < 1e-12, "{mean} {trials}");
    }
}
