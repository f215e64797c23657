//! The usable share of a plane and the best reserve in it, against one input.

use crate::Layout;
use crate::curves::curve;
use crate::display_list::DisplayList;
use crate::lines::{Mark, Pane, Stack};
use crate::style::SOLID;
use crate::table::{DataCell, DataTable, columns};
use crate::{Drawing, lay_out_stack};
use gatefrost_core::scenario::Plane;
use gatefrost_window::{Input, Swept};

/// A sweep as a figure.
#[derive(Debug, Clone, Copy)]
pub struct SweepFigure<'a> {
    /// Name of the scenario.
    pub name: &'a str,
    /// The plane of the window.
    pub plane: &'a Plane,
    /// What is swept.
    pub input: &'a Input,
    /// Its present value, in edge units.
    pub present: Option<f64>,
    /// The values with what was found, in rising order.
    pub points: &'a [Swept],
}

impl SweepFigure<'_> {
    /// One of the two curves; a value without a result leaves it open.
    fn pane(&self, title: &'static str, unit: &'static str, of: fn(&Swept) -> Option<f64>) -> Pane {
        let x: Vec<f64> = self.points.iter().map(|point| point.value).collect();
        let y: Vec<f64> = self.points.iter().map(|point| of(point).unwrap_or(f64::NAN)).collect();
        Pane {
            title,
            unit,
            log: false,
            from_zero: true,
            weight: 1.0,
            curves: vec![curve("", &x, &y, SOLID, true)],
        }
    }

    fn stack(&self) -> Stack {
        let ends = (self.points.first(), self.points.last());
        let wide = ends.0.zip(ends.1).is_some_and(|(a, b)| a.value > 0.0 && b.value / a.value >= 10.0);
        let inside = |at: &f64| ends.0.zip(ends.1).is_some_and(|(a, b)| *at >= a.value && *at <= b.value);
        let present = self.present.filter(inside);
        Stack {
            x: (self.input.parameter.title, self.input.parameter.unit),
            x_log: wide,
            x_from_zero: false,
            x_reach: 0.0,
            panes: vec![
                self.pane("Usable share", "%", |point| point.usable_percent),
                self.pane("Best reserve", "", |point| point.reserve),
            ],
            marks: present
                .map(|at| Mark { at, text: "now".to_owned(), leading: false })
                .into_iter()
                .collect(),
            empty: "No value has been computed.",
        }
    }
}

impl Drawing for SweepFigure<'_> {
    fn caption(&self) -> String {
        format!("Usable share and best reserve against {}", self.input.parameter.title.to_lowercase())
    }

    fn name(&self) -> &str {
        self.name
    }

    fn table(&self) -> DataTable {
        let (x, y) = (self.plane.x.axis.parameter(), self.plane.y.axis.parameter());
        let input = self.input.parameter;
        let heads = [
            (input.title, input.unit),
            ("Usable share", "%"),
            ("Best reserve", ""),
            ("Nearest limit there", ""),
            (x.title, x.unit),
            (y.title, y.unit),
            ("Not computed because", ""),
        ];
        let number = |value: Option<f64>| value.map_or(DataCell::Empty, DataCell::number);
        let row = |point: &Swept| {
            let limit = point.limit.map_or(DataCell::Empty, |limit| DataCell::text(limit.label()));
            let problem = point.problem.as_ref().map_or(DataCell::Empty, DataCell::text);
            let [across, up] = [0, 1].map(|k| number(point.place.map(|place| place[k])));
            let [value, usable, reserve] =
                [Some(point.value), point.usable_percent, point.reserve].map(number);
            vec![value, usable, reserve, limit, across, up, problem]
        };
        DataTable {
            caption: self.caption(),
            columns: columns(&heads),
            rows: self.points.iter().map(row).collect(),
        }
    }

    fn lay_out(&self, list: &mut DisplayList) -> Layout {
        lay_out_stack(list, &self.stack(), &self.caption(), self.name)
    }
}
