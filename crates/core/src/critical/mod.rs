//! Critical loading of a powder in a binder, from densities and from torque or viscosity readings.
//!
//! Two independent signs: mixture density peaks where the binder only just fills the voids
//! ([`density`]), and the resistance to flow diverges there ([`resistance`]). Both are fitted and
//! compared; the loading to work at lies below. Loadings are in vol% here, as in a scenario.

pub mod density;
mod profile;
mod reading;
pub mod resistance;

pub use density::{DensityFit, DensityOptions};
pub use reading::{LoadingReading, LoadingTable, Resistance, read};
pub use resistance::{ResistanceFit, ResistanceOptions};

use crate::format::number;
use serde::{Deserialize, Serialize};

/// Least and greatest customary distance between working and critical loading [vol%] (common practice).
pub const CUSTOMARY_DISTANCE: [f64; 2] = [2.0, 5.0];

/// A fitted value with its uncertainty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Estimate {
    /// Value.
    pub value: f64,
    /// Standard error from s²(JᵀJ)⁻¹; `None` where the readings do not determine it.
    pub standard_error: Option<f64>,
    /// 95 % interval: least value, `None` where it is open below.
    pub low: Option<f64>,
    /// 95 % interval: greatest value, `None` where it is open above.
    pub high: Option<f64>,
}

/// What the readings say of the critical loading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CriticalLoading {
    /// From density, or why not.
    pub density: Result<DensityFit, String>,
    /// From torque or viscosity, or why not.
    pub resistance: Result<ResistanceFit, String>,
    /// The critical loading to use [vol%].
    pub critical: Option<Estimate>,
    /// Whether the two agree; `None` unless both exist.
    pub agree: Option<bool>,
    /// The verdict, in words.
    pub verdict: String,
    /// Least and greatest loading to work at [vol%].
    pub recommended: Option<[f64; 2]>,
    /// Why that loading, in words.
    pub reason: String,
}

/// Options of [`assess`].
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct CriticalOptions {
    /// How densities are fitted.
    pub density: DensityOptions,
    /// How torque or viscosity is fitted.
    pub resistance: ResistanceOptions,
}

/// Fits what a table holds, compares the two and recommends a loading.
pub fn assess(table: &LoadingTable, options: &CriticalOptions) -> CriticalLoading {
    let density = if table.density.is_empty() {
        Err("No densities were given.".to_owned())
    } else {
        density::fit(&table.density, &options.density)
    };
    let resistance = if table.resistance.is_empty() {
        Err("No torques or viscosities were given.".to_owned())
    } else {
        resistance::fit(&table.resistance, &options.resistance)
    };
    let (critical, agree, verdict) = compare(&density, &resistance);
    let (recommended, reason) = recommend(critical.as_ref());
    CriticalLoading { density, resistance, critical, agree, verdict, recommended, reason }
}

fn compare(
    density: &Result<DensityFit, String>,
    resistance: &Result<ResistanceFit, String>,
) -> (Option<Estimate>, Option<bool>, String) {
    match (density, resistance) {
        (Ok(d), Ok(r)) => {
            let (a, b) = (d.critical, r.critical);
            let apart = (a.value - b.value).abs();
            let both = a.standard_error.zip(b.standard_error).map(|(x, y)| x.hypot(y));
            let agree = both.map_or_else(|| overlap(&a, &b), |error| apart <= 2.0 * error || overlap(&a, &b));
            let said = format!("Density gives {}, {} gives {}", text(&a), r.of.label(), text(&b));
            if agree {
                let common = mean(&a, &b);
                let verdict =
                    format!("{said}: the two agree within their errors. Taken together: {}.", text(&common));
                return (Some(common), Some(true), verdict);
            }
            let lower = if a.value < b.value { a } else { b };
            let verdict = format!(
                "{said}: they differ by {} vol%, more than their errors allow. Trapped air lowers densities; a melt that slips or powder that is not wetted lowers torque. The lower one is taken, to be safe.",
                number(apart, 2)
            );
            (Some(lower), Some(false), verdict)
        }
        (Ok(d), Err(why)) => (
            Some(d.critical),
            None,
            format!("Density gives {}. Nothing to compare it with: {why}", text(&d.critical)),
        ),
        (Err(why), Ok(r)) => {
            let label = r.of.label();
            (
                Some(r.critical),
                None,
                format!("The {label} gives {}. Nothing to compare it with: {why}", text(&r.critical)),
            )
        }
        (Err(d), Err(r)) => (None, None, format!("No critical loading was found. Density: {d} Flow: {r}")),
    }
}

fn overlap(a: &Estimate, b: &Estimate) -> bool {
    a.low.unwrap_or(0.0) <= b.high.unwrap_or(100.0) && b.low.unwrap_or(0.0) <= a.high.unwrap_or(100.0)
}

/// Mean weighted by the inverse variances; the better known of the two where one has no error.
fn mean(a: &Estimate, b: &Estimate) -> Estimate {
    match (a.standard_error, b.standard_error) {
        (Some(x), Some(y)) if x > 0.0 && y > 0.0 => {
            let (wa, wb) = (1.0 / (x * x), 1.0 / (y * y));
            let value = (wa * a.value + wb * b.value) / (wa + wb);
            let error = (1.0 / (wa + wb)).sqrt();
            let half = 1.96 * error;
            Estimate { value, standard_error: Some(error), low: Some(value - half), high: Some(value + half) }
        }
        (None, Some(_)) => *b,
        (Some(x), Some(_)) if x > 0.0 => *b,
        _ => *a,
    }
}

/// `65.2 vol% (64.8 to 65.7)`.
fn text(e: &Estimate) -> String {
    let range = match (e.low, e.high) {
        (Some(low), Some(high)) => format!("{} to {}", number(low, 4), number(high, 4)),
        (Some(low), None) => format!("above {}", number(low, 4)),
        (None, Some(high)) => format!("below {}", number(high, 4)),
        (None, None) => "not bounded by the readings".to_owned(),
    };
    format!("{} vol% (95 %: {range})", number(e.value, 4))
}

fn recommend(critical: Option<&Estimate>) -> (Option<[f64; 2]>, String) {
    let Some(critical) = critical else {
        return (None, "Without a critical loading there is none to recommend.".to_owned());
    };
    let [near, far] = CUSTOMARY_DISTANCE;
    let customary = critical.value - near;
    let high = critical.low.map_or(customary, |low| low.min(customary));
    let low = (critical.value - far).min(high);
    let mut reason = format!(
        "Work at {} to {} vol%: {near} to {far} vol% below the critical loading (common practice). Above that, powder touches powder: a small error in the batch raises the viscosity out of all proportion, and voids stay. Further below, the part shrinks more, and binder and powder separate more easily.",
        number(low, 3),
        number(high, 3)
    );
    if high < customary {
        reason += " The upper end is set by the uncertainty of the critical loading, not by custom.";
    }
    if critical.low.is_none() || high < critical.value - far {
        reason += " The critical loading is known more loosely than the distance to keep from it: measure more loadings near it.";
    }
    (Some([low.max(0.0), high.max(0.0)]), reason)
}
