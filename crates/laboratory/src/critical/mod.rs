//! Critical loading of a powder in a binder, from densities and from torque or viscosity readings.
//!
//! There are two independent signs. The density of the mixture peaks where the binder only just fills the voids
//! ([`density`]), and the resistance to flow diverges there ([`resistance`]). Both are fitted and compared. The
//! recommended loading is below. Loadings are in vol%, as in a scenario.

pub mod density;
mod divergence;
mod falls;
mod peak;
mod profile;
mod reading;
pub mod resistance;

pub use density::{DensityFit, DensityOptions};
pub use divergence::ResistanceOptions;
pub use peak::Peak;
pub use reading::{FORM, LoadingReading, LoadingTable, Resistance, read};
pub use resistance::ResistanceFit;

use gatefrost_core::format::number;
use peak::Rise;
use serde::{Deserialize, Serialize};

/// Least and greatest customary distance between working and critical loading [vol%] (common practice).
pub const CUSTOMARY_DISTANCE: [f64; 2] = [2.0, 5.0];

/// A critical loading closer to its bound than this is at the bound [vol%].
const AT_BOUND: f64 = 1e-3;

/// A fitted value with its uncertainty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CriticalEstimate {
    /// Value.
    pub value: f64,
    /// Standard error from s²(JᵀJ)⁻¹, or that of a normal distribution with the same interval where two
    /// signs are taken together; `None` where the readings do not determine it.
    pub standard_error: Option<f64>,
    /// 95 % interval: least value, `None` where it is open below.
    pub low: Option<f64>,
    /// 95 % interval: greatest value, `None` where it is open above.
    pub high: Option<f64>,
}

/// The critical loading by the readings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CriticalLoading {
    /// From density, or the reason why there is none.
    pub density: Result<DensityFit, String>,
    /// From torque or viscosity, or the reason why there is none.
    pub resistance: Result<ResistanceFit, String>,
    /// Where torque or viscosity stopped rising, if it did. Loadings from there on have failed in the test.
    pub peak: Option<Peak>,
    /// The critical loading to use [vol%].
    pub critical: Option<CriticalEstimate>,
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
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(default, deny_unknown_fields)]
pub struct CriticalOptions {
    /// How densities are fitted.
    pub density: DensityOptions,
    /// How torque or viscosity is fitted.
    pub resistance: ResistanceOptions,
}

/// Fits the readings of a table, compares the two signs and recommends a loading.
pub fn assess(table: &LoadingTable, options: &CriticalOptions) -> CriticalLoading {
    let density = if table.density.is_empty() {
        Err("No densities were given.".to_owned())
    } else {
        density::fit(&table.density, &options.density)
    };
    let rise = Rise::of(&table.resistance, &options.resistance);
    let resistance = if table.resistance.is_empty() {
        Err("No torques or viscosities were given.".to_owned())
    } else {
        resistance::fit_rise(&rise, &options.resistance)
    };
    let both = |a: &DensityFit, b: &ResistanceFit| {
        let signs = [
            &density::linear(&table.density, &options.density),
            &divergence::linear(&rise.kept, &options.resistance, rise.below()),
        ];
        profile::together(signs, [0.01 * a.critical.value, 0.01 * b.critical.value])
            .map(CriticalEstimate::in_percent)
    };
    let (critical, agree, mut verdict) = compare(&density, &resistance, both);
    let bounded = critical.zip(rise.bound());
    let critical = bounded.map_or(critical, |(found, bound)| Some(found.within(bound)));
    if let Some((found, [_, bound])) = bounded
        && found.value > bound - AT_BOUND
    {
        verdict += &format!(
            " The critical loading sits at its bound, {} vol%: the fit by itself would put it higher.",
            number(bound, 4)
        );
    }
    if let Some((of, _)) = table.resistance.first() {
        verdict = rise.text(*of) + &verdict;
    }
    let (recommended, reason) = recommend(critical.as_ref(), &rise);
    CriticalLoading { density, resistance, peak: rise.peak, critical, agree, verdict, recommended, reason }
}

impl CriticalEstimate {
    /// The same, bounded by a fall of the readings from one loading to the next. What lies above is put to the upper
    /// one, and may as well lie anywhere between the two.
    fn within(self, [from, bound]: [f64; 2]) -> Self {
        if self.value <= bound {
            return Self { high: Some(self.high.map_or(bound, |high| high.min(bound))), ..self };
        }
        let low = self.low.map(|low| low.min(from));
        let standard_error = low.map(|low| (bound - low) / 2.0 / 1.96);
        Self { value: bound, standard_error, low, high: Some(bound) }
    }
}

fn compare(
    density: &Result<DensityFit, String>,
    resistance: &Result<ResistanceFit, String>,
    both: impl Fn(&DensityFit, &ResistanceFit) -> Option<CriticalEstimate>,
) -> (Option<CriticalEstimate>, Option<bool>, String) {
    match (density, resistance) {
        (Ok(d), Ok(r)) => {
            let (a, b) = (d.critical, r.critical);
            let apart = (a.value - b.value).abs();
            let common = if compatible(&a, &b) { both(d, r) } else { None };
            let said = format!("Density gives {}, {} gives {}", text(&a), r.of.label(), text(&b));
            if let Some(common) = common {
                let verdict =
                    format!("{said}: the two agree within their errors. Taken together: {}.", text(&common));
                return (Some(common), Some(true), verdict);
            }
            let lower = if a.value < b.value { a } else { b };
            let verdict = format!(
                "{said}: they differ by {} vol%, more than their errors allow. Trapped air lowers densities; a melt that slips or powder that is not wetted lowers torque. To be safe, the lower value is taken.",
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

/// Whether two values differ by no more than 99 of 100 such pairs would: the halves of their 95 %
/// intervals that lie between them, added as squares, and by the ratio of normal quantiles wider.
fn compatible(a: &CriticalEstimate, b: &CriticalEstimate) -> bool {
    const WIDER: f64 = 2.576 / 1.96;
    let (lower, upper) = if a.value < b.value { (a, b) } else { (b, a) };
    let room = lower.high.zip(upper.low).map(|(high, low)| (high - lower.value).hypot(upper.value - low));
    room.is_none_or(|room| upper.value - lower.value <= WIDER * room)
}

/// `65.2 vol% (64.8 to 65.7)`.
fn text(e: &CriticalEstimate) -> String {
    let range = match (e.low, e.high) {
        (Some(low), Some(high)) => format!("{} to {}", number(low, 4), number(high, 4)),
        (Some(low), None) => format!("above {}", number(low, 4)),
        (None, Some(high)) => format!("below {}", number(high, 4)),
        (None, None) => "not bounded by the readings".to_owned(),
    };
    format!("{} vol% (95 %: {range})", number(e.value, 4))
}

/// Least and greatest loading to work at [vol%], and why: at the customary distance from the critical loading,
/// from its interval, and from every loading from which the readings fall.
fn recommend(critical: Option<&CriticalEstimate>, rise: &Rise) -> (Option<[f64; 2]>, String) {
    let ceiling = rise.ceiling();
    let mut failed = rise.peak.map_or_else(String::new, |peak| {
        format!(
            " Never work at {} vol% or above: there the readings show failure.",
            number(peak.failed_from, 4)
        )
    });
    if let Some(ceiling) = ceiling {
        failed += &format!(
            " Nothing at {} vol% or above is recommended: from there the readings fall.",
            number(ceiling, 4)
        );
    }
    let Some(critical) = critical else {
        return (None, format!("Without a critical loading no loading can be recommended.{failed}"));
    };
    let [near, far] = CUSTOMARY_DISTANCE;
    let fallen = ceiling.filter(|&ceiling| ceiling < critical.value);
    let from = fallen.unwrap_or(critical.value);
    let high = critical.low.map_or(from - near, |low| low.min(from - near));
    let low = (from - far).min(high);
    let what = if fallen.is_some() { "loading from which the readings fall" } else { "critical loading" };
    let mut reason = format!(
        "Work at {} to {} vol%: {near} to {far} vol% below the {what} (common practice). Above that, powder touches powder: a small error in the batch raises the viscosity out of all proportion, and voids stay. Further below, the part shrinks more, and binder and powder separate more easily.",
        number(low, 3),
        number(high, 3)
    );
    if high < from - near {
        reason += " The upper end is set by the uncertainty of the critical loading, not by custom.";
    }
    if critical.low.is_none_or(|low| low < critical.value - far) {
        reason += " The critical loading is less certain than the distance to keep from it. Measure more loadings near it.";
    }
    reason += &failed;
    (Some([low.max(0.0), high.max(0.0)]), reason)
}
