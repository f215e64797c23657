//! Numbers in order: sorting, and which of two is greater. The one sort that everything shares: the
//! standard library's is compiled anew, in some 5 kB, for each type and each comparison.

/// Places of `keys` in rising order; equal ones keep theirs.
pub fn rising(keys: &[f64]) -> Vec<usize> {
    let mut places: Vec<usize> = (0..keys.len()).collect();
    places.sort_by(|a, b| keys[*a].total_cmp(&keys[*b]));
    places
}

/// Sorts items by a number, rising; equal ones keep their order, so that sorting by a second key and
/// then by a first sorts by both.
pub fn sort_by<T>(items: &mut [T], key: impl Fn(&T) -> f64) {
    let mut keys = Vec::new();
    for item in items.iter() {
        keys.push(key(item));
    }
    let places = rising(&keys);
    for i in 0..items.len() {
        // What stood there before may have been swapped away, to where its successor came from.
        let mut from = places[i];
        while from < i {
            from = places[from];
        }
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
    fn what_is_no_number_comes_last() {
        let mut numbers = vec![f64::NAN, 3.0, f64::NEG_INFINITY, -0.0, 0.0];
        sort(&mut numbers);
        assert_eq!(numbers[..4], [f64::NEG_INFINITY, -0.0, 0.0, 3.0]);
        assert!(numbers[4].is_nan());
    }
}
