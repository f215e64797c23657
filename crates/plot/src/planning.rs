//! Around the mould: pressure and density along a compact, and cost by cause.

use crate::after::bars::{Bar, Bars, draw_bars};
use crate::axes::Layout;
use crate::display_list::{DisplayList, Point};
use crate::lines::{Curve, Pane, Stack};
use crate::style::{LONG, SOLID};
use crate::table::{DataCell, DataTable, columns, rows_of};
use crate::{Drawing, lay_out_stack};
use gatefrost_after::plan::CurvePoint;
use gatefrost_planning::cost::CostPlan;
use gatefrost_planning::route::CompactPlan;

/// A figure of the whole plan. The name is that of the scenario.
#[derive(Debug, Clone, Copy)]
pub enum PlanFigure<'a> {
    /// Pressure and density along a compact.
    Compact(&'a CompactPlan, &'a str),
    /// Cost of a good part by cause.
    Cost(&'a CostPlan, &'a str),
}

/// Words of the last bar.
const TOGETHER: &str = "counted together";

impl Drawing for PlanFigure<'_> {
    fn caption(&self) -> String {
        match self {
            Self::Compact(..) => "Pressure and density along a pressed compact".to_owned(),
            Self::Cost(..) => "Cost of a good part by cause".to_owned(),
        }
    }

    fn name(&self) -> &str {
        match self {
            Self::Compact(_, name) | Self::Cost(_, name) => name,
        }
    }

    fn lay_out(&self, list: &mut DisplayList) -> Layout {
        let caption = self.caption();
        match self {
            Self::Compact(compact, name) => lay_out_stack(list, &along(compact), &caption, name),
            Self::Cost(cost, name) => draw_bars(list, &bars(cost), &caption, name),
        }
    }

    fn table(&self) -> DataTable {
        let caption = self.caption();
        match self {
            Self::Compact(compact, _) => compact_table(compact, caption),
            Self::Cost(cost, _) => cost_table(cost, caption),
        }
    }
}

fn points(list: &[CurvePoint]) -> Vec<Point> {
    list.iter().map(|p| [p.x, p.y]).collect()
}

fn along(compact: &CompactPlan) -> Stack {
    let pair = |one: &[CurvePoint], both: &[CurvePoint]| {
        let one = Curve::line(points(one), SOLID, true).named("one punch moves".to_owned());
        let both = Curve::line(points(both), LONG, false).named("both punches move".to_owned());
        [one, both].into_iter().filter(|curve| curve.points.len() > 1).collect()
    };
    let pane =
        |title, from_zero, curves| Pane { title, unit: "%", log: false, from_zero, weight: 1.0, curves };
    Stack {
        x: ("Depth below the upper punch", "mm"),
        x_log: false,
        x_from_zero: true,
        x_reach: 0.0,
        panes: vec![
            pane("Pressure, of the punch's", true, pair(&compact.one, &compact.both)),
            pane("Density, of the solid's", false, pair(&compact.density_one, &compact.density_both)),
        ],
        marks: Vec::new(),
        empty: "There is no compact.",
    }
}

/// Rows at the depths of the pressure; a density that the law does not reach stays empty.
fn compact_table(compact: &CompactPlan, caption: String) -> DataTable {
    let heads = [
        ("Depth below the upper punch", "mm"),
        ("Pressure, one punch moves", "%"),
        ("Pressure, both punches move", "%"),
        ("Density, one punch moves", "%"),
        ("Density, both punches move", "%"),
    ];
    let padded = |list: &[CurvePoint]| -> Vec<f64> {
        (0..compact.one.len()).map(|i| list.get(i).map_or(f64::NAN, |p| p.y)).collect()
    };
    let depth: Vec<f64> = compact.one.iter().map(|p| p.x).collect();
    let lists = [
        padded(&compact.one),
        padded(&compact.both),
        padded(&compact.density_one),
        padded(&compact.density_both),
    ];
    let lists: Vec<&[f64]> = std::iter::once(&depth).chain(&lists).map(Vec::as_slice).collect();
    rows_of(caption, columns(&heads), &lists)
}

fn bars(cost: &CostPlan) -> Bars {
    let each =
        cost.causes.iter().map(|cause| Bar { words: cause.name.clone(), value: cause.each, whole: false });
    let whole = cost.each.map(|value| Bar { words: TOGETHER.to_owned(), value, whole: true });
    Bars {
        bars: each.chain(whole).collect(),
        axis: ["Cost of a good part, in your own currency", ""],
        footnote: "Only what has a price is counted; the list beside the figure says what is not.",
    }
}

fn cost_table(cost: &CostPlan, caption: String) -> DataTable {
    let heads = [("Cause", ""), ("Cost of a good part", "")];
    let row = |words: &str, each: f64| vec![DataCell::text(words.to_owned()), DataCell::number(each)];
    let mut rows: Vec<_> = cost.causes.iter().map(|cause| row(&cause.name, cause.each)).collect();
    rows.extend(cost.each.map(|each| row(TOGETHER, each)));
    DataTable { caption, columns: columns(&heads), rows }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Style, svg};
    use gatefrost_after::plan::plan as after;
    use gatefrost_core::scenario::demo;
    use gatefrost_planning::plan;

    /// Each figure is drawn, and its table holds the numbers of the plan.
    #[test]
    fn each_figure_is_drawn_and_has_its_numbers() {
        let mut s = demo::default_demo().scenario();
        let p = &mut s.plan;
        (p.pressed_height, p.pressed_width, p.finishing_price) = (Some(20.0), Some(10.0), Some(0.2));
        (p.mould_price, p.pieces) = (Some(15_000.0), Some(20_000.0));
        let plan = plan(&s, None, None, &after(&s, None));
        let compact = plan.route.compact.as_ref().expect("a compact");
        let figures = [PlanFigure::Compact(compact, &s.name), PlanFigure::Cost(&plan.cost, &s.name)];
        for figure in &figures {
            let drawn = svg(figure, 800, 500, &Style::default()).expect("drawn");
            assert!(drawn.contains(&figure.caption()) && !drawn.contains("NaN"));
        }
        let last = figures[0].table().rows.last().expect("rows").clone();
        assert_eq!(last[1], DataCell::number(compact.one.last().expect("points").y));
        let costs = figures[1].table().rows;
        assert_eq!(costs.len(), 3, "finishing, the mould, and both together");
        assert_eq!(costs[2][1], DataCell::number(0.95));
    }
}
