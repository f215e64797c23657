//! What the figures of the feedstock laboratory show: recipes, rheometer data, critical loading.

use crate::axes::reading;
use crate::calorimetry;
use crate::display_list::Point;
use crate::lines::{Curve, Mark, Pane, Stack};
use crate::style::{DOTS, Dashes, LONG, SHORT, SOLID};
use crate::table::{DataCell, DataTable, columns};
use crate::{DisplayList, Drawing, Layout, lay_out_stack};
use gatefrost_laboratory::critical::{CriticalLoading, LoadingTable, Resistance};
use gatefrost_laboratory::readings::Scanned;
use gatefrost_laboratory::recipe;
use gatefrost_laboratory::rheometry::FlowPoint;
use gatefrost_laboratory::rheometry::fit::{Residual, temperature_levels};
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::order;

const ORDER: [Dashes; 4] = [SOLID, LONG, SHORT, DOTS];
/// Curves of a fit drawn at most; data of more temperatures are drawn as points.
const MOST_CURVES: usize = 6;

/// What a recipe is estimated to give.
#[derive(Debug, Clone, PartialEq)]
pub struct RecipeStudy {
    /// Name of the feedstock.
    pub name: String,
    /// Viscosity against shear rate at temperatures \[°C\].
    pub curves: Vec<(f64, Vec<recipe::FlowPoint>)>,
    /// Which of the curves is drawn with its band.
    pub leading: usize,
    /// Viscosity against loading.
    pub loadings: Vec<recipe::LoadingPoint>,
    /// The recipe's loading [vol%].
    pub loading: f64,
    /// Its critical loading [vol%].
    pub critical: f64,
    /// Shear rate \[1/s\] and temperature \[°C\] of the curve over loading.
    pub at: [f64; 2],
}

/// A flow curve from readings, and a law fitted to it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FlowStudy {
    /// Name of the feedstock.
    pub name: String,
    /// The points.
    pub points: Vec<FlowPoint>,
    /// Name of the law that is shown.
    pub law: String,
    /// Its viscosity against shear rate at temperatures \[°C\].
    pub curves: Vec<(f64, Vec<Point>)>,
    /// Every point against it.
    pub residuals: Vec<Residual>,
    /// Shear rates of a part by their passages \[1/s\].
    pub rates: Vec<(String, f64)>,
}

/// Readings against loading, and what they say.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadingStudy {
    /// Name of the feedstock.
    pub name: String,
    /// The readings.
    pub table: LoadingTable,
    /// The fits.
    pub found: CriticalLoading,
}

/// A figure of the laboratory.
#[derive(Debug, Clone, Copy)]
pub enum Study<'a> {
    /// Estimated viscosity against shear rate, the leading temperature with its band.
    RecipeFlow(&'a RecipeStudy),
    /// Estimated viscosity against loading, with its band.
    RecipeLoading(&'a RecipeStudy),
    /// Measured and fitted viscosity against shear rate, with the part's own rates.
    Flow(&'a FlowStudy),
    /// Distance of each point from the fit, in percent.
    Residuals(&'a FlowStudy),
    /// Density and flow resistance against loading, with both fits.
    Critical(&'a LoadingStudy),
    /// Heat capacity against temperature, one plot for each scan, with baselines, peaks and the no-flow temperature.
    Calorimetry(&'a [Scanned]),
}

impl Drawing for Study<'_> {
    fn caption(&self) -> String {
        match self {
            Self::RecipeFlow(_) => "Estimated viscosity against shear rate".to_owned(),
            Self::RecipeLoading(s) => format!(
                "Estimated viscosity against loading at {} 1/s and {} °C",
                reading(s.at[0]),
                reading(s.at[1])
            ),
            Self::Flow(s) if s.law.is_empty() => "Measured viscosity against shear rate".to_owned(),
            Self::Flow(s) => format!("Measured viscosity and {}", s.law),
            Self::Residuals(s) => format!("Readings against {}", s.law),
            Self::Critical(_) => "Density and flow resistance against loading".to_owned(),
            Self::Calorimetry(_) => "Heat capacity against temperature".to_owned(),
        }
    }

    fn name(&self) -> &str {
        match self {
            Self::RecipeFlow(s) | Self::RecipeLoading(s) => &s.name,
            Self::Flow(s) | Self::Residuals(s) => &s.name,
            Self::Critical(s) => &s.name,
            Self::Calorimetry(_) => "",
        }
    }

    fn lay_out(&self, list: &mut DisplayList) -> Layout {
        let stack = match self {
            Self::RecipeFlow(s) => recipe_flow(s),
            Self::RecipeLoading(s) => recipe_loading(s),
            Self::Flow(s) => flow(s),
            Self::Residuals(s) => residuals(s),
            Self::Critical(s) => critical(s),
            Self::Calorimetry(scans) => calorimetry::stack(scans),
        };
        lay_out_stack(list, &stack, &self.caption(), self.name())
    }

    fn table(&self) -> DataTable {
        let caption = self.caption();
        match self {
            Self::RecipeFlow(s) => recipe_flow_table(s, caption),
            Self::RecipeLoading(s) => recipe_loading_table(s, caption),
            Self::Flow(s) | Self::Residuals(s) => flow_table(s, caption),
            Self::Critical(s) => critical_table(s, caption),
            Self::Calorimetry(scans) => calorimetry::table(scans, caption),
        }
    }
}

fn degrees(temperature: f64) -> String {
    format!("{} °C", reading(temperature))
}

fn over_rate(panes: Vec<Pane>, marks: Vec<Mark>, empty: &'static str) -> Stack {
    Stack { x: ("Shear rate", "1/s"), x_log: true, x_from_zero: false, x_reach: 0.0, panes, marks, empty }
}

fn pane(title: &'static str, unit: &'static str, log: bool, curves: Vec<Curve>) -> Pane {
    Pane { title, unit, log, from_zero: false, weight: 1.0, curves }
}

fn recipe_flow(s: &RecipeStudy) -> Stack {
    let mut curves = Vec::new();
    if let Some((_, points)) = s.curves.get(s.leading) {
        let edge = |pick: fn(&recipe::FlowPoint) -> f64| points.iter().map(|p| [p.rate, pick(p)]).collect();
        curves.push(Curve::band(edge(|p| p.high), edge(|p| p.low)));
    }
    for (i, (temperature, points)) in s.curves.iter().enumerate() {
        let line = points.iter().map(|p| [p.rate, p.viscosity]).collect();
        curves.push(Curve::line(line, ORDER[i % 4], i == s.leading).named(degrees(*temperature)));
    }
    over_rate(vec![pane("Viscosity", "Pa·s", true, curves)], Vec::new(), "No recipe has been estimated.")
}

fn recipe_loading(s: &RecipeStudy) -> Stack {
    let edge = |pick: fn(&recipe::LoadingPoint) -> f64| -> Vec<Point> {
        s.loadings.iter().map(|p| [p.loading, pick(p)]).collect()
    };
    let curves =
        vec![Curve::band(edge(|p| p.high), edge(|p| p.low)), Curve::line(edge(|p| p.viscosity), SOLID, true)];
    let marks = vec![
        Mark { at: s.loading, text: format!("recipe {} vol%", reading(s.loading)), leading: true },
        Mark { at: s.critical, text: format!("critical {} vol%", reading(s.critical)), leading: false },
    ];
    Stack {
        x: ("Solids loading", "vol%"),
        x_log: false,
        x_from_zero: false,
        x_reach: 1.015 * s.critical,
        panes: vec![pane("Viscosity", "Pa·s", true, curves)],
        marks,
        empty: "No recipe has been estimated.",
    }
}

/// Temperatures measured, and which of them each point has.
fn levels(points: &[FlowPoint]) -> (Vec<f64>, impl Fn(f64) -> usize) {
    let levels = temperature_levels(points.iter().map(|p| p.temperature));
    let starts = levels.clone();
    (levels, move |t: f64| starts.partition_point(|start| *start <= t).saturating_sub(1))
}

fn flow(s: &FlowStudy) -> Stack {
    let (temperatures, level) = levels(&s.points);
    let mut curves: Vec<Curve> = s
        .curves
        .iter()
        .take(MOST_CURVES)
        .enumerate()
        .map(|(i, (t, line))| Curve::line(line.clone(), ORDER[i % 4], false).named(degrees(*t)))
        .collect();
    for i in 0..temperatures.len() {
        let of_level = s.points.iter().filter(|p| level(p.temperature) == i);
        curves.push(Curve::dots(of_level.map(|p| [p.shear_rate, p.viscosity]).collect(), i));
    }
    let marks = s.rates.iter().map(|(name, at)| Mark { at: *at, text: name.clone(), leading: false });
    let empty = "There are no readings yet.";
    over_rate(vec![pane("Viscosity", "Pa·s", true, curves)], marks.collect(), empty)
}

fn off_percent(residual: &Residual) -> f64 {
    100.0 * residual.log_ratio.exponential_m1()
}

fn residuals(s: &FlowStudy) -> Stack {
    let (temperatures, level) = levels(&s.points);
    let mut curves = Vec::new();
    let rates = s.residuals.iter().map(|r| r.point.shear_rate);
    let (low, high) = rates.fold((f64::INFINITY, 0.0_f64), |(a, b), r| (a.min(r), b.max(r)));
    if low < high {
        curves.push(Curve::line(vec![[low, 0.0], [high, 0.0]], SOLID, true));
    }
    for i in 0..temperatures.len() {
        let of_level = s.residuals.iter().filter(|r| level(r.point.temperature) == i);
        curves.push(Curve::dots(of_level.map(|r| [r.point.shear_rate, off_percent(r)]).collect(), i));
    }
    let panes = vec![pane("Reading above the fit", "%", false, curves)];
    over_rate(panes, Vec::new(), "No law has been fitted.")
}

fn critical(s: &LoadingStudy) -> Stack {
    let mut panes = Vec::new();
    let mut marks = Vec::new();
    let all = s.table.density.iter().chain(s.table.resistance.iter().map(|(_, r)| r)).map(|r| r.loading);
    let (low, high) = all.fold((f64::INFINITY, 0.0_f64), |(a, b), v| (a.min(v), b.max(v)));
    let over = |i: u32| low + (high - low) * f64::from(i) / 160.0;
    // An interval that is open reaches to the end of the axis.
    let mut reach = high;
    let mut wash = |interval: [Option<f64>; 2], value: f64| {
        reach = reach.max(interval[1].unwrap_or(value) + 1.0);
        Curve::span(interval[0].unwrap_or(low).max(low), interval[1].unwrap_or(f64::MAX))
    };
    if !s.table.density.is_empty() {
        let dots: Vec<Point> = s.table.density.iter().map(|r| [r.loading, r.value]).collect();
        let mut curves = Vec::new();
        if let Ok(fit) = &s.found.density {
            marks.push(mark("density", fit.critical.value));
            curves.push(wash([fit.critical.low, fit.critical.high], fit.critical.value));
            // The peak itself is a corner of the curve.
            let mut places: Vec<f64> = (0..=160).map(over).chain([fit.critical.value]).collect();
            order::sort(&mut places);
            curves.push(Curve::line(places.iter().map(|&x| [x, fit.at(x)]).collect(), SOLID, true));
        }
        curves.push(Curve::dots(dots, 0));
        panes.push(pane("Density", "kg/m³", false, curves));
    }
    if let Some((of, _)) = s.table.resistance.first() {
        let fallen = |p: &Point| s.found.peak.is_some_and(|peak| p[0] >= peak.failed_from);
        let dots = s.table.resistance.iter().map(|(_, r)| [r.loading, r.value]);
        let (left_out, dots): (Vec<Point>, Vec<Point>) = dots.partition(fallen);
        let mut curves = Vec::new();
        if let Ok(fit) = &s.found.resistance {
            let critical = fit.critical.value;
            marks.push(mark(of.label(), critical));
            curves.push(wash([fit.critical.low, fit.critical.high], critical));
            // It runs off to infinity: from point to point a twentieth of the way that is left.
            let left = |i: u32| (critical - low) * 0.95_f64.power(f64::from(i));
            let line = (0..=300).filter_map(|i| Some([critical - left(i), fit.at(critical - left(i))?]));
            curves.push(Curve::over(line.collect()));
            // Room above the readings for the curve to rise in.
            let most = dots.iter().fold(0.0_f64, |top, p| top.max(p[1]));
            curves.push(Curve::unseen(vec![[low, 5.0 * most]]));
        }
        curves.push(Curve::dots(dots, 0));
        // Another sign for what is left out, past the peak.
        if !left_out.is_empty() {
            curves.push(Curve::dots(left_out, 1));
        }
        let (title, unit) = resistance_words(*of);
        // It grows a hundredfold towards the divergence, and is fitted in logarithms.
        panes.push(pane(title, unit, true, curves));
    }
    let x_reach = marks.iter().fold(reach, |reach, m| reach.max(m.at + 1.0));
    if panes.is_empty() {
        panes.push(pane("Density", "kg/m³", false, Vec::new()));
    }
    Stack {
        x: ("Solids loading", "vol%"),
        x_log: false,
        x_from_zero: false,
        x_reach,
        panes,
        marks,
        empty: "There are no readings yet.",
    }
}

fn mark(by: &str, at: f64) -> Mark {
    Mark { at, text: format!("φc by {by} {} vol%", gatefrost_core::format::number(at, 3)), leading: true }
}

fn resistance_words(of: Resistance) -> (&'static str, &'static str) {
    let title = match of {
        Resistance::RelativeViscosity => "Relative viscosity",
        Resistance::Viscosity => "Viscosity",
        Resistance::Torque => "Torque",
    };
    (title, of.unit())
}

fn recipe_flow_table(s: &RecipeStudy, caption: String) -> DataTable {
    let heads = [
        ("Temperature", "°C"),
        ("Shear rate", "1/s"),
        ("Viscosity", "Pa·s"),
        ("Low end of the band", "Pa·s"),
        ("High end of the band", "Pa·s"),
    ];
    let rows = s.curves.iter().flat_map(|(t, points)| {
        points.iter().map(|p| [*t, p.rate, p.viscosity, p.low, p.high].map(DataCell::number).to_vec())
    });
    DataTable { caption, columns: columns(&heads), rows: rows.collect() }
}

fn recipe_loading_table(s: &RecipeStudy, caption: String) -> DataTable {
    let heads = [
        ("Solids loading", "vol%"),
        ("Relative viscosity", ""),
        ("Viscosity", "Pa·s"),
        ("Low end of the band", "Pa·s"),
        ("High end of the band", "Pa·s"),
    ];
    let rows = s
        .loadings
        .iter()
        .map(|p| [p.loading, p.relative, p.viscosity, p.low, p.high].map(DataCell::number).to_vec());
    DataTable { caption, columns: columns(&heads), rows: rows.collect() }
}

fn flow_table(s: &FlowStudy, caption: String) -> DataTable {
    let heads = [
        ("Line", ""),
        ("Temperature", "°C"),
        ("Shear rate at the wall", "1/s"),
        ("Shear stress at the wall", "kPa"),
        ("Viscosity", "Pa·s"),
        ("Fitted viscosity", "Pa·s"),
        ("Reading above the fit", "%"),
    ];
    // Residuals come in the order of the points; those that are not finite are left out.
    let mut residuals = s.residuals.iter().peekable();
    let row = |p: &FlowPoint| {
        let fit = residuals.next_if(|r| r.point == *p);
        let off = fit.map_or(f64::NAN, off_percent);
        let value = fit.map_or(f64::NAN, |r| r.fitted);
        let numbers = [p.line as f64, p.temperature, p.shear_rate, p.stress / 1e3, p.viscosity, value, off];
        numbers.map(DataCell::number).to_vec()
    };
    DataTable { caption, columns: columns(&heads), rows: s.points.iter().map(row).collect() }
}

fn critical_table(s: &LoadingStudy, caption: String) -> DataTable {
    let heads = [("Line", ""), ("What", ""), ("Solids loading", "vol%"), ("Reading", ""), ("Fitted", "")];
    let row = |what: String, r: &gatefrost_laboratory::critical::LoadingReading, fitted: Option<f64>| {
        let fitted = fitted.map_or(DataCell::Empty, DataCell::number);
        vec![
            DataCell::number(r.line as f64),
            DataCell::text(what),
            DataCell::number(r.loading),
            DataCell::number(r.value),
            fitted,
        ]
    };
    let densities = s.table.density.iter().map(|r| {
        row("density, kg/m³".to_owned(), r, s.found.density.as_ref().ok().map(|fit| fit.at(r.loading)))
    });
    let resistances = s.table.resistance.iter().map(|(of, r)| {
        let what = if of.unit().is_empty() {
            of.label().to_owned()
        } else {
            format!("{}, {}", of.label(), of.unit())
        };
        row(what, r, s.found.resistance.as_ref().ok().and_then(|fit| fit.at(r.loading)))
    });
    DataTable { caption, columns: columns(&heads), rows: densities.chain(resistances).collect() }
}
