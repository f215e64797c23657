//! Constants of a flow law from a flow curve: nonlinear least squares in ln η.
//!
//! Residuals are taken in ln η because the scatter of a rheometer is a share of the reading. Standard
//! errors and covariance are s²(JᵀJ)⁻¹ at the solution, 95 % intervals use Student's t (textbook
//! nonlinear regression). Constants that must be positive are fitted as logarithms, and their
//! intervals are symmetric there. Laws are ranked by the corrected Akaike criterion.

mod basis;
mod coverage;
mod laws;
mod model;
mod solve;
mod starts;
mod summary;

pub use coverage::{DataRange, SAME_TEMPERATURE, coverage_warnings, temperature_levels};

use super::FlowPoint;
use basis::{Coordinates, Datum};
use gatefrost_core::feedstock::ZERO_CELSIUS;
use gatefrost_core::format::number;
use gatefrost_core::scenario::{CrossWlfConstants, FlowLaw, FlowLawKind};
use gatefrost_numerics::order;
use gatefrost_numerics::statistics::student_95;
use model::Model;
use serde::{Deserialize, Serialize};

/// Greatest number of residuals listed. Of more points an even selection is listed; every point is fitted.
pub const MOST_RESIDUALS: usize = 2000;
/// Readings thicken if the viscosity rises with more than this power of the shear rate. Less can hardly be distinguished
/// from a fluid that does not thin.
const THICKENS: f64 = 0.05;
/// Number of points by which the best start is chosen.
const SAMPLE: usize = 400;

/// Options: which constants are held.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(default, deny_unknown_fields)]
pub struct FitOptions {
    /// Reference temperature D₂ of the Cross law \[°C\]. It is held, because with D₁ and A₁ free the data do not determine
    /// it. The catalogue's default unless given.
    pub d2: f64,
    /// Whether A₂ of the Cross law is fitted too (three temperatures or more); else 51.6 K, the
    /// customary value.
    pub free_a2: bool,
    /// Yasuda's exponent, if it is to be held; 2 is Carreau's own law.
    pub transition: Option<f64>,
}

impl Default for FitOptions {
    fn default() -> Self {
        Self { d2: CrossWlfConstants::default().d2, free_a2: false, transition: None }
    }
}

impl FitOptions {
    /// Checks the options: every number within the range of its constant.
    ///
    /// # Errors
    /// Names the constant, its value and what is accepted.
    pub fn validate(&self) -> Result<(), String> {
        let transition = self.transition.map(|value| (value, "feedstock.flow_law.carreau_yasuda.transition"));
        for (value, path) in [(self.d2, "feedstock.flow_law.cross_wlf.d2")].into_iter().chain(transition) {
            if let Some(p) = gatefrost_core::catalogue::at(path).filter(|p| !p.accepts(value)) {
                return Err(format!("{} is {value}; accepted is {}", p.title, p.range_text()));
            }
        }
        Ok(())
    }
}

/// How the value of a constant was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// Fitted.
    Fitted,
    /// Held at a value that does not come from the data.
    Held,
    /// The fit ran into the end of its range, where it was held.
    AtBound,
    /// The data do not determine it; the value is one of many that fit as well.
    Undetermined,
    /// Its value is not accepted by a scenario.
    OutOfRange,
}

/// A constant of a fitted law.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FittedConstant {
    /// Path in a scenario, such as `feedstock.flow_law.cross_wlf.n`.
    pub path: String,
    /// Symbol.
    pub symbol: String,
    /// Unit of value, error and interval.
    pub unit: String,
    /// Name in words.
    pub title: String,
    /// Value.
    pub value: f64,
    /// How the value was found.
    pub standing: Standing,
    /// Standard error; `None` unless fitted.
    pub standard_error: Option<f64>,
    /// 95 % confidence interval; `None` unless fitted.
    pub interval: Option<[f64; 2]>,
    /// Whether it was fitted as a logarithm, so that its error is a factor rather than a sum.
    pub logarithmic: bool,
}

/// One point and its residual.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Residual {
    /// The point.
    pub point: FlowPoint,
    /// Viscosity of the fitted law there \[Pa·s\].
    pub fitted: f64,
    /// ln(measured/fitted).
    pub log_ratio: f64,
}

/// A fitted flow law.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Fit {
    /// Which law.
    pub kind: FlowLawKind,
    /// The law with its constants, ready for a scenario.
    pub law: FlowLaw,
    /// Its constants one by one, in the order of the catalogue.
    pub constants: Vec<FittedConstant>,
    /// Covariance of the fitted constants, in their own units; rows and columns in the order of `free`.
    pub covariance: Vec<Vec<f64>>,
    /// Places in `constants` that the covariance covers.
    pub free: Vec<usize>,
    /// Points used.
    pub points: usize,
    /// Points less fitted constants.
    pub degrees_of_freedom: usize,
    /// Standard deviation s of ln η about the fit.
    pub log_scatter: f64,
    /// Share r² of the variance of ln η explained.
    pub r_squared: f64,
    /// Corrected Akaike criterion; smaller is better. `None` with too few points.
    pub aicc: Option<f64>,
    /// Whether the solver ended at a minimum.
    pub converged: bool,
    /// Rates and temperatures of the data.
    pub range: DataRange,
    /// Points with their residuals: all, or [`MOST_RESIDUALS`] selected evenly in the order of temperature and rate.
    pub residuals: Vec<Residual>,
    /// Sentences for the user: what was held and why, what the data do not determine.
    pub remarks: Vec<String>,
}

/// Why a law could not be fitted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Refusal {
    /// Which law.
    pub kind: FlowLawKind,
    /// Why, in words.
    pub reason: String,
}

/// Fits of several laws, the best first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Ranking {
    /// Fits by rising AICc, those with a constant at the end of its range last.
    pub fits: Vec<Fit>,
    /// The law that describes the readings best; `None` if too few readings rank the laws, or if a constant of each law
    /// ran into the end of its range.
    pub best: Option<FlowLawKind>,
    /// Laws that could not be fitted.
    pub refused: Vec<Refusal>,
    /// Sentences for the user on the ranking.
    pub remarks: Vec<String>,
}

/// Points as the fits need them.
struct Readings {
    data: Vec<Datum>,
    /// An even selection of them, for the starts.
    sample: Vec<Datum>,
    /// Those whose residuals are listed.
    shown: Vec<FlowPoint>,
    range: DataRange,
    /// If they thicken, why no law here describes them.
    thickening: Option<String>,
}

impl Readings {
    fn new(points: &[FlowPoint]) -> Option<Self> {
        let usable = |p: &&FlowPoint| {
            let flow = p.shear_rate > 0.0 && p.viscosity > 0.0;
            flow && (p.shear_rate * p.viscosity).is_finite() && p.temperature > -ZERO_CELSIUS
        };
        let all: Vec<FlowPoint> = points.iter().filter(usable).copied().collect();
        let range = DataRange::of(&all)?;
        let data: Vec<Datum> = all.iter().map(Datum::of).collect();
        let thickening = thickening(&data, range.temperature_levels);
        let shown = picked(all, MOST_RESIDUALS);
        let sample = picked(shown.clone(), SAMPLE).iter().map(Datum::of).collect();
        Some(Self { data, sample, shown, range, thickening })
    }
}

/// Says that readings thicken: that their viscosity rises with the shear rate, by its 95 % interval more steeply
/// than with the power [`THICKENS`]. No law here does that, since an exponent n above 1 is not accepted.
fn thickening(data: &[Datum], levels: usize) -> Option<String> {
    let line = starts::Line::through(data, levels)?;
    let degrees = data.len().checked_sub(if levels < 2 { 2 } else { 3 }).filter(|&degrees| degrees > 0)?;
    (line.slope - student_95(degrees) * line.slope_error > THICKENS).then(|| {
        format!(
            "The readings thicken: the viscosity rises with the shear rate, about as its power {}. No law here describes that. Slip, settling powder or drying during the test can look like it.",
            number(line.slope, 2)
        )
    })
}

/// Fits every law and ranks them by AICc. Laws with a constant at the end of its range come last.
pub fn rank(points: &[FlowPoint], options: &FitOptions) -> Ranking {
    let (mut fits, mut refused) = (Vec::new(), Vec::new());
    let readings = Readings::new(points);
    let power = fitted(readings.as_ref(), FlowLawKind::PowerLaw, options);
    for &kind in FlowLawKind::ALL {
        match told_apart(readings.as_ref(), kind, options, &power) {
            Ok(fit) => fits.push(fit),
            Err(refusal) => refused.push(refusal),
        }
    }
    order::sort_by(&mut fits, |fit| fit.log_scatter);
    order::sort_by(&mut fits, |fit| fit.aicc.unwrap_or(f64::INFINITY));
    order::sort_by(&mut fits, |fit| f64::from(u8::from(fit.at_end())));
    let remarks = summary::ranking_remarks(&fits);
    let best = fits.first().filter(|fit| fit.aicc.is_some() && !fit.at_end()).map(|fit| fit.kind);
    Ranking { fits, best, refused, remarks }
}

/// Fits one law.
///
/// # Errors
/// Where there are too few points for its constants, no minimum was found, or the readings do not tell the
/// law from a simpler one.
pub fn fit(points: &[FlowPoint], kind: FlowLawKind, options: &FitOptions) -> Result<Fit, Refusal> {
    let readings = Readings::new(points);
    let power = fitted(readings.as_ref(), FlowLawKind::PowerLaw, options);
    told_apart(readings.as_ref(), kind, options, &power)
}

/// As [`fit_to`], but a law that describes the readings no better than the power law is not offered. The power law is the
/// limit of the others: Cross and Carreau–Yasuda with the plateau below all readings, Herschel–Bulkley without a yield
/// stress. Near this limit their constants lose their meaning.
fn told_apart(
    readings: Option<&Readings>,
    kind: FlowLawKind,
    options: &FitOptions,
    power: &Result<Fit, Refusal>,
) -> Result<Fit, Refusal> {
    let found = if kind == FlowLawKind::PowerLaw { power.clone()? } else { fit_to(readings, kind, options)? };
    let power = power.as_ref().ok().filter(|_| kind != FlowLawKind::PowerLaw);
    match found.degenerate(power) {
        Some(reason) => Err(Refusal { kind, reason }),
        None => Ok(found),
    }
}

/// As [`fitted`], but A₂ is held if fitting it does not improve the criterion.
fn fit_to(readings: Option<&Readings>, kind: FlowLawKind, options: &FitOptions) -> Result<Fit, Refusal> {
    let free = fitted(readings, kind, options)?;
    let of_a2 = |c: &&FittedConstant| c.path.ends_with(".a2") && c.standing != Standing::Held;
    let Some(a2) = free.constants.iter().find(of_a2) else {
        return Ok(free);
    };
    let Ok(mut held) = fitted(readings, kind, &FitOptions { free_a2: false, ..*options }) else {
        return Ok(free);
    };
    let paid = free.aicc.zip(held.aicc).is_some_and(|(free, held)| free < held);
    if paid && a2.standing == Standing::Fitted {
        return Ok(free);
    }
    let why = match a2.interval {
        Some([low, high]) => {
            format!("its 95 % interval would be {} to {} K", number(low, 3), number(high, 3))
        }
        None => "they do not determine it".to_owned(),
    };
    held.remarks.push(format!(
        "A2 is held at {} K nevertheless: the readings do not justify fitting it ({why}).",
        number(CrossWlfConstants::default().a2, 3)
    ));
    Ok(held)
}

fn fitted(readings: Option<&Readings>, kind: FlowLawKind, options: &FitOptions) -> Result<Fit, Refusal> {
    let refuse = |reason: String| Err(Refusal { kind, reason });
    let Some(readings) = readings else {
        return refuse("There are no points to fit.".to_owned());
    };
    let Readings { data, sample, range, .. } = readings;
    let model = Model::new(kind, data, options);
    if let Some(thickening) = &readings.thickening {
        return refuse(thickening.clone());
    }
    let levels = range.temperature_levels;
    let (held, remarks) = held(&model, levels, options);
    let needed = model.law.names().len() - held.len() + 1;
    if data.len() < needed {
        return refuse(format!(
            "{} points; at least {needed} are needed for the constants of this law.",
            data.len()
        ));
    }
    let rates = range.shear_rates;
    if rates[1] < 1.05 * rates[0] {
        return refuse("All points have the same shear rate; two or more are needed.".to_owned());
    }
    if let Some(reason) = model.law.refuses(range, options) {
        return refuse(reason);
    }
    let mut starts = starts::starts(&model, data, levels);
    for start in &mut starts {
        hold(&model, start, levels, options);
    }
    let Some(solution) = solve::solve(&model, data, sample, &starts, &held) else {
        return refuse("No start led to finite viscosities.".to_owned());
    };
    Ok(summary::fit(&model, readings, &solution, &held, remarks))
}

/// Coordinates that are held, and the sentences that say so.
fn held(model: &Model, levels: usize, options: &FitOptions) -> (Vec<usize>, Vec<String>) {
    let (mut held, mut remarks) = (Vec::new(), Vec::new());
    if levels < 2 {
        held.push(model.law.temperature_place());
        let (name, value, unit) = model.law.assumed();
        remarks.push(format!(
            "One temperature only: {name} is held at {value}{unit}, which is common practice and not measured; the law holds at that temperature alone."
        ));
    }
    if let Some((place, remark)) = model.law.held(levels, options) {
        held.push(place);
        remarks.extend(remark);
    }
    remarks.extend(model.law.remark().map(str::to_owned));
    (held, remarks)
}

/// Puts held values into a start.
fn hold(model: &Model, start: &mut Coordinates, levels: usize, options: &FitOptions) {
    if levels < 2 {
        start[model.law.temperature_place()] = model.law.assumed().1;
    }
    model.law.hold(start, options);
}

/// A selection of points, even in the order of temperature and rate; all of them if there are no more than wanted.
pub fn picked(mut points: Vec<FlowPoint>, most: usize) -> Vec<FlowPoint> {
    if points.len() <= most {
        return points;
    }
    order::sort_by(&mut points, |point| point.shear_rate);
    order::sort_by(&mut points, |point| point.temperature);
    (0..most).map(|i| points[i * (points.len() - 1) / (most - 1)]).collect()
}
