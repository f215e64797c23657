//! Sizes of measured parts, and the shrinkage that they tell.

use super::{Columns, lacks, too_many};
use crate::rheometry::problem::TableError;
use crate::rheometry::table;
use crate::rheometry::units::Quantity;
use gatefrost_after::Furnace;
use gatefrost_after::dimensions::measured::{Banded, Fitted, Reading, fit as fit_readings};
use gatefrost_after::dimensions::{Chain, Lie};
use gatefrost_after::plan::{directions, lie};
use gatefrost_core::format::number;
use gatefrost_core::scenario::Scenario;
use serde::Serialize;

/// The form of a table in words.
pub const FORM: &[&str] = &[
    "One header line, then one line for each measured part: cavity [mm], and green [mm], sintered [mm] or both. Repeated parts take a line each.",
    "along is 1 for a size along the flow, upright 1 for one upright in the furnace; 0 or left out otherwise.",
    "Separated by commas, semicolons or tabs; decimal commas where the separator is no comma. # begins a comment.",
];

/// One size of one measured part.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct MeasuredSize {
    /// Line of the text, from 1.
    pub line: usize,
    /// Size of the cavity.
    pub cavity_mm: f64,
    /// Size of the cold green part.
    pub green_mm: Option<f64>,
    /// Size of the sintered part.
    pub sintered_mm: Option<f64>,
    /// Whether it runs along the flow.
    pub along: bool,
    /// Whether it stands in the furnace.
    pub upright: bool,
}

/// Sizes, and how the text was understood.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct MeasuredSizes {
    /// In the order of the text.
    pub readings: Vec<MeasuredSize>,
    /// Sentences for the user.
    pub notes: Vec<String>,
}

/// Reads a table; its form is that of [`FORM`].
///
/// # Errors
/// Every problem found, up to 20, with line and column and what is needed.
pub fn read(text: &str) -> Result<MeasuredSizes, TableError> {
    use Quantity::{Along, Cavity, Green, Sintered, Upright};
    let mut problems = TableError::default();
    let Some(table) = table::read(text, &[Cavity, Green, Sintered, Along, Upright], None, &mut problems)
    else {
        return Err(problems);
    };
    if lacks(&table, &[&[Cavity], &[Green, Sintered]], &mut problems) || too_many(&table, &mut problems) {
        return Err(problems);
    }
    let mut out = MeasuredSizes { readings: Vec::new(), notes: table.notes() };
    let mut columns = Columns { table: &table, problems };
    for row in &table.rows {
        let Some(cavity) = columns.above_zero(row, Cavity, 10.0, "above 0 and at most 10 000 mm") else {
            continue;
        };
        let mut size = |quantity: Quantity| {
            let value = columns.optional(row, quantity)?;
            // A part is neither twice nor a third of its cavity.
            if value > 0.3 * cavity && value < 1.2 * cavity {
                return Some(value * 1e3);
            }
            columns.refuse(
                row,
                quantity,
                format!("It must be between 0.3 and 1.2 times the cavity, {} mm.", number(cavity * 1e3, 5)),
            );
            None
        };
        let (green_mm, sintered_mm) = (size(Green), size(Sintered));
        let [along, upright] = [Along, Upright].map(|quantity| {
            let value = columns.optional(row, quantity).unwrap_or(0.0);
            if value != 0.0 && value != 1.0 {
                columns.refuse(row, quantity, "It must be 0 or 1.");
            }
            value == 1.0
        });
        if green_mm.is_none() && sintered_mm.is_none() {
            if !columns.told(row) {
                columns.problems.push(Some(row.line), None, "Neither a green nor a sintered size is given.");
            }
            continue;
        }
        out.readings.push(MeasuredSize {
            line: row.line,
            cavity_mm: cavity * 1e3,
            green_mm,
            sintered_mm,
            along,
            upright,
        });
    }
    columns.problems.or(out)
}

/// A number with half the width of its 95 % interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FittedNumber {
    /// The number.
    pub value: f64,
    /// Half the width; absent where too few sizes leave none.
    pub half_width: Option<f64>,
}

/// What the parts tell, and what to cut next.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ShrinkageFit {
    /// S, the share of the cavity that the green part fills when it is cold, per cent.
    pub filled_percent: Option<FittedNumber>,
    /// Cavity over sintered part, as the mean of the three directions.
    pub oversize_factor: Option<FittedNumber>,
    /// Relative density that the furnace's shrinkage stands for, per cent of the solid's.
    pub density_percent: Option<FittedNumber>,
    /// Factor along the flow.
    pub along_factor: Option<FittedNumber>,
    /// Factor of an upright dimension.
    pub vertical_factor: Option<FittedNumber>,
    /// Standard deviation of a length.
    pub scatter_percent: f64,
    /// What to cut next for each named dimension of the scenario.
    pub next: Vec<NextCut>,
    /// Sentences on the fit.
    pub remarks: Vec<String>,
}

/// What to cut for one dimension.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct NextCut {
    /// Name of the dimension.
    pub name: String,
    /// Size of the cavity to cut.
    pub cavity_mm: f64,
    /// By how much the present cavity must grow, or shrink if negative; `None` where none is cut.
    pub open_by_mm: Option<f64>,
}

/// Fits sizes, and says what to cut for the dimensions of a scenario.
///
/// # Errors
/// A sentence if there is no size to fit.
pub fn fit(sizes: &[MeasuredSize], s: &Scenario) -> Result<ShrinkageFit, String> {
    let reading = |m: &MeasuredSize| Reading {
        lie: Lie { along: m.along, vertical: m.upright },
        cavity: m.cavity_mm,
        green: m.green_mm,
        sintered: m.sintered_mm,
    };
    let readings: Vec<Reading> = sizes.iter().map(reading).collect();
    let fitted = fit_readings(&readings, directions(s)).ok_or("There is no size to fit.")?;
    let told = |b: Banded, factor: f64| FittedNumber {
        value: factor * b.value,
        half_width: b.half_width.map(|w| factor * w),
    };
    let f = &s.feedstock;
    let powder = f.solids_loading / 100.0 * (1.0 - f.powder_loss / 100.0);
    let density = fitted.in_furnace.map(|b| FittedNumber {
        value: 100.0 * powder * b.value.powi(3),
        half_width: b.half_width.map(|w| 300.0 * powder * b.value * b.value * w),
    });
    Ok(ShrinkageFit {
        filled_percent: fitted.filled.map(|b| told(b, 100.0)),
        oversize_factor: fitted.oversize.map(|b| told(b, 1.0)),
        density_percent: density,
        along_factor: fitted.along.map(|b| told(b, 1.0)),
        vertical_factor: fitted.vertical.map(|b| told(b, 1.0)),
        scatter_percent: 100.0 * fitted.scatter,
        next: next_cuts(&fitted, s),
        remarks: remarks(&fitted, density),
    })
}

fn next_cuts(fitted: &Fitted, s: &Scenario) -> Vec<NextCut> {
    let Some(oversize) = fitted.oversize else { return Vec::new() };
    let mut factors = directions(s);
    factors.along = fitted.along.map_or(factors.along, |b| b.value);
    factors.vertical = fitted.vertical.map_or(factors.vertical, |b| b.value);
    let next = |d: &gatefrost_core::scenario::Dimension| {
        let cavity_mm = Chain::to(d.size, lie(d), factors, 1.0, oversize.value).cavity;
        NextCut { name: d.name.clone(), cavity_mm, open_by_mm: d.cavity.map(|cut| cavity_mm - cut) }
    };
    s.sizes.dimensions.iter().map(next).collect()
}

fn remarks(fitted: &Fitted, density: Option<FittedNumber>) -> Vec<String> {
    let mut all = Vec::new();
    if fitted.filled.is_none() {
        all.push(
            "No green sizes: the shrinkage in the mould and that in the furnace are not told apart."
                .to_owned(),
        );
    }
    if fitted.along.is_none() {
        all.push(
            "The sizes do not tell a difference along and across the flow: measure both directions."
                .to_owned(),
        );
    }
    if fitted.vertical.is_none() && fitted.oversize.is_some() {
        all.push(
            "The sizes do not tell a difference of lying and upright: measure both directions.".to_owned(),
        );
    }
    if let Some(density) = density.filter(|d| d.value > 100.5) {
        all.push(format!(
            "The shrinkage in the furnace stands for a density of {} % of the solid's, which cannot be: the loading is not what the scenario says, or a size is wrong.",
            number(density.value, 4)
        ));
    }
    if fitted.readings < 6 {
        all.push("Few sizes: measure at least three parts.".to_owned());
    }
    all
}

impl ShrinkageFit {
    /// Puts what was told into a scenario: S, density and factors of the directions, so that the plan cuts what the fit says.
    ///
    /// Without green sizes only the oversize factor is told: then S is the one that it stands for at the scenario's own
    /// density, ρ_s,r/(φ (1 − w) Y³).
    pub fn put(&self, s: &mut Scenario) {
        if let Some(density) = self.density_percent.filter(|d| d.value <= 100.0) {
            s.feedstock.sintered_density = density.value;
            s.sintering.log_half = None;
        }
        let furnace = Furnace::resolve(s).green_over_final();
        if let (Some(oversize), Some(in_furnace)) = (self.oversize_factor, furnace) {
            s.sizes.measured_filled = Some(100.0 * (in_furnace / oversize.value).powi(3));
        } else if let Some(filled) = self.filled_percent {
            s.sizes.measured_filled = Some(filled.value);
        }
        if let Some(along) = self.along_factor {
            s.sizes.along_factor = along.value;
        }
        if let Some(vertical) = self.vertical_factor {
            s.sizes.vertical_factor = vertical.value;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_after::plan::{FromMould, plan};
    use gatefrost_core::scenario::{Dimension, Flow, Stands, demo};

    /// Two parts with S = 0.985 and 97 % of the density at 60 vol%, worked out by hand: cavity/green 1.00505, green/sintered
    /// 1.17365.
    #[test]
    fn measured_parts_tell_their_shrinkage_and_the_next_cut() {
        let mut s = demo::default_demo().scenario();
        let cut = Dimension { size: 25.0, cavity: Some(29.4), name: "length".into(), ..Dimension::default() };
        s.sizes.dimensions = vec![cut];
        let text = "cavity [mm];green [mm];sintered [mm];along;upright\n29,4;29,2523;24,9242;0;0\n12;11,9397;10,1732;0;0\n";
        let sizes = read(text).expect("a table");
        let fit = fit(&sizes.readings, &s).expect("a fit");
        let near = |told: Option<FittedNumber>, by_hand: f64, within: f64| {
            let value = told.expect("told").value;
            assert!((value - by_hand).abs() < within, "{value} against {by_hand}");
        };
        near(fit.filled_percent, 98.5, 0.01);
        near(fit.density_percent, 97.0, 0.02);
        near(fit.oversize_factor, 1.00505 * 1.17365, 1e-4);
        assert!(fit.along_factor.is_none() && fit.remarks.iter().any(|r| r.contains("along and across")));
        let next = &fit.next[0];
        assert!((next.cavity_mm - 25.0 * 1.00505 * 1.17365).abs() < 2e-3, "{next:?}");
        assert!((next.open_by_mm.expect("cut") - (next.cavity_mm - 29.4)).abs() < 1e-12);
        fit.put(&mut s);
        assert!((s.feedstock.sintered_density - 97.0).abs() < 0.02);
        assert!((s.sizes.measured_filled.expect("put") - 98.5).abs() < 0.01);
    }

    /// The plan cuts what the fit says, whether or not green parts were measured, whatever the hold computes.
    #[test]
    fn the_plan_cuts_what_the_parts_say() {
        for rows in [
            "20;19,8;16,9;0;0\n20;19,75;16,85;1;0\n10;9,9;8,4;0;1\n20;19,81;16,91;0;0\n",
            "20;;16,9;0;0\n20;;16,85;1;0\n10;;8,4;0;1\n20;;16,91;0;0\n",
            // A density that cannot be is not taken over.
            "20;19,8;16,2;0;0\n20;19,75;16,15;1;0\n",
        ] {
            let mut s = demo::default_demo().scenario();
            let dimension =
                |flow: Flow, stands: Stands| Dimension { size: 25.0, flow, stands, ..Dimension::default() };
            s.sizes.dimensions = vec![
                dimension(Flow::Across, Stands::Horizontal),
                dimension(Flow::Along, Stands::Horizontal),
                dimension(Flow::Across, Stands::Vertical),
            ];
            let text = format!("cavity [mm];green [mm];sintered [mm];along;upright\n{rows}");
            let fit = fit(&read(&text).expect("a table").readings, &s).expect("a fit");
            fit.put(&mut s);
            let mould = FromMould {
                filled: 0.989,
                density_kg_m3: 5100.0,
                mass_g: 4.0,
                shrinkage_spread_percent: [1.0, 1.2],
                scatter: Vec::new(),
            };
            let plan = plan(&s, Some(&mould));
            for (planned, next) in plan.sizes.expect("sizes").dimensions.iter().zip(&fit.next) {
                assert!(
                    (planned.cavity_mm / next.cavity_mm - 1.0).abs() < 1e-9,
                    "{rows}: {planned:?} {next:?}"
                );
            }
            assert!(
                plan.remarks.iter().any(|r| r.contains("By the hold it is 98.9 %")),
                "{:?}",
                plan.remarks
            );
        }
    }

    #[test]
    fn a_part_larger_than_its_cavity_is_refused() {
        let told = read("cavity [mm],sintered [mm]\n10,25\n").expect_err("refused").to_string();
        assert!(
            told.contains(
                "line 2, column “sintered [mm]”: It must be between 0.3 and 1.2 times the cavity, 10 mm"
            ),
            "{told}"
        );
    }
}
