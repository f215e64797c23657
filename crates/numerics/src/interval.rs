//! Looking up in a table of equal steps, the innermost operation of every solver.

use crate::lanes::{Four, Number};

/// 1.5·2^52.
const WHOLE: f64 = 6_755_399_441_055_744.0;

/// Index of the interval that holds a place, and the fraction of that interval that lies before the place. The place
/// is counted in intervals from the start of the table. A place before the start, beyond 2^51 or NaN gives an index
/// beyond every table. A node may be given to the interval on either side.
///
/// Floats near 1.5·2^52 are whole numbers, and their bits count up by one. Adding 1.5·2^52 therefore rounds, and the
/// bits give the index, in fewer instructions than a saturating conversion and the way back.
#[inline(always)]
pub fn interval(place: f64) -> (usize, f64) {
    let shifted = place - 0.5 + WHOLE;
    let index = shifted.to_bits().wrapping_sub(WHOLE.to_bits());
    (usize::try_from(index).unwrap_or(usize::MAX), place - (shifted - WHOLE))
}

/// The lower half of the bits.
#[inline(always)]
fn low(x: f64) -> usize {
    x.to_bits() as u32 as usize
}

/// [`interval`] of four places, none of them beyond 2^32.
#[inline(always)]
pub fn intervals(place: Four) -> ([usize; 4], Four) {
    let whole = Four::all(WHOLE);
    let shifted = place - Four::all(0.5) + whole;
    let [a, b, c, d] = shifted.into();
    ([low(a), low(b), low(c), low(d)], place - (shifted - whole))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_interval_holds_its_place() {
        for k in 0..4000 {
            let place = 0.037 * f64::from(k);
            let (index, fraction) = interval(place);
            assert!((0.0..=1.0).contains(&fraction), "{place}: {index} {fraction}");
            assert!((index as f64 + fraction - place).abs() < 1e-12, "{place}: {index} {fraction}");
            let (indices, fractions) = intervals(Four::all(place));
            assert_eq!((indices[2], <[f64; 4]>::from(fractions)[3]), (index, fraction));
        }
        assert_eq!(interval(0.0), (0, 0.0));
    }

    #[test]
    fn what_lies_outside_is_beyond_every_table() {
        let far = [-1e9, -1e300, f64::NEG_INFINITY, f64::INFINITY, f64::NAN, 1e300];
        for place in [-0.1, -0.5 - 1e-9, -1.0].into_iter().chain(far) {
            assert!(interval(place).0 > 1_000_000_000, "{place}: {:?}", interval(place));
        }
        assert_eq!(interval(4_294_967_301.5).0 as u64, 4_294_967_301);
    }
}
