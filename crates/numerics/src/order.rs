//! Numbers in order: sorting, and which of two is greater. The one sort that everything shares: the
//! standard library's is compiled anew, in some 8 kB, for each type and each comparison.

/// Places of `keys` in rising order; equal ones keep theirs. Merges runs of twice the length from pass to pass.
pub fn rising(keys: &[f64]) -> Vec<usize> {
    let mut places: Vec<usize> = (0..keys.len()).collect();
    let mut merged = places.clone();
    let mut run = 1;
    while run < keys.len() {
        for start in (0..keys.len()).step_by(2 * run) {
            let middle = (start + run).min(keys.len());
            let end = (middle + run).min(keys.len());
            let (mut left, mut right) = (start, middle);
            for place in &mut merged[start..end] {
                // From the left where both are equal, so that they keep their order.
                let take_left = right == end
                    || left < middle && keys[places[left]].total_cmp(&keys[places[right]]).is_le();
                let from = if take_left { &mut left } else { &mut right };
                *place = places[*from];
                *from += 1;
            }
        }
        std::mem::swap(&mut places, &mut merged);
        run *= 2;
    }
    places
}

/// For each place from the first on, the one to exchange it with, so that items come into the order of their
/// keys.
fn exchanges(keys: &[f64]) -> Vec<usize> {
    let places = rising(keys);
    let from = |i: usize| {
        // What stood there before may have been swapped away, to where its successor came from.
        let mut from = places[i];
        while from < i {
            from = places[from];
        }
        from
    };
    (0..places.len()).map(from).collect()
}

/// Sorts items by a number, rising; equal ones keep their order, so that sorting by a second key and
/// then by a first sorts by both.
pub fn sort_by<T>(items: &mut [T], key: impl Fn(&T) -> f64) {
    let mut keys = Vec::new();
    for item in items.iter() {
        keys.push(key(item));
    }
    for (i, from) in exchanges(&keys).into_iter().enumerate() {
        items.swap(i, from);
    }
}

/// Sorts numbers, rising.
pub fn sort(numbers: &mut [f64]) {
    sort_by(numbers, |number| *number);
}

/// The greater of two numbers; the first where they are equal or one is none. In the innermost loops:
/// `f64::max` must tell numbers from what is none, and is a call to a function in WebAssembly.
#[inline(always)]
pub fn greater(a: f64, b: f64) -> f64 {
    if b > a { b } else { a }
}

/// The lesser of two numbers, likewise.
#[inline(always)]
pub fn lesser(a: f64, b: f64) -> f64 {
    if b < a { b } else { a }
}

/// A positive number rounded to so many binary digits behind the first: what differs by less than half of the last
/// of them is mostly the same.
pub fn rounded(x: f64, digits: u32) -> f64 {
    let rest = 52 - digits;
    f64::from_bits(x.to_bits().saturating_add(1 << (rest - 1)) >> rest << rest)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_sorts_sort_by_two_keys() {
        let mut pairs = vec![(2, 1), (1, 9), (2, -3), (1, 4), (2, -3)];
        sort_by(&mut pairs, |pair| f64::from(pair.1));
        sort_by(&mut pairs, |pair| f64::from(pair.0));
        assert_eq!(pairs, [(1, 4), (1, 9), (2, -3), (2, -3), (2, 1)]);
    }

    #[test]
    fn any_number_of_keys_is_sorted_as_the_standard_library_sorts_them() {
        let mut state = 7_u64;
        for count in [0, 1, 2, 3, 7, 8, 9, 100, 1000] {
            let key = |_| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                (state >> 60) as f64 - 7.5
            };
            let keys: Vec<f64> = (0..count).map(key).collect();
            let mut expected: Vec<usize> = (0..count).collect();
            expected.sort_by(|a, b| keys[*a].total_cmp(&keys[*b]));
            assert_eq!(rising(&keys), expected);
        }
    }

    #[test]
    fn what_is_no_number_comes_last() {
        let mut numbers = vec![f64::NAN, 3.0, f64::NEG_INFINITY, -0.0, 0.0];
        sort(&mut numbers);
        assert_eq!(numbers[..4], [f64::NEG_INFINITY, -0.0, 0.0, 3.0]);
        assert!(numbers[4].is_nan());
    }
}
