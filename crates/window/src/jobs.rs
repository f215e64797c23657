//! Jobs for several workers: who evaluates which places.

use crate::place::Wanted;
use crate::sample::shares_fill;
use gatefrost_core::scenario::Scenario;
use gatefrost_core::stages::Stage;
use gatefrost_numerics::order;

/// What the rest of a place's evaluation takes, in fills: `cargo bench -- hinge`.
const REST: f64 = 2.0;

/// Jobs for each worker: workers are not equally quick, and the last job should not be waited for long.
const JOBS: usize = 4;

/// What places that share a fill take, in fills.
fn effort(places: &[usize], wanted: &[Wanted]) -> f64 {
    let holds = places.iter().filter(|k| wanted[**k].stage >= Stage::Hold).count();
    let fills = places.iter().any(|k| wanted[*k].stage >= Stage::Fill);
    REST * holds as f64 + if fills { 1.0 } else { 0.0 }
}

/// Divides places of a scenario's plane into jobs for so many workers, as indices of the places; the longest
/// job comes first.
///
/// Places that share a fill stay together, unless that would leave workers without work: such groups are
/// then cut. If each worker takes the next job once it is free, the jobs end no later than after
/// ∑e/n + (1 − 1/n) max e with the effort e of each and n workers (Graham, SIAM J. Appl. Math. 17 (1969) 416, from memory); the cut is
/// the one for which that is least.
pub fn jobs(scenario: &Scenario, wanted: &[Wanted], workers: usize) -> Vec<Vec<usize>> {
    let workers = workers.max(1);
    let groups = alike(scenario, wanted);
    let longest = groups.iter().map(Vec::len).max().unwrap_or(0);
    let effort = |piece: &[usize]| effort(piece, wanted);
    let bound = |most: usize| {
        let efforts = groups.iter().flat_map(|group| group.chunks(most)).map(effort);
        let (whole, greatest) = efforts.fold((0.0, 0.0_f64), |(sum, most), e| (sum + e, most.max(e)));
        (whole + (workers as f64 - 1.0) * greatest) / workers as f64
    };
    // Of equal bounds the one with the fewest pieces.
    let most = (1..=longest).rev().min_by(|a, b| bound(*a).total_cmp(&bound(*b))).unwrap_or(1);
    let mut pieces: Vec<&[usize]> = groups.iter().flat_map(|group| group.chunks(most)).collect();
    order::sort_by(&mut pieces, |piece| -effort(piece));

    let mut jobs = vec![(0.0_f64, Vec::new()); pieces.len().min(workers * JOBS)];
    for piece in pieces {
        // Of equally short ones the one with fewest places, so that none is left empty.
        let shortest = jobs.iter_mut().min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.len().cmp(&b.1.len())));
        if let Some((so_far, job)) = shortest {
            *so_far += effort(piece);
            job.extend_from_slice(piece);
        }
    }
    order::sort_by(&mut jobs, |(effort, _)| -effort);
    jobs.into_iter().map(|(_, job)| job).collect()
}

/// The places by the fill that they share; those that need none together.
fn alike(scenario: &Scenario, wanted: &[Wanted]) -> Vec<Vec<usize>> {
    let plane = &scenario.window;
    let axes = plane.axes();
    let values: Vec<[f64; 2]> = wanted.iter().map(|w| plane.value(w.place)).collect();
    let fills = |k: usize| wanted[k].stage >= Stage::Fill;
    let same = |a: usize, b: usize| match [a, b].map(fills) {
        [true, true] => shares_fill(&axes, &values[a], &values[b]),
        fills => fills == [false; 2],
    };
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for k in 0..wanted.len() {
        match groups.iter_mut().find(|group| same(group[0], k)) {
            Some(group) => group.push(k),
            None => groups.push(vec![k]),
        }
    }
    groups
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Detail, Surface, margins_at, told, trace};
    use gatefrost_core::limits::COUNT;
    use gatefrost_core::scenario::{Axis, Span, demo};

    fn spanned(x: Axis, y: Axis) -> Scenario {
        let mut scenario = demo::default_demo().scenario();
        let side = |axis: Axis, from: f64, to: f64| Span { axis, from, to };
        let span = |axis| match axis {
            Axis::InjectionTime => side(axis, 0.1, 2.0),
            Axis::HoldTime => side(axis, 1.0, 4.0),
            Axis::HoldPressure => side(axis, 20.0, 80.0),
            other => side(other, 150.0, 175.0),
        };
        (scenario.window.x, scenario.window.y) = (span(x), span(y));
        assert_eq!(scenario.validate_plane(), Ok(()));
        scenario
    }

    fn grid() -> Vec<Wanted> {
        Surface::new(Detail::Fine, &[]).wanted()
    }

    const PLANES: [[Axis; 2]; 3] = [
        [Axis::InjectionTime, Axis::MeltTemperature],
        [Axis::InjectionTime, Axis::HoldPressure],
        [Axis::HoldTime, Axis::HoldPressure],
    ];

    #[test]
    fn every_place_is_in_one_job_and_jobs_are_even() {
        for [x, y] in PLANES {
            let scenario = spanned(x, y);
            for workers in 1..=8 {
                let jobs = jobs(&scenario, &grid(), workers);
                let mut all = jobs.concat();
                all.sort_unstable();
                assert!(all.iter().copied().eq(0..grid().len()), "{x:?}, {y:?}, {workers} workers");
                assert!(
                    jobs.len() >= workers && jobs.len() <= JOBS * workers,
                    "{} for {workers}",
                    jobs.len()
                );
                assert!(jobs.windows(2).all(|pair| !pair[1].is_empty()), "no job is empty");
                // As the workers take them one after the other.
                let mut busy = vec![0; workers];
                for job in &jobs {
                    *busy.iter_mut().min().expect("a worker") += job.len();
                }
                let last = busy.iter().max().expect("a worker");
                let fair = grid().len().div_ceil(workers);
                assert!(*last <= fair + fair / 2, "{x:?}, {y:?}: {last} of {fair} with {workers} workers");
            }
        }
    }

    #[test]
    fn places_that_share_a_fill_stay_together_where_no_hand_idles_for_it() {
        let [x, y] = PLANES[1];
        let scenario = spanned(x, y);
        let (places, groups) = (grid(), alike(&scenario, &grid()));
        assert_eq!(groups.len(), 7, "one for each injection time");
        // Fills that are computed by all jobs together.
        let fills = |workers: usize| -> usize {
            let jobs = jobs(&scenario, &places, workers);
            let of = |job: &Vec<usize>| groups.iter().filter(|g| g.iter().any(|k| job.contains(k))).count();
            jobs.iter().map(of).sum()
        };
        assert_eq!([1, 2].map(fills), [7, 7]);
        // More workers are worth some fills more, if they do not cost much beside the rest.
        let whole = |fills: usize| fills as f64 + REST * places.len() as f64;
        for workers in 3..=8 {
            assert!(whole(fills(workers)) < 1.25 * whole(7), "{} with {workers} workers", fills(workers));
        }
        // One fill for all of the plane: one worker does it with one, several must each have their own.
        let [x, y] = PLANES[2];
        assert_eq!(jobs(&spanned(x, y), &places, 1).len(), 1);
        assert!(jobs(&spanned(x, y), &places, 4).len() >= 4);
    }

    #[test]
    fn no_places_make_no_jobs() {
        let scenario = demo::default_demo().scenario();
        assert!(jobs(&scenario, &[], 4).is_empty());
        assert_eq!(jobs(&scenario, &grid()[..1], 0), [[0]], "no worker is one worker");
    }

    /// Whoever evaluates them and in whatever order, the window is the same to the last bit.
    #[test]
    fn a_window_traced_by_jobs_is_the_window() {
        for [x, y] in PLANES {
            let mut whole = spanned(x, y);
            whole.model = whole.model.at_most(16, 8);
            for (detail, workers) in [(Detail::Coarse, 3), (Detail::Fine, 4)] {
                let scenario = detail.scenario(&whole);
                let surface = Surface::by(detail, &[], |wanted| {
                    let mut found = vec![[f64::NAN; COUNT]; wanted.len()];
                    for job in jobs(&scenario, wanted, workers).into_iter().rev() {
                        let places: Vec<Wanted> = job.iter().map(|k| wanted[*k]).collect();
                        for (k, margins) in job.iter().zip(margins_at(&scenario, &places, &[])) {
                            found[*k] = margins;
                        }
                    }
                    found
                });
                let traced = told(&scenario, &surface);
                assert_eq!(traced, trace(&whole, detail).expect("valid"), "{x:?}, {y:?}");
            }
        }
    }
}
