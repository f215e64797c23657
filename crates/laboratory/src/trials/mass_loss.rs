//! Mass lost in a bath against time, and the diffusivity that it tells.

use super::{Columns, lacks, taken, too_many};
use crate::rheometry::problem::TableError;
use crate::rheometry::table;
use crate::rheometry::units::Quantity;
use gatefrost_after::debinding::diffusion::Section;
use gatefrost_after::debinding::diffusivity::{Diffusivity, Fitted, Reading, Unfit};
use gatefrost_after::plan::diffusivity;
use gatefrost_core::format::number;
use gatefrost_core::scenario::Bath;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::statistics::student_95;
use serde::Serialize;

/// The form of a table in words.
pub const FORM: &[&str] = &[
    "One header line, then one line for each weighing: temperature [°C] of the bath, time [h], mass loss [%] of the green mass, and the size of the piece: wall [mm], reached from both faces, or rod [mm], its diameter.",
    "Separated by commas, semicolons or tabs; decimal commas where the separator is no comma. # begins a comment.",
];

const CELSIUS: f64 = 273.15;

/// Where a scenario holds the standard errors of a bath.
const ERROR: &str = "debinding.steps.0.bath.diffusivity_error";
const ENERGY_ERROR: &str = "debinding.steps.0.bath.energy_error";

/// A weighing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Weighing {
    /// Line of the text, from 1.
    pub line: usize,
    /// Temperature of the bath.
    pub temperature_c: f64,
    /// Time in the bath.
    pub time_h: f64,
    /// Thickness of the wall, reached from both faces, or diameter of the rod.
    pub size_mm: f64,
    /// Whether the piece is a rod.
    pub rod: bool,
    /// Mass lost, in per cent of the green mass.
    pub loss_percent: f64,
}

/// Weighings, and how the text was understood.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Weighings {
    /// In the order of the text.
    pub readings: Vec<Weighing>,
    /// Sentences for the user.
    pub notes: Vec<String>,
}

/// Reads a table; its form is that of [`FORM`].
///
/// # Errors
/// Every problem found, up to 20, with line and column and what is needed: a mass that grows, a wall of zero.
pub fn read(text: &str) -> Result<Weighings, TableError> {
    use Quantity::{MassLoss, Rod, Temperature, Time, Wall};
    let mut problems = TableError::default();
    let Some(table) = table::read(text, &[Temperature, Time, MassLoss, Wall, Rod], None, &mut problems)
    else {
        return Err(problems);
    };
    if lacks(&table, &[&[Temperature], &[Time], &[MassLoss], &[Wall, Rod]], &mut problems)
        || too_many(&table, &mut problems)
    {
        return Err(problems);
    }
    let mut out = Weighings { readings: Vec::new(), notes: table.notes() };
    let mut columns = Columns { table: &table, problems };
    for row in &table.rows {
        let rod = columns.optional(row, Rod).is_some();
        let size = columns.above_zero(row, if rod { Rod } else { Wall }, 1.0, "above 0 and at most 1000 mm");
        let temperature = columns.above_zero(row, Temperature, 700.0, "above absolute zero");
        let time = columns.above_zero(row, Time, 3.6e7, "above 0 and at most 10 000 h");
        let loss = columns.required(row, MassLoss);
        if let Some(loss) = loss.filter(|loss| *loss < 0.0) {
            let grown = number(-100.0 * loss, 3);
            columns.refuse(
                row,
                MassLoss,
                format!(
                    "The mass has grown by {grown} %: the piece took up solvent. Dry it before it is weighed."
                ),
            );
            continue;
        }
        if let (Some(size), Some(temperature), Some(time), Some(loss)) = (size, temperature, time, loss) {
            out.readings.push(Weighing {
                line: row.line,
                temperature_c: temperature - CELSIUS,
                time_h: time / 3600.0,
                size_mm: size * 1e3,
                rod,
                loss_percent: 100.0 * loss,
            });
        }
    }
    columns.problems.or(out)
}

/// What the weighings tell.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DiffusivityFit {
    /// Step of debinding that the bath is, from 1.
    pub step: usize,
    /// Diffusivity at the reference temperature, 1e-6 cm²/s.
    pub diffusivity: f64,
    /// Reference temperature: the middle of the weighings.
    pub reference_c: f64,
    /// Standard error of the diffusivity there; absent where the weighings do not tell one.
    pub error_percent: Option<f64>,
    /// Half the width of its 95 % interval (Student's t); absent where the weighings do not tell one.
    pub half_width_percent: Option<f64>,
    /// Standard error that the bath takes over: the half width over 1.96, or that of the bath before the fit.
    pub taken_error_percent: f64,
    /// Activation energy.
    pub energy_kj_mol: f64,
    /// Standard error of the activation energy; absent where the weighings do not tell one.
    pub energy_error_kj_mol: Option<f64>,
    /// Half the width of its 95 % interval (Student's t); absent where the weighings do not tell one.
    pub energy_half_width_kj_mol: Option<f64>,
    /// Whether the energy follows from the weighings; otherwise it is the one that the scenario holds.
    pub energy_fitted: bool,
    /// D₀ in D = D₀ exp(−E/RT), cm²/s.
    pub factor_cm2_s: f64,
    /// Mass loss by the fit, one for each weighing, per cent of the green mass.
    pub fitted_loss_percent: Vec<f64>,
    /// Standard deviation of a weighing, per cent of the green mass; absent where there are too few.
    pub scatter_percent: Option<f64>,
    /// Sentences on the fit.
    pub remarks: Vec<String>,
}

/// Fits the diffusivity. `soluble_percent` is the soluble binder in per cent of the green mass; `bath` holds the activation
/// energy that is taken where the weighings do not tell it.
///
/// # Errors
/// A sentence: a weighing that lost more than is soluble, a mass that grew from one time to the next, no weighing that tells
/// a diffusivity.
pub fn fit(weighings: &[Weighing], soluble_percent: f64, bath: &Bath) -> Result<DiffusivityFit, String> {
    if soluble_percent <= 0.0 {
        return Err("No part of the binder leaves by this bath: nothing soluble is left to lose.".to_owned());
    }
    if let Some(w) = weighings.iter().find(|w| w.loss_percent > soluble_percent * 1.02) {
        return Err(format!(
            "Line {}: {} % of the mass is lost, but only {} % are soluble. Check the recipe, or whether the piece crumbled.",
            w.line,
            number(w.loss_percent, 3),
            number(soluble_percent, 3)
        ));
    }
    let reading = |w: &Weighing| Reading {
        temperature: w.temperature_c + CELSIUS,
        time: w.time_h * 3600.0,
        section: section(w),
        left: (1.0 - w.loss_percent / soluble_percent).max(0.0),
    };
    let readings: Vec<Reading> = weighings.iter().map(reading).collect();
    let fitted = Diffusivity::fit(&readings, &diffusivity(bath)).map_err(|unfit| match unfit {
        Unfit::NoneBetween => {
            "No weighing lies between 2 and 98 % of the soluble binder: weigh at times in between.".to_owned()
        }
        Unfit::NotConverged => "No diffusivity was found that fits these weighings.".to_owned(),
    })?;
    Ok(told(&fitted, weighings, soluble_percent))
}

fn section(w: &Weighing) -> Section {
    let half = 0.5e-3 * w.size_mm;
    if w.rod { Section::Cylinder { radius: half } } else { Section::Slab { half } }
}

fn told(fitted: &Fitted, weighings: &[Weighing], soluble_percent: f64) -> DiffusivityFit {
    let d = &fitted.diffusivity;
    let mut remarks = Vec::new();
    if !fitted.energy_fitted {
        remarks.push(format!(
            "One temperature only: the activation energy stays {} kJ/mol. Weigh at a second temperature, 10 K away or more.",
            number(d.energy * 1e-3, 3)
        ));
    }
    if fitted.free == 0 {
        remarks.push("As many weighings as numbers that were fitted: they leave no band, and the standard errors of the bath stay. Weigh more pieces.".to_owned());
    }
    remarks.extend(grown(weighings));
    if weighings.iter().any(|w| !w.rod && w.size_mm < 2.4) {
        remarks.push("Walls below about 2.4 mm lose their binder no faster than their surface dissolves: the diffusivity from them is too low for thicker walls.".to_owned());
    }
    let loss = |(w, residual): (&Weighing, &f64)| {
        let left = (1.0 - w.loss_percent / soluble_percent).max(0.0) + residual;
        soluble_percent * (1.0 - left)
    };
    let told = |error: f64, wanted: bool| (wanted && fitted.free > 0).then_some(error);
    let error = told(100.0 * d.log_error, true);
    let energy_error = told(d.energy_error * 1e-3, fitted.energy_fitted);
    let half_width = |error: f64| student_95(fitted.free) * error;
    let taken_error = error.map(|error| taken(ERROR, half_width(error)));
    remarks.extend(taken_error.clone().and_then(|(_, told)| told));
    remarks.extend(energy_error.and_then(|error| taken(ENERGY_ERROR, half_width(error)).1));
    DiffusivityFit {
        step: 1,
        diffusivity: d.log_at.exponential() * 1e10,
        reference_c: d.reference - CELSIUS,
        error_percent: error,
        half_width_percent: error.map(half_width),
        taken_error_percent: taken_error.map_or(100.0 * d.log_error, |(error, _)| error),
        energy_kj_mol: d.energy * 1e-3,
        energy_error_kj_mol: energy_error,
        energy_half_width_kj_mol: energy_error.map(half_width),
        energy_fitted: fitted.energy_fitted,
        factor_cm2_s: d.factor() * 1e4,
        fitted_loss_percent: weighings.iter().zip(&fitted.residuals).map(loss).collect(),
        scatter_percent: fitted.scatter.map(|scatter| soluble_percent * scatter),
        remarks,
    }
}

/// A piece that weighs more after a longer time in the same bath.
fn grown(weighings: &[Weighing]) -> Option<String> {
    let mut sorted: Vec<&Weighing> = weighings.iter().collect();
    sorted.sort_by(|a, b| {
        let kind = a.rod.cmp(&b.rod).then(a.size_mm.total_cmp(&b.size_mm));
        kind.then(a.temperature_c.total_cmp(&b.temperature_c))
    });
    let same = |a: &&Weighing, b: &&Weighing| {
        b.temperature_c - a.temperature_c < 0.5 && b.size_mm - a.size_mm < 1e-6 && a.rod == b.rod
    };
    sorted.chunk_by_mut(same).find_map(|piece| {
        piece.sort_by(|a, b| a.time_h.total_cmp(&b.time_h));
        let mut most: Option<&Weighing> = None;
        for times in piece.chunk_by(|a, b| a.time_h >= b.time_h) {
            if let Some((less, before)) = most.and_then(|before| {
                let less = times.iter().find(|w| w.loss_percent < before.loss_percent - 0.05)?;
                Some((less, before))
            }) {
                return Some(format!(
                    "Line {} lost less than line {} in a longer time: the mass grew, or the pieces differ.",
                    less.line, before.line
                ));
            }
            most = times.iter().copied().chain(most).max_by(|a, b| a.loss_percent.total_cmp(&b.loss_percent));
        }
        None
    })
}

impl DiffusivityFit {
    /// Puts the fit into a bath. Its standard errors are such that 1.96 of them are the half width of the fit's 95 % interval;
    /// without an interval those of the bath stay.
    pub fn put(&self, bath: &mut Bath) {
        bath.diffusivity = self.diffusivity;
        bath.reference = self.reference_c;
        bath.diffusivity_error = self.taken_error_percent;
        bath.energy = self.energy_kj_mol;
        if let Some(half_width) = self.energy_half_width_kj_mol {
            bath.energy_error = taken(ENERGY_ERROR, half_width).0;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The published plate of Fe-6Ni-4Cu in hexane (abstract read): its diffusivity comes back from losses that follow the
    /// series.
    #[test]
    fn losses_of_a_published_diffusivity_give_it_back() {
        let soluble = 4.6;
        let mut text = "temperature [°C];time [h];wall [mm];mass loss [%]\n".to_owned();
        for (celsius, d) in [(35.0, 9.85e-11), (40.0, 1.306e-10)] {
            for hours in [1.0, 3.0, 6.0] {
                let left = Section::Slab { half: 2e-3 }.left(d * hours * 3600.0 / 4e-6);
                text += &format!("{celsius};{hours};4;{}\n", soluble * (1.0 - left));
            }
        }
        let table = read(&text).expect("a table");
        let fit = fit(&table.readings, soluble, &Bath::default()).expect("a fit");
        assert!(fit.energy_fitted && (fit.energy_kj_mol / 45.2 - 1.0).abs() < 0.01, "{}", fit.energy_kj_mol);
        let mut bath = Bath::default();
        fit.put(&mut bath);
        let at_35 = fit.factor_cm2_s * (-fit.energy_kj_mol * 1e3 / (8.314_462_618 * 308.15)).exp();
        assert!((at_35 / 9.85e-7 - 1.0).abs() < 1e-3, "{at_35}");
        assert!((bath.diffusivity - fit.diffusivity).abs() < 1e-12);
        assert!(fit.scatter_percent.expect("told") < 1e-6);
    }

    /// One weighing leaves the error of the bath as it was, and 4 with 2 constants have Student's t of 4.303 (tables).
    #[test]
    fn few_weighings_have_a_wide_band_or_none() {
        let header = "temperature [°C],time [h],wall [mm],mass loss [%]\n";
        let of = |rows: &str| {
            let table = read(&format!("{header}{rows}")).expect("a table");
            fit(&table.readings, 4.6, &Bath::default()).expect("a fit")
        };
        let mut bath = Bath::default();
        let one = of("40,2,4,2\n");
        one.put(&mut bath);
        assert!((bath.diffusivity_error - Bath::default().diffusivity_error).abs() < 1e-9, "{bath:?}");
        assert_eq!(bath.energy_error, Bath::default().energy_error);
        assert!(one.half_width_percent.is_none() && one.remarks.join(" ").contains("leave no band"));
        let four = of("35,2,4,1.9\n35,5,4,3\n45,2,4,2.4\n45,4,4,3.3\n");
        let ratio = four.half_width_percent.expect("told") / four.error_percent.expect("told");
        assert!((ratio - 4.303).abs() < 1e-3, "{ratio}");
        four.put(&mut bath);
        assert!((1.96 * bath.energy_error - four.energy_half_width_kj_mol.expect("told")).abs() < 1e-9);
    }

    #[test]
    fn a_table_beyond_all_trials_is_refused() {
        let rows = "40,1,4,2\n".repeat(2001);
        let told = read(&format!("temperature [°C],time [h],wall [mm],mass loss [%]\n{rows}"));
        assert!(told.expect_err("refused").to_string().contains("2001 readings; at most 2000"));
    }

    #[test]
    fn what_cannot_be_is_named_with_its_line() {
        let told = |text: &str| read(text).expect_err("refused").to_string();
        let header = "temperature [°C],time [h],wall [mm],mass loss [%]\n";
        assert!(
            told(&format!("{header}40,1,4,-0.3\n"))
                .contains("line 2, column “mass loss [%]”: The mass has grown by 0.3 %")
        );
        assert!(told(&format!("{header}40,1,0,1\n")).contains("It must be above 0"));
        assert!(told("temperature [°C],time [h]\n40,1\n").contains("mass loss [%], wall [mm] or rod [mm]"));
        let table = read(&format!("{header}40,1,4,9\n")).expect("a table");
        assert!(
            fit(&table.readings, 4.6, &Bath::default())
                .expect_err("too much")
                .contains("Line 2: 9 % of the mass is lost")
        );
        let one = read(&format!("{header}40,1,4,2\n40,3,4,3\n40,5,4,2.5\n")).expect("a table");
        let fit = fit(&one.readings, 4.6, &Bath::default()).expect("a fit");
        let remarks = fit.remarks.join(" ");
        assert!(
            remarks.contains("One temperature only") && remarks.contains("Line 4 lost less than line 3"),
            "{remarks}"
        );
    }
}
