//! What follows the mould: mass lost, the schedule of a furnace, time against the wall, the furnace run, and the budget of
//! sizes.

pub(crate) mod bars;

use crate::axes::{Layout, reading};
use crate::curves::ORDER;
use crate::display_list::{DisplayList, Point};
use crate::lines::{Curve, Mark, Pane, Stack};
use crate::style::{LONG, SHORT, SOLID};
use crate::table::{DataCell, DataTable, columns, rows_of};
use crate::{Drawing, lay_out_stack};
use gatefrost_after::plan::{CurvePoint, LossCurve, Plan, SchedulePlan, SinterPlan, SizePlan, StepPlan};

/// A figure of what follows the mould. The name is that of the scenario.
#[derive(Debug, Clone, Copy)]
pub enum AfterFigure<'a> {
    /// Scatter of a length by cause.
    Budget(&'a SizePlan, &'a str),
    /// Mass lost in a bath or an oven against time, for several walls.
    Losses(&'a StepPlan, &'a str),
    /// The fastest schedule of a furnace: temperature, pressure of the gas, what is left of each part.
    Schedule(&'a SchedulePlan, &'a str),
    /// Time of all steps against the thickness of the wall.
    Walls(&'a Plan, &'a str),
    /// Temperature, density and length during the furnace run.
    Run(&'a SinterPlan, &'a str),
}

impl Drawing for AfterFigure<'_> {
    fn caption(&self) -> String {
        match self {
            Self::Budget(..) => "Scatter of a length by cause".to_owned(),
            Self::Losses(step, _) => {
                format!("Mass lost in the {} at {} °C", step.name, reading(step.temperature_c))
            }
            Self::Schedule(..) => "Fastest schedule of the debinding furnace".to_owned(),
            Self::Walls(..) => "Time of debinding against the wall".to_owned(),
            Self::Run(..) => "Density and length during the furnace run".to_owned(),
        }
    }

    fn name(&self) -> &str {
        match self {
            Self::Budget(_, name)
            | Self::Losses(_, name)
            | Self::Schedule(_, name)
            | Self::Walls(_, name)
            | Self::Run(_, name) => name,
        }
    }

    fn lay_out(&self, list: &mut DisplayList) -> Layout {
        let caption = self.caption();
        let stack = match self {
            Self::Budget(sizes, name) => return bars::draw(list, sizes, &caption, name),
            Self::Losses(step, _) => losses(step),
            Self::Schedule(schedule, _) => self::schedule(schedule),
            Self::Walls(plan, _) => walls(plan),
            Self::Run(run, _) => self::run(run),
        };
        lay_out_stack(list, &stack, &caption, self.name())
    }

    fn table(&self) -> DataTable {
        let caption = self.caption();
        match self {
            Self::Budget(sizes, _) => bars::table(sizes, caption),
            Self::Losses(step, _) => losses_table(step, caption),
            Self::Schedule(schedule, _) => schedule_table(schedule, caption),
            Self::Walls(plan, _) => {
                points_table(&plan.hours_by_wall, &[("Wall", "mm"), ("Debinding", "h")], caption)
            }
            Self::Run(run, _) => run_table(run, caption),
        }
    }
}

fn points(list: &[CurvePoint]) -> Vec<Point> {
    list.iter().map(|p| [p.x, p.y]).collect()
}

fn over_time(panes: Vec<Pane>, marks: Vec<Mark>, empty: &'static str) -> Stack {
    Stack { x: ("Time", "h"), x_log: false, x_from_zero: true, x_reach: 0.0, panes, marks, empty }
}

fn pane(title: &'static str, unit: &'static str, weight: f64, curves: Vec<Curve>) -> Pane {
    Pane { title, unit, log: false, from_zero: true, weight, curves }
}

fn losses(step: &StepPlan) -> Stack {
    let curve = |(i, loss): (usize, &LossCurve)| {
        // The second is the governing wall.
        Curve::line(points(&loss.points), ORDER[i % ORDER.len()], i == 1)
            .named(format!("{} mm deep", reading(loss.depth_mm)))
    };
    let curves = step.losses.iter().enumerate().map(curve).collect();
    let marks = step.hours.map(|h| Mark {
        at: h.value,
        text: format!("done after {} h", reading(h.value)),
        leading: true,
    });
    over_time(
        vec![pane("Mass lost, of the green mass", "%", 1.0, curves)],
        marks.into_iter().collect(),
        "Nothing is lost in this step.",
    )
}

fn losses_table(step: &StepPlan, caption: String) -> DataTable {
    let heads = [("Depth of the wall", "mm"), ("Time", "h"), ("Mass lost, of the green mass", "%")];
    let rows = step.losses.iter().flat_map(|loss| {
        loss.points.iter().map(|p| [loss.depth_mm, p.x, p.y].map(DataCell::number).to_vec())
    });
    DataTable { caption, columns: columns(&heads), rows: rows.collect() }
}

fn schedule(s: &SchedulePlan) -> Stack {
    let over = |values: &[f64]| crate::curves::zipped(&s.time_h, values);
    let left =
        s.parts.iter().zip(&s.left_percent).enumerate().map(|(i, (name, left))| {
            Curve::line(over(left), ORDER[i % ORDER.len()], false).named(name.clone())
        });
    let panes = vec![
        pane("Temperature", "°C", 1.0, vec![Curve::line(over(&s.temperature_c), SOLID, true)]),
        pane(
            "Pressure of the gas inside",
            "kPa",
            1.0,
            vec![Curve::line(over(&s.pressure_kpa), SOLID, false)],
        ),
        pane("Left of the binder", "%", 1.0, left.collect()),
    ];
    over_time(panes, Vec::new(), "There is no furnace step.")
}

fn schedule_table(s: &SchedulePlan, caption: String) -> DataTable {
    let mut heads = vec![
        ("Time".to_owned(), "h"),
        ("Temperature".to_owned(), "°C"),
        ("Pressure of the gas inside".to_owned(), "kPa"),
    ];
    heads.extend(s.parts.iter().map(|name| (format!("Left: {name}"), "%")));
    let heads: Vec<(&str, &str)> = heads.iter().map(|(title, unit)| (title.as_str(), *unit)).collect();
    let mut lists: Vec<&[f64]> = vec![&s.time_h, &s.temperature_c, &s.pressure_kpa];
    lists.extend(s.left_percent.iter().map(Vec::as_slice));
    rows_of(caption, columns(&heads), &lists)
}

fn walls(plan: &Plan) -> Stack {
    let marks = plan.walls.first().map(|wall| Mark {
        at: wall.thickness_mm,
        text: format!("{} {} mm", wall.name, reading(wall.thickness_mm)),
        leading: true,
    });
    Stack {
        x: ("Wall", "mm"),
        x_log: false,
        x_from_zero: true,
        x_reach: 0.0,
        panes: vec![pane(
            "Debinding, all steps",
            "h",
            1.0,
            vec![Curve::line(points(&plan.hours_by_wall), SOLID, true)],
        )],
        marks: marks.into_iter().collect(),
        empty: "There is no wall to debind.",
    }
}

fn points_table(list: &[CurvePoint], heads: &[(&str, &str)], caption: String) -> DataTable {
    let rows = list.iter().map(|p| [p.x, p.y].map(DataCell::number).to_vec());
    DataTable { caption, columns: columns(heads), rows: rows.collect() }
}

fn run(run: &SinterPlan) -> Stack {
    let panes = vec![
        pane("Temperature", "°C", 1.0, vec![Curve::line(points(&run.temperature), LONG, false)]),
        Pane {
            from_zero: false,
            ..pane("Density, of the solid's", "%", 1.0, vec![Curve::line(points(&run.density), SOLID, true)])
        },
        Pane {
            from_zero: false,
            ..pane(
                "Length, of the debound part's",
                "%",
                1.0,
                vec![Curve::line(points(&run.length_percent), SHORT, false)],
            )
        },
    ];
    over_time(panes, Vec::new(), "There is no furnace run.")
}

fn run_table(run: &SinterPlan, caption: String) -> DataTable {
    let heads = [
        ("Time", "h"),
        ("Temperature", "°C"),
        ("Density, of the solid's", "%"),
        ("Length, of the debound part's", "%"),
    ];
    let column = |list: &[CurvePoint], of: fn(&CurvePoint) -> f64| list.iter().map(of).collect::<Vec<f64>>();
    let lists = [
        column(&run.temperature, |p| p.x),
        column(&run.temperature, |p| p.y),
        column(&run.density, |p| p.y),
        column(&run.length_percent, |p| p.y),
    ];
    let lists: Vec<&[f64]> = lists.iter().map(Vec::as_slice).collect();
    rows_of(caption, columns(&heads), &lists)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Style, svg};
    use gatefrost_after::plan::{FromMould, LOADING, PowderScatter, plan};
    use gatefrost_core::scenario::{Dimension, Scenario, demo};

    fn planned() -> (Scenario, Plan) {
        let mut s = demo::default_demo().scenario();
        s.sizes.dimensions = vec![Dimension { name: "length".into(), ..Dimension::default() }];
        let scatter = vec![PowderScatter { cause: LOADING.to_owned(), relative: 1.6e-3 }];
        let mould = FromMould {
            filled: 0.9886,
            density_kg_m3: 5122.0,
            mass_g: 3.85,
            shrinkage_spread_percent: [0.7, 1.3],
            scatter,
        };
        let plan = plan(&s, Some(&mould));
        (s, plan)
    }

    /// Each figure is drawn, has a caption and rows, and its table holds the numbers of the plan.
    #[test]
    fn each_figure_is_drawn_and_has_its_numbers() {
        let (s, plan) = planned();
        let schedule = plan.steps[1].schedule.as_ref().expect("a furnace");
        let (run, sizes) = (plan.sintering.as_ref().expect("a run"), plan.sizes.as_ref().expect("sizes"));
        let all = [
            AfterFigure::Budget(sizes, &s.name),
            AfterFigure::Losses(&plan.steps[0], &s.name),
            AfterFigure::Schedule(schedule, &s.name),
            AfterFigure::Walls(&plan, &s.name),
            AfterFigure::Run(run, &s.name),
        ];
        for figure in &all {
            let drawn = svg(figure, 800, 500, &Style::default()).expect("drawn");
            assert!(drawn.contains(&figure.caption()) && !drawn.contains("NaN"), "{}", figure.caption());
            let table = figure.table();
            assert!(table.rows.len() >= 3 && table.rows.iter().all(|row| row.len() == table.columns.len()));
        }
        let budget = AfterFigure::Budget(sizes, &s.name).table();
        let of_variance: f64 = budget
            .rows
            .iter()
            .filter(|row| row[0] != DataCell::Text("all together".to_owned()))
            .map(|row| if let DataCell::Number(share) = row[2] { share } else { f64::NAN })
            .sum();
        assert!((of_variance - 100.0).abs() < 1e-9, "{of_variance}");
        let last = AfterFigure::Run(run, &s.name).table().rows.last().expect("rows")[2].clone();
        assert_eq!(last, DataCell::Number(run.density.last().expect("points").y));
    }

    #[test]
    fn a_figure_without_data_says_so() {
        let (s, mut plan) = planned();
        plan.steps[0].losses.clear();
        let drawn =
            svg(&AfterFigure::Losses(&plan.steps[0], &s.name), 700, 400, &Style::default()).expect("drawn");
        assert!(drawn.contains("Nothing is lost"));
    }
}
