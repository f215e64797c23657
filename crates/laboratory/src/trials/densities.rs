//! Densities of furnace runs, and the master sintering curve that they tell.

use super::{Columns, lacks, taken, too_many};
use crate::rheometry::problem::TableError;
use crate::rheometry::table;
use crate::rheometry::units::Quantity;
use gatefrost_after::debound_density;
use gatefrost_after::plan::{START, curve};
use gatefrost_after::sintering::{Fitted, LEAST_SPAN, MasterCurve, Run, Stretch, Unfit, fit as fit_curve};
use gatefrost_core::format::number;
use gatefrost_core::scenario::{Scenario, Sintering};
use gatefrost_numerics::statistics::student_95;
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
    if lacks(&table, &[&[Ramp], &[Temperature], &[Hold], &[RelativeDensity]], &mut problems)
        || too_many(&table, &mut problems)
    {
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
    /// Activation energy.
    pub energy_kj_mol: f64,
    /// Standard error of the activation energy; absent where the runs do not tell one.
    pub energy_error_kj_mol: Option<f64>,
    /// Half the width of its 95 % interval (Student's t); absent where the runs do not tell one.
    pub energy_half_width_kj_mol: Option<f64>,
    /// Middle temperature of the runs.
    pub fitted_at_c: f64,
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
/// A sentence: no run lies between the density before sintering and that after a long time, or no minimum was found.
pub fn fit(runs: &[FurnaceRun], s: &Scenario) -> Result<CurveFit, String> {
    let x = &s.sintering;
    let like = MasterCurve {
        energy: x.energy * 1e3,
        log_half: 0.0,
        width: x.width,
        green: debound_density(s),
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
    let fitted = fit_curve(&runs_si, START, like).map_err(|unfit| match unfit {
        Unfit::NoneBetween => format!(
            "No run lies between the density before sintering, {} %, and that after a long time, {} %.",
            number(100.0 * like.green, 3),
            number(100.0 * like.full, 4)
        ),
        Unfit::NotConverged => {
            "No minimum was found: these densities follow no master sintering curve.".to_owned()
        }
    })?;
    let densities = runs.iter().zip(&fitted.residuals).map(|(r, off)| r.density_percent + 100.0 * off);
    let counted = fitted.residuals.iter().zip(&fitted.counts).filter(|(_, counts)| **counts);
    let worst = counted.map(|(off, _)| 100.0 * off.abs()).fold(0.0, f64::max);
    let energy_error = fitted.errors[2].map(|error| error * 1e-3);
    Ok(CurveFit {
        energy_kj_mol: fitted.curve.energy * 1e-3,
        energy_error_kj_mol: energy_error,
        energy_half_width_kj_mol: energy_error.map(|error| student_95(fitted.free) * error),
        fitted_at_c: fitted.reference - CELSIUS,
        log_half: fitted.curve.log_half,
        width: fitted.curve.width,
        fitted: fitted.fitted,
        fitted_density_percent: densities.collect(),
        worst_percent: worst,
        remarks: remarks(runs, &fitted, worst),
    })
}

/// Where a scenario holds the standard error of the activation energy.
const ENERGY_ERROR: &str = "sintering.energy_error";

/// Difference of a density from the curve above which one curve does not describe the runs, per cent of the solid's.
const FAR_OFF: f64 = 1.5;

/// Lines that are named one by one.
const NAMED: usize = 5;

fn remarks(runs: &[FurnaceRun], fitted: &Fitted, worst: f64) -> Vec<String> {
    let mut all = Vec::new();
    let left_out: Vec<String> = runs
        .iter()
        .zip(&fitted.counts)
        .filter(|(_, counts)| !**counts)
        .map(|(run, _)| format!("{} ({} %)", run.line, number(run.density_percent, 4)))
        .collect();
    if !left_out.is_empty() {
        let more = left_out.len().saturating_sub(NAMED);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        all.push(format!(
            "Left out: the density of line {}{more} does not lie between that before sintering, {} %, and that after a long time, {} %.",
            left_out[..left_out.len().min(NAMED)].join(", "),
            number(100.0 * fitted.curve.green, 3),
            number(100.0 * fitted.curve.full, 4)
        ));
    }
    if fitted.fitted < 3 {
        all.push(format!(
            "The runs do not tell the activation energy: it stays {} kJ/mol. Three runs or more with different densities tell it, if the hottest is {LEAST_SPAN} K or more above the coldest.",
            number(fitted.curve.energy * 1e-3, 3)
        ));
    }
    if fitted.fitted < 2 {
        all.push(format!(
            "The runs do not tell the width of the rise: it stays {}.",
            number(fitted.curve.width, 3)
        ));
    }
    if fitted.free == 0 {
        all.push(
            "As many runs as numbers that were fitted: they leave no band, and the standard error of the activation energy stays as it was. Add a run."
                .to_owned(),
        );
    } else if fitted.fitted == 3 && fitted.errors[2].is_none() {
        all.push(format!(
            "The activation energy, {} kJ/mol, lies at the end of its range: these runs do not tell it.",
            number(fitted.curve.energy * 1e-3, 3)
        ));
    }
    let half_width = fitted.errors[2].map(|error| student_95(fitted.free) * error * 1e-3);
    all.extend(half_width.and_then(|half_width| taken(ENERGY_ERROR, half_width).1));
    if worst > FAR_OFF {
        all.push(format!(
            "A density is {} % off the curve: grain growth, another atmosphere or a wrong reading, perhaps. One curve does not describe these runs.",
            number(worst, 2)
        ));
    }
    all
}

impl CurveFit {
    /// Puts the fit into the furnace run of a scenario. The standard error is such that 1.96 of it are the half width of the
    /// fit's 95 % interval; without an interval the scenario's own stays.
    pub fn put(&self, sintering: &mut Sintering) {
        sintering.log_half = Some(self.log_half);
        sintering.fitted_at = Some(self.fitted_at_c);
        sintering.width = self.width;
        sintering.energy = self.energy_kj_mol;
        if let Some(half_width) = self.energy_half_width_kj_mol {
            sintering.energy_error = taken(ENERGY_ERROR, half_width).0;
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

    fn fitted_to(rows: &str, s: &Scenario) -> CurveFit {
        let runs =
            read(&format!("ramp [K/min],temperature [°C],hold [min],density [%]\n{rows}")).expect("a table");
        fit(&runs.readings, s).expect("a fit")
    }

    /// Three runs for three numbers: the curve passes through them, and the scenario's error stays.
    #[test]
    fn no_freedom_leaves_the_error_as_it_was() {
        let mut s = demo::default_demo().scenario();
        let found = fitted_to("5,1300,30,91\n5,1300,60,93.1\n5,1360,120,97.9\n", &s);
        assert!(found.fitted == 3 && found.worst_percent < 1e-4, "{found:?}");
        assert!(found.energy_error_kj_mol.is_none() && found.energy_half_width_kj_mol.is_none());
        assert!(found.remarks.iter().any(|words| words.contains("leave no band")));
        let before = s.sintering.energy_error;
        found.put(&mut s.sintering);
        assert_eq!(s.sintering.energy_error, before);
    }

    /// With one degree of freedom Student's t is 12.71 (tables).
    #[test]
    fn few_runs_have_a_wide_band() {
        let mut s = demo::default_demo().scenario();
        let found = fitted_to("5,1250,60,88.2\n5,1300,60,93.1\n5,1340,60,96.1\n5,1360,120,98.4\n", &s);
        let ratio = found.energy_half_width_kj_mol.expect("told") / found.energy_error_kj_mol.expect("told");
        assert!((ratio - 12.706).abs() < 1e-3, "{ratio}");
        found.put(&mut s.sintering);
        let half_width = found.energy_half_width_kj_mol.expect("told");
        assert!(
            (1.96 * s.sintering.energy_error / half_width.min(1960.0) - 1.0).abs() < 1e-4,
            "{half_width}"
        );
        assert_eq!(found.remarks.iter().any(|words| words.contains("hardly tell it")), half_width > 1960.0);
    }

    /// A density above that after a long time does not count, is named, and is not what the curve is blamed for.
    #[test]
    fn runs_that_do_not_count_are_named() {
        let s = demo::default_demo().scenario();
        let rows = "5,1250,60,88.2\n5,1300,60,93.1\n5,1340,60,96.1\n5,1360,120,98.4\n5,1200,60,58\n5,1400,300,99.8\n";
        let found = fitted_to(rows, &s);
        let told = found.remarks.join(" ");
        assert!(told.contains("line 6 (58 %), 7 (99.8 %)") && found.worst_percent < 1.0, "{found:?}");
        assert!(!told.contains("off the curve"), "{told}");
    }

    /// Runs of a powder that loses 1 % of its mass tell the curve that begins at φ (1 − w).
    #[test]
    fn the_powder_that_is_lost_is_missing_at_the_beginning() {
        let mut s = demo::default_demo().scenario();
        s.feedstock.powder_loss = 5.0;
        let green = 0.95 * s.feedstock.solids_loading / 100.0;
        let truth = MasterCurve { energy: 280e3, log_half: -27.0, width: 1.1, green, full: 0.995 };
        let row = |celsius: f64| {
            let stretch = Stretch { ramp: 5.0 / 60.0, temperature: celsius + CELSIUS, hold: 3600.0 };
            format!("5,{celsius},60,{}\n", 100.0 * truth.after(&[stretch], START))
        };
        let found = fitted_to(&[1100.0, 1150.0, 1200.0, 1300.0].map(row).concat(), &s);
        assert!((found.energy_kj_mol - 280.0).abs() < 0.5 && found.worst_percent < 1e-3, "{found:?}");
    }
}
