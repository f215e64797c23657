//! Densities of furnace runs, and the master sintering curve that they tell.

use super::{Columns, lacks};
use crate::rheometry::problem::TableError;
use crate::rheometry::table;
use crate::rheometry::units::Quantity;
use gatefrost_after::plan::{START, curve};
use gatefrost_after::sintering::{MasterCurve, Run, Stretch, fit as fit_curve};
use gatefrost_core::format::number;
use gatefrost_core::scenario::{Scenario, Sintering};
use serde::Serialize;

/// The form of a table in words.
pub const FORM: &[&str] = &[
    "One header line, then one line for each furnace run: ramp [K/min], temperature [°C], hold [min] and the density [%] of the solid's that came out.",
    "Separated by commas, semicolons or tabs; decimal commas where the separator is no comma. # begins a comment.",
];

const CELSIUS: f64 = 273.15;

/// A furnace run with its density.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FurnaceRun {
    /// Line of the text, from 1.
    pub line: usize,
    /// Ramp.
    pub ramp_k_min: f64,
    /// Temperature of the hold.
    pub temperature_c: f64,
    /// Time at that temperature.
    pub hold_min: f64,
    /// Density, relative to that of the solid.
    pub density_percent: f64,
}

/// Runs, and how the text was understood.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FurnaceRuns {
    /// In the order of the text.
    pub readings: Vec<FurnaceRun>,
    /// Sentences for the user.
    pub notes: Vec<String>,
}

/// Reads a table; its form is that of [`FORM`].
///
/// # Errors
/// Every problem found, up to 20, with line and column and what is needed.
pub fn read(text: &str) -> Result<FurnaceRuns, TableError> {
    use Quantity::{Hold, Ramp, RelativeDensity, Temperature};
    let mut problems = TableError::default();
    let Some(table) = table::read(text, &[Temperature, Hold, Ramp, RelativeDensity], None, &mut problems)
    else {
        return Err(problems);
    };
    if lacks(&table, &[&[Ramp], &[Temperature], &[Hold], &[RelativeDensity]], &mut problems) {
        return Err(problems);
    }
    let mut out = FurnaceRuns { readings: Vec::new(), notes: table.notes() };
    let mut columns = Columns { table: &table, problems };
    for row in &table.rows {
        let ramp = columns.above_zero(row, Ramp, 100.0, "above 0: a run that cools is not computed");
        let temperature =
            columns.above_zero(row, Temperature, 3000.0, "above absolute zero and at most 2700 °C");
        let hold = columns.required(row, Hold);
        if hold.is_some_and(|hold| hold < 0.0) {
            columns.refuse(row, Hold, "It must not be negative.");
        }
        let density =
            columns.above_zero(row, RelativeDensity, 1.0, "above 0 and at most 100 % of the solid's density");
        if let (Some(ramp), Some(temperature), Some(hold), Some(density)) = (ramp, temperature, hold, density)
        {
            out.readings.push(FurnaceRun {
                line: row.line,
                ramp_k_min: ramp * 60.0,
                temperature_c: temperature - CELSIUS,
                hold_min: hold / 60.0,
                density_percent: 100.0 * density,
            });
        }
    }
    columns.problems.or(out)
}

/// What the runs tell.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CurveFit {
    /// Activation energy, with its standard error; zero if it was not fitted.
    pub energy_kj_mol: f64,
    /// Standard error of the activation energy.
    pub energy_error_kj_mol: f64,
    /// ln Θ_½, Θ in s/K.
    pub log_half: f64,
    /// Width of the rise.
    pub width: f64,
    /// How many of the three follow from the runs: 1 (ln Θ_½), 2 (and the width), 3 (and the energy).
    pub fitted: usize,
    /// Density by the curve, one for each run.
    pub fitted_density_percent: Vec<f64>,
    /// Greatest difference of a density from the curve.
    pub worst_percent: f64,
    /// Sentences on the fit.
    pub remarks: Vec<String>,
}

/// Fits the master curve. What the runs do not tell stays as the scenario has it.
///
/// # Errors
/// A sentence: no run lies between the density before sintering and that after a long time.
pub fn fit(runs: &[FurnaceRun], s: &Scenario) -> Result<CurveFit, String> {
    let green = s.feedstock.solids_loading / 100.0;
    let x = &s.sintering;
    let like = MasterCurve {
        energy: x.energy * 1e3,
        log_half: 0.0,
        width: x.width,
        green,
        full: x.full_density / 100.0,
    };
    let like = curve(s).unwrap_or(like);
    let run = |r: &FurnaceRun| Run {
        schedule: vec![Stretch {
            ramp: r.ramp_k_min / 60.0,
            temperature: r.temperature_c + CELSIUS,
            hold: r.hold_min * 60.0,
        }],
        density: r.density_percent / 100.0,
    };
    let runs_si: Vec<Run> = runs.iter().map(run).collect();
    let fitted = fit_curve(&runs_si, START, like).ok_or_else(|| {
        format!(
            "No run lies between the density before sintering, {} %, and that after a long time, {} %.",
            number(100.0 * like.green, 3),
            number(100.0 * like.full, 4)
        )
    })?;
    let mut remarks = Vec::new();
    if fitted.fitted < 3 {
        remarks.push(format!(
            "The runs do not tell the activation energy: it stays {} kJ/mol. Runs at three temperatures, 20 K or more apart, tell it.",
            number(fitted.curve.energy * 1e-3, 3)
        ));
    }
    if fitted.fitted < 2 {
        remarks.push(format!(
            "The runs do not tell the width of the rise: it stays {}.",
            number(fitted.curve.width, 3)
        ));
    }
    let densities: Vec<f64> = runs
        .iter()
        .zip(&fitted.residuals)
        .map(|(r, residual)| r.density_percent + 100.0 * residual)
        .collect();
    let worst = fitted.residuals.iter().map(|r| 100.0 * r.abs()).fold(0.0, f64::max);
    if worst > 1.5 {
        remarks.push(format!(
            "A density is {} % off the curve: grain growth, another atmosphere or a wrong reading, perhaps. One curve does not describe these runs.",
            number(worst, 2)
        ));
    }
    Ok(CurveFit {
        energy_kj_mol: fitted.curve.energy * 1e-3,
        energy_error_kj_mol: fitted.errors[2] * 1e-3,
        log_half: fitted.curve.log_half,
        width: fitted.curve.width,
        fitted: fitted.fitted,
        fitted_density_percent: densities,
        worst_percent: worst,
        remarks,
    })
}

impl CurveFit {
    /// Puts the fit into the furnace run of a scenario.
    pub fn put(&self, sintering: &mut Sintering) {
        sintering.log_half = Some(self.log_half);
        sintering.width = self.width;
        sintering.energy = self.energy_kj_mol;
        if self.fitted == 3 {
            sintering.energy_error = self.energy_error_kj_mol;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_core::scenario::demo;

    /// Runs of a known curve give it back, and the scenario then has the density of that curve.
    #[test]
    fn runs_of_a_curve_give_it_back() {
        let mut s = demo::default_demo().scenario();
        let truth = MasterCurve { energy: 280e3, log_half: -27.0, width: 1.1, green: 0.6, full: 0.995 };
        let mut text = "ramp [K/min],temperature [°C],hold [min],density [%]\n".to_owned();
        for (celsius, minutes) in
            [(1150.0, 30.0), (1200.0, 60.0), (1250.0, 60.0), (1300.0, 60.0), (1360.0, 120.0)]
        {
            let stretch = Stretch { ramp: 5.0 / 60.0, temperature: celsius + CELSIUS, hold: minutes * 60.0 };
            text += &format!("5,{celsius},{minutes},{}\n", 100.0 * truth.after(&[stretch], START));
        }
        let runs = read(&text).expect("a table");
        let found = fit(&runs.readings, &s).expect("a fit");
        assert!((found.energy_kj_mol - 280.0).abs() < 0.5 && found.worst_percent < 1e-3, "{found:?}");
        found.put(&mut s.sintering);
        let density = gatefrost_after::plan::density(&s);
        let run = gatefrost_after::plan::schedule(&s.sintering);
        assert!((density - truth.after(&run, START)).abs() < 1e-4, "{density}");
        let hold = read("ramp [K/min],temperature [°C],hold [min],density [%]\n5,1200,-5,90\n");
        assert!(hold.expect_err("refused").to_string().contains("must not be negative"));
    }
}
