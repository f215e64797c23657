//! From the solver's end to a [`Fit`]: errors, intervals, residuals, sentences.

use super::basis::{Coordinates, Datum};
use super::model::Model;
use super::solve::{Solution, normal};
use super::{Fit, FittedConstant, Readings, Residual, Standing, laws};
use gatefrost_core::catalogue;
use gatefrost_core::document;
use gatefrost_core::format::number;
use gatefrost_core::scenario::FlowLaw;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::least_squares::covariance;
use gatefrost_numerics::matrix::{MOST, Matrix};
use gatefrost_numerics::statistics::{aicc, student_95};
use serde_json::Value;

/// A logarithm with a standard error above this is undetermined: a factor of 20 either way. Only D₁ comes near it, because
/// D₂ may be far from the data.
const VAGUE: f64 = 3.0;
/// A logarithm is also undetermined if its 95 % interval spans this factor and leaves the accepted range.
const WIDE: f64 = 100.0;
/// Constants with a correlation above this, in absolute value, are determined only together.
const TOGETHER: f64 = 0.99;

pub(super) fn fit(
    model: &Model,
    readings: &Readings,
    solution: &Solution,
    held: &[usize],
    mut remarks: Vec<String>,
) -> Fit {
    let Readings { data, shown, range, .. } = readings;
    let degrees = data.len() - solution.free.len();
    let variance = solution.squares / degrees.max(1) as f64;
    let count = solution.free.len();
    let found = covariance(&normal(model, data, solution), count, variance);
    let c = &solution.coordinates;
    let carry = reported(model, c, &solution.free);
    let spread = carried(&carry, &found.matrix);
    let law = model.flow_law(c, &solution.bound);
    let numbers = constants_of(&law);
    let t = student_95(degrees);

    let mut constants = Vec::new();
    let (mut free, mut rows) = (Vec::new(), Vec::new());
    for parameter in model.parameters() {
        let value = numbers.iter().find(|(name, _)| name == parameter.field).map_or(f64::NAN, |pair| pair.1);
        let place = model.law.names().iter().position(|(name, _)| *name == parameter.field);
        let mut constant = FittedConstant {
            path: parameter.path(),
            symbol: parameter.symbol.to_owned(),
            unit: parameter.unit.to_owned(),
            title: parameter.title.to_owned(),
            value,
            standing: Standing::Held,
            standard_error: None,
            interval: None,
            logarithmic: place.is_some_and(|place| model.law.names()[place].1),
        };
        if let Some(row) = place.and_then(|place| solution.free.iter().position(|&other| other == place)) {
            let error = spread[row][row].max(0.0).sqrt();
            let mixed = (0..count)
                .any(|other| found.undetermined[other] && (other == row || carry[row][other] != 0.0));
            if mixed {
                constant.standing = Standing::Undetermined;
            } else {
                constant.standard_error = Some(if constant.logarithmic { error * value } else { error });
                let interval = if constant.logarithmic {
                    [value * (-t * error).exponential(), value * (t * error).min(600.0).exponential()]
                } else {
                    [value - t * error, value + t * error]
                };
                let outside = interval[0] < parameter.min || interval[1] > parameter.max;
                let vague = if constant.logarithmic {
                    error > VAGUE || outside && interval[1] > WIDE * interval[0]
                } else {
                    // None of these constants can be zero. An interval that contains zero means that the data do not
                    // determine it.
                    interval[0] <= 0.0 || error > parameter.max - parameter.min
                };
                constant.standing = if vague { Standing::Undetermined } else { Standing::Fitted };
                constant.interval = Some(interval);
                free.push(constants.len());
                rows.push((row, if constant.logarithmic { value } else { 1.0 }));
            }
        } else if place.is_some_and(|place| solution.bound.contains(&place)) {
            constant.standing = Standing::AtBound;
        }
        if !parameter.accepts(value) {
            constant.standing = Standing::OutOfRange;
        }
        constants.push(constant);
    }
    let scaled =
        |&(r, by_r): &(usize, f64)| rows.iter().map(|&(c, by_c)| spread[r][c] * by_r * by_c).collect();
    let covariance: Vec<Vec<f64>> = rows.iter().map(scaled).collect();
    remarks.extend(remarks_on(&constants));
    remarks.extend(remark_on_pairs(&constants, &free, &covariance));
    if !solution.converged {
        remarks.push("The solver did not find a minimum. Use the constants with care.".to_owned());
    }
    let aicc = aicc(solution.squares, data.len(), model.law.names().len() - held.len());
    if aicc.is_none() {
        remarks.push("Too few points to compare this law with others by AICc.".to_owned());
    }

    let mean = data.iter().map(|d| d.log_viscosity).sum::<f64>() / data.len() as f64;
    let total: f64 = data.iter().map(|d| (d.log_viscosity - mean).powi(2)).sum();
    let at = model.at(c);
    let residuals = shown
        .iter()
        .map(|&point| {
            let datum = Datum::of(&point);
            let fitted = at.log_viscosity(&datum).0;
            Residual { point, fitted: fitted.exponential(), log_ratio: datum.log_viscosity - fitted }
        })
        .collect();
    Fit {
        kind: model.kind,
        law,
        constants,
        covariance,
        free,
        points: data.len(),
        degrees_of_freedom: degrees,
        log_scatter: variance.sqrt(),
        r_squared: if total > 0.0 { 1.0 - solution.squares / total } else { 1.0 },
        aicc,
        converged: solution.converged,
        range: *range,
        residuals,
        remarks,
    }
}

/// Derivatives of the constants (of their logarithms, if they are fitted so) by the free coordinates: a unit matrix but
/// for the row of a derived constant.
fn reported(model: &Model, c: &Coordinates, free: &[usize]) -> Matrix {
    let mut carry: Matrix = std::array::from_fn(|i| std::array::from_fn(|j| f64::from(u8::from(i == j))));
    let derived = model.law.derived(&model.basis, c);
    let row = derived
        .and_then(|(derived, slopes)| Some((free.iter().position(|&place| place == derived)?, slopes)));
    if let Some((row, slopes)) = row {
        for (column, &place) in free.iter().enumerate() {
            carry[row][column] = slopes[place];
        }
    }
    carry
}

/// C M Cᵀ.
fn carried(c: &Matrix, m: &Matrix) -> Matrix {
    let product = |a: &Matrix, b: &dyn Fn(usize, usize) -> f64| -> Matrix {
        std::array::from_fn(|i| std::array::from_fn(|j| (0..MOST).map(|k| a[i][k] * b(k, j)).sum()))
    };
    let half = product(c, &|k, j| m[k][j]);
    product(&half, &|k, j| c[j][k])
}

/// Numbers of a law by field name.
fn constants_of(law: &FlowLaw) -> Vec<(String, f64)> {
    let Ok(Value::Object(tagged)) = document::tree(law) else {
        return Vec::new();
    };
    let fields = tagged.into_iter().next().map(|(_, fields)| fields);
    let Some(Value::Object(fields)) = fields else {
        return Vec::new();
    };
    fields.into_iter().filter_map(|(name, value)| Some((name, value.as_f64()?))).collect()
}

fn remarks_on(constants: &[FittedConstant]) -> Vec<String> {
    let symbols = |standing: Standing| {
        let of_it = constants.iter().filter(|c| c.standing == standing);
        let some: Vec<String> = of_it.map(|c| c.symbol.replace('_', "")).collect();
        some.join(", ")
    };
    let mut remarks = Vec::new();
    let undetermined = symbols(Standing::Undetermined);
    if !undetermined.is_empty() {
        remarks.push(format!(
            "The data do not determine {undetermined}: other values would fit as well. Take readings over a wider range of shear rates or temperatures, or a law with fewer constants."
        ));
    }
    for constant in constants.iter().filter(|c| c.standing == Standing::AtBound) {
        let so = if constant.no_thinning() {
            "the readings show no thinning"
        } else {
            "it was held there and has no error of its own, so the law is not offered as the best"
        };
        remarks.push(format!("{}: {so}.", constant.at_its_end()));
    }
    remarks
}

/// Names the constants that the data determine only together.
fn remark_on_pairs(constants: &[FittedConstant], free: &[usize], covariance: &[Vec<f64>]) -> Option<String> {
    let mut pairs = Vec::new();
    for (i, &a) in free.iter().enumerate() {
        for (j, &b) in free.iter().enumerate().skip(i + 1) {
            let scale = (covariance[i][i] * covariance[j][j]).sqrt();
            if scale > 0.0 && covariance[i][j].abs() > TOGETHER * scale {
                let plain = |place: usize| constants[place].symbol.replace('_', "");
                pairs.push(format!("{} and {}", plain(a), plain(b)));
            }
        }
    }
    (!pairs.is_empty()).then(|| {
        format!(
            "The data determine {} only together (correlation above {TOGETHER} in size). Use them together, and do not read one of them alone.",
            pairs.join("; ")
        )
    })
}

pub(super) fn ranking_remarks(fits: &[Fit]) -> Vec<String> {
    let Some((best, others)) = fits.split_first() else {
        return vec!["No law could be fitted to these points.".to_owned()];
    };
    if best.at_end() {
        let ends: Vec<String> = fits.iter().flat_map(Fit::ended).map(FittedConstant::at_its_end).collect();
        return vec![format!(
            "No law is offered as the best: in each a constant ran into the end of its range ({}). Take readings over a wider range of shear rates or temperatures.",
            ends.join("; ")
        )];
    }
    let Some(least) = best.aicc else {
        return vec!["Too few points to rank the laws.".to_owned()];
    };
    let mut remarks = vec![format!(
        "{} describes the data best: the readings scatter by {} % about it.",
        best.kind.label(),
        number(100.0 * best.log_scatter.exponential_m1(), 2)
    )];
    let near: Vec<&str> = others
        .iter()
        .filter(|fit| !fit.at_end() && fit.aicc.is_some_and(|aicc| aicc - least < 2.0))
        .map(|fit| fit.kind.label())
        .collect();
    if !near.is_empty() {
        remarks.push(format!(
            "Within 2 of it in AICc, so the data cannot tell them apart: {}.",
            near.join(", ")
        ));
    }
    for fit in others.iter().filter(|fit| fit.at_end() && fit.aicc.is_some_and(|aicc| aicc < least)) {
        let ends: Vec<String> = fit.ended().map(FittedConstant::at_its_end).collect();
        remarks.push(format!(
            "{} has the better AICc, but {}: such a law is not offered as the best.",
            fit.kind.label(),
            ends.join("; ")
        ));
    }
    remarks
}

impl FittedConstant {
    /// `n ran into 0.05, the lower end of its range`.
    pub(super) fn at_its_end(&self) -> String {
        let range = catalogue::at(&self.path).map_or([f64::NAN; 2], |p| [p.min, p.max]);
        let side = if self.value > range[0] && self.value >= range[1] { "upper" } else { "lower" };
        let unit = if self.unit.is_empty() { String::new() } else { format!(" {}", self.unit) };
        format!(
            "{} ran into {}{unit}, the {side} end of its range",
            self.symbol.replace('_', ""),
            number(self.value, 4)
        )
    }

    /// Whether it is an exponent of 1, which real fluids can have.
    fn no_thinning(&self) -> bool {
        self.path.ends_with(".n") && self.value >= 1.0
    }
}

impl Fit {
    /// The constants that ran into an end of their range, except an exponent of 1, because a fluid need not thin.
    pub(super) fn ended(&self) -> impl Iterator<Item = &FittedConstant> {
        self.constants.iter().filter(|c| c.standing == Standing::AtBound && !c.no_thinning())
    }

    /// Whether a constant ran into the end of its range. Then the law cannot describe the readings, and is not offered as
    /// the best.
    pub fn at_end(&self) -> bool {
        self.ended().next().is_some()
    }

    /// Why this law is not to be offered, if so: the readings do not pay for what it has beyond the power law
    /// (where there are too few for AICc, its constants mean nothing), or a constant has no place in a scenario.
    pub(super) fn degenerate(&self, power: Option<&Self>) -> Option<String> {
        let paid = |power: &Self| match power.aicc.zip(self.aicc) {
            Some((power, own)) => own < power,
            None => !self.runs_off(),
        };
        if let Some(power) = power.filter(|power| !paid(power)) {
            let (lacks, at) = laws::of(self.kind).lacks(power.thins());
            return Some(format!(
                "The readings show {lacks}: the power law describes them as well with fewer constants. Only readings at {at} shear rates could show it."
            ));
        }
        let out = self.constants.iter().find(|c| c.standing == Standing::OutOfRange)?;
        let accepted = catalogue::at(&out.path).map_or_else(String::new, |p| p.range_text());
        Some(format!(
            "{} comes to {} {}; a scenario accepts {accepted}.",
            out.symbol.replace('_', ""),
            number(out.value, 4),
            out.unit
        ))
    }

    /// Whether the exponent is below 1 by its 95 % interval.
    fn thins(&self) -> bool {
        let n = self.constants.iter().find(|c| c.path.ends_with(".n"));
        n.is_none_or(|n| n.value < 1.0 && n.interval.is_none_or(|interval| interval[1] < 1.0))
    }

    /// Whether a constant ran into an end, leaves what a scenario accepts, or lies in a direction in which JᵀJ is
    /// singular.
    fn runs_off(&self) -> bool {
        let singular = |c: &FittedConstant| c.standing == Standing::Undetermined && c.interval.is_none();
        self.at_end() || self.constants.iter().any(|c| c.standing == Standing::OutOfRange || singular(c))
    }
}
