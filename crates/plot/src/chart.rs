//! Curves and points over one axis whose words come from outside: the figures of the classroom.

use crate::curves::ORDER;
use crate::display_list::{DisplayList, Point};
use crate::lines::{Curve, CurveForm, Mark, PaneOf, StackOf};
use crate::style::SOLID;
use crate::table::{DataCell, DataTable, columns};
use crate::{Drawing, Layout, lay_out_stack};
use serde::{Deserialize, Serialize};

/// An axis.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ChartAxis {
    /// What it counts.
    pub title: String,
    /// In which unit; empty for pure numbers.
    pub unit: String,
    /// Whether it is logarithmic.
    pub log: bool,
    /// Whether it reaches zero.
    pub from_zero: bool,
}

/// How the points of a curve are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum ChartForm {
    /// As a line.
    Line,
    /// As the line that the figure is about.
    Leading,
    /// As single points.
    Dots,
}

/// A curve.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ChartCurve {
    /// Its name; empty for none.
    pub name: String,
    /// How it is drawn.
    pub form: ChartForm,
    /// Its points.
    pub points: Vec<[f64; 2]>,
}

/// A named upright line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ChartMark {
    /// Where on the horizontal axis.
    pub at: f64,
    /// Its name.
    pub text: String,
    /// Whether the figure is about it.
    pub leading: bool,
}

/// Curves and points over one axis.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Chart {
    /// What it shows, in a few words.
    pub caption: String,
    /// The horizontal axis.
    pub x: ChartAxis,
    /// The vertical axis.
    pub y: ChartAxis,
    /// What a curve is, for the column of their names in the table.
    pub series: String,
    /// The curves.
    pub curves: Vec<ChartCurve>,
    /// Upright lines.
    pub marks: Vec<ChartMark>,
    /// What to say where there is nothing to draw.
    pub empty: String,
}

/// A line that differs from those before it by its dashes, or points with a mark of their own.
fn drawn((i, curve): (usize, &ChartCurve)) -> Curve {
    let points: Vec<Point> = curve.points.clone();
    let line = Curve::line(points.clone(), ORDER[i % ORDER.len()], false);
    let drawn = match curve.form {
        ChartForm::Line => line,
        ChartForm::Leading => Curve { dashes: SOLID, leading: true, form: CurveForm::Line, ..line },
        ChartForm::Dots => Curve::dots(points, i),
    };
    drawn.named(&*curve.name)
}

impl Drawing for Chart {
    fn caption(&self) -> String {
        self.caption.clone()
    }

    fn name(&self) -> &str {
        ""
    }

    fn table(&self) -> DataTable {
        let named = self.curves.iter().any(|curve| !curve.name.is_empty());
        let mut heads = vec![(self.x.title.as_str(), self.x.unit.as_str()), (&*self.y.title, &*self.y.unit)];
        if named {
            heads.push((&self.series, ""));
        }
        let row = |curve: &ChartCurve, point: &Point| {
            let numbers = point.map(DataCell::number).into_iter();
            numbers.chain(named.then(|| DataCell::text(curve.name.clone()))).collect()
        };
        let rows =
            self.curves.iter().flat_map(|curve| curve.points.iter().map(move |point| row(curve, point)));
        DataTable { caption: self.caption.clone(), columns: columns(&heads), rows: rows.collect() }
    }

    fn lay_out(&self, list: &mut DisplayList) -> Layout {
        let mark = |mark: &ChartMark| Mark { at: mark.at, text: mark.text.clone(), leading: mark.leading };
        let pane = PaneOf {
            title: &self.y.title,
            unit: &self.y.unit,
            log: self.y.log,
            from_zero: self.y.from_zero,
            weight: 1.0,
            curves: self.curves.iter().enumerate().map(drawn).collect(),
        };
        let stack = StackOf {
            x: (&self.x.title, &self.x.unit),
            x_log: self.x.log,
            x_from_zero: self.x.from_zero,
            x_reach: f64::NEG_INFINITY,
            panes: vec![pane],
            marks: self.marks.iter().map(mark).collect(),
            empty: &self.empty,
        };
        lay_out_stack(list, &stack, &self.caption, "")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Style, svg};

    fn chart(points: Vec<[f64; 2]>) -> Chart {
        let axis =
            |title: &str| ChartAxis { title: title.to_owned(), from_zero: true, ..ChartAxis::default() };
        let curve = |form, name: &str| ChartCurve { name: name.to_owned(), form, points: points.clone() };
        Chart {
            caption: "A <b> & c".to_owned(),
            x: axis("time"),
            y: axis("mass"),
            series: "curve".to_owned(),
            curves: vec![curve(ChartForm::Leading, "model"), curve(ChartForm::Dots, "weighed")],
            marks: vec![ChartMark { at: 2.0, text: "here".to_owned(), leading: true }],
            empty: "Nothing yet.".to_owned(),
        }
    }

    #[test]
    fn a_chart_shows_its_words_and_all_its_numbers() {
        let nothing = chart(Vec::new());
        let chart = chart(vec![[1.0, 2.0], [3.0, f64::NAN], [4.0, 5.0]]);
        let drawn = svg(&chart, 640, 400, &Style::default()).expect("drawn");
        for wanted in ["A &lt;b&gt; &amp; c", "here", "model", "mass"] {
            assert!(drawn.contains(wanted), "{wanted}: {drawn}");
        }
        assert!(!drawn.contains("NaN"));
        let table = chart.table();
        assert_eq!((table.rows.len(), table.columns.len()), (6, 3));
        assert_eq!(table.rows[1][1], DataCell::Empty);
        let nothing = svg(&nothing, 640, 400, &Style::default()).expect("drawn");
        assert!(nothing.contains("Nothing yet."));
    }
}
