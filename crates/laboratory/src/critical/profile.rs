//! Fits of models with one nonlinear parameter, the critical loading. For each value of it the others follow by linear
//! least squares, so its range is scanned (variable projection).
//!
//! With ν degrees of freedom and the least sum of squares S(x) at a critical loading x, the likelihood
//! with the scatter integrated out is S^−(ν+1)/2, Student's t where the model is linear. One sign's
//! 95 % interval is the set S < S_min (1 + t²/ν) (profile likelihood, textbook nonlinear regression): it
//! stays valid if the model has a kink or a pole, and it may be open. A parameter with a prior is averaged over, weighted
//! with its normal density. Likelihoods of two signs are multiplied. The interval of such a likelihood is the narrowest
//! that holds 95 % of it. The usual scatter of such readings is included as one more reading. Otherwise as many readings
//! as parameters could be fitted exactly, and would seem free of scatter.

use super::CriticalEstimate;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::least_squares::{Sums, covariance};
use gatefrost_numerics::matrix::{MOST, Vector};
use gatefrost_numerics::order;
use gatefrost_numerics::search::{bisect, golden_section};
use gatefrost_numerics::statistics::student_95;

/// Greatest critical loading considered, as a fraction: no packing of particles is denser.
pub(super) const DENSEST: f64 = 0.95;

/// Readings as a linear problem at each critical loading.
pub(super) struct Linear<'a> {
    /// Linear parameters that are free.
    pub free: usize,
    /// Readings.
    pub readings: usize,
    /// Critical loading, as a fraction, that the model must lie above.
    pub above: f64,
    /// Greatest critical loading that may be, as a fraction.
    pub below: f64,
    /// Usual scatter of such readings, in the unit of the values.
    pub usual_scatter: f64,
    /// Prior of the last free parameter: mean and standard error.
    pub known: Option<[f64; 2]>,
    /// Derivatives of a reading by the free parameters, and the value to be fitted, at a critical loading.
    pub row: Box<dyn Fn(f64, usize) -> ([f64; 2], f64) + 'a>,
}

impl Linear<'_> {
    fn row(&self, x: f64, i: usize) -> (Vector, f64) {
        let ([a, b], value) = (self.row)(x, i);
        ([a, b, 0.0, 0.0, 0.0], value)
    }

    /// Residual of a reading with these linear parameters.
    fn misfit(&self, x: f64, i: usize, linear: &Vector) -> f64 {
        let (row, value) = self.row(x, i);
        row.iter().zip(linear).map(|(a, b)| a * b).sum::<f64>() - value
    }

    /// Degrees of freedom ν; a parameter with a prior takes none. `None` if there are none.
    pub fn degrees(&self) -> Option<usize> {
        let taken = self.free - usize::from(self.known.is_some());
        self.readings.checked_sub(taken + 1).filter(|&d| d > 0)
    }

    /// −ln of the likelihood of a critical loading. With `wary` the usual scatter is included; with a prior it always is.
    fn cost(&self, x: f64, wary: bool) -> f64 {
        let Some(solved) = solve(self, x) else { return f64::INFINITY };
        let Some(known) = self.known else {
            return self.of_squares(solved.squares, wary);
        };
        // The integral over the known parameter, by trapezia that resolve both of its densities.
        let own = ((solved.least + self.usual_scatter.powi(2)) / solved.growth / self.weight(true)).sqrt();
        let around = |middle: f64, width: f64| (-20..=20).map(move |i| middle + 0.2 * width * f64::from(i));
        let mut places: Vec<f64> =
            around(known[0], known[1]).chain(around(solved.best, own)).filter(|m| *m > 0.0).collect();
        order::sort(&mut places);
        let costs: Vec<f64> = places.iter().map(|&m| solved.cost(self, m)).collect();
        let least = costs.iter().copied().fold(f64::INFINITY, f64::min);
        let cell = |(p, c): (&[f64], &[f64])| {
            0.5 * (p[1] - p[0]) * ((least - c[0]).exponential() + (least - c[1]).exponential())
        };
        least - places.windows(2).zip(costs.windows(2)).map(cell).sum::<f64>().logarithm()
    }

    fn of_squares(&self, squares: f64, wary: bool) -> f64 {
        let floor = if wary { self.usual_scatter.powi(2) } else { 0.0 };
        // Readings without scatter leave a sum of squares of zero.
        self.weight(wary) * (squares + floor).max(1e-300).logarithm()
    }

    /// Half the power that the sum of squares is raised to, (ν + 1)/2, and one more for the usual scatter.
    fn weight(&self, wary: bool) -> f64 {
        0.5 * (self.degrees().unwrap_or(0) as f64 + if wary { 2.0 } else { 1.0 })
    }
}

/// The linear problem solved at one critical loading.
pub(super) struct Solved {
    /// Linear parameters, what is known beforehand taken into account.
    pub linear: Vector,
    /// Sum of squares they leave.
    pub squares: f64,
    /// Value of the last parameter at which the sum is least, that sum, and how it grows with the square
    /// of the distance.
    best: f64,
    least: f64,
    growth: f64,
}

impl Solved {
    /// −ln of the likelihood of a value of the parameter known beforehand.
    fn cost(&self, model: &Linear<'_>, value: f64) -> f64 {
        let squares = self.least + self.growth * (value - self.best).powi(2);
        let said = model.known.map_or(0.0, |[mean, error]| 0.5 * ((value - mean) / error).powi(2));
        model.of_squares(squares, true) + said
    }
}

/// What a scan found.
pub(super) struct Found {
    /// Critical loading, as a fraction.
    pub critical: CriticalEstimate,
    /// Linear parameters at the minimum.
    pub linear: Vec<f64>,
    /// Their standard errors; `None` where not determined.
    pub linear_errors: Vec<Option<f64>>,
    /// Sum of squares there.
    pub squares: f64,
    /// Standard deviation of the residuals.
    pub scatter: f64,
    /// Student's t for 95 %.
    pub t: f64,
}

/// Scans `grid` (rising), refines the minimum and finds the interval. `ceiling` is the sum of squares
/// of the model without a critical loading in reach, if there is such a thing.
pub(super) fn scan(model: &Linear<'_>, grid: &[f64], ceiling: Option<f64>) -> Option<Found> {
    let cost = |x: f64| model.cost(x, false);
    let costs: Vec<f64> = grid.iter().map(|&x| cost(x)).collect();
    let best = least(&cost, grid, &costs)?;
    let Solved { linear, squares, .. } = solve(model, best)?;
    let degrees = model.degrees()?;
    let variance = match model.known {
        None => squares / degrees as f64,
        Some(_) => (squares + model.usual_scatter.powi(2)) / (degrees + 1) as f64,
    };
    let t = student_95(degrees);
    let limit = match model.known {
        None => cost(best) + model.weight(false) * (t * t / degrees as f64).logarithm_1p(),
        Some(_) => level(&cost, best, [grid[0], grid[grid.len() - 1]]),
    };
    let [low, high] = bounds(&cost, grid, &costs, best, limit);
    let high = high.filter(|_| ceiling.is_none_or(|s| model.of_squares(s, false) > limit));
    let (errors, mut own) = errors(model, best, &linear, variance)?;
    let [low, high] = bounded([low, high], best, [model.above, model.below]);
    if model.below < DENSEST {
        own = low.zip(high).map(|(low, high)| (high - low) / 2.0 / 1.96);
    }
    Some(Found {
        critical: CriticalEstimate { value: best, standard_error: own, low, high },
        linear: linear[..model.free].to_vec(),
        linear_errors: errors,
        squares,
        scatter: variance.sqrt(),
        t,
    })
}

/// An interval with the bound of the critical loading, if there is one besides the densest packing. If the best value is
/// at that bound, the readings do not distinguish the loadings from the bound down to the highest reading.
fn bounded([low, high]: [Option<f64>; 2], best: f64, [above, below]: [f64; 2]) -> [Option<f64>; 2] {
    if below >= DENSEST {
        return [low, high];
    }
    let pressed = best > below - 1e-3 * (below - above);
    [low.map(|low| if pressed { low.min(above) } else { low }), high.or(Some(below))]
}

/// The critical loading from both signs, as a fraction; `bests` are their own. The standard error is that of a normal
/// distribution with the same 95 % interval; `None` if the interval is open.
pub(super) fn together(signs: [&Linear<'_>; 2], bests: [f64; 2]) -> Option<CriticalEstimate> {
    let cost = |x: f64| signs[0].cost(x, true) + signs[1].cost(x, true);
    let from = signs[0].above.max(signs[1].above);
    let to = signs[0].below.min(signs[1].below);
    let mut grid: Vec<f64> = (1..400).map(|i| from + (to - from) * f64::from(i) / 400.0).collect();
    for best in bests {
        grid.extend((-60..=60).map(|i: i32| best + 1e-6 * f64::from(i) * 1.17_f64.powi(i.abs())));
    }
    grid.extend([from + 1e-6, to]);
    grid.retain(|&x| x > from && x <= to);
    order::sort(&mut grid);
    let costs: Vec<f64> = grid.iter().map(|&x| cost(x)).collect();
    let best = least(&cost, &grid, &costs)?;
    let limit = level(&cost, best, [grid[0], to]);
    let [low, high] = bounded(bounds(&cost, &grid, &costs, best, limit), best, [from, to]);
    let standard_error = low.zip(high).map(|(low, high)| (high - low) / 2.0 / 1.96);
    Some(CriticalEstimate { value: best, standard_error, low, high })
}

/// Where a cost, known on a rising grid, is least.
pub(super) fn least(cost: &impl Fn(f64) -> f64, grid: &[f64], costs: &[f64]) -> Option<f64> {
    let at =
        (0..grid.len()).filter(|&i| costs[i].is_finite()).min_by(|&a, &b| costs[a].total_cmp(&costs[b]))?;
    Some(golden_section(cost, grid[at.saturating_sub(1)], grid[(at + 1).min(grid.len() - 1)], grid[at]))
}

/// The cost up to which 95 % of a likelihood lie, between two ends around its best place.
fn level(cost: &impl Fn(f64) -> f64, best: f64, ends: [f64; 2]) -> f64 {
    const STEPS: i32 = 300;
    let least = cost(best);
    let mut places = vec![best];
    for end in ends {
        let reach = end - best;
        // Finer towards the best place, whatever the scatter.
        let near = 1e-8_f64.min(reach.abs());
        if near > 0.0 {
            let grown = |i: i32| near * (reach.abs() / near).power(f64::from(i) / f64::from(STEPS));
            places.extend((0..=STEPS).map(|i| best + grown(i).copysign(reach)));
        }
    }
    order::sort(&mut places);
    let costs: Vec<f64> = places.iter().map(|&x| cost(x)).collect();
    let mut cells: Vec<(f64, f64)> = (0..places.len())
        .map(|i| {
            let (left, right) = (places[i.saturating_sub(1)], places[(i + 1).min(places.len() - 1)]);
            (costs[i], 0.5 * (right - left) * (least - costs[i]).exponential())
        })
        .collect();
    order::sort_by(&mut cells, |cell| cell.0);
    let wanted = 0.95 * cells.iter().map(|cell| cell.1).sum::<f64>();
    let (mut sum, mut before) = (0.0, least);
    for (cost, mass) in cells {
        if sum + mass >= wanted {
            return if mass > 0.0 { before + (cost - before) * (wanted - sum) / mass } else { cost };
        }
        sum += mass;
        before = cost;
    }
    before
}

/// Outward from the minimum to where the cost passes the limit; `None` where it does not.
fn bounds(
    cost: &impl Fn(f64) -> f64,
    grid: &[f64],
    costs: &[f64],
    best: f64,
    limit: f64,
) -> [Option<f64>; 2] {
    let edge = |steps: &mut dyn Iterator<Item = usize>| {
        let mut inside = best;
        for i in steps {
            if costs[i] > limit {
                return Some(bisect(inside, grid[i], 60, |x| cost(x) > limit));
            }
            inside = grid[i];
        }
        None
    };
    let below = grid.partition_point(|&x| x < best);
    let above = grid.partition_point(|&x| x <= best);
    [edge(&mut (0..below).rev()), edge(&mut (above..grid.len()))]
}

/// The linear problem at x; `None` where the model does not reach there.
pub(super) fn solve(model: &Linear<'_>, x: f64) -> Option<Solved> {
    if x <= model.above {
        return None;
    }
    let mut linear = [0.0; MOST];
    let mut stiff = [[0.0; MOST]; MOST];
    if model.free > 0 {
        let mut sums = Sums::new(model.free);
        for i in 0..model.readings {
            let (row, value) = model.row(x, i);
            sums.add(&row, value);
        }
        let sums = sums.close();
        linear = sums.solution()?;
        stiff = sums.normal;
    }
    // Summed afresh: the sum of squares is small against what the parameters make up.
    let least: f64 = (0..model.readings).map(|i| model.misfit(x, i, &linear).powi(2)).sum();
    if !least.is_finite() {
        return None;
    }
    let mut solved = Solved { linear, squares: least, best: 0.0, least, growth: 0.0 };
    let Some([mean, _]) = model.known else {
        return Some(solved);
    };
    // Away from its own best value the sum grows as the square; the other parameter follows.
    let last = model.free - 1;
    let follows = if last > 0 { stiff[0][1] / stiff[0][0] } else { 0.0 };
    solved.growth = stiff[last][last] - if last > 0 { follows * stiff[0][1] } else { 0.0 };
    solved.best = linear[last];
    let cost = |value: f64| solved.cost(model, value);
    let places: Vec<f64> =
        (0..=24).map(|i| solved.best + (mean - solved.best) * f64::from(i) / 24.0).collect();
    let at = (0..places.len()).min_by(|&a, &b| cost(places[a]).total_cmp(&cost(places[b])))?;
    let value = golden_section(&cost, places[at.saturating_sub(1)], places[(at + 1).min(24)], places[at]);
    solved.linear[last] = value;
    if last > 0 {
        solved.linear[0] -= follows * (value - solved.best);
    }
    solved.squares += solved.growth * (value - solved.best).powi(2);
    Some(solved)
}

/// Standard errors of the linear parameters and of the critical loading, from all derivatives.
fn errors(
    model: &Linear<'_>,
    x: f64,
    linear: &Vector,
    variance: f64,
) -> Option<(Vec<Option<f64>>, Option<f64>)> {
    let h = 1e-7 * x;
    if x - h <= model.above {
        return None;
    }
    let count = model.free + 1;
    let mut sums = Sums::new(count);
    for i in 0..model.readings {
        let ([a, b, ..], _) = model.row(x, i);
        let by_x = (model.misfit(x + h, i, linear) - model.misfit(x - h, i, linear)) / (2.0 * h);
        sums.add(&[by_x, a, b, 0.0, 0.0], 0.0);
    }
    if let Some([_, error]) = model.known {
        // The prior is one more reading.
        let mut row = [0.0; MOST];
        row[model.free] = variance.sqrt() / error;
        sums.add(&row, 0.0);
    }
    let found = covariance(&sums.close().normal, count, variance);
    let error = |i: usize| (!found.undetermined[i]).then(|| found.matrix[i][i].max(0.0).sqrt());
    Some(((1..count).map(error).collect(), error(0)))
}

impl CriticalEstimate {
    /// The same in vol%.
    pub(super) fn in_percent(self) -> Self {
        let percent = |x: Option<f64>| x.map(|x| 100.0 * x);
        Self {
            value: 100.0 * self.value,
            standard_error: percent(self.standard_error),
            low: percent(self.low),
            high: percent(self.high),
        }
    }
}
