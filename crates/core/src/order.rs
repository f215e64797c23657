//! Sorting by numbers. The one sort that everything shares: the standard library's is compiled anew,
//! in some 5 kB, for each type and each comparison.

/// Places of `keys` in rising order; equal ones keep theirs.
pub fn rising(keys: &[f64]) -> Vec<usize> {
    let mut places: Vec<usize> = (0..keys.len()).collect();
    places.sort_by(|a, b| keys[*a].total_cmp(&keys[*b]));
    places
}

/// Sorts items by a number, rising; equal ones keep their order, so that sorting by a second key and
/// then by a first sorts by both.
pub fn sort_by<T>(items: &mut Vec<T>, key: impl Fn(&T) -> f64) {
    let keys: Vec<f64> = items.iter().map(key).collect();
    let mut moved: Vec<Option<T>> = items.drain(..).map(Some).collect();
    items.extend(rising(&keys).into_iter().filter_map(|place| moved[place].take()));
}

/// Sorts numbers, rising.
pub fn sort(numbers: &mut Vec<f64>) {
    sort_by(numbers, |number| *number);
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
