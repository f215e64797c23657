//! Shots on the machine: predictions before and after a calibration beside the readings, residuals against a setting, and the
//! bands of the numbers before and after, and what shots that were not made will read.

mod ahead;
mod numbers;

use crate::axes::Layout;
use crate::display_list::{DisplayList, Point};
use crate::lines::{Curve, Pane, Stack};
use crate::style::{LONG, SOLID};
use crate::table::{DataCell, DataTable, columns};
use crate::{Drawing, lay_out_stack};
use serde::{Deserialize, Serialize};

/// A reading of a shot, as figures take it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct TrialReading {
    /// Number of the shot in the log, from 1.
    pub shot: f64,
    /// What was read, in words.
    pub what: String,
    /// Which of four marks it has: pressures, masses, temperatures, others.
    pub mark: usize,
    /// The prediction before, with its 95 % band, in per cent of the reading; none for temperatures.
    pub before: Option<[f64; 3]>,
    /// The same after the calibration.
    pub after: Option<[f64; 3]>,
    /// Reading less prediction, in standard deviations of the scatter.
    pub residual: f64,
    /// Melt and mould temperature \[°C\], injection time \[s\], hold pressure \[MPa\], hold time \[s\].
    pub settings: [f64; 5],
}

/// A number before and after, as the figure takes it: value, lower and upper end of its 95 % band.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct TrialNumber {
    /// Its name.
    pub title: String,
    /// Its unit.
    pub unit: String,
    /// Before.
    pub prior: [f64; 3],
    /// After.
    pub posterior: [f64; 3],
}

/// What shots will read and have read, as the figure takes it. A quantity is told by its place in [`TRIAL_QUANTITIES`].
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct TrialForecasts {
    /// Number of the shot in the log, from 1, quantity, prediction, lower and upper end of its 95 % band.
    pub predicted: Vec<[f64; 5]>,
    /// Number of the shot, quantity, reading.
    pub read: Vec<[f64; 3]>,
}

/// The quantities that are predicted: title, unit.
pub const TRIAL_QUANTITIES: [(&str, &str); 4] = [
    ("Peak pressure", "MPa"),
    ("Switch-over pressure", "MPa"),
    ("Part mass", "g"),
    ("Part temperature", "°C"),
];

/// The settings against which residuals are drawn: name, title, unit.
pub const TRIAL_SETTINGS: [(&str, &str, &str); 5] = [
    ("melt", "Melt temperature", "°C"),
    ("mould", "Mould temperature", "°C"),
    ("injection", "Injection time", "s"),
    ("hold-pressure", "Hold pressure", "MPa"),
    ("hold-time", "Hold time", "s"),
];

/// A figure of a calibration. The name is that of the scenario.
#[derive(Debug, Clone, Copy)]
pub enum TrialFigure<'a> {
    /// Predictions with their bands, in per cent of the reading, before and after.
    Readings(&'a [TrialReading], &'a str),
    /// Residuals against a setting, by its place in [`TRIAL_SETTINGS`].
    Residuals(&'a [TrialReading], usize, &'a str),
    /// The bands of the numbers before and after.
    Numbers(&'a [TrialNumber], &'a str),
    /// What shots that were not made will read, with 95 % bands, beside what was read of the others.
    Ahead(&'a TrialForecasts, &'a str),
}

/// Words of the marks.
const MARKS: [&str; 4] = ["pressure", "mass", "temperature", "filled share"];

impl Drawing for TrialFigure<'_> {
    fn caption(&self) -> String {
        match self {
            Self::Readings(..) => "Predictions before and after the calibration, of the reading".to_owned(),
            Self::Residuals(_, k, _) => format!("Residuals against {}", setting(*k).1.to_lowercase()),
            Self::Numbers(..) => "Numbers before and after the calibration, with 95 % bands".to_owned(),
            Self::Ahead(..) => {
                "Predicted readings (dots with 95 % bands) and readings of the log (squares)".to_owned()
            }
        }
    }

    fn name(&self) -> &str {
        match self {
            Self::Readings(_, name)
            | Self::Residuals(_, _, name)
            | Self::Numbers(_, name)
            | Self::Ahead(_, name) => name,
        }
    }

    fn lay_out(&self, list: &mut DisplayList) -> Layout {
        let stack = match self {
            Self::Readings(readings, _) => beside(readings),
            Self::Residuals(readings, setting, _) => residuals(readings, *setting),
            Self::Ahead(all, _) => ahead::stack(all),
            Self::Numbers(numbers, name) => return numbers::draw(list, numbers, &self.caption(), name),
        };
        lay_out_stack(list, &stack, &self.caption(), self.name())
    }

    fn table(&self) -> DataTable {
        match self {
            Self::Readings(readings, _) => readings_table(readings, self.caption()),
            Self::Residuals(readings, k, _) => residuals_table(readings, *k, self.caption()),
            Self::Numbers(numbers, _) => numbers::table(numbers, self.caption()),
            Self::Ahead(all, _) => ahead::table(all, self.caption()),
        }
    }
}

/// Temperatures and what is seen have no per cent of a reading, so they have no row.
fn readings_table(readings: &[TrialReading], caption: String) -> DataTable {
    let heads = [
        ("Shot", ""),
        ("Read", ""),
        ("Before", "%"),
        ("Before, low", "%"),
        ("Before, high", "%"),
        ("After", "%"),
        ("After, low", "%"),
        ("After, high", "%"),
    ];
    let row = |r: &TrialReading| {
        let (Some(before), Some(after)) = (r.before, r.after) else { return None };
        let numbers = before.into_iter().chain(after).map(DataCell::number);
        Some([DataCell::number(r.shot), DataCell::text(r.what.clone())].into_iter().chain(numbers).collect())
    };
    DataTable { caption, columns: columns(&heads), rows: readings.iter().filter_map(row).collect() }
}

fn residuals_table(readings: &[TrialReading], k: usize, caption: String) -> DataTable {
    let (_, title, unit) = setting(k);
    let heads = [("Shot", ""), ("Read", ""), (title, unit), ("Residual in standard deviations", "")];
    let row = |r: &TrialReading| {
        vec![
            DataCell::number(r.shot),
            DataCell::text(r.what.clone()),
            DataCell::number(r.settings[k.min(r.settings.len() - 1)]),
            DataCell::number(r.residual),
        ]
    };
    DataTable { caption, columns: columns(&heads), rows: readings.iter().map(row).collect() }
}

/// Bands as upright lines with their values, one below the other: before and after.
fn beside(readings: &[TrialReading]) -> Stack {
    let place = |i: usize| i as f64 + 1.0;
    let pane = |title, log, of: fn(&TrialReading) -> Option<[f64; 3]>| {
        let there: Vec<(usize, [f64; 3])> = readings.iter().filter_map(of).enumerate().collect();
        let upright = |&(i, [_, low, high]): &(usize, [f64; 3])| {
            Curve::line(vec![[place(i), low], [place(i), high]], SOLID, false)
        };
        let values: Vec<Point> = there.iter().map(|(i, [value, ..])| [place(*i), *value]).collect();
        let whole = vec![[0.5, 100.0], [place(there.len()) - 0.5, 100.0]];
        let mut curves: Vec<Curve> = there.iter().map(upright).collect();
        curves.push(Curve::dots(values, 0));
        curves.push(Curve::line(whole, LONG, true).named("as read"));
        Pane { title, unit: "%", log, from_zero: false, weight: 1.0, curves }
    };
    Stack {
        x: ("Reading, in the order of the log", ""),
        x_log: false,
        x_from_zero: false,
        x_reach: 0.0,
        panes: vec![pane("Before", true, |r| r.before), pane("After", false, |r| r.after)],
        marks: Vec::new(),
        empty: "There are no readings of pressures or masses.",
    }
}

/// A setting of the list; the first one beyond it.
fn setting(k: usize) -> (&'static str, &'static str, &'static str) {
    TRIAL_SETTINGS.get(k).copied().unwrap_or(TRIAL_SETTINGS[0])
}

fn residuals(readings: &[TrialReading], k: usize) -> Stack {
    let at = |r: &TrialReading| r.settings.get(k).copied().unwrap_or(f64::NAN);
    let dots = |mark: usize| {
        let points: Vec<Point> =
            readings.iter().filter(|r| r.mark == mark).map(|r| [at(r), r.residual]).collect();
        (!points.is_empty()).then(|| Curve::dots(points, mark).named(MARKS[mark]))
    };
    let ends = readings
        .iter()
        .fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], r| [low.min(at(r)), high.max(at(r))]);
    let level = |y: f64| Curve::line(vec![[ends[0], y], [ends[1], y]], LONG, y == 0.0);
    let curves = (0..MARKS.len()).filter_map(dots).chain([0.0, 2.0, -2.0].map(level)).collect();
    let (_, title, unit) = setting(k);
    Stack {
        x: (title, unit),
        x_log: false,
        x_from_zero: false,
        x_reach: 0.0,
        panes: vec![Pane {
            title: "Residual, in standard deviations",
            unit: "",
            log: false,
            from_zero: false,
            weight: 1.0,
            curves,
        }],
        marks: Vec::new(),
        empty: "There are no readings.",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Style, svg};

    fn readings() -> Vec<TrialReading> {
        let of = |shot: f64, mark: usize, band: Option<[f64; 3]>, residual: f64| TrialReading {
            shot,
            what: MARKS[mark].to_owned(),
            mark,
            before: band.map(|[v, low, high]| [0.6 * v, 0.3 * low, 2.0 * high]),
            after: band,
            residual,
            settings: [160.0 + shot, 40.0, 0.3 * shot, 60.0, 2.0],
        };
        vec![
            of(1.0, 0, Some([101.0, 95.0, 107.0]), 0.4),
            of(1.0, 2, None, -1.2),
            of(2.0, 1, Some([99.9, 99.2, 100.6]), -5.5),
        ]
    }

    /// Every figure is drawn without a number that is none, and its table has the numbers; temperatures have no per cent.
    #[test]
    fn each_figure_is_drawn_and_has_its_numbers() {
        let all = readings();
        let mut figures = vec![TrialFigure::Readings(&all, "part")];
        figures.extend((0..TRIAL_SETTINGS.len()).map(|k| TrialFigure::Residuals(&all, k, "part")));
        let numbers = [
            TrialNumber {
                title: "viscosity".to_owned(),
                unit: "Pa·s".to_owned(),
                prior: [160.0, 20.0, 1300.0],
                posterior: [240.0, 200.0, 290.0],
            },
            TrialNumber {
                title: "no-flow".to_owned(),
                unit: "°C".to_owned(),
                prior: [70.0, 56.0, 84.0],
                posterior: [72.0, 60.0, 90.0],
            },
        ];
        figures.push(TrialFigure::Numbers(&numbers, "part"));
        for figure in &figures {
            let drawn = svg(figure, 800, 500, &Style::default()).expect("drawn");
            assert!(drawn.contains(&figure.caption()) && !drawn.contains("NaN"));
        }
        assert_eq!(figures[0].table().rows.len(), 2);
        let injection = figures[3].table();
        assert_eq!(injection.rows[2][2], DataCell::number(0.6));
        assert_eq!(injection.rows[2][3], DataCell::number(-5.5));
        assert_eq!(figures[6].table().rows[1][7], DataCell::number(90.0));
        assert!(
            svg(&TrialFigure::Ahead(&TrialForecasts::default(), "part"), 800, 500, &Style::default()).is_ok()
        );
        assert!(svg(&TrialFigure::Numbers(&[], "part"), 800, 500, &Style::default()).is_ok());
        assert!(svg(&TrialFigure::Readings(&[], "part"), 800, 500, &Style::default()).is_ok());
    }

    /// Each quantity has a plot; readings of the log stand in it, and a shot has a row in the table.
    #[test]
    fn predictions_stand_beside_the_readings_of_the_log() {
        let all = TrialForecasts {
            predicted: vec![[2.0, 0.0, 55.0, 51.0, 59.0], [2.0, 2.0, 3.75, 3.73, 3.77]],
            read: vec![[1.0, 0.0, 52.0], [1.0, 3.0, 61.0]],
        };
        let figure = TrialFigure::Ahead(&all, "part");
        let drawn = svg(&figure, 800, 500, &Style::default()).expect("drawn");
        for words in ["Peak pressure", "Part temperature", "(squares)"] {
            assert!(drawn.contains(words), "{words}");
        }
        assert!(!drawn.contains("NaN"));
        let table = figure.table();
        assert_eq!((table.columns.len(), table.rows.len()), (17, 2));
        assert_eq!(
            (&table.rows[0][4], &table.rows[1][1]),
            (&DataCell::number(52.0), &DataCell::number(55.0))
        );
    }
}
