//! Torque of a mixer against time, and when it has settled: the end point of mixing.

use crate::rheometry::problem::TableError;
use crate::rheometry::table::{self, ParsedTable};
use crate::rheometry::units::Quantity;
use gatefrost_core::format::number;
use gatefrost_numerics::curves::line;
use serde::Serialize;

/// The stretch over which a change is told \[s\].
const MINUTE: f64 = 60.0;
/// Least number of readings in a minute, so that the line through them has an error.
const LEAST: usize = 3;
/// Most readings that are judged.
const MOST: usize = 20_000;
/// Rise of the torque after its least mean over a minute that is remarked, as a share.
const RISE: f64 = 0.05;

/// A reading: time \[s\] and torque \[N·m\].
type Reading = (f64, f64);

/// What the readings tell.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Settled {
    /// The result in a sentence.
    pub words: String,
    /// Time of the end point; `None` where the torque has not settled.
    pub end_min: Option<f64>,
    /// Mean torque from the end point on.
    pub level_nm: Option<f64>,
    /// Standard deviation of the torque from the end point on.
    pub scatter_nm: Option<f64>,
    /// Change of the torque in the last minute, in per cent of its mean there.
    pub last_change_percent: f64,
    /// Standard error of that change.
    pub change_error_percent: Option<f64>,
    /// How the table was understood.
    pub notes: Vec<String>,
    /// Sentences for the user.
    pub remarks: Vec<String>,
}

/// Change over the minute that ends at a reading: slope of the least-squares line through the readings of that minute, times
/// a minute, over their mean; with its standard error. `None` with fewer than three readings, or before a minute is over.
fn change(readings: &[Reading], at: usize) -> Option<[f64; 2]> {
    let end = readings[at].0;
    let from = readings[..=at].partition_point(|(t, _)| *t < end - MINUTE * (1.0 + 1e-9));
    let minute = &readings[from..=at];
    if minute.len() < LEAST || end - readings[0].0 < MINUTE * (1.0 - 1e-9) {
        return None;
    }
    let mean = minute.iter().map(|(_, torque)| torque).sum::<f64>() / minute.len() as f64;
    // Times from the end, so that a late minute is no less exact than an early one.
    let near: Vec<Reading> = minute.iter().map(|(t, torque)| (t - end, *torque)).collect();
    let through = line(&near)?;
    let error = through.variances.map_or(0.0, |[_, of_slope, _]| of_slope.sqrt());
    Some([through.slope * MINUTE / mean, error * MINUTE / mean])
}

/// Judges readings of torque: mixing has ended at the first reading from which on the torque changes by less than `share`
/// (0.01 for 1 %) over each minute, to the last reading. The change is the slope of the least-squares line through the
/// readings of the minute, so that their scatter counts less than with two readings.
///
/// The last minute must lie after the last addition; a torque that is level but still rises slowly over an hour passes, and is
/// remarked where it has risen by 5 % from its least.
///
/// # Errors
/// Every problem of the table with line and column: a missing column, times that do not rise, a torque that is not above
/// zero, fewer than three readings in the last minute.
pub fn settle(text: &str, share: f64) -> Result<Settled, TableError> {
    let mut problems = TableError::default();
    let wanted = [Quantity::Time, Quantity::Torque];
    let Some(table) = table::read(text, &wanted, None, &mut problems) else { return Err(problems) };
    let readings = read(&table, &mut problems);
    if !problems.problems.is_empty() {
        return Err(problems);
    }
    let last = readings.len().checked_sub(1).and_then(|last| change(&readings, last));
    let Some([at_the_end, error]) = last else {
        problems.push(None, None, "The last minute needs three readings at least, and one a minute earlier.");
        return Err(problems);
    };
    let unsettled = |i: &usize| change(&readings, *i).is_none_or(|[by, _]| by.abs() >= share);
    let first = (0..readings.len()).rev().find(unsettled).map_or(0, |i| i + 1);
    let settled = &readings[first..];
    let end_min = settled.first().map(|(t, _)| t / 60.0);
    let (level_nm, scatter_nm) = level(settled);
    let limit = number(100.0 * share, 3);
    let words = match end_min {
        Some(end) => format!(
            "The torque has settled: from {} min on it changes by less than {limit} % in a minute.",
            number(end, 3)
        ),
        None => format!(
            "The torque has not settled: in the last minute it changed by {} %, and {limit} % is allowed. Mix on.",
            number(100.0 * at_the_end, 2)
        ),
    };
    Ok(Settled {
        words,
        end_min,
        level_nm,
        scatter_nm,
        last_change_percent: 100.0 * at_the_end,
        change_error_percent: Some(100.0 * error),
        notes: table.notes(),
        remarks: remarks(settled, error, share),
    })
}

fn remarks(settled: &[Reading], error: f64, share: f64) -> Vec<String> {
    let mut remarks = Vec::new();
    if error > 0.5 * share {
        remarks.push("The readings scatter so much that the change in a minute is not known to half of its limit. Read more often, or allow a larger change.".to_owned());
    }
    let least = settled.iter().map(|(_, torque)| *torque).fold(f64::INFINITY, f64::min);
    if settled.last().is_some_and(|(_, torque)| *torque > (1.0 + RISE) * least) {
        remarks.push(
            "The torque has risen again since it was least: binder may be lost or broken down.".to_owned(),
        );
    }
    remarks
}

/// Mean and standard deviation of the torque.
fn level(settled: &[Reading]) -> (Option<f64>, Option<f64>) {
    let n = settled.len() as f64;
    if settled.is_empty() {
        return (None, None);
    }
    let mean = settled.iter().map(|(_, torque)| torque).sum::<f64>() / n;
    let squares = settled.iter().map(|(_, torque)| (torque - mean).powi(2)).sum::<f64>();
    (Some(mean), (settled.len() > 1).then(|| (squares / (n - 1.0)).sqrt()))
}

fn read(table: &ParsedTable, problems: &mut TableError) -> Vec<Reading> {
    let (Some(time), Some(torque)) = (table.place(Quantity::Time), table.place(Quantity::Torque)) else {
        table.lacks("Columns are missing: time [min] and torque [N·m] are needed.".to_owned(), problems);
        return Vec::new();
    };
    let mut readings: Vec<Reading> = Vec::new();
    if table.rows.len() > MOST {
        problems.push(None, None, "There are more than 20 000 readings: leave some out.");
        return readings;
    }
    for row in &table.rows {
        let (Some(t), Some(m)) = (row.values[time], row.values[torque]) else {
            problems.push(Some(row.line), None, "Time and torque are both needed.");
            continue;
        };
        if m <= 0.0 || !m.is_finite() {
            let column = Some(table.columns[torque].header.as_str());
            problems.push(
                Some(row.line),
                column,
                "The torque must be above 0: take the empty mixer's torque off, and leave out what is below.",
            );
        } else if !t.is_finite() || readings.last().is_some_and(|(before, _)| t <= *before) {
            let column = Some(table.columns[time].header.as_str());
            problems.push(Some(row.line), column, "The time must be later than that of the line before.");
        } else {
            readings.push((t, m));
        }
    }
    readings
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(torque: impl Fn(f64) -> f64, minutes: f64) -> String {
        let rows = (0..=(minutes * 10.0) as u32).map(|i| f64::from(i) / 10.0);
        let lines: Vec<String> = rows.map(|t| format!("{t},{}", torque(t))).collect();
        format!("time [min],torque [N·m]\n{}", lines.join("\n"))
    }

    /// T = 6.5 + 7 exp(−t/4 min): the mean slope over the minute that ends at t is near −(7/4) exp(−(t − ½)/4), and
    /// it is 1 % of 6.5 and a little at t = 13.4 min, worked out by hand.
    #[test]
    fn a_torque_that_levels_off_has_its_end_where_the_slope_says() {
        let found = settle(&table(|t| 6.5 + 7.0 * (-t / 4.0_f64).exp(), 30.0), 0.01).expect("a table");
        let slope = |t: f64| 1.75 * (-(t - 0.5) / 4.0_f64).exp() / (6.5 + 7.0 * (-(t - 0.5) / 4.0_f64).exp());
        let end = found.end_min.expect("settled");
        assert!(slope(end + 0.1) < 0.01 && slope(end - 0.2) > 0.01, "{end} {}", slope(end));
        assert!(found.remarks.is_empty() && (found.level_nm.expect("settled") - 6.5).abs() < 0.1);
        assert!(
            settle(&table(|t| 6.5 + 7.0 * (-t / 4.0_f64).exp(), 8.0), 0.01)
                .expect("a table")
                .end_min
                .is_none()
        );
    }

    /// A portion that is added late begins the settling anew.
    #[test]
    fn a_level_before_the_last_portion_is_no_end() {
        let torque = |t: f64| if t < 20.0 { 6.0 } else { 6.0 + 4.0 * (-(t - 20.0)).exp() };
        let end = settle(&table(torque, 40.0), 0.01).expect("a table").end_min.expect("settled");
        assert!(end > 23.0 && end < 28.0, "{end}");
    }

    /// A rise of half a per cent in each minute passes and is remarked; scatter beyond the limit is remarked, too.
    #[test]
    fn a_torque_that_creeps_up_or_scatters_is_remarked() {
        let creeping = settle(&table(|t| 5.0 * (1.0 + 0.005 * t), 30.0), 0.01).expect("a table");
        assert!(creeping.end_min.is_some() && creeping.remarks[0].contains("risen again"), "{creeping:?}");
        let rough = |t: f64| 5.0 + if (t * 10.0).round() as i64 % 2 == 0 { 0.2 } else { -0.2 };
        let scattered = settle(&table(rough, 30.0), 0.02).expect("a table");
        assert!(scattered.remarks.iter().any(|remark| remark.contains("scatter")), "{scattered:?}");
    }

    #[test]
    fn what_is_no_table_of_torque_is_refused_with_its_line() {
        let told = |text: &str| {
            let error = settle(text, 0.01).expect_err("refused");
            error.problems.iter().map(|p| format!("{:?} {}", p.line, p.message)).collect::<Vec<_>>().join(" ")
        };
        assert!(told("time [min],speed\n1,2").contains("torque"));
        assert!(told("time [min],torque [N·m]\n1,2\n1,3\n2,4").contains("Some(3)"));
        assert!(told("time [min],torque [N·m]\n1,2\n2,-3").contains("above 0"));
        assert!(told("time [min],torque [N·m]\n1,2\n2,3").contains("three readings"));
    }
}
