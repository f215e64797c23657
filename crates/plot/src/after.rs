//! What follows the mould: mass lost, the schedule of a furnace, time against the wall, the furnace run, density against its
//! temperature, and the budget of sizes. Tinted areas are 95 % bands.

pub(crate) mod bars;

use crate::axes::{Layout, reading};
use crate::curves::ORDER;
use crate::display_list::{DisplayList, Point};
use crate::lines::{Curve, Mark, Pane, Stack};
use crate::style::{Dashes, LONG, SHORT, SOLID};
use crate::table::{DataCell, DataTable, columns, rows_of};
use crate::{Drawing, lay_out_stack};
use gatefrost_after::plan::{
    BandPoint, CurvePoint, LossCurve, Plan, SchedulePlan, SinterPlan, SizePlan, StepPlan, TemperaturePlan,
};

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
    /// Density and length against the temperature of the last hold.
    Temperatures(&'a TemperaturePlan, &'a str),
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
            Self::Temperatures(plan, _) => {
                format!("Density and length after a last hold of {} min", reading(plan.hold_min))
            }
        }
    }

    fn name(&self) -> &str {
        match self {
            Self::Budget(_, name)
            | Self::Losses(_, name)
            | Self::Schedule(_, name)
            | Self::Walls(_, name)
            | Self::Run(_, name)
            | Self::Temperatures(_, name) => name,
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
            Self::Temperatures(plan, _) => temperatures(plan),
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
                let heads =
                    [("Wall", "mm"), ("Debinding", "h"), ("Debinding, low", "h"), ("Debinding, high", "h")];
                let rows = plan.hours_by_wall.iter().map(|p| banded_row(&[], p));
                DataTable { caption, columns: columns(&heads), rows: rows.collect() }
            }
            Self::Run(run, _) => run_table(run, caption),
            Self::Temperatures(plan, _) => temperatures_table(plan, caption),
        }
    }
}

fn points(list: &[CurvePoint]) -> Vec<Point> {
    list.iter().map(|p| [p.x, p.y]).collect()
}

/// The band of a line, and the line.
fn banded(list: &[BandPoint], dashes: Dashes, leading: bool) -> [Curve; 2] {
    let of = |value: fn(&BandPoint) -> f64| list.iter().map(|p| [p.x, value(p)]).collect::<Vec<Point>>();
    [Curve::band(of(|p| p.high), of(|p| p.low)), Curve::line(of(|p| p.y), dashes, leading)]
}

/// The band and the line of a list over time.
fn banded_over(time: &[f64], values: &[f64], band: &[[f64; 2]], dashes: Dashes, leading: bool) -> [Curve; 2] {
    let points = time.iter().zip(values).zip(band);
    let points: Vec<BandPoint> =
        points.map(|((&x, &y), &[low, high])| BandPoint { x, y, low, high }).collect();
    banded(&points, dashes, leading)
}

/// A row of a table: what comes first, then the place and the value with its band.
fn banded_row(first: &[f64], p: &BandPoint) -> Vec<DataCell> {
    first.iter().copied().chain([p.x, p.y, p.low, p.high]).map(DataCell::number).collect()
}

fn over_time(panes: Vec<Pane>, marks: Vec<Mark>, empty: &'static str) -> Stack {
    Stack { x: ("Time", "h"), x_log: false, x_from_zero: true, x_reach: 0.0, panes, marks, empty }
}

fn pane(title: &'static str, unit: &'static str, weight: f64, curves: Vec<Curve>) -> Pane {
    Pane { title, unit, log: false, from_zero: true, weight, curves }
}

fn losses(step: &StepPlan) -> Stack {
    let curve = |(i, loss): (usize, &LossCurve)| {
        // The second is the governing wall, whose band is drawn.
        let [band, line] = banded(&loss.points, ORDER[i % ORDER.len()], i == 1);
        let line = line.named(format!("{} mm deep", reading(loss.depth_mm)));
        (i == 1).then_some(band).into_iter().chain([line])
    };
    let curves = step.losses.iter().enumerate().flat_map(curve).collect();
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
    let heads = [
        ("Depth of the wall", "mm"),
        ("Time", "h"),
        ("Mass lost, of the green mass", "%"),
        ("Mass lost, low", "%"),
        ("Mass lost, high", "%"),
    ];
    let rows =
        step.losses.iter().flat_map(|loss| loss.points.iter().map(|p| banded_row(&[loss.depth_mm], p)));
    DataTable { caption, columns: columns(&heads), rows: rows.collect() }
}

fn schedule(s: &SchedulePlan) -> Stack {
    let left = s.parts.iter().zip(s.left_percent.iter().zip(&s.left_band_percent)).enumerate().flat_map(
        |(i, (name, (left, band)))| {
            let [band, line] = banded_over(&s.time_h, left, band, ORDER[i % ORDER.len()], false);
            [band, line.named(name.clone())]
        },
    );
    let temperature = banded_over(&s.time_h, &s.temperature_c, &s.temperature_band_c, SOLID, true);
    let pressure = banded_over(&s.time_h, &s.pressure_kpa, &s.pressure_band_kpa, SOLID, false);
    let panes = vec![
        pane("Temperature", "°C", 1.0, temperature.into()),
        pane("Pressure of the gas inside", "kPa", 1.0, pressure.into()),
        pane("Left of the binder", "%", 1.0, left.collect()),
    ];
    over_time(panes, Vec::new(), "There is no furnace step.")
}

fn schedule_table(s: &SchedulePlan, caption: String) -> DataTable {
    let mut heads = vec![("Time".to_owned(), "h")];
    let mut lists: Vec<Vec<f64>> = vec![s.time_h.clone()];
    let mut add = |title: String, unit: &'static str, values: &[f64], band: &[[f64; 2]]| {
        heads.extend([
            (title.clone(), unit),
            (format!("{title}, low"), unit),
            (format!("{title}, high"), unit),
        ]);
        lists.push(values.to_vec());
        lists.extend([0, 1].map(|end| band.iter().map(|ends| ends[end]).collect()));
    };
    add("Temperature".to_owned(), "°C", &s.temperature_c, &s.temperature_band_c);
    add("Pressure of the gas inside".to_owned(), "kPa", &s.pressure_kpa, &s.pressure_band_kpa);
    for (name, (left, band)) in s.parts.iter().zip(s.left_percent.iter().zip(&s.left_band_percent)) {
        add(format!("Left: {name}"), "%", left, band);
    }
    let heads: Vec<(&str, &str)> = heads.iter().map(|(title, unit)| (title.as_str(), *unit)).collect();
    let lists: Vec<&[f64]> = lists.iter().map(Vec::as_slice).collect();
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
        panes: vec![pane("Debinding, all steps", "h", 1.0, banded(&plan.hours_by_wall, SOLID, true).into())],
        marks: marks.into_iter().collect(),
        empty: "There is no wall to debind.",
    }
}

fn run(run: &SinterPlan) -> Stack {
    let mut panes =
        vec![pane("Temperature", "°C", 1.0, vec![Curve::line(points(&run.temperature), LONG, false)])];
    panes.extend(density_and_length(&run.density, &run.length_percent));
    over_time(panes, Vec::new(), "There is no furnace run.")
}

fn density_and_length(density: &[BandPoint], length: &[BandPoint]) -> [Pane; 2] {
    let free = |title, list: &[BandPoint], dashes, leading| Pane {
        from_zero: false,
        ..pane(title, "%", 1.0, banded(list, dashes, leading).into())
    };
    [
        free("Density, of the solid's", density, SOLID, true),
        free("Length, of the debound part's", length, SHORT, false),
    ]
}

fn temperatures(plan: &TemperaturePlan) -> Stack {
    let mark = Mark { at: plan.set_c, text: format!("set: {} °C", reading(plan.set_c)), leading: true };
    Stack {
        x: ("Temperature of the last hold", "°C"),
        x_log: false,
        x_from_zero: false,
        x_reach: 0.0,
        panes: density_and_length(&plan.density, &plan.length_percent).into(),
        marks: vec![mark],
        empty: "There is no furnace run.",
    }
}

fn temperatures_table(plan: &TemperaturePlan, caption: String) -> DataTable {
    let heads = [
        ("Temperature of the last hold", "°C"),
        ("Density, of the solid's", "%"),
        ("Density, low", "%"),
        ("Density, high", "%"),
        ("Length, of the debound part's", "%"),
        ("Length, low", "%"),
        ("Length, high", "%"),
    ];
    let rows = plan.density.iter().zip(&plan.length_percent).map(|(density, length)| {
        let mut row = banded_row(&[], density);
        row.extend(banded_row(&[], length).into_iter().skip(1));
        row
    });
    DataTable { caption, columns: columns(&heads), rows: rows.collect() }
}

fn run_table(run: &SinterPlan, caption: String) -> DataTable {
    let heads = [
        ("Time", "h"),
        ("Temperature", "°C"),
        ("Density, of the solid's", "%"),
        ("Density, low", "%"),
        ("Density, high", "%"),
        ("Length, of the debound part's", "%"),
        ("Length, low", "%"),
        ("Length, high", "%"),
    ];
    let rows = run.temperature.iter().zip(run.density.iter().zip(&run.length_percent)).map(
        |(temperature, (density, length))| {
            let mut row = banded_row(&[], density);
            row.insert(1, DataCell::number(temperature.y));
            row.extend(banded_row(&[], length).into_iter().skip(1));
            row
        },
    );
    DataTable { caption, columns: columns(&heads), rows: rows.collect() }
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
        let by_temperature = plan.by_temperature.as_ref().expect("a run");
        let all = [
            AfterFigure::Budget(sizes, &s.name),
            AfterFigure::Losses(&plan.steps[0], &s.name),
            AfterFigure::Schedule(schedule, &s.name),
            AfterFigure::Walls(&plan, &s.name),
            AfterFigure::Run(run, &s.name),
            AfterFigure::Temperatures(by_temperature, &s.name),
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

    /// Each figure that has an uncertain number tells its band in the table, and the band has a width there.
    #[test]
    fn each_figure_has_its_band() {
        let (s, plan) = planned();
        let schedule = plan.steps[1].schedule.as_ref().expect("a furnace");
        let run = plan.sintering.as_ref().expect("a run");
        let all = [
            AfterFigure::Losses(&plan.steps[0], &s.name),
            AfterFigure::Schedule(schedule, &s.name),
            AfterFigure::Walls(&plan, &s.name),
            AfterFigure::Run(run, &s.name),
            AfterFigure::Temperatures(plan.by_temperature.as_ref().expect("a run"), &s.name),
        ];
        for figure in &all {
            let table = figure.table();
            let lows = (0..table.columns.len()).filter(|i| table.columns[*i].title.ends_with(", low"));
            let lows: Vec<usize> = lows.collect();
            assert!(!lows.is_empty(), "{}", figure.caption());
            let mut width = 0.0;
            for (row, low) in table.rows.iter().flat_map(|row| lows.iter().map(move |low| (row, *low))) {
                let [DataCell::Number(value), DataCell::Number(below), DataCell::Number(above)] =
                    &row[low - 1..=low + 1]
                else {
                    panic!("{}: {row:?}", figure.caption())
                };
                assert!(below <= value && value <= above, "{}: {row:?}", figure.caption());
                width += above - below;
            }
            assert!(width > 0.0, "{}", figure.caption());
        }
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
